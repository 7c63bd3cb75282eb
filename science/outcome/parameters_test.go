package outcome_test

import (
	"testing"

	"velamen/science/outcome"
)

func TestParametersHaveABasis(t *testing.T) {
	for _, p := range outcome.Parameters() {
		if err := p.Value.Check(); err != nil {
			t.Errorf("%s: %v", p.Name, err)
		}
		if p.Value.Unit == "" {
			t.Errorf("%s has no unit", p.Name)
		}
	}
}
