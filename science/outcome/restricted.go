package outcome

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
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

// Interval is the range of a mean that holds the level. Where the plants show no
// spread, with fewer than two signs or all of them on one day, it is not Known,
// and Low and High are as far as the days counted allow.
type Interval struct {
	Low, High float64
	Known     bool
}

// MeanInterval returns the range of the restricted mean up to a day, by Student's
// t as RestrictedMeanDifference has it.
func (c Curve) MeanInterval(untilDay, level float64) (Interval, error) {
	if err := checkLevel(level); err != nil {
		return Interval{}, err
	}
	mean, err := c.RestrictedMean(untilDay)
	if err != nil {
		return Interval{}, err
	}
	s := spreadOf(c, mean, untilDay)
	if !s.known {
		return Interval{High: untilDay}, nil
	}
	margin := distuv.StudentsT{Sigma: 1, Nu: s.freedom}.Quantile((1+level)/2) * math.Sqrt(s.variance)
	return Interval{math.Max(0, mean.Days-margin), math.Min(untilDay, mean.Days+margin), true}, nil
}

// MeanDifference compares two restricted means.
type MeanDifference struct {
	First, Second, Difference Mean
	// Low and High are the interval of the difference, first less second.
	// SpreadKnown is false where the plants of a group show no spread to tell
	// one from: then they are as far as the days counted allow.
	Low, High   float64
	SpreadKnown bool
	Verdict     Verdict
}

// RestrictedMeanDifference compares the mean days without the sign of two
// groups, up to the same day. worthDays is the smallest difference the grower
// would act on; the verdict says how many more plants would show one of that
// size.
//
// The interval is that of Student's t and not of the normal curve: the errors of
// groups with a handful of signs are themselves hardly known. With m signs in a
// group its variance is taken m/(m − 1) times as large, with m − 1 degrees of
// freedom, and the two are joined as by Welch (Biometrika 34:28–35, 1947, from
// memory). Groups of three that do not differ are then called different in
// about 3 of 100 cases, not in 18. A group with fewer than two signs, or with all
// of them on one day, shows no spread at all: then nothing is known of the
// difference, and Low and High are as far as untilDay allows.
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
	one, other := spreadOf(first, m.First, untilDay), spreadOf(second, m.Second, untilDay)
	m.Low, m.High = -untilDay, untilDay
	if m.SpreadKnown = one.known && other.known; m.SpreadKnown {
		margin := one.margin(other, level)
		m.Low, m.High = math.Max(-untilDay, m.Difference.Days-margin), math.Min(untilDay, m.Difference.Days+margin)
	}
	needed := plantsPerArm(float64(first.Plants)*one.variance+float64(second.Plants)*other.variance, worthDays, level)
	m.Verdict = judge(m.Low, m.High, first.eventsUntil(untilDay), second.eventsUntil(untilDay), first.Plants, second.Plants, needed)
	if !m.SpreadKnown {
		m.Verdict.Answer = NotEnoughPlants
		m.Verdict.FirstMore, m.Verdict.SecondMore = max(m.Verdict.FirstMore, 1), max(m.Verdict.SecondMore, 1)
	}
	return m, nil
}

// meanSpread is how well a restricted mean is known.
type meanSpread struct {
	variance, freedom float64
	known             bool
}

func spreadOf(c Curve, mean Mean, untilDay float64) meanSpread {
	events := float64(c.eventsUntil(untilDay))
	s := meanSpread{variance: mean.StandardError * mean.StandardError, freedom: events - 1}
	s.known = events >= 2 && s.variance > 0
	if s.known {
		s.variance *= events / (events - 1)
	}
	return s
}

// margin is half the width of the interval of a difference of two means.
func (s meanSpread) margin(other meanSpread, level float64) float64 {
	both := s.variance + other.variance
	freedom := both * both / (s.variance*s.variance/s.freedom + other.variance*other.variance/other.freedom)
	t := distuv.StudentsT{Sigma: 1, Nu: freedom}
	return t.Quantile((1+level)/2) * math.Sqrt(both)
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
