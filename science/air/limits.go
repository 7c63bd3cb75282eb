package air

import "fmt"

// Limits of a State. The temperatures span any place where a plant is grown or
// a window faces winter; the pressures span altitudes from −700 m to 5700 m.
const (
	LowestAirC         = -40.0
	HighestAirC        = 60.0
	LowestPressureKPa  = 50.0
	HighestPressureKPa = 110.0
)

// RangeError tells which quantity lay outside its allowed range. The range may
// depend on the other inputs: a dew point, for one, cannot exceed the air
// temperature.
type RangeError struct {
	Quantity  string
	Value     float64
	Low, High float64
	Unit      string
}

// Error names the quantity, its value and the allowed range.
func (e *RangeError) Error() string {
	return fmt.Sprintf("air: %s %.6g %s lies outside %.6g to %.6g %s",
		e.Quantity, e.Value, e.Unit, e.Low, e.High, e.Unit)
}

// within returns an error unless low ≤ value ≤ high. NaN lies outside any range.
func within(quantity string, value, low, high float64, unit string) error {
	if value >= low && value <= high {
		return nil
	}
	return &RangeError{Quantity: quantity, Value: value, Low: low, High: high, Unit: unit}
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
