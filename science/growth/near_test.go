package growth_test

import (
	"math"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/basis"
	"velamen/science/growth"
)

// near fails unless got lies within tolerance of want. The margin of 1e-12
// parts admits figures that lie exactly on half a printed unit.
func near(t failer, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance+1e-12*math.Abs(want)) {
		t.Errorf("%s is %.10g, want %.10g ± %.3g", what, got, want, tolerance)
	}
}

// failer is what *testing.T and *rapid.T have in common here.
type failer interface {
	Helper()
	Errorf(string, ...any)
	Fatal(...any)
	Fatalf(string, ...any)
}

// must returns a function that unwraps a result or ends the test.
func must[T any](t failer) func(value T, err error) T {
	return func(value T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

func judgeOf(t failer, growing basis.Value) growth.Judge {
	t.Helper()
	return must[growth.Judge](t)(growth.NewJudge(growing))
}

// columns returns two columns of a check table as slices.
func columns(t *testing.T, rows []checktable.Row, first, second string) (a, b []float64) {
	t.Helper()
	for _, row := range rows {
		a = append(a, row.Number(t, first))
		b = append(b, row.Number(t, second))
	}
	return a, b
}

func repeat(value float64, n int) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = value
	}
	return all
}
