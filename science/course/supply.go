package course

import (
	"fmt"
	"math"
)

// Supply is what a disturbed plant's roots can bring, as a share of what its
// leaves lost in the usual climate before the repot.
//
//	σ(t) = h · (ρ(t)·c(t) + new(t)) / τ
//	ρ(t) = r·(1 − k·|w₁−w₀|·(1 − e^(−t/T)))
//	new(t) = (1 − ρ(t)·c(t)) · share of the way from first tip to establishment
//
// h headroom, ρ what is left of the old roots, c their contact with water in
// the new home relative to the old, τ share of the leaf area kept. Of the share
// r that was kept, k·|w₁−w₀| dies back because the new home is wetter or drier
// than the one the roots grew in. New roots suit the home they grow into: once
// the plant is established they do all that the old ones no longer do. On the
// day of the repot this is σ = h·r·c/τ.
type Supply struct {
	Headroom   float64 // h, 0.1 to 3
	RootsKept  float64 // r, 0 to 1
	LeavesKept float64 // τ, above 0 to 1

	// Wet shares: how much of the day roots are wet, half-wet hours counting
	// half, 0 to 1.
	WetShareBefore float64   // w₀, in the old home
	WetShare       []float64 // w₁, for each day from the repot on; the last stands for all later ones

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
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	for day, w := range s.WetShare {
		if !(w >= 0 && w <= 1) {
			return within(fmt.Sprintf("wet share on day %d", day), w, 0, 1)
		}
	}
	if len(s.WetShare) == 0 {
		return fmt.Errorf("course: wet share is empty, expected a value for each day")
	}
	return nil
}

// At returns σ on a day since the repot; 1 is enough for the usual climate.
func (s Supply) At(day float64) float64 {
	old := s.OldRootsAt(day) * s.ContactAt(day)
	return s.Headroom * (old + (1-old)*s.RegrownAt(day)) / s.LeavesKept
}

// OldRootsAt returns ρ: what is left of the roots, as a share of those before
// the repot.
func (s Supply) OldRootsAt(day float64) float64 {
	return s.RootsKept * (1 - s.Dieback*s.settledChange()*(1-math.Exp(-day/s.DiebackDays)))
}

// RegrownAt returns how much of what the plant lost its new roots have
// replaced: nothing until the first new tip, everything from establishment on,
// and in between in proportion to time, as roots that lengthen steadily do.
func (s Supply) RegrownAt(day float64) float64 {
	return math.Max(0, math.Min(1, (day-s.FirstTipDay)/(s.EstablishedDay-s.FirstTipDay)))
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
	// The factors that do not change from day to day are worked out once.
	perDay := math.Exp(-1 / s.DiebackDays)
	remains := math.Exp(-float64(from) / s.DiebackDays)
	died := s.Dieback * s.settledChange()
	lowest := math.Inf(1)
	for day := from; day <= to; day++ {
		old := s.RootsKept * (1 - died*(1-remains)) * s.ContactAt(float64(day))
		lowest = min(lowest, old+(1-old)*s.RegrownAt(float64(day)))
		remains *= perDay
	}
	return s.Headroom * lowest / s.LeavesKept
}
