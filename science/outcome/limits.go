package outcome

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// RangeError tells which quantity lay outside its allowed range.
type RangeError struct {
	Quantity  string
	Value     float64
	Low, High float64
}

// Error names the quantity, its value and the allowed range.
func (e *RangeError) Error() string {
	return fmt.Sprintf("outcome: %s %.6g lies outside %.6g to %.6g", e.Quantity, e.Value, e.Low, e.High)
}

// within returns an error unless low ≤ value ≤ high. NaN lies outside any
// range.
func within(quantity string, value, low, high float64) error {
	if value >= low && value <= high {
		return nil
	}
	return &RangeError{Quantity: quantity, Value: value, Low: low, High: high}
}

// checkLevel allows confidence levels that an interval can be drawn for.
func checkLevel(level float64) error { return within("confidence level", level, 0.5, 0.9999) }

// checkDay allows days since the repot.
func checkDay(quantity string, day float64) error { return within(quantity, day, 0, LatestDay) }

// twoSided returns the standard normal deviate that leaves (1 − level)/2 above
// it: 1.959964 for 0.95.
func twoSided(level float64) float64 { return distuv.UnitNormal.Quantile((1 + level) / 2) }

// chiSquaredP returns the chance of a chi-squared of one degree of freedom
// above the value.
func chiSquaredP(chiSquared float64) float64 { return math.Erfc(math.Sqrt(chiSquared / 2)) }
