package pot_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/science/pot"
)

const testHours = 240

func TestWaterAndSaltClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		forcing := drawForcing(t, p, testHours)
		pours := drawPours(t, p, testHours)
		out := pot.Series{
			Wetness: make([]float64, testHours), FilmML: make([]float64, testHours), ParticleML: make([]float64, testHours),
			ECmS: make([]float64, testHours), WetShare: make([]float64, testHours), Drainage: make([]pot.Drainage, len(pours)),
		}
		r, err := pot.Simulate(p, start, forcing, pours, out)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.WaterResidual) > 1e-9 || math.Abs(r.SaltResidual) > 1e-9 {
			t.Fatalf("residuals %g and %g", r.WaterResidual, r.SaltResidual)
		}
		// The balance, once more and by hand.
		water := start.WaterML() + r.Totals.PouredML + r.Totals.VapourML - r.Totals.DrainedML -
			r.Totals.SurfaceML - r.Totals.WallML - r.Totals.RootsML - r.End.WaterML()
		if math.Abs(water) > 1e-9*(start.WaterML()+r.Totals.PouredML+r.Totals.VapourML) {
			t.Fatalf("water misses %g mL", water)
		}
		for hour := range testHours {
			for name, v := range map[string]float64{
				"film": out.FilmML[hour], "particles": out.ParticleML[hour], "wetness": out.Wetness[hour],
				"EC": out.ECmS[hour], "wet share": out.WetShare[hour],
			} {
				if !(v >= 0) || math.IsInf(v, 0) {
					t.Fatalf("hour %d: %s is %g", hour, name, v)
				}
			}
			if out.Wetness[hour] > 1 || out.WetShare[hour] > 1 {
				t.Fatalf("hour %d: wetness %g, wet share %g", hour, out.Wetness[hour], out.WetShare[hour])
			}
		}
		for i, d := range out.Drainage {
			if d.CapturedML < 0 || d.DrainedML < 0 || d.SaltOut < 0 || d.CapturedML+d.DrainedML > d.PouredML*(1+1e-12) {
				t.Fatalf("pour %d: %+v", i, d)
			}
		}
		for name, v := range map[string]float64{
			"surface": r.Totals.SurfaceML, "wall": r.Totals.WallML, "roots": r.Totals.RootsML, "taken": r.Totals.SaltTaken,
			"vapour": r.Totals.VapourML, "depletion": r.End.DepletionMM, "particle salt": r.End.ParticleSalt,
		} {
			if v < 0 {
				t.Fatalf("%s is %g", name, v)
			}
		}
		if r.Totals.RootsML > r.Totals.WantedML*(1+1e-12) {
			t.Fatalf("roots took %g of %g mL", r.Totals.RootsML, r.Totals.WantedML)
		}
	})
}

func TestMoreDemandNeverLeavesMoreWater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		less := drawForcing(t, p, testHours)
		pours := drawPours(t, p, testHours)
		more := pot.Forcing{
			DemandML:               make([]float64, testHours),
			PotentialEvaporationMM: less.PotentialEvaporationMM, RHPercent: less.RHPercent,
		}
		factor := rapid.Float64Range(1, 4).Draw(t, "factor")
		extra := rapid.Float64Range(0, 0.05*p.CapacityML()).Draw(t, "extra")
		for i, v := range less.DemandML {
			more.DemandML[i] = min(pot.LargestDemandML, v*factor+extra)
		}
		wet, dry := make([]float64, testHours), make([]float64, testHours)
		if _, err := pot.Simulate(p, start, less, pours, pot.Series{Wetness: wet}); err != nil {
			t.Fatal(err)
		}
		if _, err := pot.Simulate(p, start, more, pours, pot.Series{Wetness: dry}); err != nil {
			t.Fatal(err)
		}
		for hour := range wet {
			if dry[hour] > wet[hour]+1e-9 {
				t.Fatalf("hour %d: wetness %.12g with more demand, %.12g with less", hour, dry[hour], wet[hour])
			}
		}
	})
}

