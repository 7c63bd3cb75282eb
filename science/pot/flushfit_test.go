package pot_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/basis"
	"velamen/science/pot"
)

// held is what a pot holds as the pot model knows it: within a third.
func held(mL float64) basis.Value { return basis.Assumed(mL, 0.7*mL, 1.3*mL, "mL") }

// drainedThrough is what N tanks in series with a bypass let out in cups, written
// independently of the package as small steps of mixing.
func drainedThrough(tanks int, bypass, heldML, start, input, cupML float64, cups int) (list []pot.DrainageCup, left float64) {
	salt := make([]float64, tanks)
	for i := range salt {
		salt[i] = start
	}
	tank := heldML / float64(tanks)
	const steps = 2000
	for range cups {
		sum := 0.0
		step := (1 - bypass) * cupML / steps
		for range steps {
			in := input
			for i := range salt {
				out := salt[i]
				salt[i] += step / tank * (in - out)
				in = out
			}
			sum += in / steps
		}
		list = append(list, pot.DrainageCup{ML: cupML, ECmS: bypass*input + (1-bypass)*sum})
	}
	for _, s := range salt {
		left += s / float64(tanks)
	}
	return list, left
}

// Worked by hand: a moss pot of 250 mL at 1.8 mS/cm, water of 0.10, two tanks:
// after two volumes 0.10 + 1.70·0.055 = 0.19 mS/cm is left.
func TestFlushFitFindsAMossPot(t *testing.T) {
	cups, left := drainedThrough(2, 0, 250, 1.8, 0.10, 100, 5)
	if math.Abs(left-0.19) > 0.006 {
		t.Fatalf("the simulation leaves %g", left)
	}
	fit, err := pot.FitFlush(cups, 0.10, held(250), 0.3)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(fit.LeftMS.Value-left) > 0.08 || fit.LeftMS.Low > left+0.01 || fit.LeftMS.High < left-0.01 || fit.Bypass.Low > 0.05 || fit.Rises || fit.Off > 1 {
		t.Errorf("%+v, left %g", fit, left)
	}
	if fit.Tanks.Low > 2 || fit.Tanks.High < 2 {
		t.Errorf("%+v tanks", fit.Tanks)
	}
	if fit.MoreML.Low > 0 {
		t.Errorf("it is flushed enough: %+v", fit.MoreML)
	}
}

// Half of the water runs past: the drainage looks clean long before the pot is.
func TestFlushFitSeesTheBypass(t *testing.T) {
	cups, left := drainedThrough(1, 0.6, 400, 2.0, 0.05, 100, 6)
	fit, err := pot.FitFlush(cups, 0.05, held(400), 0.5)
	if err != nil {
		t.Fatal(err)
	}
	if fit.Bypass.Low > 0.6 || fit.Bypass.High < 0.6 || fit.LeftMS.Low > left || fit.LeftMS.High < left {
		t.Errorf("%+v, left %g", fit, left)
	}
	if last := cups[len(cups)-1].ECmS; fit.LeftMS.Value < 1.3*last {
		t.Errorf("the pot holds more than its drainage of %g shows: %+v", last, fit.LeftMS)
	}
	if fit.MoreML.Value < 200 {
		t.Errorf("%+v more", fit.MoreML)
	}
}

// The truth lies in the range from 10 to 90 % in most twins: what is nominal is
// 80 of 100, and never less than 65 must be.
func TestFlushFitCoversTheTruth(t *testing.T) {
	seen, covered := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		tanks := rapid.IntRange(1, 4).Draw(t, "tanks")
		bypass := rapid.Float64Range(0, 0.7).Draw(t, "bypass")
		start, input := rapid.Float64Range(0.8, 4).Draw(t, "start"), rapid.Float64Range(0.02, 0.3).Draw(t, "input")
		truth := 300 * (1 + 0.12*math.Max(-2, math.Min(2, gauss(t, "held"))))
		cups, left := drainedThrough(tanks, bypass, truth, start, input, rapid.Float64Range(40, 150).Draw(t, "cup"), rapid.IntRange(4, 8).Draw(t, "cups"))
		for i := range cups {
			cups[i].ECmS = math.Max(0, cups[i].ECmS*(1+0.02*gauss(t, "pen")))
		}
		fit, err := pot.FitFlush(cups, input, held(300), 0.5)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range []basis.Value{fit.Bypass, fit.Tanks, fit.StartMS, fit.LeftMS, fit.MoreML} {
			if !(v.Low <= v.Value && v.Value <= v.High) || math.IsInf(v.High, 0) {
				t.Fatalf("%+v", fit)
			}
		}
		seen++
		const rounding = 0.01
		if fit.LeftMS.Low <= left+rounding && left <= fit.LeftMS.High+rounding {
			covered++
		}
	})
	share := float64(covered) / float64(seen)
	t.Logf("%d of %d truths covered", covered, seen)
	if share < 0.65 {
		t.Errorf("the range covers %.0f %% of the truths", 100*share)
	}
}

// gauss is about normal: the sum of twelve even draws.
func gauss(t *rapid.T, name string) float64 {
	sum := -6.0
	for range 12 {
		sum += float64(rapid.IntRange(0, 1000).Draw(t, name)) / 1000
	}
	return sum
}

func TestFlushFitSaysWhenSaltRises(t *testing.T) {
	fit, err := pot.FitFlush([]pot.DrainageCup{{50, 0.6}, {50, 0.9}, {50, 1.1}}, 0.05, held(300), 0.5)
	if err != nil || !fit.Rises {
		t.Errorf("%+v, %v", fit, err)
	}
}

func TestAbsurdCupsAreRefused(t *testing.T) {
	good := []pot.DrainageCup{{50, 1}, {50, 0.8}, {50, 0.6}}
	for name, try := range map[string]func() (pot.FlushFit, error){
		"two cups": func() (pot.FlushFit, error) { return pot.FitFlush(good[:2], 0.05, held(300), 0.5) },
		"negative EC": func() (pot.FlushFit, error) {
			return pot.FitFlush(append(good, pot.DrainageCup{ML: 50, ECmS: -1}), 0.05, held(300), 0.5)
		},
		"an empty cup": func() (pot.FlushFit, error) {
			return pot.FitFlush(append(good, pot.DrainageCup{}), 0.05, held(300), 0.5)
		},
		"no pot":         func() (pot.FlushFit, error) { return pot.FitFlush(good, 0.05, held(0), 0.5) },
		"not a number":   func() (pot.FlushFit, error) { return pot.FitFlush(good, math.NaN(), held(300), 0.5) },
		"absurdly salty": func() (pot.FlushFit, error) { return pot.FitFlush(good, 0.05, held(300), 500) },
	} {
		if fit, err := try(); err == nil {
			t.Errorf("%s: %+v", name, fit)
		}
	}
}
