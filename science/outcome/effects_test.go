package outcome_test

import (
	"math"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/outcome"
)

// σ² is that of a share at the mean over 45 times at bat, p̄(1 − p̄)/45. All
// figures from scipy 1.10, computed independently on the data of SOURCE.md.
func TestBattingJamesStein(t *testing.T) {
	var averages []float64
	var mean float64
	for _, row := range checktable.Rows(t, "batting.csv") {
		averages = append(averages, row.Number(t, "hits")/45)
		mean += row.Number(t, "hits") / 45 / 18
	}
	variance := mean * (1 - mean) / 45
	printed(t, "mean", mean, ".265432")
	printed(t, "variance", variance, ".00433284")
	shrunk, kept, err := outcome.JamesStein(averages, math.Sqrt(variance))
	if err != nil {
		t.Fatal(err)
	}
	printed(t, "c", kept, ".211653")
	printed(t, "first", shrunk[0], ".2939")
	printed(t, "last", shrunk[17], ".2422")
}

func schools(t *testing.T) []outcome.Effect {
	t.Helper()
	var effects []outcome.Effect
	for _, row := range checktable.Rows(t, "schools.csv") {
		effects = append(effects, outcome.Effect{Estimate: row.Number(t, "effect"), StandardError: row.Number(t, "standard_error")})
	}
	return effects
}

// scipy 1.10, computed independently; see SOURCE.md.
func TestEightSchools(t *testing.T) {
	h := must[outcome.Heterogeneity](t)(outcome.Spread(schools(t)))
	printed(t, "fixed mean", h.Mean, "7.685617")
	printed(t, "its standard error", h.StandardError, "4.071919")
	printed(t, "Q", h.Q, "4.707079")
	equal(t, "spread", h.BetweenSD, 0)

	for column, betweenSD := range map[string]float64{"spread5": 5, "spread10": 10} {
		shrunk := must[outcome.Shrunk](t)(outcome.ShrinkEffects(schools(t), betweenSD))
		for i, row := range checktable.Rows(t, "schools.csv") {
			printed(t, column+" school "+row["effect"], shrunk.Effects[i].Estimate, row[column])
		}
		if betweenSD == 5 {
			printed(t, "average", shrunk.Mean.Estimate, "7.85098")
		}
	}
	// Without a spread every effect is the fixed mean.
	shrunk := must[outcome.Shrunk](t)(outcome.ShrinkEffects(schools(t), 0))
	for _, e := range shrunk.Effects {
		near(t, "effect", e.Estimate, h.Mean, 1e-12)
		near(t, "standard error", e.StandardError, h.StandardError, 1e-12)
	}
}

// Three effects of equal standard error 1 at −a, 0, a have Q = 2a², and
// DerSimonian & Laird's τ² is then a² − 1: the sample variance less that of one
// estimate.
func TestSpreadOfEquallyExactEffects(t *testing.T) {
	h := must[outcome.Heterogeneity](t)(outcome.Spread([]outcome.Effect{{"", -3, 1}, {"", 0, 1}, {"", 3, 1}}))
	near(t, "Q", h.Q, 18, 1e-12)
	near(t, "spread squared", h.BetweenSD*h.BetweenSD, 8, 1e-12)
}

func TestJamesSteinNeverReverses(t *testing.T) {
	shrunk, kept, err := outcome.JamesStein([]float64{1, 1.1, 0.9, 1}, 5)
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "kept", kept, 0)
	for _, x := range shrunk {
		near(t, "estimate", x, 1, 1e-12)
	}
}
