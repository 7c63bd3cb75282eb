package growth

import (
	"cmp"
	"math"

	"velamen/science/basis"
)

// Method is how a root was measured; it decides the error of the reading.
type Method uint8

const (
	// RulerStraight is a ruler along a straight root in the air.
	RulerStraight Method = iota + 1
	// RulerInPot is a ruler or a thread along a curved root, or through the
	// wall of a clear pot.
	RulerInPot
	// FromPhotograph is a picture with a scale in it. Photograph gives a better
	// error when tilt and distance are known.
	FromPhotograph
)

// String returns the words shown to the grower.
func (m Method) String() string {
	switch m {
	case RulerStraight:
		return "ruler, straight root"
	case RulerInPot:
		return "ruler, root in the pot"
	case FromPhotograph:
		return "photograph"
	}
	return "unknown method"
}

// ErrorMM returns the standard deviation of a reading in mm. Errors: an unknown
// Method.
func (m Method) ErrorMM() (basis.Value, error) {
	switch m {
	case RulerStraight:
		return RulerStraightErrorMM, nil
	case RulerInPot:
		return RulerInPotErrorMM, nil
	case FromPhotograph:
		return PhotographErrorMM, nil
	}
	return basis.Value{}, within("method", float64(m), float64(RulerStraight), float64(FromPhotograph), "")
}

// Reading is one measured length of one marked root.
type Reading struct {
	Day      float64 // since midnight of some fixed day
	LengthMM float64
	ErrorMM  float64 // standard deviation of the reading
	// Confirmed says that the grower has looked again and stands by it. Where a
	// confirmed reading contradicts the ones before, the root is followed anew
	// from here.
	Confirmed bool
}

// Check returns an error that names the first figure outside its range.
func (r Reading) Check() error {
	if err := checkDay("day of a reading", r.Day); err != nil {
		return err
	}
	if err := within("root length", r.LengthMM, 0, LongestMM, "mm"); err != nil {
		return err
	}
	return within("reading error", r.ErrorMM, SmallestErrorMM, LargestErrorMM, "mm")
}

// compare orders readings by every field, so that the order in which they were
// entered cannot matter.
func (r Reading) compare(other Reading) int {
	return cmp.Or(
		cmp.Compare(math.Floor(r.Day), math.Floor(other.Day)),
		cmp.Compare(r.LengthMM, other.LengthMM),
		cmp.Compare(r.Day, other.Day),
		cmp.Compare(r.ErrorMM, other.ErrorMM),
		compareBools(r.Confirmed, other.Confirmed),
	)
}

func compareBools(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// SmallestChangeMM returns the smallest difference between two readings that
// is more than their errors would make of a root that did not change, in 19
// cases of 20. Errors: a reading error outside 0.01 to 100 mm.
//
//	1.96·√(σ₁² + σ₂²)
func SmallestChangeMM(firstErrorMM, secondErrorMM float64) (float64, error) {
	for _, e := range [2]float64{firstErrorMM, secondErrorMM} {
		if err := within("reading error", e, SmallestErrorMM, LargestErrorMM, "mm"); err != nil {
			return 0, err
		}
	}
	return smallestChangeMM(firstErrorMM*firstErrorMM, secondErrorMM*secondErrorMM), nil
}

// z95 bounds the middle 95 % of a normal distribution.
const z95 = 1.959963984540054

func smallestChangeMM(firstVar, secondVar float64) float64 {
	return z95 * math.Sqrt(firstVar+secondVar)
}

// DaysToShow returns how long a root of the given rate must grow before two
// readings with the given error show it. Errors: a rate that is not between
// 0.001 and 100 mm/day, a reading error outside 0.01 to 100 mm.
func DaysToShow(rateMMPerDay, errorMM float64) (float64, error) {
	if err := within("rate", rateMMPerDay, 0.001, 100, "mm/day"); err != nil {
		return 0, err
	}
	change, err := SmallestChangeMM(errorMM, errorMM)
	if err != nil {
		return 0, err
	}
	return change / rateMMPerDay, nil
}
