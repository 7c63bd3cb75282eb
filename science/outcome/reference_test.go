package outcome_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/outcome"
)

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// printed compares with a printed decimal, to half of its last digit.
func printed(t *testing.T, what string, got float64, want string) {
	t.Helper()
	_, decimals, _ := strings.Cut(want, ".")
	near(t, what, got, number(t, want), 0.5*math.Pow10(-len(decimals))+1e-9)
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) { // also catches NaN
		t.Errorf("%s: got %.9g, want %.9g ± %.2g", what, got, want, tolerance)
	}
}

func equal[T comparable](t *testing.T, what string, got, want T) {
	t.Helper()
	if got != want {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// must returns a function that unwraps a result and fails the test on error.
func must[T any](t *testing.T) func(T, error) T {
	return func(value T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

// leukaemia returns one group of the remission data, relapse being the sign.
func leukaemia(t *testing.T, group string) []outcome.Recovery {
	t.Helper()
	var records []outcome.Recovery
	for _, row := range checktable.Rows(t, "leukaemia.csv") {
		if row["group"] != group {
			continue
		}
		if week := row.Number(t, "week"); row["relapsed"] == "1" {
			records = append(records, outcome.SeenOn(group, week))
		} else {
			records = append(records, outcome.NotSeenBy(group, week))
		}
	}
	return records
}

func establishment(t *testing.T) []outcome.Recovery {
	t.Helper()
	of := map[string]func(string, float64) outcome.Recovery{
		"seen": outcome.SeenOn, "died": outcome.DiedOn, "not yet": outcome.NotSeenBy,
	}
	var records []outcome.Recovery
	for i, row := range checktable.Rows(t, "establishment.csv") {
		records = append(records, of[row["ending"]]("plant "+strconv.Itoa(i+1), row.Number(t, "day")))
	}
	return records
}

func cosmesis(t *testing.T) []outcome.Recovery {
	t.Helper()
	var records []outcome.Recovery
	for _, row := range checktable.Rows(t, "cosmesis_rt.csv") {
		if after := row.Number(t, "after"); row["by"] == "" {
			records = append(records, outcome.NotSeenBy("", after))
		} else {
			records = append(records, outcome.SeenBetween("", after, row.Number(t, "by")))
		}
	}
	return records
}
