package outcome_test

import (
	"testing"

	"velamen/science/outcome"
)

func TestImbalances(t *testing.T) {
	// Cumulated shares 1, 1, 1 against 0, 1/3, 1 at 40, 50 and 60 %.
	roots := must[outcome.Imbalance](t)(outcome.NumberImbalance("roots kept, %", []float64{40, 40, 30, 40}, []float64{50, 60, 60}))
	equal(t, "roots", roots, outcome.Imbalance{Covariate: "roots kept, %", Distance: 1, First: 40, Second: 60})

	// Shares ¾ and ¼ against ½ and ½.
	season := must[outcome.Imbalance](t)(outcome.LabelImbalance("season",
		[]string{"spring", "spring", "spring", "autumn"}, []string{"spring", "autumn"}))
	equal(t, "season", season, outcome.Imbalance{Covariate: "season", Distance: 0.25, Label: "autumn", First: 0.25, Second: 0.5})

	alike := must[outcome.Imbalance](t)(outcome.NumberImbalance("pot, cm", []float64{9, 12}, []float64{12, 9, 9, 12}))
	near(t, "alike", alike.Distance, 0, 0)

	named := outcome.Imbalances(alike, season, roots)
	if len(named) != 2 || named[0] != roots || named[1] != season {
		t.Errorf("got %+v, want roots, then season", named)
	}
}
