package light_test

import (
	"math"
	"testing"

	"velamen/internal/checktable"
)

// rows reads a check table, each row of which says how it is known.
func rows(t *testing.T, file string) []checktable.Row {
	t.Helper()
	table := checktable.Rows(t, file)
	for _, r := range table {
		switch r["basis"] {
		case "published", "from memory", "computed":
		default:
			t.Fatalf("%s: row %v does not say how it is known", file, r)
		}
	}
	return table
}

// printed reads a column; false when the source leaves it empty.
func printed(t *testing.T, r checktable.Row, column string) (float64, bool) {
	t.Helper()
	text, there := r[column]
	if !there {
		t.Fatalf("no column %q", column)
	}
	if text == "" {
		return 0, false
	}
	return r.Number(t, column), true
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	// Written so that not-a-number fails; the last digits of 64-bit
	// arithmetic are granted on top of the source's rounding.
	if !(math.Abs(got-want) <= tolerance+1e-12*math.Abs(want)) {
		t.Errorf("%s is %.8g, want %.8g ± %.2g", what, got, want, tolerance)
	}
}

// ok unwraps a result whose error would be a failure of the test's own input.
func ok[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}
