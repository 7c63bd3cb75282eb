package light_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// row is a line of a check table by the names of its columns.
type row map[string]string

func rows(t *testing.T, file string) []row {
	t.Helper()
	f, err := os.Open("testdata/reference/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) < 2 {
		t.Fatalf("%s holds no rows", file)
	}
	var table []row
	for _, line := range lines[1:] {
		r := row{}
		for i, name := range lines[0] {
			r[name] = line[i]
		}
		switch r["basis"] {
		case "published", "from memory", "computed":
		default:
			t.Fatalf("%s: row %v does not say how it is known", file, line)
		}
		table = append(table, r)
	}
	return table
}

// number reads a column; false when the table leaves it empty.
func (r row) number(t *testing.T, column string) (float64, bool) {
	t.Helper()
	text, there := r[column]
	if !there {
		t.Fatalf("no column %q", column)
	}
	if text == "" {
		return 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("%s: %v", column, err)
	}
	return x, true
}

func (r row) must(t *testing.T, column string) float64 {
	t.Helper()
	x, there := r.number(t, column)
	if !there {
		t.Fatalf("column %q is empty in %v", column, r)
	}
	return x
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
