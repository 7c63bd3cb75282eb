package course

import (
	"fmt"
	"math"
)

// Supply is what a disturbed plant's roots can bring, as a share of what its
// leaves lost in the usual climate before the repot.
//
//	σ(t) = h · ρ(t) · c(t) / τ
//
// h headroom, ρ living root length as a share of that before, c contact with
// water in the new home relative to the old, τ share of the leaf area kept.
// The roots change with time:
//
//	ρ(t) = r·(1 − k·|w₁−w₀|·(1 − e^(−t/T))) + new(t)
//
// r share kept, k·|w₁−w₀| the part of it that dies back because the new home
// is wetter or drier than the one it grew in, new(t) the length grown since,
// steadily from the first new tip until all that was lost is replaced.
type Supply struct {
	Headroom   float64 // h, 0.1 to 3
	RootsKept  float64 // r, 0 to 1
	LeavesKept float64 // τ, above 0 to 1

	WetShareBefore float64   // w₀, share of the day that roots were wet in the old home, 0 to 1
	WetShare       []float64 // w₁ per day from the repot on, 0 to 1; the last day stands for all later ones

	Dieback     float64 // k, 0 to 1
	DiebackDays float64 // T, days, above 0

	FirstTipDay    float64 // day of the first new root tip
	EstablishedDay float64 // day by which all lost length is replaced; after FirstTipDay
}

// Check reports the first field that lies outside its range.
func (s Supply) Check() error {
	within := func(name string, v, low, high float64) error {
		if !(v >= low && v <= high) {
			return fmt.Errorf("course: %s is %g, expected %g to %g", name, v, low, high)
		}
		return nil
	}
	checks := []error{
		within("headroom", s.Headroom, 0.1, 3),
		within("share of roots kept", s.RootsKept, 0, 1),
		within("share of leaves kept", s.LeavesKept, 0.01, 1),
		within("wet share before", s.WetShareBefore, 0, 1),
		within("dieback", s.Dieback, 0, 1),
		within("dieback days", s.DiebackDays, 0.1, 365),
		within("day of the first tip", s.FirstTipDay, 0, 1000),
		within("day of establishment", s.EstablishedDay, s.FirstTipDay+1, 3000),
	}
	for day, w := range s.WetShare {
		checks = append(checks, within(fmt.Sprintf("wet share on day %d", day), w, 0, 1))
	}
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	if len(s.WetShare) == 0 {
		return fmt.Errorf("course: wet share is empty, expected a value for each day")
	}
	return nil
}

// At returns σ on a day since the repot; 1 is enough for the usual climate.
func (s Supply) At(day float64) float64 {
	return s.Headroom * s.RootsAt(day) * s.ContactAt(day) / s.LeavesKept
}

// RootsAt returns ρ: living root length as a share of that before the repot.
// What was lost is replaced, never more, so ρ stays at or below 1.
func (s Supply) RootsAt(day float64) float64 {
	old := s.RootsKept * (1 - s.Dieback*s.settledChange()*(1-math.Exp(-day/s.DiebackDays)))
	grown := (day - s.FirstTipDay) / (s.EstablishedDay - s.FirstTipDay)
	return old + (1-old)*math.Max(0, math.Min(1, grown))
}

// ContactAt returns c: how much of the day roots are wet, relative to the old
// home. A wetter home than before adds nothing: the headroom already says what
// the roots could bring when they were wet as usual.
func (s Supply) ContactAt(day float64) float64 {
	now := s.WetShare[min(max(int(day), 0), len(s.WetShare)-1)]
	if s.WetShareBefore <= 0 {
		return 1
	}
	return math.Min(1, now/s.WetShareBefore)
}

// settledChange is |w₁−w₀| once the new medium wets as well as it will.
func (s Supply) settledChange() float64 {
	return math.Abs(s.WetShare[len(s.WetShare)-1] - s.WetShareBefore)
}

// LowestBetween returns the smallest σ on the whole days from, from+1, … to.
func (s Supply) LowestBetween(from, to int) float64 {
	lowest := math.Inf(1)
	for day := from; day <= to; day++ {
		lowest = math.Min(lowest, s.At(float64(day)))
	}
	return lowest
}
