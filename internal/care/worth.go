package care

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/science/basis"
	"velamen/science/pot"
)

// ReadingWorth is one reading that could be taken, and what it is expected to
// tell.
type ReadingWorth struct {
	Kind    Kind        `json:"kind"`
	When    time.Time   `json:"when"`
	What    string      `json:"what"`
	Narrows basis.Value `json:"narrows"` // share by which the band of the drying time is expected to narrow
}

// worth judges the readings that could be taken now and around the next flush.
func (a *ahead) worth(e *pot.Ensemble, begin, due int) ([]ReadingWorth, error) {
	today := a.c.Day
	day, err := a.around.typicalDay(today)
	if err != nil {
		return nil, err
	}
	flush := 24*(due-begin) + wateringHour
	last := 24 * (today + a.Days - begin)
	drained := flush + max(1, int(a.week(due).Flush.Pours.Value.Value))
	next := flush + 24*max(1, int(a.week(due).Flush.Every.Value.Value)) - 1
	now := min(24*(today-begin)+wateringHour-1, last)
	type option struct {
		kind  Kind
		event pot.Event
		what  string
	}
	options := []option{
		{Weighed, pot.Event{Hour: now, What: pot.WeighedIt}, "weigh it today, before watering"},
		{WetnessSeen, pot.Event{Hour: now, What: pot.LookedIn}, "look at the pot today, before watering"},
		{Weighed, pot.Event{Hour: drained, What: pot.WeighedIt}, "weigh it when it has drained after the next flush"},
		{DrainageRead, pot.Event{Hour: drained, What: pot.ReadDrainage}, "read the drainage of the next flush"},
		{Weighed, pot.Event{Hour: next, What: pot.WeighedIt}, "weigh it just before the flush after the next"},
		{WetnessSeen, pot.Event{Hour: next, What: pot.LookedIn}, "look at the pot just before the flush after the next"},
	}
	options = slices.DeleteFunc(options, func(o option) bool { return o.event.Hour > last || o.event.Hour < now })
	slices.SortStableFunc(options, func(x, y option) int { return x.event.Hour - y.event.Hour })
	events := make([]pot.Event, len(options))
	for i, o := range options {
		events[i] = o.event
	}
	worths, err := e.Worths(a.from(begin, today+a.Days), events, day, a.s.drenchML(e), driestWetness[a.s.group.DriesBetween.Is].Value)
	if err != nil {
		return nil, err
	}
	list := make([]ReadingWorth, len(worths))
	for i, w := range worths {
		list[i] = ReadingWorth{
			Kind: options[i].kind, What: options[i].what, When: a.s.date(begin).Add(time.Duration(w.Event.Hour) * time.Hour),
			Narrows: basis.Assumed(w.Narrows, math.Max(0, w.Narrows-worthError), math.Min(1, w.Narrows+worthError), "share"),
		}
	}
	slices.SortStableFunc(list, func(x, y ReadingWorth) int { return cmp.Compare(y.Narrows.Value, x.Narrows.Value) })
	return list, nil
}

// worthError is how far off an expectation over forty possible pots may be.
const worthError = 0.05

// Says tells what was learned from in a few words.
func (l *Learned) Says() string {
	var parts []string
	for _, one := range []struct {
		n         int
		one, many string
	}{{l.Weighings, "weighing", "weighings"}, {l.Drainages, "drainage reading", "drainage readings"}, {l.Looks, "look", "looks"}} {
		switch {
		case one.n == 1:
			parts = append(parts, "1 "+one.one)
		case one.n > 1:
			parts = append(parts, fmt.Sprintf("%d %s", one.n, one.many))
		}
	}
	return "learned from " + strings.Join(parts, ", ") + " of this pot"
}
