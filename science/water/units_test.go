package water

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestUnitFactors(t *testing.T) {
	mg := func(figure float64, err error) float64 { return must(figure, err) }
	// Worked out independently from IUPAC weights, to half the last digit.
	for _, r := range []struct {
		name            string
		got, want, half float64
	}{
		{"P in P2O5", PFromP2O5, 0.43643, 0.0000051}, {"K in K2O", KFromK2O, 0.83015, 0.0000051},
		{"Ca in CaO", CaFromCaO, 0.71470, 0.0000051}, {"Mg in MgO", MgFromMgO, 0.60304, 0.000011},
		{"S in SO3", SFromSO3, 0.40046, 0.000021}, {"N in NO3", NFromNO3, 0.22590, 0.0000051},
		{"N in NH4", NFromNH4, 0.77648, 0.000011}, {"S in SO4", SFromSO4, 0.33376, 0.0000151},
		{"°dH", mg(GermanDegrees.MgCaCO3(1)), 17.848, 0.0006}, {"°fH", mg(FrenchDegrees.MgCaCO3(1)), 10, 1e-12},
		{"°Clark", mg(ClarkDegrees.MgCaCO3(1)), 14.254, 0.0006}, {"gpg", mg(USGrains.MgCaCO3(1)), 17.118, 0.0006},
		{"°dH in mmol/L", mg(HardnessAsMmol.Figure(mg(GermanDegrees.MgCaCO3(1)))), 0.1783, 0.00006},
		{"hardness of Ca", must(FromMgPerL(map[Ion]float64{Ca: 1})).HardnessMgCaCO3(), 2.497, 0.0006},
		{"hardness of Mg", must(FromMgPerL(map[Ion]float64{Mg: 1})).HardnessMgCaCO3(), 4.118, 0.0006},
		{"meq of alkalinity", mg(AlkalinityAsMeq.MgCaCO3(1)), 50.043, 0.0006},
		{"meq as HCO3", mg(AlkalinityAsHCO3.Figure(mg(AlkalinityAsMeq.MgCaCO3(1)))), 61.017, 0.0011},
		{"HCO3 as CaCO3", mg(AlkalinityAsHCO3.MgCaCO3(1)), 0.8202, 0.00006},
		{"1 oz/100 gal", 1000 * GramsPerLitreFromOunces(1), 74.89, 0.006},
		// Ca and Mg supplied by a salt: 5.89 and 10.14 mg for each mg.
		{"mg of Ca(NO3)2·4H2O for 1 mg Ca", must(SaltByFormula("Ca(NO3)2·4H2O")).GramsPerMole / weightCa, 5.89, 0.006},
		{"mg of MgSO4·7H2O for 1 mg Mg", must(SaltByFormula("MgSO4·7H2O")).GramsPerMole / weightMg, 10.14, 0.006},
	} {
		near(t, r.name, r.got, r.want, r.half)
	}
}

// Doses printed by extension services; each tolerance is that print's rounding.
func TestPublishedDoses(t *testing.T) {
	ounces := func(percentN, ppm float64) float64 {
		return OuncesPer100USGallons(must(Label{NPercent: percentN}.GramsPerLitreForN(ppm)))
	}
	// University of Massachusetts: 200 ppm N needs 13½ oz of 20 % N and 18 oz
	// of 15 % N in 100 gallons; exact 13.35 and 17.80.
	near(t, "20 % N", ounces(20, 200), 13.5, 0.25)
	near(t, "20 % N exact", ounces(20, 200), 13.35, 0.006)
	near(t, "15 % N", ounces(15, 200), 18, 0.25)
	near(t, "15 % N exact", ounces(15, 200), 17.80, 0.006)
	// Argo, part 5: 100 ppm N in 5 gallons from 20 % is 0.33 oz, about 9 g.
	grams := must(Label{NPercent: 20}.GramsPerLitreForN(100)) * 5 * LitresPerUSGallon
	near(t, "ounces in 5 gal", grams/GramsPerOunce, 0.33, 0.006)
	near(t, "grams in 5 gal", grams, 9.46, 0.006)
	// The trade's 0.75 rule differs from the exact 0.7489 by 0.15 %.
	near(t, "0.75 rule", ounces(20, 150), 150/(0.75*20), 0.02)
	// Mattson, Cornell: 20-10-20 at 150 ppm N by a 1:200 injector is 20.25 oz
	// per gallon of stock, from a chart rounded to a quarter ounce (1.5 %).
	stock := must(StockGramsPerLitre(must(Label{NPercent: 20}.GramsPerLitreForN(150)), 200))
	near(t, "stock", stock*LitresPerUSGallon/GramsPerOunce, 20.25, 0.015*20.25)
	near(t, "1:100 makes 200 ppm into 20 000", must(StockGramsPerLitre(0.2, 100)), 20, 1e-12)
	// A society leaflet: half a US teaspoon of 13-3-15 per gallon is 105 ppm N,
	// one is 210, so a teaspoon weighs 6.1 g, within the stated range.
	perGallon := must(Label{NPercent: 13}.GramsPerLitreForN(210)) * LitresPerUSGallon
	near(t, "teaspoons per gallon", must(USTeaspoons(perGallon, 6.1)), 1, 0.01)
	if perGallon < GramsPerTeaspoon.Low || perGallon > GramsPerTeaspoon.High {
		t.Errorf("a teaspoon of %g g is outside the stated range", perGallon)
	}
	if _, err := USTeaspoons(1, 0); err == nil {
		t.Error("weightless teaspoon accepted")
	}
}

