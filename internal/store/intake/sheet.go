package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"velamen/internal/care"
)

// Limits of a spreadsheet.
const (
	MaxSheetBytes   = 16 << 20
	MaxSheetRows    = 20_000
	maxSheetColumns = 200
)

// SheetOptions say how a spreadsheet is read. What is left out is found out.
type SheetOptions struct {
	Map       map[Field]string // headings of the columns; see ParseMap
	Dates     DateOrder
	Delimiter rune
}

// Sheet is a spreadsheet as it was read.
type Sheet struct {
	Draft
	Columns   []Column
	Delimiter rune
	Dates     DateOrder // of the dates that could be read in several
}

// ReadSheet drafts the plants of a spreadsheet saved as delimited text, one to
// a row below a row of headings. An error says why nothing can be read; what
// is wrong with single rows stands in the draft.
func ReadSheet(r io.Reader, o SheetOptions, into Into) (Sheet, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxSheetBytes+1))
	if err != nil {
		return Sheet{}, err
	}
	if err := isSheetText(data); err != nil {
		return Sheet{}, err
	}
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	s := Sheet{Delimiter: o.Delimiter}
	if first, rest, ok := bytes.Cut(data, []byte("\n")); ok && bytes.HasPrefix(bytes.ToLower(first), []byte("sep=")) && len(first) >= 5 {
		if s.Delimiter == 0 {
			s.Delimiter, _ = utf8.DecodeRune(first[4:])
		}
		data = rest
	}
	if s.Delimiter == 0 {
		s.Delimiter = guessDelimiter(data)
	}
	rows, lines, err := records(data, s.Delimiter)
	if err != nil {
		return s, err
	}
	if s.Columns, err = columnsOf(rows[0], o.Map); err != nil {
		return s, err
	}
	rows, lines = rows[1:], lines[1:]
	if s.Dates, err = s.orderOf(rows, o.Dates); err != nil {
		return s, err
	}
	d := newDrafter(into)
	for i, row := range rows {
		d.row(&s, row, lines[i])
	}
	s.Draft = d.draft
	s.dateSpaces()
	return s, nil
}

// dateSpaces puts the new spaces before the first plant, so that the plants
// stand somewhere from their first day on.
func (s *Sheet) dateSpaces() {
	if len(s.Entries) == 0 {
		return
	}
	first := slices.MinFunc(s.Entries, func(a, b care.Entry) int { return a.At.Compare(b.At) }).At
	for i := range s.Entries {
		if s.Entries[i].Kind == care.SpaceSet {
			s.Entries[i].At = first
		}
	}
}

func isSheetText(data []byte) error {
	switch {
	case len(data) > MaxSheetBytes:
		return fmt.Errorf("the file is larger than %d MB, the most that is read", MaxSheetBytes>>20)
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return errors.New("this is a spreadsheet program's own file; save it as CSV")
	case bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")):
		return errors.New("the file is saved as UTF-16; save it again as CSV in UTF-8")
	case bytes.IndexByte(data, 0) >= 0 || !utf8.Valid(data):
		return errors.New("the file is not UTF-8 text; save it again as CSV in UTF-8")
	case len(bytes.TrimSpace(data)) == 0:
		return errors.New("the file is empty")
	}
	return nil
}

// guessDelimiter returns the mark that cuts most of the first lines into the
// same number of cells, of more than one.
func guessDelimiter(data []byte) rune {
	const lines = 20
	best, bestScore := ',', 0
	for _, mark := range []rune{';', '\t', ','} {
		r := reader(data, mark)
		cells, score := 0, 0
		for range lines {
			row, err := r.Read()
			if err != nil {
				break
			}
			if cells == 0 {
				cells = len(row)
			}
			if cells > 1 && len(row) == cells {
				score += cells
			}
		}
		if score > bestScore {
			best, bestScore = mark, score
		}
	}
	return best
}

func reader(data []byte, delimiter rune) *csv.Reader {
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma = delimiter
	r.FieldsPerRecord = -1
	r.LazyQuotes = true // a pot of 4" stands in many a list
	return r
}

