package web

import (
	"context"
	"fmt"
	"slices"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// foretold is the forecast of a space, taken together as readings are.
type foretold struct {
	care.ForeseenAt
	hours []care.ClimateHour
	days  []care.ClimateDay
}

// foretold returns the forecast that was handed in last for a space, gone by or
// not; without one it is empty.
func (s *Server) foretold(space string, clock care.DayClock) foretold {
	var f foretold
	var ok bool
	s.Book.Read(func(c *care.Collection) { f.ForeseenAt, ok = c.ForeseenIn(space) })
	if ok {
		f.hours, f.days = clock.Foretold(&f.Foreseen)
	}
	return f
}

// runs reports whether any of it is still to come.
func (f *foretold) runs(now time.Time) bool { return len(f.hours) > 0 && f.Until().After(now) }

// lastDay is the last day that can be shown: today, or the last one foretold.
func (f *foretold) lastDay(clock care.DayClock, today time.Time) time.Time {
	if len(f.hours) == 0 {
		return today
	}
	if last := clock.DateOf(f.hours[len(f.hours)-1].Start); last.After(today) {
		return last
	}
	return today
}

// mostAhead is how many days of a week's picture lie ahead: the rest shows what
// the forecast goes on from.
const mostAhead = 4

// usualEnd is the day that a span ends on where none was asked for: all of a
// forecast in a season, some of it in a week, none in a day.
func (f *foretold) usualEnd(span climateSpan, today, latest time.Time) time.Time {
	ahead := today.AddDate(0, 0, min(mostAhead, span.days-1))
	if span.byDay || latest.Before(ahead) {
		ahead = latest
	}
	if span.days == 1 {
		return today
	}
	return ahead
}

// hoursIn are its hours within a time.
func (f *foretold) hoursIn(from, until time.Time) (list []care.ClimateHour) {
	for i := range f.hours {
		if at := f.hours[i].Start; !at.Before(from) && at.Before(until) {
			list = append(list, f.hours[i])
		}
	}
	return list
}

// daysIn are its days from one to another.
func (f *foretold) daysIn(from, until time.Time) (list []care.ClimateDay) {
	for i := range f.days {
		if on := f.days[i].Date; !on.Before(from) && !on.After(until) {
			list = append(list, f.days[i])
		}
	}
	return list
}

// foretoldView is what a forecast means for the plants of a space.
type foretoldView struct {
	Says  string
	Worst *worstView
	Dew   string // on the glass of a room, by a forecast of outdoors
	Why   *becauseView
	Water *figureView
	By    string // where the room's part of it comes from
}

// aheadOf says what is to come: for a space with a forecast, whom it does not
// suit; for a room, what a forecast of outdoors means for its glass and its
// humidifier.
func (s *Server) aheadOf(ctx context.Context, u care.Units, space care.Space, plants []wantingPlant, week []care.ClimateHour, wants wantedAir, own foretold) (*foretoldView, error) {
	v := &foretoldView{}
	now := s.Now()
	if own.runs(now) {
		hours := own.hoursIn(now.Truncate(time.Hour), own.Until())
		lit, dark := care.SuitedBy(wants.each, hours)
		if v.Worst = worstOff(u, plants, hours); lit.Hours+dark.Hours > 0 && len(wants.each) > 0 {
			v.Says = inParts(lit, dark, func(s care.Suited, part string) string {
				return fmt.Sprintf("by %s %d of %d hours suit all and %d suit none", part, s.All, s.Hours, s.None)
			})
		}
	}
	s.glassAhead(u, space, week, wants, own, v)
	if v.Says == "" && v.Dew == "" && v.Water == nil {
		return nil, ctx.Err()
	}
	return v, ctx.Err()
}

// glassAhead reckons with the air outside as it is foreseen, and with the room as
// it is foreseen or, without that, as it was at the same hour of its last day that
// was measured whole.
func (s *Server) glassAhead(u care.Units, space care.Space, week []care.ClimateHour, wants wantedAir, own foretold, v *foretoldView) {
	if space.Kind == care.Terrace {
		return
	}
	var f care.ForeseenAt
	var ok bool
	s.Book.Read(func(c *care.Collection) { f, ok = c.ForeseenOutdoors() })
	if !ok || !f.Until().After(s.Now()) {
		return
	}
	clock := s.clock(space.Name)
	hours, _ := clock.Foretold(&f.Foreseen)
	hours = slices.DeleteFunc(hours, func(h care.ClimateHour) bool { return h.Start.Before(s.Now().Truncate(time.Hour)) })
	inside := own.hoursIn(s.Now().Truncate(time.Hour), own.until())
	v.By = "the room as its own forecast tells it"
	if len(inside) == 0 {
		inside = repeated(week, hours)
		v.By = "the room as it was at the same hour of the last day that was measured whole"
	}
	outside := &care.Outdoors{Hours: hours, HoursFrom: "the forecast file " + f.File, Foreseen: true}
	if dew, ok := space.Room.DewOnGlass(inside, outside, wants.all); ok {
		v.Dew = dewWords(u, dew, s, "hours to come")
		v.Why = newBecause(u, &dew.Because, basis.Assumption, "")
	}
	if litres, ok := space.Room.HumidifierLitres(inside, outside, wants.all); ok {
		water := newFigure(u, "Water to evaporate, ahead", litres)
		v.Water = &water
	}
}

// until is the end of a forecast, or no time without one.
func (f *foretold) until() time.Time {
	if len(f.hours) == 0 {
		return time.Time{}
	}
	return f.Until()
}

// repeated lets hours to come be as the last 24 measured ones were; nothing where
// those are not whole.
func repeated(measured, ahead []care.ClimateHour) []care.ClimateHour {
	if len(measured) < 24 || len(ahead) == 0 {
		return nil
	}
	last := measured[len(measured)-24:]
	if last[23].Start.Sub(last[0].Start) != 23*time.Hour {
		return nil
	}
	list := make([]care.ClimateHour, 0, len(ahead))
	for i := range ahead {
		since := int(ahead[i].Start.Sub(last[0].Start).Hours())
		if since < 0 {
			continue
		}
		h := last[since%24]
		h.Start, h.Lit = ahead[i].Start, ahead[i].Lit
		list = append(list, h)
	}
	return list
}
