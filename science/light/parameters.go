package light

import (
	"math"

	"velamen/science/basis"
)

// This file holds every figure of the chapter that is not exact. Where a
// source gives a figure but no range, the range is ours and the entry says so.

const (
	thimijan = "Thimijan & Heins 1983, HortScience 18:818–822, as quoted on the Bionet plant-education list, October 2001"
	// Two published sets of factors differ by 2 to 7 %.
	sevenPercent = "; ±7 % is the difference between published sets"
)

// luxPerPPFD, lx per µmol m⁻² s⁻¹.
var luxPerPPFD = [...]basis.Value{
	Sun:                  plusMinus(54, 0.07, luxFactorUnit, basis.Published, thimijan+sevenPercent),
	BlueSky:              plusMinus(52, 0.07, luxFactorUnit, basis.Published, thimijan+sevenPercent),
	CoolWhiteFluorescent: plusMinus(74, 0.07, luxFactorUnit, basis.Published, thimijan+sevenPercent),
	HighPressureSodium:   plusMinus(82, 0.07, luxFactorUnit, basis.Published, thimijan+sevenPercent),
	LowPressureSodium: plusMinus(106, 0.07, luxFactorUnit, basis.Published,
		"9.85 fc per µmol, Apogee Instruments, conversion of PPF to foot-candles"+sevenPercent),
	MetalHalide:  plusMinus(71, 0.07, luxFactorUnit, basis.Published, thimijan+sevenPercent),
	Incandescent: plusMinus(50, 0.07, luxFactorUnit, basis.Published, thimijan+sevenPercent),
	WhiteLED: plusMinus(67, 0.12, luxFactorUnit, basis.FromMemory,
		"typical blue-and-phosphor lamps 62 to 72; ±12 % with the meter's own error"),
}

// quantaPerJoule of PAR, µmol/J.
var quantaPerJoule = [...]basis.Value{
	Sun:                  plusMinus(4.57, 0.02, "µmol/J", basis.Published, thimijan+"; range assumed"),
	BlueSky:              plusMinus(4.24, 0.02, "µmol/J", basis.Published, thimijan+"; range assumed"),
	CoolWhiteFluorescent: plusMinus(4.59, 0.02, "µmol/J", basis.Published, thimijan+"; range assumed"),
	HighPressureSodium:   plusMinus(4.98, 0.02, "µmol/J", basis.Published, thimijan+"; range assumed"),
	// 589 nm light has 589 × 0.0083593 µmol/J; a lamp has weak lines beside it.
	LowPressureSodium: basis.Assumed(4.92, 4.85, 5.0, "µmol/J"),
	MetalHalide:       plusMinus(4.59, 0.02, "µmol/J", basis.Published, thimijan+"; range assumed"),
	Incandescent:      plusMinus(5.0, 0.02, "µmol/J", basis.Published, thimijan+"; range assumed"),
	// Between daylight and sodium; cold white lies low, warm white high.
	WhiteLED: basis.Assumed(4.65, 4.4, 5.0, "µmol/J"),
}

// parShare is the PAR part of the energy of global radiation.
var parShare = basis.Value{Value: 0.454, Low: 0.409, High: 0.477, Unit: "1", Grade: basis.Published,
	Source: "0.451 to 0.456 by season in daily data (Theor. Appl. Climatol. 2002, doi 10.1007/s00704-002-0685-5); range 0.409 to 0.477 is the world's (a later global survey)"}

