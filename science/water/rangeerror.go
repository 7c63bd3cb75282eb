package water

import "velamen/science/basis"

// RangeError reports a quantity outside the range in which this package can
// answer.
type RangeError = basis.RangeError

// within returns a RangeError unless low ≤ value ≤ high. A NaN fails.
func within(quantity string, value, low, high float64, unit string) error {
	return basis.Within("water", quantity, value, low, high, unit)
}
