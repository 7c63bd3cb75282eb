package water

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/basis"
)

func tapAndRO() (tap, ro Ions) {
	tap = must(FromMgPerL(map[Ion]float64{Ca: 100, Mg: 8, Na: 25, K: 3, HCO3: 237.4, Cl: 45, SO4: 60, NO3: 25}))
	return tap, Ions{Na: .15, Cl: .15, HCO3: .10, Ca: .05}
}

// A hard tap water with reverse-osmosis water, worked out independently; the
// tolerances are half the last printed digit, doubled for EC.
func TestBlendTable(t *testing.T) {
	tap, ro := tapAndRO()
	b := tap.ChargeBalance()
	near(t, "tap cations", b.CationsMeqL, 6.81, 0.006)
	near(t, "tap anions", b.AnionsMeqL, 6.81, 0.006)
	near(t, "tap ionic strength", tap.IonicStrength(), 0.01026, 0.000006)
	near(t, "tap hardness", tap.HardnessMgCaCO3(), 282.7, 0.06)
	near(t, "tap alkalinity", tap.AlkalinityMgCaCO3(), 194.7, 0.06)
	tapEC, roEC := 1000*must(tap.FreeIonECmS()), 1000*must(ro.FreeIonECmS())
	near(t, "tap EC, free ions", tapEC, 698.5, 0.06)
	near(t, "tap EC, standard method", 1000*must(tap.StandardMethodECmS()), 644, 0.6)
	near(t, "RO EC", roEC, 28.9, 0.06)
	near(t, "RO alkalinity", ro.AlkalinityMgCaCO3(), 5.0, 0.06)
	for _, r := range reference(t, "blends.csv") {
		share := r.number("tap_share")
		c := must(Blend(Part{tap, share}, Part{ro, 1 - share}))
		near(t, "EC, free ions", 1000*must(c.FreeIonECmS()), r.number("free_uS"), 0.11)
		near(t, "EC on the straight line", share*tapEC+(1-share)*roEC, r.number("linear_uS"), 0.11)
		near(t, "Ca", c.MgPerL(Ca), r.number("Ca"), 0.006)
		near(t, "Mg", c.MgPerL(Mg), r.number("Mg"), 0.006)
		near(t, "Na", c.MgPerL(Na), r.number("Na"), 0.006)
		near(t, "HCO3", c.MgPerL(HCO3), r.number("HCO3"), 0.06)
		near(t, "alkalinity", c.AlkalinityMgCaCO3(), r.number("alkalinity"), 0.06)
		near(t, "hardness", c.HardnessMgCaCO3(), r.number("hardness"), 0.06)
	}
	near(t, "share for alkalinity 60", must(ShareForAlkalinity(tap, ro, 60)), 0.290, 0.0006)
	// The straight line asks for 0.2556 at 200 µS/cm and is 4.9 % wrong.
	c := must(Blend(Part{tap, 0.2556}, Part{ro, 0.7444}))
	near(t, "EC at the linear share", 1000*must(c.FreeIonECmS()), 209.8, 0.11)
}

func TestBlendTargetsOutsideAreRefused(t *testing.T) {
	tap, ro := tapAndRO()
	for name, try := range map[string]func() (float64, error){
		"EC above both":        func() (float64, error) { return ShareForEC(tap, ro, 0.8) },
		"EC below both":        func() (float64, error) { return ShareForEC(tap, ro, 0.01) },
		"alkalinity above":     func() (float64, error) { return ShareForAlkalinity(tap, ro, 200) },
		"hardness below":       func() (float64, error) { return ShareForHardness(tap, ro, 1) },
		"not a number":         func() (float64, error) { return ShareForEC(tap, ro, math.NaN()) },
		"the same water twice": func() (float64, error) { return ShareForEC(tap, tap, must(tap.ECmS())) },
	} {
		if got, err := try(); err == nil {
			t.Errorf("%s: got %g", name, got)
		}
	}
	if _, err := Blend(); err == nil {
		t.Error("a blend of nothing was accepted")
	}
	if _, err := Blend(Part{tap, 1}, Part{ro, -1}); err == nil {
		t.Error("a negative part was accepted")
	}
	near(t, "all tap", must(ShareForEC(tap, ro, must(tap.ECmS()))), 1, 1e-9)
	near(t, "all RO", must(ShareForEC(tap, ro, must(ro.ECmS()))), 0, 1e-9)
}

