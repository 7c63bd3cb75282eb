package readings

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/light"
)

// SampleBytes is how much of the beginning of a file Look wants to see.
const SampleBytes = 256 << 10

// Meaning is what a column holds.
type Meaning string

// What columns hold; any other is not read.
const (
	NotRead     Meaning = ""
	When        Meaning = "time" // date and time of day, or seconds since 1970
	Day         Meaning = "date"
	TimeOfDay   Meaning = "time of day"
	Temperature Meaning = Meaning(care.AirTemperature)
	Humidity    Meaning = Meaning(care.AirHumidity)
	Light       Meaning = Meaning(care.LeafLight)
)

// Options say how a file is read. What is left out is found out.
type Options struct {
	Space  string
	Source string // name of the sensor

	Map       map[Meaning]ColumnChoice
	Dates     DateOrder
	Delimiter rune
	Zone      *time.Location // of the logger's clock, for times without an offset
	LightFrom light.Source   // what shines, for lux and foot-candles
}

// ColumnChoice names a column by its heading, or by its number from 1, and
// perhaps its unit.
type ColumnChoice struct {
	Heading string
	Unit    Unit
}

// Column is one column of a file.
type Column struct {
	Heading string  `json:"heading"`
	Meaning Meaning `json:"meaning,omitempty"`
	Unit    Unit    `json:"unit,omitempty"`
	// Taken says that the unit stands nowhere and is taken from the values.
	Taken bool `json:"unit_taken,omitempty"`
}

// Layout is how a file is laid out.
type Layout struct {
	Encoding     Encoding       `json:"encoding"`
	Delimiter    rune           `json:"-"`
	DecimalComma bool           `json:"decimal_comma"`
	HeadingLine  int            `json:"heading_line"` // 0: there are no headings
	FirstLine    int            `json:"first_line"`   // of the data
	Columns      []Column       `json:"columns"`
	Dates        DateOrder      `json:"dates,omitempty"` // empty: the dates leave nothing open
	OwnOffset    bool           `json:"own_offset"`      // the times say how far from UTC they are
	Backward     bool           `json:"newest_first"`
	Zone         *time.Location `json:"-"`
	Interval     time.Duration  `json:"interval_ns"` // usual distance of two lines; 0: not known
	Example      Row            `json:"example"`     // the first line that was read
}

// Row is one line of a file as it is read.
type Row struct {
	Line   int            `json:"line"`
	At     time.Time      `json:"at"`
	Values []care.Reading `json:"values"`
}

// column returns the place of what has a meaning, or -1.
func (l *Layout) column(m Meaning) int {
	return slices.IndexFunc(l.Columns, func(c Column) bool { return c.Meaning == m })
}

// Look finds out how a file is laid out from its beginning, of up to
// SampleBytes.
func Look(sample []byte, o Options) (*Layout, error) {
	if o.Zone == nil {
		return nil, errors.New("the time zone of the logger is missing")
	}
	encoding, err := encodingOf(sample)
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(decoded(bytes.NewReader(sample), encoding))
	if err != nil {
		return nil, err
	}
	if len(sample) >= SampleBytes { // the last line may be cut off
		if i := bytes.LastIndexByte(text, '\n'); i > 0 {
			text = text[:i+1]
		}
	}
	l := &Layout{Encoding: encoding, Delimiter: o.Delimiter, Zone: o.Zone}
	s, err := l.split(text)
	if err != nil {
		return nil, err
	}
	if err := l.headings(s, o); err != nil {
		return nil, err
	}
	l.decimals(s)
	if err := l.order(s, o.Dates); err != nil {
		return nil, err
	}
	if err := l.units(s); err != nil {
		return nil, err
	}
	return l, l.example(s, o)
}

// line is one line of the sample.
type line struct {
	number int
	cells  []string
}

// delimiters are the marks between cells, the most telling first.
var delimiters = []rune{'\t', ';', ',', '|'}

// split cuts the sample into lines of cells by the mark that makes most of them
// into data.
func (l *Layout) split(text []byte) ([]line, error) {
	marks := delimiters
	if l.Delimiter != 0 {
		marks = []rune{l.Delimiter}
	}
	var best []line
	bestData := 0
	for _, mark := range marks {
		lines := cutUp(text, mark)
		data := 0
		for _, one := range lines {
			if isData(one.cells) {
				data++
			}
		}
		if data > bestData {
			best, bestData, l.Delimiter = lines, data, mark
		}
	}
	if bestData == 0 {
		return nil, errors.New("no line holds a time and a number next to each other: is this a logger's file saved as CSV?")
	}
	return best, nil
}

const mostColumns = 200

func cutUp(text []byte, mark rune) []line {
	r := rowsOf(bytes.NewReader(text), mark)
	r.ReuseRecord = false
	var lines []line
	for {
		cells, err := r.Read()
		if err != nil {
			return lines // what follows is reported when the file is read
		}
		number, _ := r.FieldPos(0)
		if len(cells) <= mostColumns {
			lines = append(lines, line{number, cells})
		}
	}
}

// isData reports whether a line holds a time and a number besides.
func isData(cells []string) bool {
	when, numbers := 0, 0
	for _, cell := range cells {
		if w, ok := parseWall(cell); ok && (w.hasTime || w.hasDate) && !isPlainNumber(cell) {
			when++
		} else if ok && w.isUnix {
			when++
		} else if _, _, ok := parseNumber(cell, true); ok {
			numbers++
		}
	}
	return when > 0 && numbers > 0
}

