package leaf

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// anyLeaf and anySurroundings draw from the whole valid range.
func anyLeaf(t *rapid.T) Leaf {
	return Leaf{
		WidthM:       rapid.Float64Range(widthLowM, widthHighM).Draw(t, "width"),
		StomatalMol:  rapid.Float64Range(stomatalLowMol, stomatalHighMol).Draw(t, "stomata"),
		CuticularMol: rapid.Float64Range(cuticularLowMol, cuticularHighMol).Draw(t, "cuticle"),
	}
}

func anySurroundings(t *rapid.T) Surroundings {
	return Surroundings{
		AirC:        rapid.Float64Range(airLowC, airHighC).Draw(t, "air"),
		RHPercent:   rapid.Float64Range(rhLowPercent, rhHighPercent).Draw(t, "humidity"),
		PressureKPa: rapid.Float64Range(pressureLowKPa, pressureHighKPa).Draw(t, "pressure"),
		SpeedMS:     rapid.Float64Range(speedLowMS, speedHighMS).Draw(t, "speed"),
		AbsorbedWM2: rapid.Float64Range(absorbedLowWM2, absorbedHighWM2).Draw(t, "absorbed"),
	}
}

// orchidLeaf and room draw from what orchids have and meet, where the laws
// below hold without exception; a film of water half a metre wide in hot dry
// air may have more than one balance.
func orchidLeaf(t *rapid.T) Leaf {
	return Leaf{
		WidthM:       rapid.Float64Range(0.005, 0.15).Draw(t, "width"),
		StomatalMol:  rapid.Float64Range(0, 0.15).Draw(t, "stomata"),
		CuticularMol: rapid.Float64Range(0.0001, 0.02).Draw(t, "cuticle"),
	}
}

func room(t *rapid.T) Surroundings {
	return Surroundings{
		AirC:        rapid.Float64Range(5, 40).Draw(t, "air"),
		RHPercent:   rapid.Float64Range(15, 97).Draw(t, "humidity"),
		PressureKPa: rapid.Float64Range(70, 104).Draw(t, "pressure"),
		SpeedMS:     rapid.Float64Range(0, 3).Draw(t, "speed"),
		AbsorbedWM2: rapid.Float64Range(0, 200).Draw(t, "absorbed"),
	}
}

func mustSolve(t rapid.TB, l Leaf, around Surroundings) Result {
	t.Helper()
	r, err := Solve(l, around)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func checkClosed(t rapid.TB, l Leaf, around Surroundings, r Result) {
	t.Helper()
	size := math.Abs(r.NetRadiationWM2) + math.Abs(r.SensibleWM2) + math.Abs(r.LatentWM2)
	// 1e-9 W/m² on top, for a leaf in balance with air and dark.
	if gap := r.NetRadiationWM2 - r.SensibleWM2 - r.LatentWM2; !(math.Abs(gap) <= 1e-9*size+1e-9) {
		t.Errorf("%+v in %+v: balance open by %g W/m² of %g", l, around, gap, size)
	}
	for _, x := range []float64{r.LeafC, r.TranspirationMol, r.TranspirationGPerM2H, r.LeafVPDKPa, r.BoundaryHeatMol, r.VapourMol} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("%+v in %+v: %+v", l, around, r)
		}
	}
}

func TestEnergyClosesOverTheWholeRange(t *testing.T) {
	for _, airC := range []float64{airLowC, 20, airHighC} {
		for _, rhPercent := range []float64{rhLowPercent, 50, rhHighPercent} {
			for _, pressure := range []float64{pressureLowKPa, pressureHighKPa} {
				for _, speed := range []float64{speedLowMS, 0.1, speedHighMS} {
					for _, absorbed := range []float64{absorbedLowWM2, 30, absorbedHighWM2} {
						for _, width := range []float64{widthLowM, widthHighM} {
							for _, stomata := range []float64{stomatalLowMol, 0.03, stomatalHighMol} {
								for _, cuticle := range []float64{cuticularLowMol, 0.002, cuticularHighMol} {
									l, around := Leaf{width, stomata, cuticle}, Surroundings{airC, rhPercent, pressure, speed, absorbed}
									checkClosed(t, l, around, mustSolve(t, l, around))
									fast, err := PenmanMonteith(l, around)
									if err != nil {
										t.Fatal(err)
									}
									checkClosed(t, l, around, fast)
								}
							}
						}
					}
				}
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		l, around := anyLeaf(t), anySurroundings(t)
		checkClosed(t, l, around, mustSolve(t, l, around))
	})
}

func TestTranspirationRisesAsAirDries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, around := orchidLeaf(t), room(t)
		drier := around
		drier.RHPercent -= rapid.Float64Range(1, 10).Draw(t, "drier by")
		if moist, dry := mustSolve(t, l, around), mustSolve(t, l, drier); dry.TranspirationMol <= moist.TranspirationMol || dry.LeafC >= moist.LeafC {
			t.Fatalf("at %v %%: %+v; at %v %%: %+v", around.RHPercent, moist, drier.RHPercent, dry)
		}
	})
}

