// Package basis holds what stands behind a number: its range, its unit, and
// how far it can be trusted.
//
// Every parameter of the handbook chapters beside this package is a Value, so
// that a reader can tell a figure read in a paper from one that somebody
// remembers, and both from a working assumption. Nothing here computes a
// physical quantity; Spread carries ranges through a calculation.
package basis

import (
	"fmt"
	"math"
)

// Grade says how a figure is known, from weakest to strongest. The order is
// meaningful: a number computed from several figures is only as good as the
// weakest of them.
type Grade uint8

const (
	// Assumption is a working figure without any source.
	Assumption Grade = iota + 1
	// CommonPractice is what experienced growers do; no experiment behind it.
	CommonPractice
	// FromMemory is believed to stand in a handbook or paper but was not
	// read again when it was entered.
	FromMemory
	// Published was read in the source named beside it.
	Published
	// Given was stated by the grower in the case or the settings.
	Given
	// Measured was measured on this plant, pot or room.
	Measured
)

var gradeNames = [...]string{
	Assumption:     "assumption",
	CommonPractice: "common practice",
	FromMemory:     "from memory",
	Published:      "published",
	Given:          "given",
	Measured:       "measured here",
}

const noGrade = "no basis"

// String returns the words shown to the grower.
func (g Grade) String() string {
	if g == 0 || int(g) >= len(gradeNames) {
		return noGrade
	}
	return gradeNames[g]
}

// MarshalText writes the grade's words, so that JSON readers see them too.
func (g Grade) MarshalText() ([]byte, error) { return []byte(g.String()), nil }

// UnmarshalText reads the words that MarshalText writes.
func (g *Grade) UnmarshalText(text []byte) error {
	if string(text) == noGrade {
		*g = 0
		return nil
	}
	for i, name := range gradeNames {
		if name != "" && name == string(text) {
			*g = Grade(i)
			return nil
		}
	}
	return fmt.Errorf("basis: %q is not a grade", text)
}

// Weakest returns the least trustworthy of the grades; with none it returns
// zero.
func Weakest(grades ...Grade) Grade {
	var weakest Grade
	for _, g := range grades {
		if g != 0 && (weakest == 0 || g < weakest) {
			weakest = g
		}
	}
	return weakest
}

// Value is one parameter: Low ≤ Value ≤ High in the given unit, with its grade
// and its source. Source is empty only for assumptions and given figures.
type Value struct {
	Value  float64 `json:"value"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Unit   string  `json:"unit"`
	Grade  Grade   `json:"basis"`
	Source string  `json:"source,omitempty"`
}

// Exactly returns a Value whose range is a single point, for counts,
// definitions and figures the grower gave without a tolerance.
func Exactly(value float64, unit string, grade Grade, source string) Value {
	return Value{Value: value, Low: value, High: value, Unit: unit, Grade: grade, Source: source}
}

// Assumed returns a working figure with the range it is believed to lie in.
func Assumed(value, low, high float64, unit string) Value {
	return Value{Value: value, Low: low, High: high, Unit: unit, Grade: Assumption}
}

// Check reports a Value that cannot be right: unordered or infinite range, no
// grade, or a grade that needs a source without one.
func (v Value) Check() error {
	switch {
	case math.IsNaN(v.Value) || math.IsInf(v.Low, 0) || math.IsInf(v.High, 0):
		return fmt.Errorf("basis: value %v (%v to %v) is not finite", v.Value, v.Low, v.High)
	case !(v.Low <= v.Value && v.Value <= v.High):
		return fmt.Errorf("basis: value %v lies outside its range %v to %v", v.Value, v.Low, v.High)
	case v.Grade == 0:
		return fmt.Errorf("basis: value %v %s has no grade", v.Value, v.Unit)
	case v.Source == "" && (v.Grade == Published || v.Grade == FromMemory):
		return fmt.Errorf("basis: value %v %s is called %v but names no source", v.Value, v.Unit, v.Grade)
	}
	return nil
}

// Spread returns the low and high of f when each of its inputs may lie
// anywhere in its range. Each input is moved to its ends alone, and the
// deviations below and above the central result are combined as the root of
// the sum of squares: the usual rule for independent inputs, exact for a sum
// of independent terms and a fair guide elsewhere (JCGM 100:2008, §5.1,
// from memory).
func Spread(f func(inputs []float64) float64, values ...Value) (low, high float64) {
	inputs := make([]float64, len(values))
	for i, v := range values {
		inputs[i] = v.Value
	}
	centre := f(inputs)
	var below, above float64
	for i, v := range values {
		// Both ends may push the result the same way (a maximum inside the
		// range), so the larger move in each direction counts, once.
		var down, up float64
		for _, end := range [2]float64{v.Low, v.High} {
			inputs[i] = end
			move := f(inputs) - centre
			down, up = math.Min(down, move), math.Max(up, move)
		}
		inputs[i] = v.Value
		below += down * down
		above += up * up
	}
	return centre - math.Sqrt(below), centre + math.Sqrt(above)
}