func TestBlendsConserveMassAndInvert(t *testing.T) {
	tap, ro := tapAndRO()
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0.01, 50).Draw(t, "litres a")
		b := rapid.Float64Range(0.01, 50).Draw(t, "litres b")
		c := must(Blend(Part{tap, a}, Part{ro, b}))
		for i := range c {
			if in, out := a*tap[i]+b*ro[i], (a+b)*c[i]; math.Abs(in-out) > 1e-9*(1+in) {
				t.Fatalf("%v: %g in, %g out", Ion(i), in, out)
			}
		}
		share := a / (a + b)
		for name, got := range map[string]float64{
			"EC":         must(ShareForEC(tap, ro, must(c.ECmS()))),
			"alkalinity": must(ShareForAlkalinity(tap, ro, c.AlkalinityMgCaCO3())),
			"hardness":   must(ShareForHardness(tap, ro, c.HardnessMgCaCO3())),
		} {
			if math.Abs(got-share) > 1e-7 {
				t.Fatalf("%s: share %g comes back as %g", name, share, got)
			}
		}
	})
}

func TestAcidDoses(t *testing.T) {
	makers := map[string]func(float64, float64) (Acid, error){"nitric": NitricAcid, "phosphoric": PhosphoricAcid, "sulphuric": SulphuricAcid}
	for _, r := range reference(t, "acids.csv") {
		a := must(makers[r.fields["acid"]](r.number("mass_percent"), r.number("density")))
		meq := r.number("from") / mgCaCO3PerMeq
		d := must(a.DoseToAlkalinity(Ions{Ca: meq / 2, HCO3: meq}, r.number("to")))
		name := r.fields["acid"] + " acid, " + r.fields["why"]
		near(t, name, d.MillilitresPL, r.number("mL_per_L"), r.number("mL_per_L")*r.number("mL_tolerance_percent")/100)
		for element, mg := range elementNames(d.Added) {
			if _, listed := r.fields[element]; listed && r.given(element) {
				near(t, name+" "+element, mg, r.number(element), r.number(element)*r.number("ppm_tolerance_percent")/100)
			}
		}
		near(t, name+" alkalinity left", d.Water.AlkalinityMgCaCO3(), r.number("to"), 1e-9)
		near(t, name+" charge", d.Water.ChargeBalance().ErrorPercent, 0, 1e-9)
		if !d.Cautions.Has(AcidIntoWater) || d.Cautions.Has(LittleBufferLeft) != (r.number("to") < 20) {
			t.Errorf("%s: cautions %b", name, d.Cautions)
		}
	}
	// 250 to 150 mg/L CaCO3 is 100, and 150 to 60 is 1.798 meq/L; citric acid
	// monohydrate then about 0.145 g/L at 2.6 eq/mol.
	hard := Ions{Ca: 150 / weightCaCO3, HCO3: 150 / mgCaCO3PerMeq}
	d := must(CitricAcidMonohydrate().DoseToAlkalinity(hard, 60))
	near(t, "meq/L", d.MeqPerL, 1.798, 0.0006)
	near(t, "citric g/L", d.GramsPerL, 0.145, 0.0006)
	near(t, "charge with citrate", d.Water.ChargeBalance().ErrorPercent, 0, 1e-9)
	for _, target := range []float64{-1, 151, math.NaN()} {
		if _, err := CitricAcidMonohydrate().DoseToAlkalinity(hard, target); err == nil {
			t.Errorf("target %g accepted", target)
		}
	}
	if _, err := NitricAcid(160, 1.4); err == nil {
		t.Error("acid of 160 % accepted")
	}
}

// Carbonate and HPO4 take protons before bicarbonate leaves as carbon dioxide.
func TestAcidConservesAlkalinityAndCharge(t *testing.T) {
	nitric := must(NitricAcid(60, 1.372))
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) float64 { return rapid.Float64Range(0, 4).Draw(t, name) }
		c := Ions{HCO3: draw("HCO3"), CO3: draw("CO3"), HPO4: draw("HPO4")}
		c[Na] = c[HCO3] + 2*c[CO3] + 2*c[HPO4]
		target := c.AlkalinityMgCaCO3() * rapid.Float64Range(0, 1).Draw(t, "kept")
		d := must(nitric.DoseToAlkalinity(c, target))
		if got := d.Water.AlkalinityMgCaCO3(); math.Abs(got-target) > 1e-9*(1+target) {
			t.Fatalf("alkalinity %g, want %g", got, target)
		}
		if e := d.Water.ChargeBalance().ErrorPercent; math.Abs(e) > 1e-6 {
			t.Fatalf("charge off by %g %%", e)
		}
		if p := d.Water.Elements().P - c.Elements().P; math.Abs(p) > 1e-9 {
			t.Fatalf("phosphorus changed by %g", p)
		}
	})
}