// 2.4 mS/cm reads 1200, 1536 and 1680 ppm: constants, so nothing is lost.
func TestMeterScales(t *testing.T) {
	for scale, want := range map[Scale]float64{MilliSiemens: 2.4, MicroSiemens: 2400, PPM500: 1200, PPM640: 1536, PPM700: 1680} {
		if got := must(scale.Reading(2.4)); got != want {
			t.Errorf("%v reads %v, want %v", scale, got, want)
		}
		if got := must(scale.ECmS(want)); got != 2.4 {
			t.Errorf("%v %v is %v mS/cm, want 2.4", want, scale, got)
		}
	}
	for text, want := range map[string]float64{
		"0.84 mS/cm": 0.84, "840 µS/cm": 0.84, "840 uS": 0.84, "588 ppm (700)": 0.84, "588 PPM700": 0.84, "1.2 dS/m": 1.2, "EC 1.2": -1,
	} {
		got, _, err := ParseReading(text)
		if want < 0 {
			if err == nil {
				t.Errorf("%q accepted as %g", text, got)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", text, err)
		}
		near(t, text, got, want, 1e-12)
	}
	if _, _, err := ParseReading("840 ppm"); !errors.Is(err, ErrScaleNotNamed) {
		t.Errorf("bare ppm: %v", err)
	}
	for _, text := range []string{"", "840", "mS/cm", "1.2.3 mS/cm", "1,2 mS/cm", "-1 mS/cm", "3 furlongs"} {
		if _, _, err := ParseReading(text); err == nil {
			t.Errorf("%q accepted", text)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		ec := rapid.Float64Range(0, 20).Draw(t, "mS/cm")
		scale := Scale(rapid.IntRange(0, len(scales)-1).Draw(t, "scale"))
		if back := must(scale.ECmS(must(scale.Reading(ec)))); math.Abs(back-ec) > 1e-14*(1+ec) {
			t.Fatalf("%v: %v comes back as %v", scale, ec, back)
		}
		text := must(scale.Format(ec))
		back, read, err := ParseReading(text)
		if err != nil || read != scale {
			t.Fatalf("%q: %v, %v", text, read, err)
		}
		// A written reading is rounded to its last digit: half of 1 ppm on the
		// coarsest scale.
		if math.Abs(back-ec) > 0.51/math.Min(1000, scales[scale].perMS)/math.Pow(10, float64(scales[scale].decimals)) {
			t.Fatalf("%q was %v", text, ec)
		}
	})
}

func TestUnitsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(0, 1000).Draw(t, "figure")
		for u := range HardnessUnit(len(hardnessUnits)) {
			if back := must(u.Figure(must(u.MgCaCO3(x)))); math.Abs(back-x) > 1e-12*(1+x) {
				t.Fatalf("%v: %v comes back as %v", u, x, back)
			}
		}
		for _, u := range []AlkalinityUnit{AlkalinityAsCaCO3, AlkalinityAsMeq, AlkalinityAsHCO3} {
			if back := must(u.Figure(must(u.MgCaCO3(x)))); math.Abs(back-x) > 1e-12*(1+x) {
				t.Fatalf("alkalinity unit %d: %v comes back as %v", u, x, back)
			}
		}
		if back := OuncesPer100USGallons(GramsPerLitreFromOunces(x)); math.Abs(back-x) > 1e-12*(1+x) {
			t.Fatalf("ounces: %v comes back as %v", x, back)
		}
		for i := range IonCount {
			c := must(FromMgPerL(map[Ion]float64{i: x}))
			if math.Abs(c.MgPerL(i)-x) > 1e-12*(1+x) {
				t.Fatalf("%v: %v mg/L comes back as %v", i, x, c.MgPerL(i))
			}
			if i.Charge() == 0 {
				continue
			}
			if c = must(FromMeqPerL(map[Ion]float64{i: x})); math.Abs(c.MeqPerL(i)-x) > 1e-12*(1+x) {
				t.Fatalf("%v: %v meq/L comes back as %v", i, x, c.MeqPerL(i))
			}
		}
	})
	for i := range IonCount {
		if got, err := ParseIon(i.String()); err != nil || got != i {
			t.Errorf("%v parses as %v, %v", i, got, err)
		}
	}
	if _, err := ParseIon("Xx"); err == nil {
		t.Error("unknown ion accepted")
	}
	if _, err := FromMgPerL(map[Ion]float64{IonCount: 1}); err == nil {
		t.Error("species beyond the list accepted")
	}
	if _, err := FromMeqPerL(map[Ion]float64{UreaN: 1}); err == nil {
		t.Error("meq of urea accepted")
	}
	if _, err := FromMgPerL(map[Ion]float64{Ca: -1}); err == nil {
		t.Error("negative concentration accepted")
	}
	if _, err := HardnessUnit(99).MgCaCO3(1); err == nil {
		t.Error("unknown hardness unit accepted")
	}
	if _, err := AlkalinityUnit(99).Figure(1); err == nil {
		t.Error("unknown alkalinity unit accepted")
	}
}
