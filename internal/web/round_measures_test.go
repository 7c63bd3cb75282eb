package web

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"velamen/internal/care"
)

// typed is one way to type a quantity. The browser test reads the same list
// with the modules.
type typed struct {
	Field string  `json:"field"`
	Typed string  `json:"typed"`
	Value float64 `json:"value"`
	Wrong bool    `json:"wrong"`
}

func TestTypedQuantitiesAreReadAsTheModulesReadThem(t *testing.T) {
	text, err := os.ReadFile("testdata/typed.json")
	if err != nil {
		t.Fatal(err)
	}
	var list []typed
	if err := json.Unmarshal(text, &list); err != nil {
		t.Fatal(err)
	}
	for _, c := range list {
		v, err := roundMeasures[c.Field].read(c.Typed, care.MetricUnits())
		if (err != nil) != c.Wrong {
			t.Errorf("%s %q: %v, want wrong %v", c.Field, c.Typed, err, c.Wrong)
		}
		// Twelve digits: the factors are multiplied in the same order.
		if err == nil && math.Abs(v.Value-c.Value) > 1e-12*math.Max(1, c.Value) {
			t.Errorf("%s %q: %.15g, want %.15g", c.Field, c.Typed, v.Value, c.Value)
		}
	}
}
