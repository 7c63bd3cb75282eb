package water

import (
	"math"
	"testing"

	"velamen/internal/checktable"
)

// row is one line of a check table, by column name.
type row struct {
	t      *testing.T
	fields checktable.Row
}

// number returns a column as a number; an empty cell is zero.
func (r row) number(column string) float64 {
	r.t.Helper()
	text, present := r.fields[column]
	if !present {
		r.t.Fatalf("no column %q", column)
	}
	if text == "" {
		return 0
	}
	return r.fields.Number(r.t, column)
}

// given reports whether the cell holds anything.
func (r row) given(column string) bool { return r.fields[column] != "" }

// perIon returns the cells that are headed by an ion's symbol.
func (r row) perIon(columns ...Ion) map[Ion]float64 {
	found := map[Ion]float64{}
	for _, ion := range columns {
		found[ion] = r.number(ion.String())
	}
	return found
}

// reference reads a check table; SOURCE.md beside it says where it is from.
func reference(t *testing.T, name string) []row {
	t.Helper()
	var rows []row
	for _, fields := range checktable.Rows(t, name) {
		rows = append(rows, row{t, fields})
	}
	return rows
}

// near reports a figure that misses the wanted one by more than the tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g ± %.3g", what, got, want, tolerance)
	}
}

func must[T any](x T, err error) T {
	if err != nil {
		panic(err)
	}
	return x
}
