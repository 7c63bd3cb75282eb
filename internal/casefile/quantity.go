package casefile

import (
	"fmt"
	"math"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"velamen/science/basis"
)

// A kind is what a quantity measures, with the units it may be written in.
type kind struct {
	name  string // "a temperature"
	unit  string // of the value that is read
	class string // what the grower's choice of units is about; see shownUnits
	units []unit
	vague map[string]string // units that leave a question open, with the advice
	whole bool              // written without decimals, so that 12.000 is doubtful
}

// A unit turns a number into the unit of its kind: (number − zero)·factor.
type unit struct {
	symbol string
	also   []string
	factor float64
	zero   float64
	shows  string       // the care unit word that a grower who writes so uses
	about  *basis.Value // the factor's range, where it is not exact
}

// A quantity is a kind with the limits of one use: no plant lives outside them.
type quantity struct {
	*kind
	subject   string
	low, high float64
	slip      string // advice when the value lies above the limit
}

// A measure is what a key may hold: one quantity or a choice of several.
type measure struct {
	asked   string // "a temperature in °C or °F"
	example string // `"28 °C"`
	any     []quantity
}

func one(asked, example string, q quantity) measure { return measure{asked, example, []quantity{q}} }

// expected says what belongs where something else was found.
func (m *measure) expected() string { return expected(m.asked, m.example) }

func expected(asked, example string) string {
	return asked + " is expected here, such as " + example
}

// reading is a quantity read from text.
type reading struct {
	number   number
	quantity *quantity
	unit     *unit
	value    float64
}

// read reads one quantity from text. The error says what is wrong, not where.
func (m *measure) read(text string) (reading, error) {
	number, rest, err := readNumber(text)
	if err == errNoNumber {
		return reading{}, fmt.Errorf("found %s; %s", excerpt(text), m.expected())
	}
	if err != nil {
		return reading{}, fmt.Errorf("%s: %w", excerpt(text), err)
	}
	r := reading{number: number}
	if err := m.withUnit(&r, text, rest); err != nil {
		return reading{}, err
	}
	return r, r.check(text)
}

// Words between the two figures of a range and of a size.
var (
	rangeMarks = []string{" to ", "–", "…", ".."}
	sizeMarks  = []string{"x", "×", "X", " by "}
)

// readRange reads two quantities such as "15 to 28 °C", the lower first.
func (m *measure) readRange(text string) (low, high reading, err error) {
	low, high, err = m.readPair(text, rangeMarks)
	if err == nil && low.value > high.value {
		err = fmt.Errorf("%s runs downwards; write the lower figure first", excerpt(text))
	}
	return low, high, err
}

// readPair reads two quantities with a mark between them. The unit may stand
// behind both numbers or once at the end.
func (m *measure) readPair(text string, marks []string) (first, second reading, err error) {
	number, rest, err := readNumber(text)
	if err != nil && err != errNoNumber {
		return first, second, fmt.Errorf("%s: %w", excerpt(text), err)
	}
	symbol, other, ok := cutPair(rest, marks)
	if err != nil || !ok {
		return first, second, fmt.Errorf("found %s; %s", excerpt(text), m.expected())
	}
	if second, err = m.read(other); err != nil {
		return first, second, err
	}
	first = reading{number: number}
	if symbol == "" {
		first.unit, first.quantity = second.unit, second.quantity
		first.convert()
	} else if err = m.withUnit(&first, text, symbol); err != nil {
		return first, second, err
	}
	return first, second, first.check(text)
}

// cutPair splits what follows the first number of a pair: its unit, if any, and
// the second quantity.
func cutPair(rest string, marks []string) (symbol, second string, ok bool) {
	for _, mark := range marks {
		if symbol, second, ok = strings.Cut(rest, mark); ok {
			return strings.TrimSpace(symbol), second, true
		}
	}
	// A hyphen behind the number can only mean "to" in a range.
	if &marks[0] == &rangeMarks[0] {
		second, ok = strings.CutPrefix(strings.TrimSpace(rest), "-")
	}
	return "", second, ok
}

// withUnit finds the unit of a reading and converts it.
func (m *measure) withUnit(r *reading, text, symbol string) error {
	folded := foldUnit(symbol)
	if folded == "" {
		return fmt.Errorf("%s has no unit; %s", excerpt(text), m.expected())
	}
	for i := range m.any {
		q := &m.any[i]
		if u := q.unitOf(folded); u != nil {
			r.quantity, r.unit = q, u
			r.convert()
			return nil
		}
		if advice, ok := q.vague[folded]; ok {
			return fmt.Errorf("%s: %s", excerpt(text), advice)
		}
	}
	for _, k := range kinds {
		if k.unitOf(folded) != nil {
			return fmt.Errorf("%s is %s; %s", excerpt(text), k.name, m.expected())
		}
	}
	return fmt.Errorf("the unit of %s is not known; %s", excerpt(text), m.expected())
}

