package water

// Volumes and masses of the kitchen and the trade. All but the teaspoon of the
// United Kingdom are exact by definition (NIST Handbook 44, Appendix C, from
// memory).
const (
	LitresPerUSGallon                = 3.785411784
	LitresPerImperialGallon          = 4.54609
	MillilitresPerUSFluidOunce       = 29.5735295625
	MillilitresPerImperialFluidOunce = 28.4130625
	MillilitresPerUSTeaspoon         = 4.92892159375
	MillilitresPerMetricTeaspoon     = 5.0
	GramsPerOunce                    = 28.349523125
	mgPerGrain                       = 64.79891
	gramsPerLitrePerOzPer100Gallon   = GramsPerOunce / (100 * LitresPerUSGallon)
)

// OuncesPer100USGallons returns the ounces to dissolve in 100 US gallons for a
// strength in g/L. One ounce is 0.0749 g/L, from which the trade's rule
// oz = ppm/(0.75·percent) comes.
func OuncesPer100USGallons(gramsPerLitre float64) float64 {
	return gramsPerLitre / gramsPerLitrePerOzPer100Gallon
}

// GramsPerLitreFromOunces returns the strength of so many ounces in 100 US
// gallons.
func GramsPerLitreFromOunces(ouncesPer100USGallons float64) float64 {
	return ouncesPer100USGallons * gramsPerLitrePerOzPer100Gallon
}

// USTeaspoons returns the level US teaspoons that hold a mass of feed. A
// spoonful of powder holds about 6 g, of which GramsPerTeaspoon gives the
// range; weigh one once.
func USTeaspoons(grams, gramsPerTeaspoon float64) (float64, error) {
	if err := within("mass of feed", grams, 0, 1e6, "g"); err != nil {
		return 0, err
	}
	if err := within("mass of a teaspoonful", gramsPerTeaspoon, 1, 20, "g"); err != nil {
		return 0, err
	}
	return grams / gramsPerTeaspoon, nil
}

// StockGramsPerLitre returns the strength of the concentrate for an injector
// that makes ratio litres of solution from one litre of concentrate: a 1:100
// injector adds 99 parts of water and wants concentrate 100 times as strong.
func StockGramsPerLitre(gramsPerLitre, ratio float64) (float64, error) {
	if err := within("strength", gramsPerLitre, 0, 1000, "g/L"); err != nil {
		return 0, err
	}
	if err := within("injector ratio", ratio, 1, 1000, "to 1"); err != nil {
		return 0, err
	}
	return gramsPerLitre * ratio, nil
}
