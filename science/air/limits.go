package air

import "velamen/science/basis"

// Limits of a State. The temperatures span any place where a plant is grown or
// a window faces winter; the pressures span altitudes from −700 m to 5700 m.
const (
	LowestAirC         = -40.0
	HighestAirC        = 60.0
	LowestPressureKPa  = 50.0
	HighestPressureKPa = 110.0
)

// RangeError tells which quantity lay outside its allowed range.
type RangeError = basis.RangeError

// within returns an error unless low ≤ value ≤ high. NaN lies outside any range.
func within(quantity string, value, low, high float64, unit string) error {
	return basis.Within("air", quantity, value, low, high, unit)
}

func checkAirC(airC float64) error {
	return within("air temperature", airC, LowestAirC, HighestAirC, "°C")
}

func checkLeafC(leafC float64) error {
	return within("leaf temperature", leafC, LowestAirC, HighestAirC, "°C")
}

func checkPressureKPa(pressureKPa float64) error {
	return within("air pressure", pressureKPa, LowestPressureKPa, HighestPressureKPa, "kPa")
}

func checkRHPercent(quantity string, rhPercent float64) error {
	return within(quantity, rhPercent, 0, 100, "%")
}
