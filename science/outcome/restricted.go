package outcome

import (
	"fmt"
	"math"
)

// Mean is a mean number of days with its standard error.
type Mean struct{ Days, StandardError float64 }

// RestrictedMean returns the mean days without the sign, counting at most
// untilDay for each plant: the area under the curve. It answers "how many days
// of the first untilDay went by without roots?" and needs neither half of the
// plants to have rooted nor hazards in proportion.
//
// untilDay lies above 0 and no later than the last look, unless every plant
// has shown the sign.
func (c Curve) RestrictedMean(untilDay float64) (Mean, error) {
	if _, err := c.At(untilDay); err != nil {
		return Mean{}, fmt.Errorf("restricting the mean: %w", err)
	}
	if untilDay == 0 {
		return Mean{}, &RangeError{Chapter: "outcome", Quantity: "last day of the mean", High: c.LastDay, Unit: "days"}
	}
	// From the last step backwards: area is that under the curve from the
	// step's day until untilDay.
	var area, variance float64
	end := untilDay
	for i := len(c.Steps) - 1; i >= 0; i-- {
		s := c.Steps[i]
		if s.Day > untilDay {
			continue
		}
		area += s.Unseen * (end - s.Day)
		end = s.Day
		if n, d := float64(s.AtRisk), float64(s.Events); n > d {
			variance += area * area * d / (n * (n - d)) // Kaplan & Meier 1958, §6 (from memory)
		}
	}
	return Mean{Days: area + end, StandardError: math.Sqrt(variance)}, nil
}

// MeanDifference compares two restricted means.
type MeanDifference struct {
	First, Second, Difference Mean
	// Low and High are the interval of the difference, first less second.
	Low, High float64
	Verdict   Verdict
}

// RestrictedMeanDifference compares the mean days without the sign of two
// groups, up to the same day. worthDays is the smallest difference the grower
// would act on; the verdict says how many more plants would show one of that
// size.
func RestrictedMeanDifference(first, second Curve, untilDay, worthDays, level float64) (MeanDifference, error) {
	if err := checkLevel(level); err != nil {
		return MeanDifference{}, err
	}
	if !(worthDays > 0 && worthDays < untilDay) {
		return MeanDifference{}, &RangeError{Chapter: "outcome", Quantity: "difference worth knowing", Value: worthDays, High: untilDay, Unit: "days"}
	}
	var m MeanDifference
	var err error
	if m.First, err = first.RestrictedMean(untilDay); err != nil {
		return MeanDifference{}, fmt.Errorf("first group: %w", err)
	}
	if m.Second, err = second.RestrictedMean(untilDay); err != nil {
		return MeanDifference{}, fmt.Errorf("second group: %w", err)
	}
	m.Difference = Mean{m.First.Days - m.Second.Days, math.Hypot(m.First.StandardError, m.Second.StandardError)}
	margin := twoSided(level) * m.Difference.StandardError
	m.Low, m.High = m.Difference.Days-margin, m.Difference.Days+margin

	// One plant's share of the variance, as these groups show it.
	perPlant := func(c Curve, mean Mean) float64 {
		return float64(c.Plants) * mean.StandardError * mean.StandardError
	}
	needed := plantsPerArm(perPlant(first, m.First)+perPlant(second, m.Second), worthDays, level)
	m.Verdict = judge(m.Low, m.High, first.eventsUntil(untilDay), second.eventsUntil(untilDay), first.Plants, second.Plants, needed)
	return m, nil
}

// eventsUntil counts the signs seen no later than a day.
func (c Curve) eventsUntil(day float64) int {
	events := 0
	for _, s := range c.Steps {
		if s.Day <= day {
			events += s.Events
		}
	}
	return events
}
