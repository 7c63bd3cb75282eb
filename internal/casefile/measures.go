package casefile

// What each key may hold, with the limits beyond which a slip of the pen is
// certain. The limits are wide; whether a value is good for a plant is not
// judged here.
var (
	airTemperature = one(`a temperature in °C or °F`, `"28 °C"`,
		quantity{kind: &temperature, subject: "the air of a growing space", low: -20, high: 55, slip: "was °F meant?"})
	temperatureRange = one(`the night and day temperature`, `"15 to 28 °C"`, airTemperature.any[0])

	humidity = one(`a relative humidity in %`, `"45 %"`,
		quantity{kind: &percentage, subject: "a relative humidity", low: 1, high: 100})
	humidityRange = one(`the day and night humidity`, `"40 to 70 %"`, humidity.any[0])

	lightLevel = measure{`a light level in fc, lx, µmol or mol/day`, `"1200 fc"`, []quantity{
		{kind: &footCandles, subject: "light at the leaves", low: 1, high: 15_000, slip: "was lx meant?"},
		{kind: &luxes, subject: "light at the leaves", low: 10, high: 160_000},
		{kind: &kiloluxes, subject: "light at the leaves", low: 10, high: 160_000},
		{kind: &photonFlux, subject: "light at the leaves", low: 0.2, high: 2_500},
		{kind: &dailyLight, subject: "a day's light at the leaves", low: 0.02, high: 70},
	}}
	clothRating = one(`the share of light that the cloth blocks`, `"50 %"`,
		quantity{kind: &percentage, subject: "the rating of shade cloth", low: 1, high: 99})
	lampHours = one(`a number of hours of lamp light in a day`, `"14 h"`,
		quantity{kind: &hours, subject: "a day's lamp light", low: 0.25, high: 24})

	sourceEC = one(`a conductivity in mS/cm, µS/cm or ppm with its scale`, `"0.35 mS/cm"`,
		quantity{kind: &conductivity, subject: "the EC of a source water", low: 0, high: 10, slip: "was µS/cm meant?"})
	waterHardness = one(`a hardness in mg/L CaCO3, °dH, °fH or gpg`, `"210 mg/L CaCO3"`,
		quantity{kind: &hardness, subject: "the hardness of a water", low: 0, high: 2_000})
	waterAlkalinity = one(`an alkalinity in mg/L CaCO3, meq/L or mg/L HCO3`, `"150 mg/L CaCO3"`,
		quantity{kind: &alkalinity, subject: "the alkalinity of a water", low: 0, high: 1_500})
	feedStrength = measure{`a strength as grams of feed, nitrogen or EC`, `"1 g/L", "125 ppm N" or "1.1 mS/cm"`, []quantity{
		{kind: &feedMass, subject: "the strength of a feed", low: 0, high: 20},
		{kind: &feedNitrogen, subject: "the nitrogen in a feed", low: 0, high: 1_000},
		{kind: &conductivity, subject: "the EC of a feed", low: 0, high: 10, slip: "was µS/cm meant?"},
	}}
	feedDensity = one(`a density`, `"1.25 kg/L"`,
		quantity{kind: &density, subject: "a liquid feed", low: 0.8, high: 2})
	interval = one(`a time between`, `"7 days"`,
		quantity{kind: &days, subject: "the time between two waterings or feeds", low: 0.1, high: 366})

	potMeasure = one(`a length in cm, mm or in`, `"12 cm"`,
		quantity{kind: &length, subject: "a pot", low: 1, high: 150, slip: "was mm meant?"})
	mountMeasure = one(`a width and a height`, `"15 x 8 cm"`,
		quantity{kind: &length, subject: "a mount", low: 1, high: 300, slip: "was mm meant?"})
	mossDepth = one(`a thickness in cm, mm or in`, `"1 cm"`,
		quantity{kind: &length, subject: "a pad of moss", low: 0, high: 30, slip: "was mm meant?"})
	leafMeasure = one(`a length in cm, mm or in`, `"22 cm"`,
		quantity{kind: &length, subject: "a leaf", low: 0.1, high: 300, slip: "was mm meant?"})
	leafArea = one(`an area in cm² or in²`, `"500 cm2"`,
		quantity{kind: &area, subject: "the leaf area of a plant", low: 0.1, high: 100_000})
	soakTime = one(`a length of time`, `"12 h"`,
		quantity{kind: &hours, subject: "a soak", low: 0, high: 720})
	altitude = one(`a height above the sea`, `"120 m"`,
		quantity{kind: &height, subject: "where orchids are grown", low: -430, high: 5_000, slip: "was ft meant?"})
)