// nearInfraredPerPAR is the shortwave energy outside PAR (nearly all of it
// near infra-red) per energy of PAR.
var nearInfraredPerPAR = [...]basis.Value{
	// The complement of parShare, end against end.
	Sun: {Value: (1 - parShare.Value) / parShare.Value, Low: (1 - parShare.High) / parShare.High,
		High: (1 - parShare.Low) / parShare.Low, Unit: "1", Grade: basis.Published, Source: parShare.Source},
	BlueSky:              basis.Assumed(0.4, 0.2, 0.8, "1"),
	CoolWhiteFluorescent: basis.Assumed(0.1, 0, 0.3, "1"),
	HighPressureSodium:   basis.Assumed(0.6, 0.3, 1.2, "1"),
	LowPressureSodium:    basis.Assumed(0.2, 0, 0.6, "1"),
	MetalHalide:          basis.Assumed(0.5, 0.2, 1.2, "1"),
	// A black body at 2856 K has 12.4 between 700 and 3000 nm and one at 3200 K
	// 7.6, computed independently from Planck's law; tungsten shines less in
	// the infra-red than a black body.
	Incandescent: basis.Assumed(9, 5.5, 12.5, "1"),
	WhiteLED:     basis.Assumed(0, 0, 0.05, "1"),
}

// Absorptance of a whole green leaf. Thick leaves of orchids lie towards the
// upper end of both.
var (
	leafAbsorptancePAR = basis.Assumed(0.85, 0.78, 0.93, "1")
	leafAbsorptanceNIR = basis.Assumed(0.30, 0.15, 0.50, "1")
)

// clearDayMeanPerPeak is the mean of a clear day over its peak, exactly 2/π
// for a half sine. The range is that of a level surface above the atmosphere
// for day lengths between 18 h (0.59) and 6 h (0.66), computed independently
// from FAO-56 Eq. 21.
var clearDayMeanPerPeak = basis.Value{Value: 2 / math.Pi, Low: 0.59, High: 0.66, Unit: "1", Grade: basis.Assumption,
	Source: "half-sine day; range for day lengths of 6 to 18 h"}

// ppfdPerGlobal, µmol of PAR per joule of global radiation.
var ppfdPerGlobal = basis.Value{Value: 2.04, Low: 1.86, High: 2.20, Unit: "µmol/J", Grade: basis.Published,
	Source: "our choice between 0.454 × 4.55 µmol/J = 2.06 (Agric. For. Meteorol. 2023, doi 10.1016/j.agrformet.2023.109832, for 4.55) and 107 lm/W ÷ 54 = 1.98 (Littlefair 1988; Thimijan & Heins 1983); range of the published shares and ±8 %"}

// lumensPerWatt is the luminous efficacy of clear-sky global radiation.
var lumensPerWatt = basis.Value{Value: 107, Low: 95, High: 120, Unit: "lm/W", Grade: basis.Published,
	Source: "Littlefair 1988, Lighting Res. Technol. (109 for average skies); range assumed for low sun and overcast"}

// Ångström's coefficients, FAO-56 Eq. 35, where none have been fitted.
var (
	angstromA = basis.Value{Value: 0.25, Low: 0.20, High: 0.30, Unit: "1", Grade: basis.Published, Source: "FAO-56 ch. 3, Eq. 35; range assumed"}
	angstromB = basis.Value{Value: 0.50, Low: 0.45, High: 0.55, Unit: "1", Grade: basis.Published, Source: "FAO-56 ch. 3, Eq. 35; range assumed"}
)

// Clear-sky share of the extraterrestrial radiation, FAO-56 Eq. 37.
var (
	clearSkyShare       = basis.Value{Value: 0.75, Low: 0.70, High: 0.80, Unit: "1", Grade: basis.Published, Source: "FAO-56 ch. 3, Eq. 37; range assumed for haze and dry air"}
	clearSkySharePerM   = basis.Exactly(2e-5, "1/m", basis.Published, "FAO-56 ch. 3, Eq. 37")
	temperatureInterior = basis.Value{Value: 0.16, Low: 0.14, High: 0.18, Unit: "K^-0.5", Grade: basis.Published, Source: "FAO-56 ch. 3, Eq. 50, interior; range assumed"}
	temperatureCoastal  = basis.Value{Value: 0.19, Low: 0.17, High: 0.21, Unit: "K^-0.5", Grade: basis.Published, Source: "FAO-56 ch. 3, Eq. 50, coastal; range assumed"}
)

