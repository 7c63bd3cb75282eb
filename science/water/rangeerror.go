package water

import "fmt"

// RangeError reports a quantity outside the range in which this package can
// answer.
type RangeError struct {
	Quantity  string  // what was out of range, in words
	Value     float64 // the value asked for
	Low, High float64 // the allowed range, ends included
	Unit      string  // unit of all three figures
}

// Error states the quantity, its value and the allowed range.
func (e *RangeError) Error() string {
	return fmt.Sprintf("water: %s %.5g %s is outside %.5g to %.5g %s",
		e.Quantity, e.Value, e.Unit, e.Low, e.High, e.Unit)
}

// within returns a RangeError unless low ≤ value ≤ high. A NaN fails.
func within(quantity string, value, low, high float64, unit string) error {
	if value >= low && value <= high {
		return nil
	}
	return &RangeError{Quantity: quantity, Value: value, Low: low, High: high, Unit: unit}
}
