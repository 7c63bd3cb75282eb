package water

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func errorPercent(got, want float64) float64 { return 100 * (got/want - 1) }

// λ° against the tracer diffusion coefficients, by Nernst–Einstein:
// λ = |z|·D·F²/RT. Two sets of measurements, so a wrong charge or a figure per
// mole among those per equivalent shows at once. Phosphates disagree by what
// the parameter table states.
func TestLimitingConductivitiesAgreeWithTracerDiffusion(t *testing.T) {
	const faraday, gas, kelvin = 96485.33, 8.314463, 298.15
	for _, r := range reference(t, "tracer-diffusion.csv") {
		ion := must(ParseIon(r.fields["ion"]))
		fromD := math.Abs(chargeOf[ion]) * r.number("D_1e9_m2_per_s") * 1e-9 * faraday * faraday / (gas * kelvin) * 1e4
		near(t, "λ° "+ion.String(), limitingConductivity[ion].Value, fromD, fromD*r.number("tolerance_percent")/100)
	}
}

func TestMeasuredSingleSalts(t *testing.T) {
	for _, r := range reference(t, "equivalent-conductances.csv") {
		var c Ions
		for _, ion := range []Ion{Ca, Mg, Na, K, Cl, SO4} {
			c[ion] = r.number(ion.String()) * r.number("mmol_per_L")
		}
		measured := r.number("lambda") * r.number("equivalents") * r.number("mmol_per_L")
		got := 1000 * must(c.ECmS())
		free := 1000 * must(c.FreeIonECmS())
		standard := 1000 * must(c.StandardMethodECmS())
		t.Logf("%-7s %8.4f mmol/L: measured %8.1f µS/cm, with pairs %+5.1f %%, free ions %+5.1f %%, Standard Methods %+5.1f %%",
			r.fields["salt"], r.number("mmol_per_L"), measured, errorPercent(got, measured), errorPercent(free, measured), errorPercent(standard, measured))
		statedErrors(t, r, r.fields["salt"], measured, got, free, standard)
	}
}

// statedErrors checks that the table states the error of each law as it is, to
// the printed tenth of a percent. The table is what the documentation of ECmS
// sums up; a change of the model must change both.
func statedErrors(t *testing.T, r row, name string, measured, got, free, standard float64) {
	t.Helper()
	const printed = 0.0501
	near(t, name+" error in %", errorPercent(got, measured), r.number("error_percent"), printed)
	near(t, name+" error of free ions in %", errorPercent(free, measured), r.number("free_error_percent"), printed)
	near(t, name+" error of the standard method in %", errorPercent(standard, measured), r.number("standard_error_percent"), printed)
}