func (r *reading) convert() { r.value = (r.number.value - r.unit.zero) * r.unit.factor }

// check reports a value that cannot be meant.
func (r *reading) check(text string) error {
	q := r.quantity
	if r.number.doubtful && q.whole {
		return fmt.Errorf("%s can be read as %.0f or as %g; write one of these", excerpt(text), r.number.value*1000, r.number.value)
	}
	if q.low <= r.value && r.value <= q.high {
		return nil
	}
	message := excerpt(text)
	if r.unit.factor != 1 {
		message += fmt.Sprintf(" (%s %s)", plain(math.Round(10*r.value)/10), q.unit)
	}
	message += fmt.Sprintf(" cannot be right: %s is %s to %s %s", q.subject, plain(q.low), plain(q.high), q.unit)
	if r.value > q.high && q.slip != "" {
		message += "; " + q.slip
	}
	return fmt.Errorf("%s", message)
}

// plain writes a limit with a proper minus sign.
func plain(x float64) string {
	return strings.Replace(fmt.Sprintf("%g", x), "-", "−", 1)
}

// given returns the reading as a figure the grower stated.
func (r *reading) given() basis.Value {
	v := basis.Exactly(r.value, r.quantity.unit, basis.Given, "")
	if about := r.unit.about; about != nil {
		v.Low, v.High = r.value*about.Low/about.Value, r.value*about.High/about.Value
		v.Grade, v.Source = basis.Weakest(basis.Given, about.Grade), about.Source
	}
	return v
}

func (k *kind) unitOf(folded string) *unit {
	for i := range k.units {
		u := &k.units[i]
		if foldUnit(u.symbol) == folded {
			return u
		}
		for _, also := range u.also {
			if also == folded {
				return u
			}
		}
	}
	return nil
}

// foldUnit brings the ways of writing a unit together: capitals, spaces, the
// two micro signs, degree signs, powers and subscripts do not matter.
func foldUnit(symbol string) string {
	return unitFolding.Replace(strings.ToLower(strings.TrimSpace(symbol)))
}

var unitFolding = strings.NewReplacer(
	" per ", "/", " as ", "", " ", "", "\u00a0", "", "\t", "",
	"µ", "u", "μ", "u", "°", "", "º", "", "˚", "", "℃", "c", "℉", "f",
	"²", "2", "₃", "3", "₄", "4", "⁻", "-", "¹", "1", "·", "", "⋅", "", "″", "in", "\"", "in", ".", "",
)

// quantity reads one quantity into a value.
func (f *file) quantity(v *node, m *measure, into *basis.Value) {
	if r, ok := f.reading(v, m); ok && f.free(v, into.Grade != 0) {
		*into = r.given()
	}
}

// reading reads one quantity and remembers the unit it was written in.
func (f *file) reading(v *node, m *measure) (reading, bool) {
	text, ok := f.quoted(v, m)
	if !ok {
		return reading{}, false
	}
	r, err := m.read(text)
	if err != nil {
		f.say(v.at, v, "%s", err)
		return reading{}, false
	}
	f.shown.see(v.at, r)
	return r, true
}

// span reads a range into its two ends.
func (f *file) span(v *node, m *measure, low, high *basis.Value) {
	text, ok := f.quoted(v, m)
	if !ok {
		return
	}
	from, to, err := m.readRange(text)
	if err != nil {
		f.say(v.at, v, "%s", err)
		return
	}
	f.shown.see(v.at, to)
	if f.free(v, low.Grade != 0 || high.Grade != 0) {
		*low, *high = from.given(), to.given()
	}
}

// size reads a width and a height.
func (f *file) size(v *node, m *measure, width, height *basis.Value) {
	text, ok := f.quoted(v, m)
	if !ok {
		return
	}
	first, second, err := m.readPair(text, sizeMarks)
	if err != nil {
		f.say(v.at, v, "%s", err)
		return
	}
	if f.free(v, width.Grade != 0 || height.Grade != 0) {
		*width, *height = first.given(), second.given()
	}
}

// quoted returns the text of a quantity; a bare number lacks its unit.
func (f *file) quoted(v *node, m *measure) (string, bool) {
	switch v.kind {
	case unstable.String:
		return v.text, true
	case unstable.Integer, unstable.Float:
		f.say(v.at, v, "%s has no unit; %s", v.text, m.expected())
	default:
		f.say(v.at, v, "found %s; %s", v.found(), m.expected())
	}
	return "", false
}
