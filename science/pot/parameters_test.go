package pot_test

import (
	"reflect"
	"testing"

	"velamen/science/basis"
	"velamen/science/pot"
)

func TestEveryParameterHasABasis(t *testing.T) {
	parameters := pot.Defaults()
	seen := map[*basis.Value]bool{}
	for name, value := range parameters.All() {
		if err := value.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if value.Low == value.High {
			t.Errorf("%s has no range; nothing in this table is known exactly", name)
		}
		seen[value] = true
	}
	if fields := reflect.TypeFor[pot.Parameters]().NumField(); len(seen) != fields {
		t.Errorf("All yields %d parameters, the table has %d", len(seen), fields)
	}
}

// Wherever an ensemble draws a parameter within its range, a pot can be made.
func TestEndsOfEveryRangeMakeAPot(t *testing.T) {
	geometry, err := twelve.Geometry()
	if err != nil {
		t.Fatal(err)
	}
	parameters := pot.Defaults()
	for name, value := range parameters.All() {
		central := value.Value
		for _, end := range []float64{value.Low, value.High} {
			value.Value = end
			if _, err := pot.New(geometry, bark(), 0, parameters); err != nil {
				t.Errorf("%s at %g: %v", name, end, err)
			}
		}
		value.Value = central
	}
}
