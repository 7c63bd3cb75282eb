package pot_test

import (
	"testing"

	"velamen/science/pot"
)

// The media of these tests are working figures for orchid grades, from memory
// of trade and nursery sheets; none of them is a check value.

var (
	freshBarkWetting = pot.Wettability{CaptureDry: 0.20, CaptureWet: 0.60, UptakeDryPerDay: 0.02, UptakeMoistPerDay: 0.02}
	agedBarkWetting  = pot.Wettability{CaptureDry: 0.30, CaptureWet: 0.67, UptakeDryPerDay: 0.02, UptakeMoistPerDay: 0.10}
	coirWetting      = pot.Wettability{CaptureDry: 0.60, CaptureWet: 0.80, UptakeDryPerDay: 0.25, UptakeMoistPerDay: 1.0}
	corkWetting      = pot.Wettability{CaptureDry: 0.8, CaptureWet: 0.9, UptakeDryPerDay: 1, UptakeMoistPerDay: 1}
	mossWetting      = pot.Wettability{CaptureDry: 0.42, CaptureWet: 0.85, UptakeDryPerDay: 0.5, UptakeMoistPerDay: 20}
)

func bark() pot.Medium {
	return pot.Medium{
		Porosity: 0.78, CapacityLab: 0.22, ParticleShare: 0.5, BulkDensity: 0.20,
		HalfThicknessMM: 4, Tanks: 1, Bypass: 0.5,
		ReadyMM: 1.5, DryingMM: 50, WallContact: 0.1,
		Fresh: freshBarkWetting, Aged: agedBarkWetting,
	}
}

func moss() pot.Medium {
	return pot.Medium{
		Porosity: 0.95, CapacityLab: 0.65, ParticleShare: 0.3, BulkDensity: 0.04,
		HalfThicknessMM: 0.1, Tanks: 3, Bypass: 0.1,
		ReadyMM: 10, DryingMM: 800, WallContact: 0.5,
		Fresh: mossWetting, Aged: mossWetting,
	}
}

// plain is a medium without anything inside its particles, for checks against
// theory that knows no particles.
func plain(tanks int, bypass float64) pot.Medium {
	m := moss()
	m.ParticleShare, m.Tanks, m.Bypass = 0, tanks, bypass
	return m
}

// twelve is the usual 12 cm plastic pot, filled to the brim.
var twelve = pot.Round{TopCM: 11.4, BaseCM: 8.6, HeightCM: 10.3}

func filled(t testing.TB, shape pot.Round, medium pot.Medium, change ...func(*pot.Parameters)) *pot.Pot {
	t.Helper()
	geometry, err := shape.Geometry()
	if err != nil {
		t.Fatal(err)
	}
	parameters := pot.Defaults()
	for _, c := range change {
		c(&parameters)
	}
	p, err := pot.New(geometry, medium, 0, parameters)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func stateOf(t testing.TB, p *pot.Pot, film, particles, ECmS float64) pot.State {
	t.Helper()
	s, err := p.Fill(film, particles, ECmS, 0)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func steady(hours int, demandMLPerDay, potentialMMPerDay float64) pot.Forcing {
	f := pot.Forcing{DemandML: make([]float64, hours), PotentialEvaporationMM: make([]float64, hours)}
	for i := range hours {
		f.DemandML[i] = demandMLPerDay / 24
		f.PotentialEvaporationMM[i] = potentialMMPerDay / 24
	}
	return f
}
