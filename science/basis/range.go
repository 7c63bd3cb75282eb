package basis

import "fmt"

// RangeError tells which quantity lay outside its allowed range. The range may
// depend on other inputs: a dew point, for one, cannot exceed the air
// temperature.
type RangeError struct {
	Chapter   string // the package that refused it
	Quantity  string // in words
	Value     float64
	Low, High float64 // allowed range, ends included
	Unit      string  // of all three figures; empty for a pure number
}

// Error names the quantity, its value and the allowed range.
func (e *RangeError) Error() string {
	unit := e.Unit
	if unit != "" {
		unit = " " + unit
	}
	return fmt.Sprintf("%s: %s %.6g%s is outside %.6g to %.6g%s", e.Chapter, e.Quantity, e.Value, unit, e.Low, e.High, unit)
}

// Within returns a *RangeError unless low ≤ value ≤ high. NaN lies outside any
// range.
func Within(chapter, quantity string, value, low, high float64, unit string) error {
	if value >= low && value <= high {
		return nil
	}
	return &RangeError{Chapter: chapter, Quantity: quantity, Value: value, Low: low, High: high, Unit: unit}
}