func TestOsmosis(t *testing.T) {
	for _, r := range reference(t, "ro-flow.csv") {
		f := must(ROFlowFactor(r.number("waterC")))
		// The makers disagree by more than they print, so each must lie in
		// the stated range, widened by their rounding (0.006 for 68 %).
		if want := r.number("factor"); want < f.Low-0.007 || want > f.High+0.0005 {
			t.Errorf("%s at %g °C: %g outside %g to %g", r.fields["source"], r.number("waterC"), want, f.Low, f.High)
		}
		near(t, "mid-line", f.Value, math.Pow(0.97, 25-r.number("waterC")), 1e-12)
	}
	m := Membrane{RatedLitresPerDay: 190, RatedBar: 4.1}
	near(t, "as rated", must(m.LitresPerDay(25, 4.1, 0)).Value, 190, 1e-9)
	cold := must(m.LitresPerDay(10, 3.5, 400))
	if cold.Check() != nil || !(cold.Value < 190*3.5/4.1*0.65) {
		t.Errorf("cold hard water gives %+v", cold)
	}
	if _, err := m.LitresPerDay(15, 0.2, 4000); err == nil {
		t.Error("flow against osmotic pressure accepted")
	}
	near(t, "rejection", must(RejectionPercent(698.5, 28.9)), 95.86, 0.005)
	if _, err := RejectionPercent(100, 120); err == nil {
		t.Error("permeate saltier than the feed accepted")
	}
	// A household recovery of 20–35 % sends 4 to 2 litres down the drain for
	// each litre made (common practice; 1.857 is printed as 2).
	near(t, "reject at 20 %", must(RejectLitres(1, 20)), 4, 1e-12)
	near(t, "reject at 35 %", must(RejectLitres(1, 35)), 2, 0.15)
}

func TestTemperature(t *testing.T) {
	for _, r := range reference(t, "iso7888.csv") {
		near(t, "f25 at "+r.fields["waterC"], must(NaturalWaterFactor(r.number("waterC"))), r.number("f25"), r.number("tolerance"))
	}
	// One reading three ways, worked out independently: 800 µS/cm at 15 °C.
	near(t, "ISO 7888", must(EC25NaturalWater(800, 15)), 1004.8, 0.05)
	near(t, "linear 1.91", must(EC25Linear(800, 15, LinearPercentPerC.Value)), 988.9, 0.05)
	near(t, "linear 2.0", must(EC25Linear(800, 15, PenPercentPerC.Value)), 1000, 1e-9)
	// Potassium chloride is not natural water: linear 1.91 and ISO each miss
	// its measured ratio, by at most 3 % from 10 to 20 °C.
	var at25 float64
	rows := reference(t, "nist-molal-kcl.csv")
	for _, r := range rows {
		if r.number("waterC") == 25 {
			at25 = r.number("uS_001")
		}
	}
	for _, r := range rows {
		if waterC := r.number("waterC"); waterC >= 10 {
			near(t, "KCl, linear", must(EC25Linear(r.number("uS_001"), waterC, 1.91)), at25, 0.03*at25)
			near(t, "KCl, ISO", must(EC25NaturalWater(r.number("uS_001"), waterC)), at25, 0.03*at25)
		}
	}
	for _, waterC := range []float64{-1, 35.1, math.NaN()} {
		if _, err := NaturalWaterFactor(waterC); err == nil {
			t.Errorf("%g °C accepted", waterC)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0, 35).Draw(t, "a")
		b := rapid.Float64Range(0, 35).Draw(t, "b")
		if a > b {
			a, b = b, a
		}
		if must(NaturalWaterFactor(a)) < must(NaturalWaterFactor(b)) {
			t.Fatalf("the factor rises from %g to %g °C", a, b)
		}
	})
}