// A pour added or enlarged never leaves less water at any later hour.
func TestMoreWaterNeverLeavesLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		forcing := drawForcing(t, p, testHours)
		pours := drawPours(t, p, testHours)
		bigger := make([]pot.Pour, len(pours))
		for i, pour := range pours {
			bigger[i] = pour
			bigger[i].ML = min(pot.LargestPourML, pour.ML+rapid.Float64Range(0, p.CapacityML()).Draw(t, "more"))
		}
		small, big := make([]float64, testHours), make([]float64, testHours)
		if _, err := pot.Simulate(p, start, forcing, pours, pot.Series{Wetness: small}); err != nil {
			t.Fatal(err)
		}
		if _, err := pot.Simulate(p, start, forcing, bigger, pot.Series{Wetness: big}); err != nil {
			t.Fatal(err)
		}
		for hour := range small {
			if big[hour] < small[hour]-1e-9 {
				t.Fatalf("hour %d: wetness %.12g with bigger pours, %.12g with smaller", hour, big[hour], small[hour])
			}
		}
	})
}

func TestFinerStepsConverge(t *testing.T) {
	shape := twelve
	shape.WallShare = 1
	p := filled(t, shape, bark())
	run := func(perHour int) (wetness, ECmS float64) {
		s := stateOf(t, p, 0.9, 0.6, 1)
		var totals pot.Totals
		for hour := range 72 {
			// A day with a dry, bright half; rates stay the same within each hour.
			demandML, potentialMM := 0.1, 0.02
			if hour%24 < 12 {
				demandML, potentialMM = 0.5, 0.12
			}
			for range perHour {
				n := float64(perHour)
				p.PassForTest(&s, 1/n, demandML/n, potentialMM/n, 50, &totals)
			}
		}
		return p.Wetness(&s), p.ECmS(&s)
	}
	finestWetness, finestEC := run(256)
	var before float64
	for i, perHour := range []int{1, 4, 16} {
		wetness, ECmS := run(perHour)
		miss := math.Abs(wetness-finestWetness) + math.Abs(ECmS-finestEC)/finestEC
		if i == 0 && miss > 0.01 {
			t.Errorf("hourly steps miss %.4f of wetness and EC, more than a weighing can tell", miss)
		}
		// A first-order splitting of exact processes: a quarter of the step, a
		// quarter of the error. A half leaves room for higher orders.
		if i > 0 && miss > before/2 {
			t.Errorf("%d steps an hour miss %.3g, four times fewer %.3g", perHour, miss, before)
		}
		before = miss
	}
}

func TestSameInputsSameBits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		forcing := drawForcing(t, p, testHours)
		pours := drawPours(t, p, testHours)
		first, errFirst := pot.Record(p, start, forcing, pours)
		second, errSecond := pot.Record(p, start, forcing, pours)
		if errFirst != nil || errSecond != nil {
			t.Fatal(errFirst, errSecond)
		}
		if diff := cmp.Diff(first, second); diff != "" {
			t.Fatal(diff)
		}
	})
}

// A run cut in two gives what one run gives.
func TestRunsJoin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		forcing := drawForcing(t, p, testHours)
		cut := rapid.IntRange(0, testHours).Draw(t, "cut")
		part := func(from, to int) pot.Forcing {
			return pot.Forcing{
				DemandML:               forcing.DemandML[from:to],
				PotentialEvaporationMM: forcing.PotentialEvaporationMM[from:to],
				RHPercent:              forcing.RHPercent[from:to],
			}
		}
		whole, err := pot.Simulate(p, start, forcing, nil, pot.Series{})
		if err != nil {
			t.Fatal(err)
		}
		first, err := pot.Simulate(p, start, part(0, cut), nil, pot.Series{})
		if err != nil {
			t.Fatal(err)
		}
		second, err := pot.Simulate(p, first.End, part(cut, testHours), nil, pot.Series{})
		if err != nil {
			t.Fatal(err)
		}
		if second.End != whole.End {
			t.Fatalf("cut at %d: %+v, whole %+v", cut, second.End, whole.End)
		}
	})
}

func TestNothingHappensToAPotLeftAlone(t *testing.T) {
	p := filled(t, twelve, moss())
	start := stateOf(t, p, 0.5, 0.5, 1.2)
	r, err := pot.Simulate(p, start, steady(1000, 0, 0), nil, pot.Series{})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.End.WaterML()-start.WaterML()) > 1e-9 || math.Abs(r.End.Salt()-start.Salt()) > 1e-9 {
		t.Errorf("from %+v to %+v", start, r.End)
	}
}

