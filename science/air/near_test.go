package air_test

import (
	"math"
	"testing"

	"velamen/science/air"
)

// near fails unless got lies within tolerance of want. The margin of 1e-12
// parts admits figures that lie exactly on half a printed unit.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance+1e-12*math.Abs(want)) {
		t.Errorf("%s is %.8g, want %.8g ± %.3g", what, got, want, tolerance)
	}
}

func must(t *testing.T) func(value float64, err error) float64 {
	return func(value float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

// failer is what *testing.T and *rapid.T have in common here.
type failer interface {
	Helper()
	Fatal(...any)
}

func mustState(t failer) func(air.State, error) air.State {
	return func(s air.State, err error) air.State {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
}

// agreement is how far two published formulations of saturation pressure may
// differ, relative. The tolerances below are what it is worth in kelvin.
const agreement = 0.005

// dewToleranceK is how far a dew point moves when saturation at uncertainC, the
// temperature it was reckoned from, is off by the agreed share.
func dewToleranceK(uncertainC, dewPointC float64) float64 {
	return agreement * air.SaturationKPa(uncertainC) / air.SaturationSlopeKPaPerK(dewPointC)
}

// wetToleranceK is the same for the wet bulb, where saturation at the bulb and
// the vapour in the air may be off in opposite directions.
func wetToleranceK(d air.Description) float64 {
	return agreement * (d.VapourKPa + air.SaturationKPa(d.WetBulbC)) /
		(air.SaturationSlopeKPaPerK(d.WetBulbC) + air.PsychrometricKPaPerK(d.PressureKPa))
}