func TestLeaching(t *testing.T) {
	near(t, "400 mL poured, 60 drained", must(LeachingFraction(60, 340)), 0.15, 1e-12)
	near(t, "500 mL poured, 150 drained", must(LeachingFraction(150, 350)), 0.30, 1e-12)
	// FAO-29 (from memory): maize, ECw 1.2, ET 800 mm. The book rounds 0.106
	// to 0.10 and applies 890 mm.
	lr := must(FieldLeachingRequirement(1.2, 2.5))
	near(t, "LR for 90 % yield", lr, 0.1062, 0.00005)
	near(t, "depth", must(AppliedDepthMM(800, lr)), 894.9, 0.2)
	near(t, "depth with 0.10", must(AppliedDepthMM(800, 0.10)), 888.9, 0.05)
	near(t, "LR for full yield", must(FieldLeachingRequirement(1.2, 1.7)), 0.1644, 0.00005)
	for _, r := range []struct{ ecw, ece, lr float64 }{{.2, .6, .071}, {.3, .6, .111}, {.7, 1.0, .163}} { // worked out independently
		near(t, "LR", must(FieldLeachingRequirement(r.ecw, r.ece)), r.lr, 0.0006)
	}
	// FAO-29 table 3 (from memory) prints one decimal.
	for _, r := range reference(t, "field-concentration.csv") {
		near(t, "concentration factor at "+r.fields["leaching_fraction"], must(FieldConcentrationFactor(r.number("leaching_fraction"))), r.number("factor"), 0.0501)
	}
	near(t, "mean soil water at 0.15", 2*must(FieldConcentrationFactor(0.15)), 3.18, 0.006)
	// Poinsettia, feed 2.1 dS/m: plateaus of about 6, 9 and 15 must lie in the
	// stated range of the simple rule.
	for lf, measured := range map[float64]float64{0.4: 6, 0.2: 9, 0.1: 15} {
		ec := must(DrainageECmS(2.1, lf))
		if measured < ec.Low || measured > ec.High {
			t.Errorf("at %g: measured %g outside %g to %g", lf, measured, ec.Low, ec.High)
		}
	}
	for name, err := range map[string]error{
		"nothing poured":  second(LeachingFraction(0, 0)),
		"negative":        second(LeachingFraction(-1, 5)),
		"LR over one":     second(FieldLeachingRequirement(2, 0.5)),
		"no leaching":     second(DrainageECmS(1, 0)),
		"nothing applied": second(AppliedDepthMM(800, 1)),
	} {
		var outside *RangeError
		if !errors.As(err, &outside) {
			t.Errorf("%s: %v, want a RangeError", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// A known water must come back from its own three figures.
func TestEstimateExplainsItsReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hardness := rapid.Float64Range(0, 400).Draw(t, "hardness")
		alkalinity := rapid.Float64Range(0, 300).Draw(t, "alkalinity")
		bare := must(EstimateIons(0, hardness, alkalinity)).ECFromHardnessMS
		ec := bare + rapid.Float64Range(0, 1).Draw(t, "more")
		e := must(EstimateIons(ec, hardness, alkalinity))
		if e.Contradictory {
			t.Fatal("readings that fit were called contradictory")
		}
		if got := must(e.Ions.ECmS()); math.Abs(got-ec) > 1e-6 {
			t.Fatalf("EC %g, want %g", got, ec)
		}
		if math.Abs(e.Ions.HardnessMgCaCO3()-hardness) > 1e-6 || math.Abs(e.Ions.AlkalinityMgCaCO3()-alkalinity) > 1e-6 {
			t.Fatal("hardness or alkalinity not kept")
		}
		if math.Abs(e.Ions.ChargeBalance().ErrorPercent) > 1e-6 {
			t.Fatal("charge not closed")
		}
		for i := range e.Ions {
			if e.Low[i] > e.Ions[i] || e.High[i] < e.Ions[i] {
				t.Fatalf("%v %g outside %g to %g", Ion(i), e.Ions[i], e.Low[i], e.High[i])
			}
		}
	})
}

func TestEstimateFlagsContradictions(t *testing.T) {
	// 300 mg/L of hardness cannot conduct only 0.2 mS/cm; a ppm reading or a
	// degree was mistaken for another unit.
	if e := must(EstimateIons(0.2, 300, 250)); !e.Contradictory {
		t.Error("contradiction not seen")
	}
	if e := must(EstimateIons(0.75, 10, 300)); !e.SodiumWater {
		t.Error("softened water not seen")
	}
	if e := must(EstimateIons(0.7, 283, 195)); e.Contradictory || e.SodiumWater {
		t.Errorf("ordinary hard water flagged: %+v", e)
	}
	for _, bad := range [][3]float64{{-1, 0, 0}, {0.5, -1, 0}, {0.5, 0, math.NaN()}, {6, 0, 0}} {
		if _, err := EstimateIons(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("%v accepted", bad)
		}
	}
}

func TestParametersHaveABasis(t *testing.T) {
	values := map[string]basis.Value{
		"relaxation": relaxation, "electrophoresis": electrophoresis, "inverse length": inverseLength, "ion size": ionSize,
		"Davies": daviesSlope, "CaSO4": log10KCaSO4, "MgSO4": log10KMgSO4, "linear": LinearPercentPerC, "pen": PenPercentPerC,
		"teaspoon": GramsPerTeaspoon, "Ca to Mg": MainsCaToMg, "chloride": MainsChlorideShare, "meter": PocketMeterPercent,
		"RO": ROPercentPerC, "replace": ROReplaceBelowPercent, "minimum": ROMinimumBar, "osmotic": osmoticBar,
		"drainage": DrainageFactor, "alkalinity": SafeAlkalinity, "citric": CitricProtons, "label": labelRounding,
	}
	for i, v := range limitingConductivity {
		values["λ° "+Ion(i).String()] = v
	}
	for name, v := range values {
		if err := v.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
