package pest

import (
	"errors"
	"fmt"
	"time"
)

// Temperatures are consecutive days of air temperature (°C, −40 to 60) from
// the day Start falls on: either daily means or minima with maxima. A forecast
// and a record have the same form.
type Temperatures struct {
	Start      time.Time
	MeanC      []float64
	MinC, MaxC []float64
}

func (t Temperatures) days() int { return max(len(t.MeanC), len(t.MinC)) }

func (t Temperatures) check() error {
	switch {
	case t.Start.IsZero():
		return errors.New("pest: the temperatures have no starting day")
	case t.days() == 0:
		return errors.New("pest: no temperatures given")
	case len(t.MeanC) > 0 && len(t.MinC)+len(t.MaxC) > 0:
		return errors.New("pest: give daily means or minima with maxima, not both")
	case len(t.MinC) != len(t.MaxC):
		return fmt.Errorf("pest: %d minima and %d maxima differ in number", len(t.MinC), len(t.MaxC))
	}
	for i, degrees := range t.MeanC {
		if err := checkAirC("mean temperature", degrees); err != nil {
			return fmt.Errorf("day %d: %w", i, err)
		}
	}
	for i, low := range t.MinC {
		if err := checkAirC("minimum temperature", low); err != nil {
			return fmt.Errorf("day %d: %w", i, err)
		}
		if err := checkAirC("maximum temperature", t.MaxC[i]); err != nil {
			return fmt.Errorf("day %d: %w", i, err)
		}
		if err := checkDay(low, t.MaxC[i]); err != nil {
			return fmt.Errorf("day %d: %w", i, err)
		}
	}
	return nil
}

func (t Temperatures) meanOn(day int) float64 {
	if len(t.MeanC) > 0 {
		return t.MeanC[day]
	}
	return (t.MinC[day] + t.MaxC[day]) / 2
}

// meanOfFirst averages the first days, or all when there are fewer.
func (t Temperatures) meanOfFirst(days int) float64 {
	days = min(days, t.days())
	var sum float64
	for day := range days {
		sum += t.meanOn(day)
	}
	return sum / float64(days)
}

func (t Temperatures) gainOn(day int, th Thresholds) float64 {
	if len(t.MeanC) > 0 {
		return th.gain(t.MeanC[day])
	}
	return sineDay(t.MinC[day], t.MaxC[day], th)
}

// warmth holds the degree-days gathered since the morning of day 0.
type warmth struct {
	byMorning []float64 // byMorning[n] is the sum of days 0 to n−1
	perDay    float64   // pace assumed after the last known day
}

func (t Temperatures) warmth(th Thresholds) warmth {
	n := t.days()
	w := warmth{byMorning: make([]float64, n+1)}
	for day := range n {
		w.byMorning[day+1] = w.byMorning[day] + t.gainOn(day, th)
	}
	tail := min(n, int(tailDays.Value))
	w.perDay = (w.byMorning[n] - w.byMorning[n-tail]) / float64(tail)
	return w
}

func (w warmth) at(day int) float64 {
	known := len(w.byMorning) - 1
	if day <= known {
		return w.byMorning[day]
	}
	return w.byMorning[known] + float64(day-known)*w.perDay
}

// never is later than any day that is given as a date.
const never = horizonDays + 1

// roundingShare keeps a sum that should meet its goal exactly from missing it
// by the last bit.
const roundingShare = 1e-12

// firstMorning returns the first day on whose morning the degree-days have
// been gathered since the morning of day from, or never.
func (w warmth) firstMorning(from int, degreeDays float64) int {
	for day := from; day <= horizonDays; day++ {
		if w.at(day)-w.at(from) >= degreeDays*(1-roundingShare) {
			return day
		}
	}
	return never
}

// lastMorning returns the last day on whose morning no more than the
// degree-days have been gathered since the morning of day from, or never when
// that is still so at the horizon.
func (w warmth) lastMorning(from int, degreeDays float64) int {
	for day := from; day <= horizonDays; day++ {
		if w.at(day)-w.at(from) > degreeDays*(1+roundingShare) {
			return day - 1
		}
	}
	return never
}

// calendarDay names the day a moment falls on in its own zone, as 00:00 UTC,
// so that adding days never meets a change of the clocks.
func calendarDay(t time.Time) time.Time {
	year, month, day := t.Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// date turns a day number into a calendar day, and never into the zero Time.
func date(start time.Time, day int) time.Time {
	if day >= never {
		return time.Time{}
	}
	return calendarDay(start).AddDate(0, 0, day)
}

// dayNumber counts days from one calendar day to another.
func dayNumber(start, t time.Time) int {
	return int(calendarDay(t).Sub(calendarDay(start)) / (24 * time.Hour))
}
