package water

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Gypsum dissolves to about 2.4 g/L, 15 mmol/L, at 25 °C (handbook figure, from
// memory; texts give 2.1 to 2.6): at 14 it still dissolves, at 16.5 it does not.
func TestGypsumSaturatesAtItsSolubility(t *testing.T) {
	s := must((Ions{Ca: 15, SO4: 15}).Saturation())
	near(t, "gypsum at 15 mmol/L", s.Gypsum, 0, 0.06)
	if s := must((Ions{Ca: 12, SO4: 12}).Saturation()); s.Gypsum >= 0 {
		t.Errorf("2.1 g/L of gypsum should dissolve: %+v", s)
	}
	if s := must((Ions{Ca: 18, SO4: 18}).Saturation()); s.Gypsum <= 0 {
		t.Errorf("3.1 g/L of gypsum should not dissolve: %+v", s)
	}
}

// Calcite in water that stands in air dissolves to about 0.5 mmol/L of calcium
// (textbook figure, 20 mg/L and pH 8.3, from memory).
func TestCalciteSaturatesInAir(t *testing.T) {
	s := must((Ions{Ca: 0.5, HCO3: 1.0}).Saturation())
	near(t, "pH", s.PH, 8.22, 0.02)
	near(t, "calcite", s.Carbonate, 0, 0.12)
	tap, ro := tapAndRO()
	if s := must(tap.Saturation()); s.Carbonate < 0.3 {
		t.Errorf("hard tap water scales: %+v", s)
	}
	if s := must(ro.Saturation()); s.Carbonate > -1 || !math.IsInf(s.Gypsum, -1) {
		t.Errorf("pure water does not: %+v", s)
	}
}

// A full-strength nutrient solution is clear, and a hundredfold concentrate of
// all its salts together is not: why it is kept in two tanks.
func TestConcentratesCloud(t *testing.T) {
	hoagland := must(Dissolve(
		Portion{must(SaltByFormula("KNO3")), 0.5055}, Portion{must(SaltByFormula("Ca(NO3)2·4H2O")), 1.1807},
		Portion{must(SaltByFormula("KH2PO4")), 0.1361}, Portion{must(SaltByFormula("MgSO4·7H2O")), 0.4929}))
	if s := must(hoagland.Saturation()); s.Gypsum > 0 || s.CalciumPhosphate > 0 {
		t.Errorf("full strength: %+v", s)
	}
	factor := must(hoagland.StrongestClear())
	if !(factor > 1.2 && factor < 30) {
		t.Errorf("clear up to %g times", factor)
	}
	alone := must(Dissolve(Portion{must(SaltByFormula("KNO3")), 0.5}))
	near(t, "potassium nitrate alone", must(alone.StrongestClear()), 1000, 0)
	if _, err := (Ions{Ca: -1}).StrongestClear(); err == nil {
		t.Error("a negative concentration was accepted")
	}
}

// Adding calcium never brings a solution further from precipitating.
func TestMoreCalciumSaturatesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) float64 { return rapid.Float64Range(0.01, 8).Draw(t, name) }
		c := Ions{Ca: draw("Ca"), Mg: draw("Mg"), SO4: draw("SO4"), H2PO4: draw("P"), HCO3: draw("HCO3")}
		more := c
		more[Ca] *= 1.2
		a, b := must(c.Saturation()), must(more.Saturation())
		if b.Gypsum < a.Gypsum || b.CalciumPhosphate < a.CalciumPhosphate || b.Carbonate < a.Carbonate {
			t.Fatalf("%v: %+v, with more calcium %+v", c, a, b)
		}
	})
}
