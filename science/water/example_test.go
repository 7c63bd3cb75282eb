package water_test

import (
	"fmt"

	"velamen/science/water"
)

func Example() {
	// A hard mains water, stretched with reverse-osmosis water until the
	// alkalinity is mild, then fed to 0.5 mS/cm.
	mains, _ := water.FromMgPerL(map[water.Ion]float64{
		water.Ca: 100, water.Mg: 8, water.Na: 25, water.K: 3,
		water.HCO3: 237.4, water.Cl: 45, water.SO4: 60, water.NO3: 25,
	})
	pure := water.Ions{water.Na: 0.15, water.Cl: 0.15, water.HCO3: 0.10, water.Ca: 0.05}

	share, _ := water.ShareForAlkalinity(mains, pure, 40)
	base, _ := water.Blend(water.Part{Water: mains, Litres: share}, water.Part{Water: pure, Litres: 1 - share})
	baseEC, _ := base.ECmS()
	fmt.Printf("%.0f %% mains, %.2f mS/cm\n", 100*share, baseEC)

	feed := water.Label{NPercent: 13, P2O5Percent: 3, K2OPercent: 15, CaPercent: 8, MgPercent: 2}
	grams, _ := feed.GramsPerLitreForEC(base, 0.5)
	solution, _ := feed.AtGramsPerLitre(grams)
	fmt.Printf("%.2f g/L, %.0f ppm N\n", grams, solution.Elements.N)
	// Output:
	// 18 % mains, 0.16 mS/cm
	// 0.30 g/L, 39 ppm N
}

func ExampleIons_ECmS() {
	hoagland := water.Ions{water.K: 6, water.Ca: 5, water.Mg: 2, water.NO3: 15, water.H2PO4: 1, water.SO4: 2}
	paired, _ := hoagland.ECmS()
	free, _ := hoagland.FreeIonECmS()
	laboratory, _ := hoagland.StandardMethodECmS()
	fmt.Printf("%.2f mS/cm (%.2f without ion pairs; standard method %.2f)\n", paired, free, laboratory)
	// Output: 2.16 mS/cm (2.25 without ion pairs; standard method 1.95)
}

func ExampleIons_ChargeBalance() {
	// An analysis that forgot the bicarbonate.
	report, _ := water.FromMgPerL(map[water.Ion]float64{water.Ca: 60, water.Na: 20, water.Cl: 35, water.SO4: 30})
	b := report.ChargeBalance()
	fmt.Printf("%.1f against %.1f meq/L, off by %.0f %%\n", b.CationsMeqL, b.AnionsMeqL, b.ErrorPercent)
	// Output: 3.9 against 1.6 meq/L, off by 41 %
}

func ExampleLabel_AtGramsPerLitre() {
	feed := water.Label{NPercent: 20, NitratePercent: 6, AmmoniumPercent: 4, UreaPercent: 10, P2O5Percent: 20, K2OPercent: 20}
	solution, _ := feed.AtGramsPerLitre(1)
	e := solution.Elements
	fmt.Printf("N %.0f, P %.1f, K %.1f ppm\n", e.N, e.P, e.K)
	fmt.Println("sulphate assumed:", solution.Assumptions.Has(water.SulphateAssumed))
	// Output:
	// N 200, P 87.3, K 166.0 ppm
	// sulphate assumed: false
}

func ExampleLabel_GramsPerLitreForN() {
	feed := water.Label{NPercent: 13, P2O5Percent: 3, K2OPercent: 15}
	grams, _ := feed.GramsPerLitreForN(125)
	fmt.Printf("%.2f g/L, %.1f oz per 100 US gal\n", grams, water.OuncesPer100USGallons(grams))
	// Output: 0.96 g/L, 12.8 oz per 100 US gal
}

func ExampleDissolve() {
	epsom, _ := water.SaltByFormula("MgSO4·7H2O")
	c, _ := water.Dissolve(water.Portion{Salt: epsom, GramsPerLitre: 0.25})
	ec, _ := c.ECmS()
	fmt.Printf("Mg %.1f, S %.1f mg/L, %.2f mS/cm\n", c.Elements().Mg, c.Elements().S, ec)
	// Output: Mg 24.7, S 32.5 mg/L, 0.22 mS/cm
}

func ExampleShareForEC() {
	mains := water.Ions{water.Ca: 2.5, water.Na: 1, water.HCO3: 4, water.Cl: 2}
	rain := water.Ions{water.Na: 0.05, water.Cl: 0.05}
	share, err := water.ShareForEC(mains, rain, 0.2)
	fmt.Printf("%.3f %v\n", share, err)
	_, err = water.ShareForEC(mains, rain, 0.9)
	fmt.Println(err)
	// Output:
	// 0.306 <nil>
	// water: conductivity of the blend 0.9 mS/cm is outside 0.00628826 to 0.612071 mS/cm
}

func ExampleAcid_DoseToAlkalinity() {
	mains := water.Ions{water.Ca: 1.5, water.HCO3: 3}
	nitric, _ := water.NitricAcid(60, 1.37)
	dose, _ := nitric.DoseToAlkalinity(mains, 60)
	fmt.Printf("%.2f mL/L, adds %.0f ppm N\n", dose.MillilitresPL, dose.Added.N)
	fmt.Println("acid into water:", dose.Cautions.Has(water.AcidIntoWater))
	// Output:
	// 0.14 mL/L, adds 25 ppm N
	// acid into water: true
}

func ExampleEstimateIons() {
	hardness, _ := water.GermanDegrees.MgCaCO3(16)
	e, _ := water.EstimateIons(0.70, hardness, 195)
	fmt.Printf("Ca %.0f (%.0f to %.0f) mg/L\n", e.Ions.MgPerL(water.Ca), e.Low.MgPerL(water.Ca), e.High.MgPerL(water.Ca))
	// A meter in ppm taken for µS/cm shows at once.
	e, _ = water.EstimateIons(0.35, hardness, 195)
	fmt.Println("contradictory:", e.Contradictory)
	// Output:
	// Ca 91 (69 to 106) mg/L
	// contradictory: true
}

func ExampleParseReading() {
	ec, _, err := water.ParseReading("588 ppm (700)")
	fmt.Println(ec, err)
	_, _, err = water.ParseReading("588 ppm")
	fmt.Println(err)
	// Output:
	// 0.84 <nil>
	// water: ppm is not one scale: say ppm (500), ppm (640) or ppm (700)
}

func ExampleEC25NaturalWater() {
	// An uncompensated pen in water of 15 °C.
	ec, _ := water.EC25NaturalWater(0.80, 15)
	fmt.Printf("%.2f mS/cm at 25 °C\n", ec)
	// Output: 1.00 mS/cm at 25 °C
}

func ExampleMembrane_LitresPerDay() {
	unit := water.Membrane{RatedLitresPerDay: 190, RatedBar: 4.1}
	day, _ := unit.LitresPerDay(12, 3.5, 400)
	fmt.Printf("%.0f L/day (%.0f to %.0f)\n", day.Value, day.Low, day.High)
	// Output: 101 L/day (88 to 109)
}

func ExampleDrainageECmS() {
	lf, _ := water.LeachingFraction(60, 340)
	ec, _ := water.DrainageECmS(0.5, lf)
	fmt.Printf("leaching fraction %.2f, drainage about %.1f mS/cm (%.1f to %.1f)\n", lf, ec.Value, ec.Low, ec.High)
	// Output: leaching fraction 0.15, drainage about 3.3 mS/cm (2.3 to 3.8)
}
