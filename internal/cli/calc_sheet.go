package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"velamen/internal/culture"
)

// Limits of a file for a calculation.
const (
	mostSheetBytes = 1 << 20
	mostSheetRows  = 2000
	longestName    = 60
)

// sheet is a CSV file that was read strictly: known columns only, every row
// complete. Errors name file, line, column and what was expected.
type sheet struct {
	file    string
	columns map[string]int
	rows    []sheetRow
}

type sheetRow struct {
	sheet *sheet
	line  int
	cells []string
}

// openSheet reads the file of a path.
func openSheet(path string, required, optional []string) (*sheet, error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no file %s", path)
	}
	if err != nil {
		return nil, failed("opening the file", err)
	}
	defer file.Close()
	if info, err := file.Stat(); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s is a folder; a CSV file is expected", path)
	}
	content, err := io.ReadAll(io.LimitReader(file, mostSheetBytes+1))
	if err != nil {
		return nil, failed("reading "+path, err)
	}
	return readSheet(content, filepath.Base(path), required, optional)
}

// readSheet reads a heading and rows. Columns may stand in any order.
func readSheet(content []byte, file string, required, optional []string) (*sheet, error) {
	s := &sheet{file: file, columns: map[string]int{}}
	if len(content) > mostSheetBytes {
		return nil, fmt.Errorf("%s is larger than %d bytes, the most that is read", file, mostSheetBytes)
	}
	content = bytes.TrimPrefix(content, []byte("\ufeff")) // some spreadsheets put it there
	if !utf8.Valid(content) {
		return nil, fmt.Errorf("%s is not text in UTF-8; save it as CSV in UTF-8", file)
	}
	reader := csv.NewReader(bytes.NewReader(content))
	reader.FieldsPerRecord = -1
	heading, line, err := s.next(reader)
	if errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s is empty; expected the heading %s", file, strings.Join(required, ","))
	}
	if err != nil {
		return nil, err
	}
	if err := s.readHeading(heading, line, required, optional); err != nil {
		return nil, err
	}
	for {
		cells, line, err := s.next(reader)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if len(cells) != len(heading) {
			return nil, &culture.RowError{File: file, Line: line, Value: strings.Join(cells, ","), Expected: fmt.Sprintf("%d cells separated by commas, as in the heading, not %d", len(heading), len(cells))}
		}
		if len(s.rows) == mostSheetRows {
			return nil, &culture.RowError{File: file, Line: line, Expected: fmt.Sprintf("at most %d rows", mostSheetRows)}
		}
		s.rows = append(s.rows, sheetRow{s, line, cells})
	}
	if len(s.rows) == 0 {
		return nil, &culture.RowError{File: file, Line: line, Expected: "at least one row below the heading"}
	}
	return s, nil
}

// next returns the trimmed cells of a row and its line.
func (s *sheet) next(reader *csv.Reader) (cells []string, line int, err error) {
	cells, err = reader.Read()
	var problem *csv.ParseError
	switch {
	case errors.As(err, &problem):
		return nil, 0, &culture.RowError{File: s.file, Line: problem.Line, Expected: "CSV; " + problem.Err.Error()}
	case err != nil:
		return nil, 0, err
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	line, _ = reader.FieldPos(0)
	return cells, line, nil
}

func (s *sheet) readHeading(heading []string, line int, required, optional []string) error {
	known := append(slices.Clone(required), optional...)
	for i, name := range heading {
		if _, twice := s.columns[name]; twice {
			return &culture.RowError{File: s.file, Line: line, Column: name, Value: name, Expected: "each column once"}
		}
		if !slices.Contains(known, name) {
			return &culture.RowError{File: s.file, Line: line, Value: name, Expected: "columns separated by commas, out of: " + strings.Join(known, ", ")}
		}
		s.columns[name] = i
	}
	for _, name := range required {
		if !s.has(name) {
			return &culture.RowError{File: s.file, Line: line, Column: name, Value: strings.Join(heading, ","), Expected: "a column of this name"}
		}
	}
	return nil
}

func (s *sheet) has(column string) bool {
	_, there := s.columns[column]
	return there
}

// cell returns the text in a column, empty when there is no such column.
func (r sheetRow) cell(column string) string {
	if i, there := r.sheet.columns[column]; there {
		return r.cells[i]
	}
	return ""
}

// expected is the error that a cell is not what it should be.
func (r sheetRow) expected(column, what string) error {
	return &culture.RowError{File: r.sheet.file, Line: r.line, Column: column, Value: r.cell(column), Expected: what}
}

// number reads a number within a range, ends included.
func (r sheetRow) number(column string, low, high float64, unit string) (float64, error) {
	value, err := strconv.ParseFloat(r.cell(column), 64)
	if err != nil || !(value >= low && value <= high) { // not-a-number is outside of every range
		return 0, r.expected(column, strings.TrimSpace(fmt.Sprintf("a number from %v to %v %s", low, high, unit)))
	}
	return value, nil
}

// date reads a calendar day, at midnight UTC.
func (r sheetRow) date(column string) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, r.cell(column))
	if err != nil || day.Year() < 1800 || day.Year() > 2200 {
		return day, r.expected(column, "a day as in 2026-11-24, from 1800 to 2200")
	}
	return day, nil
}

// hourLayout is how a sheet writes an hour.
const hourLayout = "2006-01-02 15:04"

// hour reads a full hour by the clock.
func (r sheetRow) hour(column string) (time.Time, error) {
	at, err := time.Parse(hourLayout, r.cell(column))
	if err != nil || at.Minute() != 0 || at.Year() < 1800 || at.Year() > 2200 {
		return at, r.expected(column, "a full hour as in 2026-11-24 13:00, from 1800 to 2200")
	}
	return at, nil
}

// name reads a short text.
func (r sheetRow) name(column string) (string, error) {
	text := r.cell(column)
	if text == "" || utf8.RuneCountInString(text) > longestName || strings.ContainsFunc(text, unicode.IsControl) {
		return "", r.expected(column, fmt.Sprintf("a name of at most %d letters on one line", longestName))
	}
	return text, nil
}

// keyed makes the key of a parameter from its name.
func keyed(name string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(name), func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) }), "_")
}
