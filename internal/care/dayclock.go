package care

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"velamen/science/light"
)

// DayClock says when days begin at a place, and which hours belong to the day
// of the plants in a space: those with the sun above the horizon, or with the
// lamps on.
type DayClock struct {
	Zone  *time.Location
	Site  *light.Site // nil: not known, the day lasts from 6 to 18
	Lamps float64     // hours a day that lamps are on, around noon; 0: by the sun
}

// usualLampHours are reckoned with where the hours of the lamps were left out.
const usualLampHours = 12

// DayClock returns the clock of a space. zone serves where the place has none of
// its own.
func (c *Collection) DayClock(space string, zone *time.Location) DayClock {
	k := DayClock{Zone: zone}
	if lat, lon := c.Place.LatitudeDeg, c.Place.LongitudeDeg; lat.Grade != 0 {
		k.Site = &light.Site{LatDeg: lat.Value, LonDeg: lon.Value}
		if lon.Grade == 0 {
			// Clocks follow the sun to within an hour or two: 15° to the hour.
			_, offset := time.Date(2026, 1, 1, 0, 0, 0, 0, zone).Zone()
			k.Site.LonDeg = float64(offset) / 240
		}
	}
	for _, s := range c.Spaces {
		if !strings.EqualFold(s.Name, space) {
			continue
		}
		source, err := light.ParseSource(s.Light.Source)
		daylight := err == nil && (source == light.Sun || source == light.BlueSky)
		if daylight || err != nil && !s.Kind.UnderLamps() {
			break
		}
		k.Lamps = usualLampHours
		if s.Light.HoursPerDay.Grade != 0 {
			k.Lamps = s.Light.HoursPerDay.Value
		}
	}
	return k
}

// Key tells one clock from another: summaries made with another clock are out of
// date.
func (k DayClock) Key() string {
	place := "no place"
	if k.Site != nil {
		place = fmt.Sprintf("%.3f %.3f", k.Site.LatDeg, k.Site.LonDeg)
	}
	return fmt.Sprintf("%s; %s; lamps %g h", k.Zone, place, k.Lamps)
}

// DateOf returns the calendar day of an instant at the place, as midnight UTC.
func (k DayClock) DateOf(at time.Time) time.Time {
	y, m, d := at.In(k.Zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// Begin returns the first instant of a calendar day. Days that a change of the
// clocks shortens or lengthens have 23 or 25 hours, and where the clocks change
// at midnight the day begins when its date first shows.
func (k DayClock) Begin(date time.Time) time.Time {
	y, m, d := date.Date()
	around := time.Date(y, m, d, 12, 0, 0, 0, k.Zone).Add(-16 * time.Hour)
	reached := func(minutes int) bool {
		return !k.DateOf(around.Add(time.Duration(minutes) * time.Minute)).Before(date)
	}
	return around.Add(time.Duration(sort.Search(16*60, reached)) * time.Minute)
}

// LitOn returns which instants of a calendar day belong to the day of the plants.
func (k DayClock) LitOn(date time.Time) (from, until time.Time) {
	y, m, d := date.Date()
	noon := time.Date(y, m, d, 12, 0, 0, 0, k.Zone)
	half := 6 * time.Hour
	if k.Lamps > 0 {
		half = time.Duration(k.Lamps / 2 * float64(time.Hour))
	} else if k.Site != nil {
		day, err := light.DaylightOn(time.Date(y, m, d, 0, 0, 0, 0, k.Zone), *k.Site)
		if err == nil {
			half = day.Length() / 2
			noon = day.Noon
		}
	}
	return noon.Add(-half), noon.Add(half)
}
