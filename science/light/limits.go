package light

import "velamen/science/basis"

// within reports a value outside its allowed range; not-a-number is outside
// of every range.
func within(quantity string, value, low, high float64, unit string) error {
	return basis.Within("light", quantity, value, low, high, unit)
}

// Upper limits of the four units. They lie above anything a plant is grown
// under, and far enough apart that every valid PPFD has a valid figure in the
// three other units: 4000 µmol is 588,800 lx at the largest possible lux
// factor and 345.6 mol in 24 hours.
const (
	maxPPFD       = 4000
	maxLux        = 600_000
	maxFootCandle = 60_000
	maxDLI        = 350
)

func checkPPFD(ppfd float64) error { return within("PPFD", ppfd, 0, maxPPFD, "µmol m⁻² s⁻¹") }

func checkLux(lux float64) error { return within("illuminance", lux, 0, maxLux, "lx") }

func checkFootCandles(fc float64) error {
	return within("illuminance", fc, 0, maxFootCandle, "fc")
}

func checkDLI(dli float64) error {
	return within("daily light integral", dli, 0, maxDLI, "mol m⁻² day⁻¹")
}

func checkHours(hours float64) error { return within("hours of light", hours, 0, 24, "h") }

func checkLatitude(latDeg float64) error { return within("latitude", latDeg, -90, 90, "°") }

func checkDayOfYear(day int) error { return within("day of year", float64(day), 1, 366, "d") }

func checkElevation(elevationM float64) error {
	return within("elevation above sea level", elevationM, -430, 6000, "m")
}

func checkAlbedo(albedo float64) error { return within("albedo", albedo, 0, 1, "(share)") }