func TestTemperatureRisesWithLight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, around := orchidLeaf(t), room(t)
		brighter := around
		brighter.AbsorbedWM2 += rapid.Float64Range(1, 100).Draw(t, "brighter by")
		dim, bright := mustSolve(t, l, around), mustSolve(t, l, brighter)
		if bright.LeafC <= dim.LeafC {
			t.Fatalf("dim %+v, bright %+v", dim, bright)
		}
		// A leaf warmer than air also loses more water. Below air temperature
		// that is no law: as the leaf warms towards the air, free convection
		// fades, and a very wide open leaf may lose a trace less.
		if dim.LeafC > around.AirC && bright.TranspirationMol <= dim.TranspirationMol {
			t.Fatalf("dim %+v, bright %+v", dim, bright)
		}
	})
}

func TestTranspirationRisesWithStomata(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, around := orchidLeaf(t), room(t)
		wider := l
		wider.StomatalMol += rapid.Float64Range(0.001, 0.05).Draw(t, "wider by")
		if shut, open := mustSolve(t, l, around), mustSolve(t, wider, around); open.TranspirationMol <= shut.TranspirationMol {
			t.Fatalf("%v mol: %+v; %v mol: %+v", l.StomatalMol, shut, wider.StomatalMol, open)
		}
	})
}

// With stomata shut what is left leaks through the skin of both faces, each
// half in series with its boundary layer; with no skin either, nothing.
func TestShutLeafLeaksThroughItsSkin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, around := orchidLeaf(t), room(t)
		l.StomatalMol = 0
		r := mustSolve(t, l, around)
		layer := BoundaryLayer(CharacteristicM(l.WidthM), around.SpeedMS, r.LeafC-around.AirC, around.PressureKPa).VapourMol
		want := 2 / (2/l.CuticularMol + 1/layer) * r.LeafVPDKPa / around.PressureKPa
		if math.Abs(r.TranspirationMol/want-1) > 1e-9 {
			t.Fatalf("%v mol, want %v", r.TranspirationMol, want)
		}
		l.CuticularMol = 0
		if dry := mustSolve(t, l, around); dry.TranspirationMol != 0 || dry.LatentWM2 != 0 {
			t.Fatalf("sealed leaf: %+v", dry)
		}
	})
}

// Saturated air and darkness: nothing moves.
func TestNothingMovesInDarkSaturatedAir(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, around := anyLeaf(t), anySurroundings(t)
		around.RHPercent, around.AbsorbedWM2 = 100, 0
		r := mustSolve(t, l, around)
		if math.Abs(r.LeafC-around.AirC) > 1e-9 || math.Abs(r.TranspirationMol) > 1e-12 {
			t.Fatalf("%+v", r)
		}
	})
}

// Wind hardly changes the loss of an orchid leaf, because its stomata are far
// tighter than its boundary layer: from 0.1 to 0.5 m/s +3 % in an independent
// model (tealeaves 1.0.6, 25 °C, 50 % RH, 30 W/m²), here +5 %.
func TestWindHardlyDriesAnOrchidLeaf(t *testing.T) {
	l, around := indoor()
	calm := mustSolve(t, l, around)
	around.SpeedMS = 0.5
	fan := mustSolve(t, l, around)
	near(t, "fan over calm", fan.TranspirationMol/calm.TranspirationMol, 1.032, 0.025)
	if fan.LeafC >= calm.LeafC {
		t.Errorf("the fan did not cool the leaf: %v, %v °C", calm.LeafC, fan.LeafC)
	}
}

func TestInputsOutOfRangeAreNamed(t *testing.T) {
	l, around := indoor()
	tests := []struct {
		name   string
		change func(*Leaf, *Surroundings)
		want   string
	}{
		{"air", func(_ *Leaf, s *Surroundings) { s.AirC = 61 }, "leaf: air temperature 61 °C is outside -10 to 60 °C"},
		{"humidity", func(_ *Leaf, s *Surroundings) { s.RHPercent = -1 }, "relative humidity -1 %"},
		{"pressure", func(_ *Leaf, s *Surroundings) { s.PressureKPa = 1013 }, "air pressure 1013 kPa is outside 50 to 110 kPa"},
		{"speed", func(_ *Leaf, s *Surroundings) { s.SpeedMS = math.NaN() }, "air speed NaN m/s"},
		{"absorbed", func(_ *Leaf, s *Surroundings) { s.AbsorbedWM2 = math.Inf(1) }, "absorbed light +Inf W/m²"},
		{"width", func(l *Leaf, _ *Surroundings) { l.WidthM = 0 }, "leaf width 0 m is outside 0.001 to 0.5 m"},
		{"stomata", func(l *Leaf, _ *Surroundings) { l.StomatalMol = 30 }, "stomatal conductance 30 mol/(m² s)"},
		{"cuticle", func(l *Leaf, _ *Surroundings) { l.CuticularMol = -0.1 }, "cuticular conductance -0.1 mol/(m² s)"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			l, around := l, around
			test.change(&l, &around)
			_, err := Solve(l, around)
			_, fastErr := PenmanMonteith(l, around)
			for _, err := range []error{err, fastErr} {
				if err == nil || !strings.Contains(err.Error(), test.want) {
					t.Errorf("error %v, want %q", err, test.want)
				}
			}
		})
	}
}
