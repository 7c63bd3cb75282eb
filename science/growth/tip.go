package growth

import (
	"cmp"
	"slices"
)

// TipChange is what was seen to happen at the tip of a marked root.
type TipChange uint8

const (
	// Chewed by a slug, snail or insect: the tip is gone.
	Chewed TipChange = iota + 1
	// Broken in handling: the tip is gone.
	Broken
	// Capped over by velamen: the root rests at its length.
	Capped
	// Renewed: a growing tip shows again, at the end or on a branch.
	Renewed
)

// String returns the words shown to the grower.
func (c TipChange) String() string {
	switch c {
	case Chewed:
		return "tip chewed"
	case Broken:
		return "tip broken"
	case Capped:
		return "tip capped, resting"
	case Renewed:
		return "new tip"
	}
	return "unknown change of the tip"
}

// TipEvent is a change of the tip on a day. It counts before the readings of
// the same moment.
type TipEvent struct {
	Day    float64
	Change TipChange
}

// eventsUntil returns the events up to the given day in order.
func eventsUntil(events []TipEvent, day float64) ([]TipEvent, error) {
	sorted := make([]TipEvent, 0, len(events))
	for _, e := range events {
		if err := checkDay("day of a tip event", e.Day); err != nil {
			return nil, err
		}
		if err := within("change of the tip", float64(e.Change), float64(Chewed), float64(Renewed), ""); err != nil {
			return nil, err
		}
		if e.Day <= day {
			sorted = append(sorted, e)
		}
	}
	slices.SortFunc(sorted, func(a, b TipEvent) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Change, b.Change))
	})
	return sorted, nil
}
