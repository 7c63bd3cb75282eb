package casefile

import (
	"velamen/internal/care"
	"velamen/science/water"
)

// The kinds of quantity with every unit they may be written in. Factors that
// the water chapter knows are taken from there; the others are definitions
// (inch, foot, °F: NIST Handbook 44, Appendix C, from memory).
var (
	temperature = kind{name: "a temperature", unit: "°C", class: "temperature", units: []unit{
		{symbol: "°C", also: []string{"celsius", "degc"}, factor: 1, shows: "C"},
		{symbol: "°F", also: []string{"fahrenheit", "degf"}, factor: 1 / 1.8, zero: 32, shows: "F"},
	}}

	percentage = kind{name: "a percentage", unit: "%", units: []unit{
		{symbol: "%", also: []string{"percent", "%rh", "rh", "%rf"}, factor: 1},
	}}

	footCandles = kind{name: "a light level", unit: string(care.FootCandle), class: "light", whole: true, units: []unit{
		{symbol: "fc", also: []string{"ftc", "ft-c", "footcandle", "footcandles", "foot-candle", "foot-candles"}, factor: 1, shows: "fc"},
	}}
	luxes = kind{name: "a light level", unit: string(care.Lux), class: "light", whole: true, units: []unit{
		{symbol: "lx", also: []string{"lux"}, factor: 1, shows: "lx"},
	}}
	kiloluxes = kind{name: "a light level", unit: string(care.Lux), class: "light", units: []unit{
		{symbol: "klx", also: []string{"klux"}, factor: 1000, shows: "lx"},
	}}
	photonFlux = kind{name: "a light level", unit: string(care.PPFD), class: "light", units: []unit{
		{symbol: "µmol/m²/s", also: []string{"umol", "ppfd", "umolppfd", "umol/s/m2", "umol/(m2s)", "umolm-2s-1"}, factor: 1, shows: "ppfd"},
	}}
	dailyLight = kind{name: "a daily light sum", unit: string(care.DLI), class: "light", units: []unit{
		{symbol: "mol/m²/day", also: []string{"mol", "dli", "moldli", "mol/day", "mol/d", "mol/m2/d", "mol/m2day", "mol/(m2d)", "molm-2d-1"}, factor: 1, shows: "dli"},
	}}

	conductivity = kind{name: "a conductivity", unit: "mS/cm", class: "salt", units: []unit{
		{symbol: "mS/cm", also: []string{"ms", "ds/m", "mmho/cm"}, factor: 1, shows: "EC"},
		{symbol: "µS/cm", also: []string{"us", "umho/cm"}, factor: 1.0 / 1000, shows: "EC"},
		{symbol: "mS/m", factor: 1.0 / 100, shows: "EC"},
		{symbol: "ppm (500)", also: []string{"ppm500"}, factor: 1.0 / 500, shows: "ppm500"},
		{symbol: "ppm (640)", also: []string{"ppm640"}, factor: 1.0 / 640, shows: "ppm640"},
		{symbol: "ppm (700)", also: []string{"ppm700"}, factor: 1.0 / 700, shows: "ppm700"},
	}, vague: map[string]string{
		"ppm": `meters turn conductivity into ppm by three different factors; write the one yours uses, as in "180 ppm (500)", "180 ppm (640)" or "180 ppm (700)"`,
	}}

	hardness = kind{name: "a hardness", unit: "mg/L CaCO3", units: []unit{
		{symbol: "mg/L CaCO3", also: []string{"ppmcaco3"}, factor: 1},
		{symbol: "°dH", also: []string{"dgh", "gh"}, factor: perHardness(water.GermanDegrees)},
		{symbol: "°fH", factor: perHardness(water.FrenchDegrees)},
		{symbol: "°Clark", also: []string{"e"}, factor: perHardness(water.ClarkDegrees)},
		{symbol: "gpg", also: []string{"grains/gal", "gr/gal"}, factor: perHardness(water.USGrains)},
		{symbol: "mmol/L", factor: perHardness(water.HardnessAsMmol)},
	}, vague: map[string]string{
		"mg/l": `mg/L of what? Write "210 mg/L CaCO3"`,
		"ppm":  `ppm of what? Write "210 ppm CaCO3"`,
	}}

	alkalinity = kind{name: "an alkalinity", unit: "mg/L CaCO3", units: []unit{
		{symbol: "mg/L CaCO3", also: []string{"ppmcaco3"}, factor: 1},
		{symbol: "meq/L", also: []string{"mval/l", "mmol/lhco3"}, factor: perAlkalinity(water.AlkalinityAsMeq)},
		{symbol: "mg/L HCO3", also: []string{"ppmhco3", "mg/lhco3-"}, factor: perAlkalinity(water.AlkalinityAsHCO3)},
		{symbol: "°dKH", also: []string{"kh", "dh"}, factor: perHardness(water.GermanDegrees)},
	}, vague: map[string]string{
		"mg/l":   `mg/L of what? Write "150 mg/L CaCO3" or "183 mg/L HCO3"`,
		"ppm":    `ppm of what? Write "150 ppm CaCO3" or "183 ppm HCO3"`,
		"mmol/l": `write "3 meq/L" or "3 mmol/L HCO3"`,
	}}

	length = kind{name: "a length", unit: "cm", class: "length", units: []unit{
		{symbol: "cm", factor: 1, shows: "cm"},
		{symbol: "mm", factor: 0.1, shows: "cm"},
		{symbol: "m", factor: 100, shows: "cm"},
		{symbol: "in", also: []string{"inch", "inches"}, factor: 2.54, shows: "in"},
		{symbol: "ft", also: []string{"foot", "feet"}, factor: 30.48, shows: "in"},
	}}
	height = kind{name: "a length", unit: "m", whole: true, units: []unit{
		{symbol: "m", factor: 1},
		{symbol: "ft", also: []string{"foot", "feet"}, factor: 0.3048},
	}}
	area = kind{name: "an area", unit: "cm²", units: []unit{
		{symbol: "cm²", factor: 1},
		{symbol: "mm²", factor: 0.01},
		{symbol: "m²", factor: 10_000},
		{symbol: "in²", also: []string{"sqin"}, factor: 2.54 * 2.54},
	}}

	hours = kind{name: "a length of time", unit: "h", units: []unit{
		{symbol: "h", also: []string{"hr", "hrs", "hour", "hours"}, factor: 1},
		{symbol: "min", also: []string{"minute", "minutes"}, factor: 1.0 / 60},
		{symbol: "d", also: []string{"day", "days"}, factor: 24},
		{symbol: "weeks", also: []string{"week", "wk"}, factor: 24 * 7},
	}}
	days = kind{name: "a length of time", unit: "days", units: []unit{
		{symbol: "days", also: []string{"d", "day"}, factor: 1},
		{symbol: "h", also: []string{"hr", "hrs", "hour", "hours"}, factor: 1.0 / 24},
		{symbol: "weeks", also: []string{"week", "wk"}, factor: 7},
		{symbol: "min", also: []string{"minute", "minutes"}, factor: 1.0 / (24 * 60)},
	}}

	feedMass = kind{name: "a strength of feed", unit: "g/L", units: []unit{
		{symbol: "g/L", factor: 1},
		{symbol: "g/10 L", factor: 0.1},
		{symbol: "g/gal", factor: 1 / water.LitresPerUSGallon},
		{symbol: "oz/100 gal", factor: water.GramsPerLitreFromOunces(1)},
		{
			symbol: "tsp/gal", also: []string{"teaspoon/gal", "teaspoons/gal", "tsp/gallon"},
			factor: water.GramsPerTeaspoon.Value / water.LitresPerUSGallon, about: &water.GramsPerTeaspoon,
		},
	}, vague: map[string]string{
		"ml/l":   `millilitres weigh differently in each feed; weigh them, and write "1 g/L"`,
		"tsp/l":  `write teaspoons per gallon, as in "0.5 tsp/gal", or better weigh the spoonful and write "1 g/L"`,
		"tbsp/g": `write teaspoons per gallon, as in "0.5 tsp/gal", or better weigh the spoonful and write "1 g/L"`,
		"ppm":    `ppm of what? Write "125 ppm N" for nitrogen, or "550 ppm (500)" for what a meter shows`,
		"mg/l":   `mg/L of what? Write "125 mg/L N" for nitrogen, or grams of feed as "1 g/L"`,
	}}
	feedNitrogen = kind{name: "a strength of feed", unit: "ppm N", units: []unit{
		{symbol: "ppm N", also: []string{"mg/ln"}, factor: 1},
	}}

	density = kind{name: "a density", unit: "kg/L", units: []unit{
		{symbol: "kg/L", also: []string{"g/ml", "g/cm3"}, factor: 1},
	}}

	ionMass = kind{name: "a concentration", unit: "mg/L", units: []unit{
		{symbol: "mg/L", also: []string{"ppm"}, factor: 1},
		{symbol: "µg/L", also: []string{"ppb"}, factor: 1.0 / 1000},
	}}
	ionAmount = kind{name: "a concentration", unit: "mmol/L", units: []unit{
		{symbol: "mmol/L", also: []string{"mm"}, factor: 1},
	}}
	ionCharge = kind{name: "a concentration", unit: "meq/L", units: []unit{
		{symbol: "meq/L", also: []string{"mval/l"}, factor: 1},
	}}
)

// kinds lists them for messages about a unit of another kind. Kinds that share
// a unit name it by the first.
var kinds = []*kind{
	&temperature, &percentage, &footCandles, &luxes, &kiloluxes, &photonFlux, &dailyLight, &conductivity,
	&hardness, &alkalinity, &length, &area, &hours, &days, &feedMass, &feedNitrogen, &density, &ionMass, &ionAmount, &ionCharge,
}

func perHardness(u water.HardnessUnit) float64 {
	mgCaCO3, err := u.MgCaCO3(1)
	return known(mgCaCO3, err)
}

func perAlkalinity(u water.AlkalinityUnit) float64 {
	mgCaCO3, err := u.MgCaCO3(1)
	return known(mgCaCO3, err)
}

// known is for conversions of the water chapter's own units, which cannot fail.
func known(factor float64, err error) float64 {
	if err != nil {
		panic(err)
	}
	return factor
}