// records returns the rows that are not empty, the headings first, and the
// lines they begin on.
func records(data []byte, delimiter rune) (rows [][]string, lines []int, err error) {
	r := reader(data, delimiter)
	for {
		row, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, nil, err
		}
		if strings.TrimSpace(strings.Join(row, "")) == "" {
			continue
		}
		line, _ := r.FieldPos(0)
		switch {
		case len(row) > maxSheetColumns:
			return nil, nil, fmt.Errorf("line %d has %d columns; %d are the most", line, len(row), maxSheetColumns)
		case len(rows) > MaxSheetRows:
			return nil, nil, fmt.Errorf("there are more than %d rows", MaxSheetRows)
		case len(rows) > 0 && len(row) > len(rows[0]) && strings.TrimSpace(strings.Join(row[len(rows[0]):], "")) != "":
			return nil, nil, fmt.Errorf("line %d has %d cells under %d headings; is %q the mark between the cells?", line, len(row), len(rows[0]), delimiter)
		}
		for i := range row {
			row[i] = Unguard(strings.TrimSpace(row[i]))
		}
		rows, lines = append(rows, row), append(lines, line)
	}
	if len(rows) < 2 {
		return nil, nil, errors.New("there are headings but no rows below them")
	}
	return rows, lines, nil
}

// orderOf settles the order of the dates in the column of repots.
func (s *Sheet) orderOf(rows [][]string, told DateOrder) (DateOrder, error) {
	switch told {
	case "":
	case DayFirst, MonthFirst, YearFirst:
		return told, nil
	default:
		return "", fmt.Errorf("%s is not an order of dates; dmy, mdy and ymd are", short(string(told)))
	}
	var dates []splitDate
	for _, row := range rows {
		for i, cell := range row {
			if i >= len(s.Columns) || s.Columns[i].Field != Repotted || cell == "" {
				continue
			}
			if d, err := readDate(cell); err == nil {
				dates = append(dates, d)
			}
		}
	}
	return orderOf(dates)
}

// row drafts one row.
func (d *drafter) row(s *Sheet, cells []string, line int) {
	r := Row{Line: line, What: "plant"}
	var p care.Plant
	var note string
	for i, cell := range cells {
		if i >= len(s.Columns) || s.Columns[i].Field == "" || cell == "" {
			continue
		}
		c := s.Columns[i]
		err := errTooLong
		if len(cell) <= longestCell || c.Field == Note {
			err = d.cell(c, cell, s.Dates, &p, &note)
		}
		if err != nil {
			r.Problems = append(r.Problems, fmt.Sprintf("%s: %v", c.Heading, err))
		}
	}
	at := d.into.Now
	if !p.Repot.Date.IsZero() {
		at = p.Repot.Date
	} else if p.Repot.To.Known() || p.Repot.RootsKept.Grade != 0 || p.Repot.Work != "" {
		r.Remarks = append(r.Remarks, "without the day of the repot, what is told of it is left out")
	}
	d.space(&r, p.Space, at)
	d.plant(&r, p, note)
	d.draft.Rows = append(d.draft.Rows, r)
}

// cell reads one cell into a plant.
func (d *drafter) cell(c Column, text string, order DateOrder, p *care.Plant, note *string) (err error) {
	container := func() *care.Container {
		if p.Repot.To.Container == nil {
			p.Repot.To.Container = &care.Container{}
		}
		return p.Repot.To.Container
	}
	const most = 5000
	switch c.Field {
	case Label:
		p.Label = text
	case Name:
		p.Name = text
	case Group:
		p.Group = text
	case Space:
		p.Space = text
	case Note:
		*note = text
	case Leaves:
		p.Leaves, err = count(text, most)
	case Pseudobulbs:
		p.Pseudobulbs, err = count(text, most)
	case LeafLength:
		p.LeafLengthCm, err = length(text, c.unit, 0.1, 300)
	case LeafWidth:
		p.LeafWidthCm, err = length(text, c.unit, 0.1, 300)
	case Vigour:
		p.Vigour, err = choice(text, care.Vigours)
	case Work:
		p.Repot.Work, err = choice(text, care.Works)
	case RootsKept:
		p.Repot.RootsKept, err = share(text, c.unit)
	case Repotted:
		var date splitDate
		if date, err = readDate(text); err == nil {
			p.Repot.Date, err = date.in(order)
		}
	case Pot:
		container().NominalCm, err = length(text, c.unit, 1, 150)
	case Material:
		container().Material = text
		_, err = d.into.Tables.Container(text)
	case Medium:
		p.Repot.To.Medium, err = d.into.mix(text)
	}
	return err
}
