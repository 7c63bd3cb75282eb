package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"velamen/science/basis"
)

// answer is what a calculation found. It is put together once and printed as
// tables for people or as one object for programs.
type answer struct {
	format   string // "velamen-calc-air-1"
	sections []section
}

// section is one group of results with what stands behind it.
type section struct {
	key, title string
	about      string // what the results are of, under the title
	lines      []line
	grid       *grid
	notes      []string
	because    string // the equations with their sources
	rests      []parameter
}

// line is one named result.
type line struct {
	key, name string
	value     any // what programs get: a number, a text, true or false
	unit      string
	decimals  int
	scale     float64     // from the program's unit to the one shown; 0 is the same
	span      *[2]float64 // low and high, in the program's unit
	shown     string      // what people get, if not the number and its unit
}

// grid is a table whose columns are the same quantities in every row.
type grid struct {
	key     string
	columns []column
	rows    [][]any // nil is an empty cell
}

type column struct {
	key, head string
	decimals  int
	scale     float64
}

// ranged is a cell with its range.
type ranged struct{ value, low, high float64 }

// parameter is a figure that a result rests on and that might be otherwise.
type parameter struct {
	key, name string
	basis.Value
}

// spanOf is the range of a value, for a line.
func spanOf(low, high float64) *[2]float64 { return &[2]float64{low, high} }

// print writes the answer for people.
func (a answer) print(w io.Writer) {
	for i, s := range a.sections {
		if i > 0 {
			fmt.Fprintln(w)
		}
		heading(w, s.title)
		s.print(w)
	}
}

func (s section) print(w io.Writer) {
	if s.about != "" {
		fmt.Fprintln(w, "  "+wrap(capital(s.about), lineWidth-2, "  "))
	}
	lines := table{indent: "  ", right: []bool{false, true}}
	for _, l := range s.lines {
		lines.row(l.name, l.figure(), l.unitAndRange())
	}
	lines.print(w)
	if s.grid != nil {
		if len(s.lines) > 0 {
			fmt.Fprintln(w)
		}
		s.grid.print(w)
	}
	for _, note := range s.notes {
		fmt.Fprintln(w, "! "+wrap(note, lineWidth-2, "  "))
	}
	fmt.Fprintln(w, "  "+wrap("because: "+s.reason(), lineWidth-2, "  "))
}

func (l line) figure() string {
	if l.shown != "" {
		return l.shown
	}
	return shown(l.value, l.decimals, l.scale)
}

func (l line) unitAndRange() string {
	if l.span == nil {
		return l.unit
	}
	low, high := shown(l.span[0], l.decimals, l.scale), shown(l.span[1], l.decimals, l.scale)
	return strings.TrimSpace(l.unit + "  (" + low + " to " + high + ")")
}

// shown writes a value with fixed decimals and a proper minus sign.
func shown(value any, decimals int, scale float64) string {
	if scale == 0 {
		scale = 1
	}
	switch v := value.(type) {
	case nil:
		return ""
	case string:
		return v
	case int:
		return strconv.Itoa(v)
	case float64:
		text := strconv.FormatFloat(v*scale, 'f', decimals, 64)
		if minus, ok := strings.CutPrefix(text, "-"); ok {
			text = minus
			if strings.Trim(minus, "0.") != "" {
				text = "−" + minus
			}
		}
		return text
	case ranged:
		return fmt.Sprintf("%s (%s to %s)", shown(v.value, decimals, scale), shown(v.low, decimals, scale), shown(v.high, decimals, scale))
	}
	return fmt.Sprint(value)
}

func (g *grid) print(w io.Writer) {
	t := table{indent: "  "}
	heads := make([]string, len(g.columns))
	t.right = make([]bool, len(g.columns))
	for i, c := range g.columns {
		heads[i] = c.head
		t.right[i] = true
		for _, row := range g.rows {
			if _, text := row[i].(string); text {
				t.right[i] = false
			}
		}
	}
	t.row(heads...)
	for _, row := range g.rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = shown(cell, g.columns[i].decimals, g.columns[i].scale)
		}
		t.row(cells...)
	}
	t.print(w)
}

// told are the grades that a reader is told about, the weakest first; a
// published figure only if it has a range.
var told = []struct {
	grade basis.Grade
	word  string
}{{basis.Assumption, "Assumed"}, {basis.CommonPractice, "Common practice"}, {basis.FromMemory, "From memory"}, {basis.Published, "Published range"}}

// mostNamed is how many parameters of one grade are named to people; programs
// get all.
const mostNamed = 3

// reason is the section's equations and the parameters that might be otherwise.
func (s section) reason() string {
	text := s.because + "."
	for _, w := range told {
		var named []string
		more := 0
		for _, p := range s.rests {
			switch {
			case p.Grade != w.grade, p.Grade == basis.Published && p.Low == p.High:
			case len(named) < mostNamed:
				named = append(named, p.String())
			default:
				more++
			}
		}
		if len(named) == 0 {
			continue
		}
		if more > 0 {
			named = append(named, fmt.Sprintf("and %d more (--json lists them)", more))
		}
		text += " " + w.word + ": " + strings.Join(named, ", ") + "."
	}
	return text
}

// String names the parameter with its value and range.
func (p parameter) String() string {
	unit := ""
	if p.Unit != "" && p.Unit != "1" {
		unit = " " + p.Unit
	}
	text := fmt.Sprintf("%s %.4g%s", p.name, p.Value.Value, unit)
	if p.Low != p.High {
		text += fmt.Sprintf(" (%.4g to %.4g)", p.Low, p.High)
	}
	return text
}

// MarshalJSON writes the answer as one object: its format, an object for each
// section, and every parameter with its range and basis.
func (a answer) MarshalJSON() ([]byte, error) {
	whole := object{{"format", a.format}}
	parameters := object{}
	seen := map[string]bool{}
	for _, s := range a.sections {
		whole = append(whole, member{s.key, s.object()})
		for _, p := range s.rests {
			if !seen[p.key] {
				seen[p.key] = true
				parameters = append(parameters, member{p.key, p.Value})
			}
		}
	}
	return append(whole, member{"parameters", parameters}).MarshalJSON()
}

func (s section) object() object {
	o := object{}
	if s.about != "" {
		o = append(o, member{"about", s.about})
	}
	for _, l := range s.lines {
		o = append(o, member{l.key, l.value})
		if l.span != nil {
			o = append(o, member{l.key + "_low", l.span[0]}, member{l.key + "_high", l.span[1]})
		}
	}
	if s.grid != nil {
		o = append(o, member{s.grid.key, s.grid.objects()})
	}
	if len(s.notes) > 0 {
		o = append(o, member{"notes", s.notes})
	}
	return append(o, member{"because", s.reason()})
}

func (g *grid) objects() []object {
	list := make([]object, len(g.rows))
	for i, row := range g.rows {
		for j, cell := range row {
			key := g.columns[j].key
			if r, ok := cell.(ranged); ok {
				list[i] = append(list[i], member{key, r.value}, member{key + "_low", r.low}, member{key + "_high", r.high})
				continue
			}
			list[i] = append(list[i], member{key, cell})
		}
	}
	return list
}

// object is a JSON object whose members keep their order.
type object []member

type member struct {
	key   string
	value any
}

// MarshalJSON writes the members in order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := encoder.Encode(m.key); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := encoder.Encode(m.value); err != nil {
			return nil, fmt.Errorf("%s: %w", m.key, err)
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}
