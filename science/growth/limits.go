package growth

import "velamen/science/basis"

// Limits of what may be entered.
const (
	// LongestMM is longer than any orchid root that a grower would measure.
	LongestMM = 5000.0
	// SmallestErrorMM and LargestErrorMM bound the standard deviation of a
	// reading: a micrometer on one side, a guess from memory on the other.
	SmallestErrorMM = 0.01
	LargestErrorMM  = 100.0
	// FarthestDay is about 270 years either way.
	FarthestDay = 100_000.0
)

// RangeError tells which quantity lay outside its allowed range.
type RangeError = basis.RangeError

// within returns an error unless low ≤ value ≤ high. NaN lies outside any range.
func within(quantity string, value, low, high float64, unit string) error {
	return basis.Within("growth", quantity, value, low, high, unit)
}

func checkDay(quantity string, day float64) error {
	return within(quantity, day, -FarthestDay, FarthestDay, "days")
}
