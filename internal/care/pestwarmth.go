package care

import (
	"math"
	"time"

	"velamen/science/basis"
	"velamen/science/pest"
)

// Warmth is how warm a space is and was, day by day: measured where it was, the
// typical day of the space otherwise.
type Warmth struct {
	Measured       map[time.Time]DayWarmth // by calendar day, at midnight UTC
	Foreseen       map[time.Time]DayWarmth // by a forecast that was handed in
	NightC, DayC   basis.Value             // of a typical day
	LatestMeasured time.Time
}

// DayWarmth is the lowest and the highest temperature of a day.
type DayWarmth struct{ MinC, MaxC float64 }

// NewWarmth returns the warmth of a space from its description and the days on
// which it was measured. Days of which only a few hours were measured are left
// out: the coldest of them may be missing. ahead are hours of a forecast.
func NewWarmth(space Space, days []ClimateDay, ahead []ClimateHour) Warmth {
	usual := kindDefaults[Windowsill]
	if d, ok := kindDefaults[space.Kind]; ok {
		usual = d
	}
	w := Warmth{NightC: space.NightC, DayC: space.DayC, Measured: map[time.Time]DayWarmth{}, Foreseen: foreseenDays(ahead)}
	if w.NightC.Grade == 0 {
		w.NightC = basis.Assumed(usual.nightC, usual.nightC-3, usual.nightC+3, "°C")
	}
	if w.DayC.Grade == 0 {
		w.DayC = basis.Assumed(usual.dayC, usual.dayC-3, usual.dayC+3, "°C")
	}
	for _, d := range days {
		if d.Lit.Hours+d.Dark.Hours < mostOfADay || !d.Lit.TempC.Known() || !d.Dark.TempC.Known() {
			continue
		}
		w.Measured[d.Date] = DayWarmth{math.Min(d.Lit.TempC.Min, d.Dark.TempC.Min), math.Max(d.Lit.TempC.Max, d.Dark.TempC.Max)}
		w.LatestMeasured = latest(w.LatestMeasured, d.Date)
	}
	return w
}

// mostOfADay is of how many hours a day has to be known.
const mostOfADay = 20

// warmthDays is as far as the days of a plan are laid out; beyond them package
// pest goes on at their pace.
const warmthDays = 120

// from returns the days from one on. What lies ahead is what was foreseen, what
// was measured in the week before it if anything was, or a typical day.
func (w Warmth) from(start time.Time) pest.Temperatures {
	t := pest.Temperatures{Start: start, MinC: make([]float64, warmthDays), MaxC: make([]float64, warmthDays)}
	ahead := w.usualDay()
	for i := range warmthDays {
		date := start.AddDate(0, 0, i)
		d, known := w.Measured[date]
		if !known {
			if d, known = w.Foreseen[date]; !known {
				d = ahead
			}
		}
		t.MinC[i], t.MaxC[i] = d.MinC, d.MaxC
	}
	return t
}

// usualDay is the mean of the last week that was measured, or the typical day.
func (w Warmth) usualDay() DayWarmth {
	typical := DayWarmth{math.Min(w.NightC.Value, w.DayC.Value), math.Max(w.NightC.Value, w.DayC.Value)}
	if w.LatestMeasured.IsZero() {
		return typical
	}
	var sum DayWarmth
	n := 0.0
	for i := range 7 {
		if d, ok := w.Measured[w.LatestMeasured.AddDate(0, 0, -i)]; ok {
			sum.MinC += d.MinC
			sum.MaxC += d.MaxC
			n++
		}
	}
	return DayWarmth{sum.MinC / n, sum.MaxC / n}
}

// mean is the mean temperature of some days from one on, with the range within
// which a typical day is known.
func (w Warmth) mean(t pest.Temperatures, days int) basis.Value {
	sum := 0.0
	for i := range days {
		sum += (t.MinC[i] + t.MaxC[i]) / 2
	}
	mean := sum / float64(days)
	if _, measured := w.Measured[t.Start]; measured {
		return basis.Value{Value: mean, Low: mean - 1, High: mean + 1, Unit: "°C", Grade: basis.Measured}
	}
	return basis.Value{Value: mean, Low: mean - 2, High: mean + 2, Unit: "°C", Grade: basis.Weakest(w.NightC.Grade, w.DayC.Grade)}
}
