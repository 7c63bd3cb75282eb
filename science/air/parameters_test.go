package air_test

import (
	"testing"

	"velamen/science/air"
	"velamen/science/basis"
)

func TestParametersHaveABasis(t *testing.T) {
	for name, v := range map[string]basis.Value{
		"AspiratedCoefficient":           air.AspiratedCoefficient,
		"NaturallyVentilatedCoefficient": air.NaturallyVentilatedCoefficient,
		"IndoorUnventilatedCoefficient":  air.IndoorUnventilatedCoefficient,
		"HomeAirChangesPerHour":          air.HomeAirChangesPerHour,
		"SingleGlazingU":                 air.SingleGlazingU,
		"DoubleGlazingU":                 air.DoubleGlazingU,
		"InsideSurfaceResistance":        air.InsideSurfaceResistance,
	} {
		if err := v.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if v.Unit == "" {
			t.Errorf("%s has no unit", name)
		}
	}
	// The working ranges must leave a possible window: GlassInnerC refuses a
	// surface resistance above that of the whole window.
	if _, err := air.GlassInnerC(20, 0, air.SingleGlazingU.High, air.InsideSurfaceResistance.High); err != nil {
		t.Errorf("high ends of the glazing figures do not fit together: %v", err)
	}
}
