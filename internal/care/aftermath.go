package care

import (
	"slices"
	"time"
)

// Aftermath is what the journal says of a plant between one repot and the next,
// as far as the outcome of that recovery asks for it and the plant does not keep
// it anyway: its roots, signs and reviews are there.
type Aftermath struct {
	Space  string // where the plant stood when it was repotted
	Vigour Vigour // before the repot
	// Alive is the last time somebody tended the plant or looked at it.
	Alive time.Time
	// Supplements are the days on which seaweed or the like was given in the
	// first weeks.
	Supplements []SupplementGiven
}

// SupplementGiven is one supplement as its label calls it.
type SupplementGiven struct {
	At      time.Time
	Product string
}

// tends reports whether somebody who made such an entry had the plant before
// them, alive: notes about its record, its end, or a job that was left do not
// say so.
func (k Kind) tends() bool {
	switch k {
	case FlushDone, WaterGiven, FeedDone, MistDone, SupplementIn, Weighed, DrainageRead, RootsRead, Counted, SignSeen, PestLook, Treated, Photographed, SpikeDecided, Reviewed:
		return true
	}
	return false
}

// follow keeps what an entry says of the recovery that is under way. It comes
// before the entry itself is applied.
func (p *PlantState) follow(e Entry) {
	if e.Kind == RepotDone {
		p.Aftermaths = append(p.Aftermaths, Aftermath{Space: p.Record.Space, Vigour: p.Record.Vigour})
		return
	}
	if len(p.Aftermaths) == 0 || !p.Ended.IsZero() {
		return
	}
	now := &p.Aftermaths[len(p.Aftermaths)-1]
	if e.Kind.tends() {
		now.Alive = e.At
	}
	if e.Kind == SupplementIn && daysBetween(p.Record.Repot.Date, midnight(e.At)) <= int(SupplementDays.Value) {
		now.Supplements = append(now.Supplements, SupplementGiven{e.At, e.Detail.Product})
	}
}

// cloneAftermaths copies them so that the last can be changed.
func cloneAftermaths(list []Aftermath) []Aftermath {
	list = slices.Clone(list)
	if n := len(list); n > 0 {
		list[n-1].Supplements = slices.Clone(list[n-1].Supplements)
	}
	return list
}
