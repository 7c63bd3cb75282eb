package culture

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits that keep a wrong file from filling the memory or the screen.
const (
	largestFile  = 1 << 20
	mostProblems = 50
)

// RowError says which cell of which file cannot be used, and what was expected
// there. Column is empty when the whole row or file is meant.
type RowError struct {
	File     string
	Line     int
	Column   string
	Value    string
	Expected string
}

// Error reads "groups.csv, line 12, column light_fc: found "bright", expected …".
func (e *RowError) Error() string {
	var place strings.Builder
	place.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&place, ", line %d", e.Line)
	}
	if e.Column != "" {
		fmt.Fprintf(&place, ", column %s", e.Column)
	}
	return fmt.Sprintf("%s: found %s, expected %s", place.String(), shorten(e.Value), e.Expected)
}

// shorten quotes a value so that a long or strange one stays on one line.
func shorten(value string) string {
	const longest = 60
	if utf8.RuneCountInString(value) > longest {
		value = string([]rune(value)[:longest]) + "…"
	}
	return strconv.Quote(value)
}

// problems collects what is wrong, so that the grower sees everything at once.
type problems struct {
	errs    []error
	dropped int
}

func (p *problems) add(e RowError) {
	if len(p.errs) >= mostProblems {
		p.dropped++
		return
	}
	p.errs = append(p.errs, &e)
}

func (p *problems) err() error {
	if p.dropped > 0 {
		return errors.Join(append(slices.Clone(p.errs), fmt.Errorf("%d more problems not listed", p.dropped))...)
	}
	return errors.Join(p.errs...)
}

// row is one record of a sheet. Its methods read cells and report what does
// not fit to the shared problems.
type row struct {
	file  string
	line  int
	cells map[string]string
	lines map[string]int
	found *problems
}

func (r row) complain(column, expected string) {
	line := r.line
	if at, ok := r.lines[column]; ok {
		line = at
	}
	r.found.add(RowError{File: r.file, Line: line, Column: column, Value: r.cells[column], Expected: expected})
}

// text returns a cell that must not be empty.
func (r row) text(column string) string {
	if r.cells[column] == "" {
		r.complain(column, "some text")
	}
	return r.cells[column]
}

// list returns the parts of a cell separated by semicolons.
func (r row) list(column string) []string { return splitList(r.cells[column]) }

// quantity returns a cell that must hold a number from low to high.
func (r row) quantity(column string, low, high float64) float64 {
	v, ok := parseNumber(r.cells[column], low, high)
	if !ok {
		r.complain(column, fmt.Sprintf("a number from %s to %s", number(low), number(high)))
	}
	return v
}

// band returns a cell such as "10 to 16", or a single number for both ends.
func (r row) band(column string, low, high float64) (from, to float64) {
	from, to, ok := parseSpan(r.cells[column], low, high)
	if !ok {
		r.complain(column, spanExpected(low, high))
	}
	return from, to
}

func (r row) yes(column string) bool {
	answer, ok := choose(r.cells[column], "yes", "no")
	if !ok {
		r.complain(column, "yes or no")
	}
	return answer == "yes"
}

// readSheet reads a whole CSV file with a header line. Every column must be
// known, every required one present, every record as long as the header.
func readSheet(file string, from io.Reader, known, required []string, found *problems) []row {
	content, err := io.ReadAll(io.LimitReader(from, largestFile+1))
	if err != nil {
		found.add(RowError{File: file, Value: err.Error(), Expected: "a readable file"})
		return nil
	}
	if len(content) > largestFile {
		found.add(RowError{File: file, Value: "a larger file", Expected: fmt.Sprintf("at most %d bytes", largestFile)})
		return nil
	}
	content = bytes.TrimPrefix(content, []byte("\ufeff")) // spreadsheets like to write a byte order mark
	records := csv.NewReader(bytes.NewReader(content))
	records.FieldsPerRecord = -1
	first, err := records.Read()
	if err != nil {
		found.add(RowError{File: file, Line: 1, Value: oneLine(err), Expected: "a header line with column names separated by commas"})
		return nil
	}
	header := readHeader(file, first, known, required, found)
	if header == nil {
		return nil
	}
	var rows []row
	for {
		record, err := records.Read()
		if err == io.EOF {
			return rows
		}
		if err != nil {
			// What follows a broken quote cannot be told apart any more.
			line := 0
			if parse := new(csv.ParseError); errors.As(err, &parse) {
				line = parse.Line
			}
			found.add(RowError{File: file, Line: line, Value: oneLine(err), Expected: "comma-separated cells, quotes closed"})
			return rows
		}
		if r, ok := newRow(file, header, record, records, found); ok {
			rows = append(rows, r)
		}
	}
}

func oneLine(err error) string {
	if err == io.EOF {
		return "an empty file"
	}
	return err.Error()
}

func readHeader(file string, names, known, required []string, found *problems) []string {
	header := make([]string, len(names))
	for i, name := range names {
		header[i] = strings.ToLower(strings.TrimSpace(name))
		switch {
		case !slices.Contains(known, header[i]):
			found.add(RowError{File: file, Line: 1, Value: name, Expected: "one of the columns " + strings.Join(known, ", ")})
			return nil
		case slices.Contains(header[:i], header[i]):
			found.add(RowError{File: file, Line: 1, Value: name, Expected: "each column only once"})
			return nil
		}
	}
	for _, name := range required {
		if !slices.Contains(header, name) {
			found.add(RowError{File: file, Line: 1, Value: strings.Join(header, ","), Expected: "a column " + name})
			return nil
		}
	}
	return header
}

func newRow(file string, header, record []string, records *csv.Reader, found *problems) (row, bool) {
	line, _ := records.FieldPos(0)
	r := row{file: file, line: line, cells: make(map[string]string, len(header)), lines: make(map[string]int, len(header)), found: found}
	if len(record) != len(header) {
		found.add(RowError{File: file, Line: line, Value: strings.Join(record, ","), Expected: fmt.Sprintf("%d cells as in the header, not %d", len(header), len(record))})
		return row{}, false
	}
	for i, cell := range record {
		at, _ := records.FieldPos(i)
		if !printable(cell) {
			found.add(RowError{File: file, Line: at, Column: header[i], Value: cell, Expected: "plain UTF-8 text on one line"})
			return row{}, false
		}
		r.cells[header[i]], r.lines[header[i]] = strings.TrimSpace(cell), at
	}
	return r, true
}

func printable(cell string) bool {
	return utf8.ValidString(cell) && !strings.ContainsFunc(cell, unicode.IsControl)
}
