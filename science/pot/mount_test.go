package pot_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/pot"
)

func cork(padMM float64) pot.Mount {
	return pot.Mount{WidthCM: 10, HeightCM: 20, StoreMM: 0.4, PadMM: padMM, PadWater: 0.6, Wetting: corkWetting, Bypass: 0.5}
}

// 1 mm is 10 mL per 100 cm², and 10 mm of moss at 0.6 are 6 mm.
func TestMountStoresByArea(t *testing.T) {
	p, err := pot.NewMount(cork(10), pot.Defaults())
	if err != nil {
		t.Fatal(err)
	}
	if want := 10 * 2 * 6.4; math.Abs(p.CapacityML()-want) > 1e-9 {
		t.Errorf("holds %g mL, want %g", p.CapacityML(), want)
	}
	if got, err := p.RainML(5); err != nil || math.Abs(got-100) > 1e-9 {
		t.Errorf("5 mm of rain bring %g mL (%v), want 100", got, err)
	}
}

func TestWetHoursPerDay(t *testing.T) {
	day := steady(24, 1, 3)
	hours := func(m pot.Mount, wettings ...int) float64 {
		t.Helper()
		p, err := pot.NewMount(m, pot.Defaults())
		if err != nil {
			t.Fatal(err)
		}
		var pours []pot.Pour
		for _, hour := range wettings {
			pours = append(pours, pot.Pour{Hour: hour, ML: 500})
		}
		got, err := pot.WetHoursPerDay(p, day, pours)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	none, once, twice := hours(cork(0)), hours(cork(0), 8), hours(cork(0), 8, 18)
	padded := hours(cork(10), 8)
	// Without a pad the useful wet time is 1 to 4 hours indoors (computed
	// independently from the velamen and the store); one wetting of bare cork
	// must come out in that order.
	if none != 0 || once < 1 || once > 4 || twice < 1.8*once || padded < 12 {
		t.Errorf("wet hours: unwetted %.2f, once %.2f, twice %.2f, on a pad %.2f", none, once, twice, padded)
	}
}

func TestHumidAirCannotFillAMount(t *testing.T) {
	p, err := pot.NewMount(cork(0), pot.Defaults())
	if err != nil {
		t.Fatal(err)
	}
	night := steady(500, 0, 0)
	night.RHPercent = make([]float64, 500)
	for i := range night.RHPercent {
		night.RHPercent[i] = 100
	}
	trace, err := pot.Record(p, stateOf(t, p, 0, 0, 0), night, nil)
	if err != nil {
		t.Fatal(err)
	}
	share := pot.Defaults().VapourShare
	if got := trace.Wetness[499]; got > share.Value+1e-9 || got < 0.99*share.Value {
		t.Errorf("saturated air fills %.3f of the store, want %.2f", got, share.Value)
	}
	if trace.Result.Totals.VapourML <= 0 {
		t.Error("no vapour was counted")
	}
}

// Wetting once more never makes a run of days less wet.
func TestMoreWettingsMoreWetHours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		forcing := drawForcing(t, p, testHours)
		volume := rapid.Float64Range(0, min(pot.LargestPourML, 5*p.CapacityML())).Draw(t, "mL")
		before := -1.0
		for wettings := range 4 {
			var pours []pot.Pour
			for hour := range testHours {
				if hour%24 < 8*wettings && hour%8 == 0 {
					pours = append(pours, pot.Pour{Hour: hour, ML: volume})
				}
			}
			result, err := pot.Simulate(p, start, forcing, pours, pot.Series{})
			if err != nil {
				t.Fatal(err)
			}
			// A wetness that only just reaches the threshold may be rounded
			// below it in one of the runs, for an hour at most.
			if result.WetHours < before-1 || result.WetHours > testHours+1e-9 {
				t.Fatalf("%d wettings a day give %g wet hours, one fewer %g", wettings, result.WetHours, before)
			}
			before = result.WetHours
		}
	})
}

func TestMountsThatCannotBe(t *testing.T) {
	for name, spoil := range map[string]func(*pot.Mount){
		"wall":             func(m *pot.Mount) { m.HeightCM = 300 },
		"nothing stored":   func(m *pot.Mount) { m.StoreMM = 0 },
		"pad not a number": func(m *pot.Mount) { m.PadWater = math.NaN() },
	} {
		m := cork(0)
		spoil(&m)
		if _, err := pot.NewMount(m, pot.Defaults()); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

func ExampleWetHoursPerDay() {
	mount := pot.Mount{WidthCM: 10, HeightCM: 20, StoreMM: 0.4, PadMM: 10, PadWater: 0.6,
		Wetting: pot.Wettability{CaptureDry: 0.42, CaptureWet: 0.85, UptakeDryPerDay: 1, UptakeMoistPerDay: 1}, Bypass: 0.5}
	p, _ := pot.NewMount(mount, pot.Defaults())
	day := pot.Forcing{DemandML: make([]float64, 24), PotentialEvaporationMM: make([]float64, 24)}
	for hour := range 24 {
		day.DemandML[hour], day.PotentialEvaporationMM[hour] = 0.05, 0.2
	}
	once, _ := pot.WetHoursPerDay(p, day, []pot.Pour{{Hour: 8, ML: 300}})
	twice, _ := pot.WetHoursPerDay(p, day, []pot.Pour{{Hour: 8, ML: 300}, {Hour: 18, ML: 300}})
	fmt.Printf("wet %.0f hours with one wetting, %.0f with two\n", once, twice)
	// Output: wet 18 hours with one wetting, 24 with two
}