// groundAlbedo is that of grass; soil 0.1 to 0.2 and concrete 0.2 to 0.35.
var groundAlbedo = basis.Value{Value: 0.23, Low: 0.10, High: 0.35, Unit: "1", Grade: basis.Published,
	Source: "FAO-56 ch. 3, Eq. 38, reference grass; range over soil and concrete from memory"}

const panelNote = "; clean panel at normal incidence, low end assumed for dirt, angle and age"

// coverTransmission, share of PAR passed.
var coverTransmission = [...]basis.Value{
	SingleGlass:        {Value: 0.88, Low: 0.75, High: 0.90, Unit: "1", Grade: basis.Published, Source: "3 mm glass, greenhouse makers' association text on a glazing dealer's page" + panelNote},
	DoubleGlass:        {Value: 0.77, Low: 0.65, High: 0.80, Unit: "1", Grade: basis.Published, Source: "two panes of 3 mm, greenhouse makers' association text on a glazing dealer's page; up to 0.80 on another" + panelNote},
	LowEDoubleGlass:    {Value: 0.70, Low: 0.65, High: 0.75, Unit: "1", Grade: basis.FromMemory, Source: "glazing makers' data"},
	Acrylic:            {Value: 0.85, Low: 0.70, High: 0.87, Unit: "1", Grade: basis.Published, Source: "impact-modified acrylic, greenhouse makers' association text on a glazing dealer's page" + panelNote},
	TwinWallPolycarb:   {Value: 0.85, Low: 0.70, High: 0.90, Unit: "1", Grade: basis.Published, Source: "0.80 to 0.90 on a greenhouse maker's page" + panelNote},
	TripleWallPolycarb: {Value: 0.75, Low: 0.62, High: 0.77, Unit: "1", Grade: basis.Published, Source: "a greenhouse maker's page" + panelNote},
	FiveWallPolycarb:   {Value: 0.50, Low: 0.42, High: 0.52, Unit: "1", Grade: basis.Published, Source: "25 mm, a greenhouse maker's page" + panelNote},
	WholeGreenhouse:    {Value: 0.62, Low: 0.50, High: 0.75, Unit: "1", Grade: basis.FromMemory, Source: "cover and frame together, greenhouse handbooks"},
	InsectScreen:       {Value: 0.80, Low: 0.70, High: 0.90, Unit: "1", Grade: basis.FromMemory, Source: "screen makers' data"},
	SheerCurtain:       {Value: 0.45, Low: 0.30, High: 0.60, Unit: "1", Grade: basis.FromMemory, Source: "daylighting handbooks"},
	ShadeCloth:         {}, // by its rating, see shadeClothError
}

// shadeClothError is how far a cloth's rating may be off, in shares of full
// light, for weave, stretch and angle.
var shadeClothError = basis.Assumed(0, -0.05, 0.05, "1")

const illinois = "University of Illinois Extension, Houseplants: light"

// windowFC are bright-day levels beside windows, foot-candles. Sources differ
// 5:1 at the sunniest pane, so each range reaches to the neighbouring level.
var windowFC = [...]basis.Value{
	belowLow:    basis.Assumed(30, 5, 75, "fc"),
	lowLight:    {Value: 75, Low: 25, High: 150, Unit: "fc", Grade: basis.Published, Source: illinois + "; low light is 25 to 100 fc in University of Maryland Extension, Lighting indoor plants"},
	mediumLight: {Value: 150, Low: 75, High: 300, Unit: "fc", Grade: basis.Published, Source: illinois + "; range to the neighbouring levels"},
	highLight:   {Value: 300, Low: 150, High: 1000, Unit: "fc", Grade: basis.Published, Source: illinois + "; a bright window about 1000 fc in Phalaenopsis Journal, third quarter 2011"},
	directLight: {Value: 1500, Low: 1000, High: 5000, Unit: "fc", Grade: basis.Published, Source: illinois + "; about 5000 fc in New York Botanical Garden, Vanda guide"},
}

func plusMinus(value, share float64, unit string, grade basis.Grade, source string) basis.Value {
	return basis.Value{Value: value, Low: value * (1 - share), High: value * (1 + share), Unit: unit, Grade: grade, Source: source}
}
