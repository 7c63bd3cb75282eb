package care

import (
	"math"
	"strings"
	"time"
)

// Foreseen is a forecast that was handed in: what the air of a space, or under
// the open sky, is expected to be hour by hour. The next one for the same space
// takes its place; hours gone by no longer count, so that it ends by itself.
type Foreseen struct {
	Space string    `json:"space,omitempty"` // empty: every outdoor space
	File  string    `json:"file,omitempty"`  // name of the file it came in
	Start time.Time `json:"start"`           // of the first hour

	TempC     []float64 `json:"temp_c"`         // mean of each hour, −40 to 60
	RHPercent []float64 `json:"rh_percent"`     // as many, 0 to 100
	PPFD      []float64 `json:"ppfd,omitempty"` // µmol m⁻² s⁻¹ at the leaves; none, or as many
}

// ForeseenAt is a forecast with when it was handed in.
type ForeseenAt struct {
	Foreseen
	At    time.Time
	Entry string
}

// MostForeseenHours is as far as a forecast may reach: weather is not foreseen
// further.
const MostForeseenHours = 24 * 16

func (f *Foreseen) check(bad func(field, format string, args ...any)) {
	if f == nil {
		return
	}
	n := len(f.TempC)
	if n < 1 || n > MostForeseenHours {
		bad("detail.foreseen.temp_c", "has %d hours; 1 to %d are possible", n, MostForeseenHours)
	}
	if len(f.RHPercent) != n || len(f.PPFD) != 0 && len(f.PPFD) != n {
		bad("detail.foreseen.rh_percent", "there are %d temperatures, %d humidities and %d of light; as many of each are expected", n, len(f.RHPercent), len(f.PPFD))
	}
	if f.Start.Year() < 1980 || f.Start.Year() > 2200 {
		bad("detail.foreseen.start", "%s is no time of a forecast", f.Start.Format(time.DateOnly))
	}
	for _, one := range []struct {
		field string
		of    Quantity
		list  []float64
	}{{"temp_c", AirTemperature, f.TempC}, {"rh_percent", AirHumidity, f.RHPercent}, {"ppfd", LeafLight, f.PPFD}} {
		low, high, unit := one.of.Range()
		for _, v := range one.list {
			if !(v >= low && v <= high) {
				bad("detail.foreseen."+one.field, "%g is outside %g to %g %s", v, low, high, unit)
				break
			}
		}
	}
}

// applyForeseen lets a forecast take the place of the one before.
func (c *Collection) applyForeseen(e Entry) {
	c.Foreseen = replace(c.Foreseen, ForeseenAt{*e.Detail.Foreseen, e.At, e.ID}, func(f ForeseenAt) string { return f.Space })
}

// ForeseenIn returns the forecast that counts for a space: its own, or that of
// the open sky where it lies under it. ok is false without one.
func (c *Collection) ForeseenIn(space string) (f ForeseenAt, ok bool) {
	for _, one := range c.Foreseen {
		if strings.EqualFold(one.Space, space) && space != "" {
			return one, true
		}
		if one.Space == "" && c.Outdoors(space) {
			f, ok = one, true
		}
	}
	return f, ok
}

// ForeseenOutdoors returns the forecast of the open air: the one for all outdoor
// spaces, or that of one of them. ok is false without one.
func (c *Collection) ForeseenOutdoors() (f ForeseenAt, ok bool) {
	for _, one := range c.Foreseen {
		if one.Space == "" {
			return one, true
		}
		if c.Outdoors(one.Space) {
			f, ok = one, true
		}
	}
	return f, ok
}

// Until is the end of its last hour.
func (f *Foreseen) Until() time.Time {
	return f.Start.Add(time.Duration(len(f.TempC)) * time.Hour)
}

// Hours returns the hours of a forecast that begin at a time or later, by the
// clocks of a zone.
func (f *Foreseen) Hours(from time.Time, zone *time.Location) []ClimateHour {
	var list []ClimateHour
	one := func(v float64) Spread { return Spread{Min: v, Mean: v, Max: v, Count: 1} }
	for i := range f.TempC {
		h := ClimateHour{Start: f.Start.Add(time.Duration(i) * time.Hour).In(zone), TempC: one(f.TempC[i]), RHPercent: one(f.RHPercent[i])}
		if h.Start.Before(from) {
			continue
		}
		if len(f.PPFD) > 0 {
			h.PPFD = one(f.PPFD[i])
		}
		list = append(list, h)
	}
	return list
}

// Foretold summarises a forecast by the hours and days of a space, as readings
// are: for pictures beside what was measured. Days of which it tells a part only
// are left out of the days.
func (k DayClock) Foretold(f *Foreseen) (hours []ClimateHour, days []ClimateDay) {
	series := []SensorSeries{{Quantity: AirTemperature, Value: f.TempC}, {Quantity: AirHumidity, Value: f.RHPercent}}
	if len(f.PPFD) > 0 {
		series = append(series, SensorSeries{Quantity: LeafLight, Value: f.PPFD})
	}
	at := make([]int64, len(f.TempC))
	for i := range at {
		at[i] = f.Start.Add(time.Duration(i)*time.Hour + 30*time.Minute).Unix()
	}
	for i := range series {
		series[i].At = at
	}
	for date := k.DateOf(f.Start); date.Before(k.DateOf(f.Until().Add(-time.Second)).AddDate(0, 0, 1)); date = date.AddDate(0, 0, 1) {
		list, day := k.SummariseDay(date, series)
		hours = append(hours, list...)
		if len(list) >= mostOfADay {
			days = append(days, day)
		}
	}
	return hours, days
}

// foreseenDays are the lowest and the highest of the calendar days of which nearly
// all hours are foreseen.
func foreseenDays(hours []ClimateHour) map[time.Time]DayWarmth {
	days, count := map[time.Time]DayWarmth{}, map[time.Time]int{}
	for i := range hours {
		date, c := midnight(hours[i].Start), hours[i].TempC.Mean
		d, known := days[date]
		if !known {
			d = DayWarmth{c, c}
		}
		days[date] = DayWarmth{math.Min(d.MinC, c), math.Max(d.MaxC, c)}
		count[date]++
	}
	for date, n := range count {
		if n < mostOfADay {
			delete(days, date)
		}
	}
	return days
}
