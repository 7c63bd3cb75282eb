package intake

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"velamen/internal/care"
)

// Case drafts everything a case tells: its place, spaces, waters, feeds,
// routine, units and plants. What it says of the surroundings is dated to its
// first repot, so that the weeks since then can be worked out too.
func Case(c care.Case, units care.Units, into Into) Draft {
	d := newDrafter(into)
	start := firstDay(c.Plants, into.Now)
	have := into.Have

	add := func(what string, known, same bool, kind care.Kind, detail care.Detail) {
		r := Row{What: what}
		switch {
		case known && same:
			r.Remarks = []string{"it is there already"}
		case known:
			r.Remarks = []string{"it stays as it is in the collection; the case file says something else"}
		default:
			d.entry(&r, start, kind, "", detail)
			r.Adds = []string{"what is told of it"}
		}
		d.draft.Rows = append(d.draft.Rows, r)
	}
	if !zero(c.Place) {
		add("place", !zero(have.Place), reflect.DeepEqual(c.Place, have.Place), care.PlaceSet, care.Detail{Place: &c.Place})
	}
	for _, s := range c.Spaces {
		known, same := among(have.Spaces, s, func(s care.Space) string { return s.Name })
		add("space "+s.Name, known, same, care.SpaceSet, care.Detail{Space: &s})
		d.spaces[strings.ToLower(s.Name)] = true
	}
	for _, w := range c.Waters {
		known, same := among(have.Waters, w, func(w care.Water) string { return w.Name })
		add("water "+w.Name, known, same, care.WaterSet, care.Detail{Water: &w})
	}
	for _, f := range c.Feeds {
		known, same := among(have.Feeds, f, func(f care.Feed) string { return f.Name })
		add("feed "+f.Name, known, same, care.FeedSet, care.Detail{Feed: &f})
	}
	if !zero(c.Routine) {
		add("routine", !zero(have.Routine), reflect.DeepEqual(c.Routine, have.Routine), care.RoutineSet, care.Detail{Routine: &c.Routine})
	}
	if zero(have.Settings) {
		add("units", false, false, care.SettingsSet, care.Detail{Settings: &care.Settings{Units: units}})
	}
	for i, p := range c.Plants {
		r := Row{What: fmt.Sprintf("plant %d", i+1)}
		d.space(&r, p.Space, start)
		d.plant(&r, p, "")
		d.draft.Rows = append(d.draft.Rows, r)
	}
	return d.draft
}

// firstDay returns the day of the first repot, or now.
func firstDay(plants []care.Plant, now time.Time) time.Time {
	first := now
	for _, p := range plants {
		if at := p.Repot.Date; !at.IsZero() && at.Before(first) {
			first = at
		}
	}
	return first
}

// among reports whether a list has an element of the same name, and whether it
// says the same.
func among[T any](list []T, one T, name func(T) string) (known, same bool) {
	for _, other := range list {
		if strings.EqualFold(name(other), name(one)) {
			return true, reflect.DeepEqual(other, one)
		}
	}
	return false, false
}

func zero(x any) bool { return reflect.ValueOf(x).IsZero() }
