// Package checktable reads the tables of published figures that tests compare
// with. Only tests import it. A SOURCE.md beside each table says where its
// figures are from.
package checktable

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Row is a line of a check table by the names of its columns.
type Row map[string]string

// Rows reads testdata/reference/name of the package under test: the first line
// names the columns, lines that begin with # are notes. A table without rows
// ends the test, for it would check nothing.
func Rows(t testing.TB, name string) []Row {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	lines, err := reader.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if len(lines) < 2 {
		t.Fatalf("%s has no rows", name)
	}
	var rows []Row
	for _, line := range lines[1:] {
		row := Row{}
		for i, column := range lines[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// Number reads a column. One that is missing, empty or no number ends the test.
func (r Row) Number(t testing.TB, column string) float64 {
	t.Helper()
	value, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %q of %v: %v", column, r, err)
	}
	return value
}
