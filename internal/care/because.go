package care

import (
	"velamen/science/basis"
	"velamen/science/course"
)

// Figure is a number that can explain itself: its value and range, and why.
type Figure struct {
	basis.Value
	Because *Because `json:"because,omitempty"`
}

// Because is what stands behind a figure.
type Because struct {
	Rule   string       `json:"rule"`             // the equation or the rule, in words a grower can follow
	Inputs []Input      `json:"inputs,omitempty"` // what went into it
	Limit  course.Limit `json:"limit,omitempty"`  // what decided, where several limits compete
	Note   string       `json:"note,omitempty"`   // an anchor or a doubt worth knowing
}

// Input is one quantity that a figure rests on.
type Input struct {
	Name string `json:"name"`
	basis.Value
}

// figure makes a Figure whose grade is the weakest of its inputs'; the range
// is given by the caller.
func figure(value, low, high float64, unit string, because Because) Figure {
	grades := make([]basis.Grade, len(because.Inputs))
	for i, in := range because.Inputs {
		grades[i] = in.Grade
	}
	grade := basis.Weakest(grades...)
	if grade == 0 {
		grade = basis.Assumption
	}
	return Figure{
		Value:   basis.Value{Value: value, Low: min(low, value), High: max(high, value), Unit: unit, Grade: grade},
		Because: &because,
	}
}

// Assumed is one thing the grower left out, and what stands in for it.
type Assumed struct {
	Plant string      `json:"plant,omitempty"` // label; empty when it concerns the place, a space, a water or a feed
	Field string      `json:"field"`           // as the case file calls it
	Value string      `json:"value"`           // in words, when it is no quantity
	Is    basis.Value `json:"quantity,omitzero"`
	Why   string      `json:"why"`
}

// input returns what went into a figure under a name; without a grade if nothing
// did.
func (b *Because) input(name string) (v basis.Value) {
	if b != nil {
		for _, in := range b.Inputs {
			if in.Name == name {
				return in.Value
			}
		}
	}
	return v
}