func TestOpenBalanceIsAnError(t *testing.T) {
	p := filled(t, twelve, bark())
	start := stateOf(t, p, 1, 1, 1)
	good, err := pot.Simulate(p, start, steady(48, 10, 2), nil, pot.Series{})
	if err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*pot.Result){
		"lost water":         func(r *pot.Result) { r.Totals.RootsML += 1e-6 },
		"salt from nowhere":  func(r *pot.Result) { r.End.ParticleSalt += 1e-6 },
		"water not a number": func(r *pot.Result) { r.Totals.SurfaceML = math.NaN() },
	} {
		bad := good
		spoil(&bad)
		if err := bad.CloseForTest(&start); !errors.Is(err, pot.ErrBalance) {
			t.Errorf("%s: got %v, want ErrBalance", name, err)
		}
	}
}

func TestSimulateRefusesNonsense(t *testing.T) {
	p := filled(t, twelve, bark())
	start := stateOf(t, p, 1, 1, 1)
	good := steady(48, 10, 2)
	spoiled := func(change func(*pot.Forcing)) pot.Forcing {
		f := steady(48, 10, 2)
		change(&f)
		return f
	}
	for name, run := range map[string]func() error{
		"negative demand": func() error {
			_, err := pot.Simulate(p, start, spoiled(func(f *pot.Forcing) { f.DemandML[7] = -1 }), nil, pot.Series{})
			return err
		},
		"evaporation not a number": func() error {
			_, err := pot.Simulate(p, start, spoiled(func(f *pot.Forcing) { f.PotentialEvaporationMM[7] = math.NaN() }), nil, pot.Series{})
			return err
		},
		"lengths differ": func() error {
			_, err := pot.Simulate(p, start, spoiled(func(f *pot.Forcing) { f.PotentialEvaporationMM = f.PotentialEvaporationMM[1:] }), nil, pot.Series{})
			return err
		},
		"air beyond saturation": func() error {
			_, err := pot.Simulate(p, start, spoiled(func(f *pot.Forcing) {
				f.RHPercent = make([]float64, 48)
				f.RHPercent[3] = 101
			}), nil, pot.Series{})
			return err
		},
		"pours out of order": func() error {
			_, err := pot.Simulate(p, start, good, []pot.Pour{{Hour: 5}, {Hour: 4}}, pot.Series{})
			return err
		},
		"pour after the end": func() error {
			_, err := pot.Simulate(p, start, good, []pot.Pour{{Hour: 48}}, pot.Series{})
			return err
		},
		"no room for the series": func() error {
			_, err := pot.Simulate(p, start, good, nil, pot.Series{ECmS: make([]float64, 3)})
			return err
		},
		"no pot": func() error {
			_, err := pot.Simulate(nil, start, good, nil, pot.Series{})
			return err
		},
		"wetter than full": func() error {
			s := start
			s.FilmML *= 2
			_, err := pot.Simulate(p, s, good, nil, pot.Series{})
			return err
		},
	} {
		if run() == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

func TestSimulateDoesNotAllocate(t *testing.T) {
	p := filled(t, twelve, bark())
	start := stateOf(t, p, 1, 1, 1)
	forcing := steady(1008, 5, 1)
	pours := []pot.Pour{{Hour: 24, ML: 500, ECmS: 0.1}, {Hour: 500, ML: 500, ECmS: 0.8}}
	out := pot.Series{Wetness: make([]float64, 1008), ECmS: make([]float64, 1008)}
	if n := testing.AllocsPerRun(20, func() {
		if _, err := pot.Simulate(p, start, forcing, pours, out); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func ExampleSimulate() {
	geometry, _ := pot.Round{TopCM: 11.4, BaseCM: 8.6, HeightCM: 10.3, HeadspaceMM: 12}.Geometry()
	p, _ := pot.New(geometry, bark(), 0, pot.Defaults())
	start, _ := p.Fill(0.9, 0.5, 0.8, 0)

	forcing := pot.Forcing{DemandML: make([]float64, 240), PotentialEvaporationMM: make([]float64, 240)}
	for hour := range forcing.DemandML {
		forcing.DemandML[hour] = 4.0 / 24
		forcing.PotentialEvaporationMM[hour] = 1.0 / 24
	}
	wetness := make([]float64, 240)
	result, err := pot.Simulate(p, start, forcing, []pot.Pour{{Hour: 120, ML: 400, ECmS: 0.2}}, pot.Series{Wetness: wetness})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("day 5 %.2f, after the flush %.2f, day 10 %.2f; roots took %.0f of %.0f mL\n",
		wetness[119], wetness[120], wetness[239], result.Totals.RootsML, result.Totals.WantedML)
	// Output: day 5 0.35, after the flush 0.65, day 10 0.32; roots took 40 of 40 mL
}