func isPlainNumber(cell string) bool {
	_, rest, ok := parseNumber(cell, true)
	return ok && rest == ""
}

// headings finds the first line of data and the line of headings above it.
func (l *Layout) headings(lines []line, o Options) error {
	first := slices.IndexFunc(lines, func(one line) bool { return isData(one.cells) })
	l.FirstLine = lines[first].number
	width := len(lines[first].cells)
	l.Columns = make([]Column, width)
	for i := first - 1; i >= 0; i-- {
		filled := 0
		for _, cell := range lines[i].cells {
			if strings.TrimSpace(cell) != "" {
				filled++
			}
		}
		if filled < 2 || len(lines[i].cells) < width-1 {
			continue
		}
		l.HeadingLine = lines[i].number
		for k := range min(width, len(lines[i].cells)) {
			l.Columns[k].Heading = strings.Join(strings.Fields(lines[i].cells[k]), " ")
		}
		break
	}
	for k := range l.Columns {
		c := &l.Columns[k]
		c.Meaning, c.Unit = meaningOf(c.Heading)
		if c.Heading == "" {
			if _, rest, ok := parseNumber(lines[first].cells[k], true); ok && rest != "" {
				if u, err := ParseUnit(rest); err == nil {
					c.Meaning, c.Unit = Meaning(u.Of()), u
				}
			}
		}
	}
	l.preferOne()
	for m, choice := range o.Map {
		if err := l.choose(m, choice); err != nil {
			return err
		}
	}
	l.findTimes(lines[first])
	if l.column(When) < 0 && l.column(Day) < 0 {
		return fmt.Errorf("no column holds times; the columns are %s", l.listed())
	}
	if l.column(When) < 0 && l.column(TimeOfDay) < 0 {
		return fmt.Errorf("there are dates but no times of day; the columns are %s", l.listed())
	}
	if l.column(Temperature) < 0 && l.column(Humidity) < 0 && l.column(Light) < 0 {
		return fmt.Errorf("no column is known to hold temperature, humidity or light; say which, as in temperature=%q; the columns are %s", l.Columns[width-1].name(width), l.listed())
	}
	return nil
}

func (c *Column) name(number int) string {
	if c.Heading == "" {
		return fmt.Sprint(number)
	}
	return c.Heading
}

func (l *Layout) listed() string {
	names := make([]string, len(l.Columns))
	for i := range l.Columns {
		names[i] = fmt.Sprintf("%q", l.Columns[i].name(i+1))
	}
	return strings.Join(names, ", ")
}

// preferOne keeps the first column of each meaning: others, such as those of a
// second probe, are not read unless they are named.
func (l *Layout) preferOne() {
	seen := map[Meaning]bool{}
	for i := range l.Columns {
		c := &l.Columns[i]
		if c.Meaning != NotRead && seen[c.Meaning] {
			c.Meaning, c.Unit = NotRead, ""
		}
		seen[c.Meaning] = true
	}
}

// choose gives a column the meaning that was asked for.
func (l *Layout) choose(m Meaning, choice ColumnChoice) error {
	place := slices.IndexFunc(l.Columns, func(c Column) bool {
		return strings.EqualFold(c.Heading, strings.TrimSpace(choice.Heading)) && c.Heading != ""
	})
	if place < 0 {
		if n, digits := leadingNumber(choice.Heading); digits > 0 && digits == len(choice.Heading) && n >= 1 && int(n) <= len(l.Columns) {
			place = int(n) - 1
		}
	}
	if place < 0 {
		return fmt.Errorf("no column is called %q; the columns are %s", choice.Heading, l.listed())
	}
	for i := range l.Columns {
		if l.Columns[i].Meaning == m {
			l.Columns[i].Meaning, l.Columns[i].Unit = NotRead, ""
		}
	}
	c := &l.Columns[place]
	if c.Meaning != m {
		c.Unit = ""
		_, unit := splitUnit(c.Heading)
		if unit != "" && unit.Of() == care.Quantity(m) {
			c.Unit = unit
		}
	}
	c.Meaning = m
	if choice.Unit != "" {
		if choice.Unit.Of() != care.Quantity(m) {
			return fmt.Errorf("%s is no unit of %s", choice.Unit, m)
		}
		c.Unit = choice.Unit
	}
	return nil
}

// findTimes looks at the first line of data for times that no heading names.
func (l *Layout) findTimes(first line) {
	for i := range l.Columns {
		c := &l.Columns[i]
		w, ok := parseWall(first.cells[i])
		switch {
		case !ok || isPlainNumber(first.cells[i]) && !w.isUnix && c.Meaning != Day:
			if c.Meaning == When || c.Meaning == Day || c.Meaning == TimeOfDay {
				c.Meaning = NotRead
			}
			continue
		case c.Meaning != NotRead && c.Meaning != When && c.Meaning != Day && c.Meaning != TimeOfDay:
			continue
		}
		switch {
		case w.hasDate && w.hasTime && l.column(When) < 0:
			c.Meaning = When
		case w.hasDate && !w.hasTime && (l.column(Day) < 0 || c.Meaning == When):
			c.Meaning = Day
		case w.hasTime && !w.hasDate && (l.column(TimeOfDay) < 0 || c.Meaning == When):
			c.Meaning = TimeOfDay
		}
	}
	if l.column(When) >= 0 {
		for i := range l.Columns {
			if m := l.Columns[i].Meaning; m == Day || m == TimeOfDay {
				l.Columns[i].Meaning = NotRead
			}
		}
	}
}
