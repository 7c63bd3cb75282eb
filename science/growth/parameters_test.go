package growth_test

import (
	"math"
	"testing"

	"velamen/science/basis"
	"velamen/science/growth"
)

var groups = map[string]basis.Value{
	"PhalaenopsisRate":  growth.PhalaenopsisRate,
	"VandaRate":         growth.VandaRate,
	"CattleyaRate":      growth.CattleyaRate,
	"DendrobiumRate":    growth.DendrobiumRate,
	"PaphiopedilumRate": growth.PaphiopedilumRate,
	"AnyOrchidRate":     growth.AnyOrchidRate,
}

func TestParametersHaveABasis(t *testing.T) {
	all := map[string]basis.Value{
		"RulerStraightErrorMM": growth.RulerStraightErrorMM,
		"RulerInPotErrorMM":    growth.RulerInPotErrorMM,
		"PhotographErrorMM":    growth.PhotographErrorMM,
		"MarkingPixels":        growth.MarkingPixels,
		"SharedErrorShare":     growth.SharedErrorShare,
		"RateNoise":            growth.RateNoise,
		"GrowingShare":         growth.GrowingShare,
		"CeilingShare":         growth.CeilingShare,
		"PriorRoots":           growth.PriorRoots,
		"GrowingRate":          growth.GrowingRate,
		"ClearChance":          growth.ClearChance,
		"SoonestReadingDays":   growth.SoonestReadingDays,
		"LatestReadingDays":    growth.LatestReadingDays,
	}
	for name, v := range groups {
		all[name] = v
	}
	for name, v := range all {
		if err := v.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if v.Unit == "" {
			t.Errorf("%s has no unit", name)
		}
	}
}

// A prior must not decide: with nothing measured no group may be clear either
// way, and the sign of a root at rest must be within reach.
func TestPriorsAreWeak(t *testing.T) {
	for name, v := range groups {
		judge := judgeOf(t, v)
		chance := judge.Prior.ChanceFaster(growth.GrowingRate.Value)
		if chance >= growth.ClearChance.Value || chance <= 0.5 {
			t.Errorf("%s: the prior alone gives a chance of growth of %.2f", name, chance)
		}
		if judge.Prior.SD() < judge.Prior.MMPerDay {
			t.Errorf("%s: standing still lies %.1f standard deviations off", name, judge.Prior.MMPerDay/judge.Prior.SD())
		}
	}
}

// The lognormal with median 1.2 and 5 to 95 % from 0.3 to 5 has a log-sd of
// 0.86 (computed independently, two decimals), hence a mean of 1.2·e^(0.86²/2).
func TestPriorRate(t *testing.T) {
	got := must[growth.Rate](t)(growth.PriorRate(growth.AnyOrchidRate))
	share := growth.GrowingShare.Value
	mean := func(logSD float64) float64 { return 1.2 * math.Exp(logSD*logSD/2) }
	low, high := mean(0.855), mean(0.865)
	if m := got.MMPerDay / share; m < low || m > high {
		t.Errorf("mean of growing roots is %v, not %v to %v", m, low, high)
	}
	// The second moment of a mixture with roots at rest is the share times that
	// of the growing ones, m²·e^(s²).
	second := func(logSD float64) float64 { return mean(logSD) * mean(logSD) * math.Exp(logSD*logSD) }
	if s := (got.Variance + square(got.MMPerDay)) / share; s < second(0.855) || s > second(0.865) {
		t.Errorf("second moment of growing roots is %v, not %v to %v", s, second(0.855), second(0.865))
	}
}

func TestPriorRateRefuses(t *testing.T) {
	for name, v := range map[string]basis.Value{
		"no grade":      {Value: 1, Low: 0.5, High: 2},
		"from zero":     basis.Assumed(1, 0, 2, "mm/day"),
		"upside down":   basis.Assumed(1, 2, 0.5, "mm/day"),
		"not a number":  basis.Assumed(math.NaN(), 0.5, 2, "mm/day"),
		"metres a day":  basis.Assumed(1, 0.5, 2000, "mm/day"),
		"negative rate": basis.Assumed(-1, -2, -0.5, "mm/day"),
	} {
		if _, err := growth.NewJudge(v); err == nil {
			t.Errorf("%s: accepted %+v", name, v)
		}
	}
}
