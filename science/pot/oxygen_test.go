package pot_test

import (
	"fmt"
	"math"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/pot"
)

func TestDissolvedOxygen(t *testing.T) {
	for _, row := range checktable.Rows(t, "oxygen.csv") {
		atm := row.Number(t, "pressure_atm")
		got, err := pot.DissolvedOxygenMgPerL(row.Number(t, "water_c"), 101.325*atm)
		if err != nil {
			t.Fatal(err)
		}
		const tolerance = 0.005 // half the last digit
		if want := row.Number(t, "oxygen_mg_l"); math.Abs(got-want) > tolerance {
			t.Errorf("%s °C, %s atm: %.4f mg/L, want %.2f", row["water_c"], row["pressure_atm"], got, want)
		}
	}
	// An independent public table has 10 mg/L at 15 °C and 7 at 34 °C (Taiwan
	// Ministry of Environment, water quality encyclopedia), whole milligrams.
	for waterC, want := range map[float64]float64{15: 10, 34: 7} {
		if got, err := pot.DissolvedOxygenMgPerL(waterC, 101.325); err != nil || math.Abs(got-want) > 0.5 {
			t.Errorf("%g °C: %.2f mg/L (%v), want %.0f", waterC, got, err, want)
		}
	}
}

// Oxygen of humid air at one atmosphere, computed independently, whole mg/L.
func TestOxygenInAir(t *testing.T) {
	for airC, want := range map[float64]float64{10: 285, 15: 279, 20: 272, 25: 265, 30: 258} {
		inAir, err := pot.AirOxygenMgPerL(airC, 101.325)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(inAir-want) > 0.6 { // half the last digit, and another saturation formula
			t.Errorf("%g °C: %.2f mg/L, want %.0f", airC, inAir, want)
		}
		inWater, err := pot.DissolvedOxygenMgPerL(airC, 101.325)
		if err != nil {
			t.Fatal(err)
		}
		if ratio := inAir / inWater; ratio < 25 || ratio > 34.5 {
			t.Errorf("%g °C: air holds %.1f times the oxygen of water, said to be 25 to 34", airC, ratio)
		}
	}
}

func TestOxygenRefusesNonsense(t *testing.T) {
	if _, err := pot.DissolvedOxygenMgPerL(math.NaN(), 101); err == nil {
		t.Error("a temperature that is no number was accepted")
	}
	if _, err := pot.AirOxygenMgPerL(20, 1); err == nil {
		t.Error("near vacuum was accepted")
	}
	if _, err := (pot.Drainage{}).Breathe(90, 101); err == nil {
		t.Error("90 °C was accepted")
	}
}

func ExampleDrainage_Breathe() {
	d := pot.Drainage{PouredML: 500, CapturedML: 100, DrainedML: 400}
	breath, _ := d.Breathe(20, 101.325)
	fmt.Printf("%.0f mL of air with %.0f mg of oxygen; the water kept brought %.1f mg\n", breath.AirML, breath.OxygenMg, breath.DissolvedMg)
	// Output: 400 mL of air with 109 mg of oxygen; the water kept brought 0.9 mg
}