func TestKClStandards(t *testing.T) {
	for _, r := range reference(t, "kcl-standards.csv") {
		mmol := 1000 * r.number("mol_per_L")
		c := Ions{K: mmol, Cl: mmol}
		got, err := c.ECmS()
		if r.fields["tolerance_percent"] == "refused" {
			var outside *RangeError
			if !errors.As(err, &outside) {
				t.Errorf("KCl %g mmol/L: got %v, %v; want a RangeError", mmol, got, err)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		want := r.number("uS_per_cm")
		near(t, "KCl standard", 1000*got, want, want*r.number("tolerance_percent")/100)
	}
	// The molal standard of the NIST: a kilogram of water is 1.003 L, so
	// 0.01 mol/kg is 9.970 mmol/L (density 0.99705; the salt's own volume
	// takes 0.01 % more). Measured 1408.23 without the water's own 1.10.
	c := Ions{K: 9.970, Cl: 9.970}
	near(t, "0.01 mol/kg KCl", 1000*must(c.ECmS()), 1408.23, 1408.23*0.01)
}

func TestMeasuredNaturalWaters(t *testing.T) {
	for _, r := range reference(t, "natural-waters.csv") {
		c := must(FromMgPerL(r.perIon(Ca, Mg, Na, K, NH4, HCO3, SO4, Cl, NO3)))
		measured := r.number("uS_per_cm_25C")
		got := 1000 * must(c.ECmS())
		free := 1000 * must(c.FreeIonECmS())
		standard := 1000 * must(c.StandardMethodECmS())
		t.Logf("%-31s measured %6.1f µS/cm, with pairs %+4.1f %%, free ions %+4.1f %%, Standard Methods %+4.1f %%",
			r.fields["name"], measured, errorPercent(got, measured), errorPercent(free, measured), errorPercent(standard, measured))
		statedErrors(t, r, r.fields["name"], measured, got, free, standard)
		// The documentation promises 5 %.
		near(t, r.fields["name"], got, measured, measured*0.05)
		// Standard Methods calls ±10 % acceptable for its own figure.
		near(t, r.fields["name"]+" by the standard method", standard, measured, measured*0.10)
		if math.Abs(got-measured) > math.Abs(free-measured) {
			t.Errorf("%s: pairing makes it worse", r.fields["name"])
		}
	}
}

// The meter-calibration table of a maker: how much of a salt gives a reading.
func TestCalibrationSalts(t *testing.T) {
	for _, r := range reference(t, "ppm-calibration.csv") {
		grams := r.number("mg_per_L") / 1000
		var recipe []Portion
		switch r.fields["salt"] {
		case "442":
			recipe = []Portion{{must(SaltByFormula("Na2SO4")), 0.4 * grams}, {must(SaltByFormula("NaHCO3")), 0.4 * grams}, {must(SaltByFormula("NaCl")), 0.2 * grams}}
		default:
			recipe = []Portion{{must(SaltByFormula(r.fields["salt"])), grams}}
		}
		c := must(Dissolve(recipe...))
		got, err := c.ECmS()
		switch r.fields["tolerance_percent"] {
		case "left out":
			t.Logf("left out: %s %g mg/L, %g µS/cm in the table, %.1f computed: %s", r.fields["salt"], r.number("mg_per_L"), r.number("uS_per_cm"), 1000*got, r.fields["why"])
			continue
		case "refused":
			if err == nil {
				t.Errorf("%s %g mg/L is beyond the laws but gave %g", r.fields["salt"], r.number("mg_per_L"), got)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		want := r.number("uS_per_cm")
		near(t, r.fields["salt"]+" calibration", 1000*got, want, want*r.number("tolerance_percent")/100)
	}
}

// Figures worked out independently with the same laws, to the last printed
// digit (0.5 µS/cm), and McCleskey's law within 2 %.
func TestComputedConductivities(t *testing.T) {
	for _, r := range reference(t, "computed-conductivities.csv") {
		name := r.fields["solution"]
		c := Ions{K: r.number("K"), Ca: r.number("Ca"), Mg: r.number("Mg"), Na: r.number("Na"), NH4: r.number("NH4"),
			NO3: r.number("NO3"), H2PO4: r.number("H2PO4"), SO4: r.number("SO4"), HCO3: r.number("HCO3"), Cl: r.number("Cl")}
		free := 1000 * must(c.FreeIonECmS())
		if r.given("free_uS") {
			near(t, name+" free ions", free, r.number("free_uS"), 0.51)
		}
		if r.given("standard_uS") {
			near(t, name+" standard method", 1000*must(c.StandardMethodECmS()), r.number("standard_uS"), 0.51)
		}
		if r.given("mccleskey_uS") {
			near(t, name+" McCleskey", mcCleskeyUS(c), r.number("mccleskey_uS"), mcCleskeyTolerance*r.number("mccleskey_uS"))
		}
		// For feeds the two laws agreed within about 1.5 % when compared
		// independently; 2 % allows for its rounding.
		near(t, name+" against McCleskey", free, mcCleskeyUS(c), 0.02*free)
	}
}

// The worked example of Standard Methods 2510: 482.8 µS/cm with rounded
// molarities, 482.9 without; I 0.00766, y² 0.835 (from memory).
func TestStandardMethodWorkedExample(t *testing.T) {
	c := must(FromMgPerL(map[Ion]float64{Ca: 55, Mg: 12, Na: 28, K: 3.2, HCO3: 170, SO4: 77, Cl: 20}))
	near(t, "ionic strength", c.IonicStrength(), 0.00766, 0.000006)
	near(t, "conductivity", 1000*must(c.StandardMethodECmS()), 482.9, 0.3)
	near(t, "free ions", 1000*must(c.FreeIonECmS()), 516, 0.6)
	// Its table by ion, |z|·λ°·mM, starts from the molarities it prints; its
	// 1.38 for calcium should read 1.37 and is kept.
	printed := Ions{Ca: 1.38, Mg: 0.49, Na: 1.22, K: 0.08, HCO3: 2.79, SO4: 0.80, Cl: 0.56}
	for ion, want := range map[Ion]float64{Ca: 164.2, Mg: 52.0, Na: 61.1, K: 5.9, HCO3: 124.2, SO4: 128.0, Cl: 42.8} {
		// It rounds λ° by up to 0.1 (Mg 53.1, Cl 76.4) and prints one decimal.
		charge := math.Abs(chargeOf[ion])
		near(t, "share of "+ion.String(), charge*lambda[ion]*printed[ion], want, 0.1*charge*printed[ion]+0.05)
	}
	near(t, "conductivity from printed molarities", 1000*must(printed.StandardMethodECmS()), 482.8, 0.4)
}

// Crude field rule I = 1.6e-5·EC(µS/cm), good to a third in natural waters
// (aqion.de, ionic strength and EC).
func TestIonicStrengthFieldRule(t *testing.T) {
	for _, r := range reference(t, "natural-waters.csv") {
		c := must(FromMgPerL(r.perIon(Ca, Mg, Na, K, NH4, HCO3, SO4, Cl, NO3)))
		rule := 1.6e-5 * r.number("uS_per_cm_25C")
		near(t, r.fields["name"], c.IonicStrength(), rule, rule/3)
	}
}

func TestConductivityRefusesWhatCannotBe(t *testing.T) {
	for name, c := range map[string]Ions{
		"negative":     {Na: 1, Cl: -1},
		"not a number": {Na: math.NaN(), Cl: 1},
		"too strong":   {Na: 151, Cl: 151},
	} {
		if _, err := c.ECmS(); err == nil {
			t.Errorf("%s accepted", name)
		}
		if _, err := c.FreeIonECmS(); err == nil {
			t.Errorf("%s accepted for free ions", name)
		}
		if _, err := c.StandardMethodECmS(); err == nil {
			t.Errorf("%s accepted for the standard method", name)
		}
	}
	if got := must(Ions{}.ECmS()); got != 0 {
		t.Errorf("pure water conducts %g", got)
	}
}

func TestConductivityRisesWithConcentration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := must(Dissolve(drawRecipe(t)...))
		more := c
		factor := rapid.Float64Range(1.01, 1.5).Draw(t, "factor")
		for i := range more {
			more[i] *= factor
		}
		for name, law := range map[string]func(Ions) (float64, error){"pairs": Ions.ECmS, "free": Ions.FreeIonECmS} {
			weak, strong := must(law(c)), must(law(more))
			if !(strong > weak) {
				t.Errorf("%s: ×%g takes %g to %g", name, factor, weak, strong)
			}
			// Ions hinder each other, so never more than in proportion.
			if strong > weak*factor*(1+1e-9) {
				t.Errorf("%s: ×%g takes %g to %g, more than in proportion", name, factor, weak, strong)
			}
		}
		if paired, free := must(c.ECmS()), must(c.FreeIonECmS()); paired > free*(1+1e-12) {
			t.Errorf("pairs conduct more (%g) than free ions (%g)", paired, free)
		}
	})
}

// Pairing takes as much sulphate as calcium and magnesium, and meets the law
// of mass action.
func TestPairsBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := must(Dissolve(drawRecipe(t)...))
		free := c.unpaired()
		caSO4, mgSO4 := c[Ca]-free[Ca], c[Mg]-free[Mg]
		if got := c[SO4] - free[SO4]; math.Abs(got-caSO4-mgSO4) > 1e-9 {
			t.Fatalf("sulphate lost %g, cations %g", got, caSO4+mgSO4)
		}
		if free.Check() != nil || caSO4 < 0 || mgSO4 < 0 {
			t.Fatalf("pairs %g, %g leave %v", caSO4, mgSO4, free)
		}
		strength := free.IonicStrength()
		root := math.Sqrt(strength)
		gamma := math.Pow(10, -4*0.509*(root/(1+root)-0.3*strength))
		for ion, k := range map[Ion]float64{Ca: associationCaSO4, Mg: associationMgSO4} {
			paired := c[ion] - free[ion]
			want := k * gamma * gamma * free[ion] * free[SO4]
			if math.Abs(paired-want) > 1e-7*(c[ion]+c[SO4]) {
				t.Fatalf("%v: paired %g, mass action says %g", ion, paired, want)
			}
		}
	})
}

