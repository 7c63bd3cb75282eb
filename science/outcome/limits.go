package outcome

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"velamen/science/basis"
)

// RangeError tells which quantity lay outside its allowed range.
type RangeError = basis.RangeError

// within returns an error unless low ≤ value ≤ high. NaN lies outside any
// range.
func within(quantity string, value, low, high float64) error {
	return basis.Within("outcome", quantity, value, low, high, "")
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