// drawRecipe draws a working solution: one to five salts, at most 6 mmol/L each.
func drawRecipe(t *rapid.T) []Portion {
	all := Salts()
	recipe := make([]Portion, rapid.IntRange(1, 5).Draw(t, "salts"))
	for i := range recipe {
		var s Salt
		for {
			s = all[rapid.IntRange(0, len(all)-1).Draw(t, "salt")]
			if s.Formula != "CO(NH2)2" || i > 0 {
				break
			}
		}
		mmol := rapid.Float64Range(0.01, 5).Draw(t, "mmol/L")
		if s.Formula == "5Ca(NO3)2·NH4NO3·10H2O" {
			mmol /= 5
		}
		recipe[i] = Portion{s, mmol * s.GramsPerMole / 1000}
	}
	return recipe
}

var sink float64

func BenchmarkECFromIons(b *testing.B) {
	c := Ions{K: 6, Ca: 5, Mg: 2, NO3: 15, H2PO4: 1, SO4: 2}
	b.ReportAllocs()
	for b.Loop() {
		sink, _ = c.ECmS()
	}
}

func BenchmarkECFromFreeIons(b *testing.B) {
	c := Ions{K: 6, Ca: 5, Mg: 2, NO3: 15, H2PO4: 1, SO4: 2}
	b.ReportAllocs()
	for b.Loop() {
		sink, _ = c.FreeIonECmS()
	}
}

func BenchmarkStrengthForEC(b *testing.B) {
	label := Label{NPercent: 13, P2O5Percent: 3, K2OPercent: 15, CaPercent: 8, MgPercent: 2}
	b.ReportAllocs()
	for b.Loop() {
		sink, _ = label.GramsPerLitreForEC(Ions{}, 1)
	}
}
