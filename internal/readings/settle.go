package readings

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
)

// cell returns a cell of a line, empty when the line is too short.
func cell(cells []string, i int) string {
	if i < 0 || i >= len(cells) {
		return ""
	}
	return cells[i]
}

// data are the lines of the sample from the first one of data on.
func (l *Layout) data(lines []line) []line {
	i := slices.IndexFunc(lines, func(one line) bool { return one.number >= l.FirstLine })
	return lines[i:]
}

func (c *Column) measures() bool {
	return c.Meaning == Temperature || c.Meaning == Humidity || c.Meaning == Light
}

// decimals finds out whether numbers have a decimal comma.
func (l *Layout) decimals(lines []line) {
	if l.Delimiter == ',' {
		// Within quotes a comma may still be one.
		l.DecimalComma = l.hasMark(lines, ',')
		return
	}
	l.DecimalComma = l.hasMark(lines, ',')
}

func (l *Layout) hasMark(lines []line, mark byte) bool {
	for _, one := range l.data(lines) {
		for i := range l.Columns {
			if l.Columns[i].measures() && strings.IndexByte(cell(one.cells, i), mark) >= 0 {
				return true
			}
		}
	}
	return false
}

// wallOf reads the time of a line.
func (l *Layout) wallOf(cells []string) (w wall, ok bool) {
	if i := l.column(When); i >= 0 {
		w, ok = parseWall(cell(cells, i))
		return w, ok && w.hasDate && w.hasTime
	}
	day, ok := parseWall(cell(cells, l.column(Day)))
	if !ok || !day.hasDate {
		return w, false
	}
	clock, ok := parseWall(cell(cells, l.column(TimeOfDay)))
	if !ok || !clock.hasTime {
		return w, false
	}
	day.hour, day.min, day.sec, day.hasTime = clock.hour, clock.min, clock.sec, true
	day.offset, day.hasOffset = clock.offset, clock.hasOffset
	return day, true
}

// order finds out the order of day, month and year, whether the newest line
// comes first, and how far apart lines are.
func (l *Layout) order(lines []line, told DateOrder) error {
	var walls []wall
	open := false
	l.OwnOffset = true
	for _, one := range l.data(lines) {
		w, ok := l.wallOf(one.cells)
		if !ok {
			continue
		}
		walls = append(walls, w)
		open = open || !w.named && !w.isUnix
		l.OwnOffset = l.OwnOffset && (w.hasOffset || w.isUnix)
	}
	if len(walls) == 0 {
		return errors.New("no line holds a time in the columns of times")
	}
	orders := []DateOrder{YearFirst, DayFirst, MonthFirst}
	switch {
	case !open:
		orders = orders[:1]
	case told != "":
		if !slices.Contains(orders, told) {
			return fmt.Errorf("%q is not an order of dates; dmy, mdy and ymd are", told)
		}
		orders = []DateOrder{told}
	}
	type reading struct {
		order DateOrder
		steps []int64
		whole bool // every date exists
		jumps int  // steps of more than a day, or against the others
	}
	var fit []reading
	for _, order := range orders {
		r := reading{order: order, whole: true}
		last, forward := int64(0), 0
		for i := range walls {
			at, ok := walls[i].seconds(order)
			if !ok {
				r.whole = false
				break
			}
			if i > 0 {
				r.steps = append(r.steps, at-last)
				if at > last {
					forward++
				} else if at < last {
					forward--
				}
			}
			last = at
		}
		for _, step := range r.steps {
			if step > 86400 || step < -86400 || step > 0 && forward < 0 || step < 0 && forward > 0 {
				r.jumps++
			}
		}
		if r.whole {
			fit = append(fit, r)
		}
	}
	if len(fit) == 0 {
		if told != "" {
			return fmt.Errorf("there are dates that do not exist when they are read as %s", told)
		}
		return errors.New("the dates can be read in no order of day, month and year")
	}
	slices.SortStableFunc(fit, func(a, b reading) int { return a.jumps - b.jumps })
	if len(fit) > 1 && fit[0].jumps == fit[1].jumps {
		return fmt.Errorf("the dates can be read as %s and as %s; say which is the order of day, month and year", fit[0].order, fit[1].order)
	}
	best := fit[0]
	if open {
		l.Dates = best.order
	}
	sum := int64(0)
	var apart []int64
	for _, step := range best.steps {
		sum += int64(sign(step))
		if step != 0 {
			apart = append(apart, int64(math.Abs(float64(step))))
		}
	}
	l.Backward = sum < 0
	if len(apart) > 0 {
		slices.Sort(apart)
		l.Interval = time.Duration(apart[len(apart)/2]) * time.Second
	}
	return nil
}

func sign(v int64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// What temperatures can be without a unit and still be told from °F: indoors
// and on a terrace it is rarely warmer, in °F rarely colder (assumption).
const (
	surelyCelsiusC = 38
	hottestC       = 50
)

// units settles the units that stand in no heading: behind the numbers, or from
// what the numbers can be.
func (l *Layout) units(lines []line) error {
	for i := range l.Columns {
		c := &l.Columns[i]
		if !c.measures() || c.Unit != "" {
			continue
		}
		var values []float64
		for _, one := range l.data(lines) {
			v, rest, ok := parseNumber(cell(one.cells, i), l.DecimalComma)
			if !ok {
				continue
			}
			if u, err := ParseUnit(rest); err == nil && rest != "" && Meaning(u.Of()) == c.Meaning {
				c.Unit = u
				break
			}
			values = append(values, v)
		}
		if c.Unit != "" || len(values) == 0 {
			continue
		}
		slices.Sort(values)
		middle, most := values[len(values)/2], values[len(values)-1]
		switch {
		case c.Meaning == Light:
			return fmt.Errorf("column %q holds light, but its unit stands nowhere; say lx, fc or µmol, as in light=%s:lx", c.name(i+1), c.name(i+1))
		case c.Meaning == Humidity && most <= 1 && most > 0:
			return fmt.Errorf("column %q holds humidity from 0 to 1; write it in %%", c.name(i+1))
		case c.Meaning == Humidity:
			c.Unit, c.Taken = Percent, true
		case middle < surelyCelsiusC && most < hottestC:
			c.Unit, c.Taken = Celsius, true
		default:
			return fmt.Errorf("column %q holds temperatures of about %.0f, but their unit stands nowhere; say C or F, as in temperature=%s:F", c.name(i+1), middle, c.name(i+1))
		}
	}
	return nil
}

// example reads the first line of data.
func (l *Layout) example(lines []line, o Options) error {
	p := l.newParser(o)
	for _, one := range l.data(lines) {
		at, values, err := p.line(one.cells)
		if err == nil {
			l.Example = Row{Line: one.number, At: time.Unix(at, 0).UTC(), Values: p.readings([]care.Reading{}, at, values)}
			return nil
		}
	}
	return errors.New("no line of the beginning of the file can be read")
}

// parser turns lines into readings.
type parser struct {
	l       *Layout
	o       Options
	resolve resolver
	when    int // column of the times, -1 where date and time of day stand apart
	columns []measured
	values  []value
	hour    fullHour
}

// measured is a column that is read.
type measured struct {
	place     int
	quantity  care.Quantity
	low, high float64
	plain     bool // its unit is the one that is kept
}

// value is what a line says in one of the columns that are read.
type value struct {
	column int // of parser.columns
	value  float64
}

func (l *Layout) newParser(o Options) *parser {
	p := &parser{l: l, o: o, resolve: resolver{zone: l.Zone, backward: l.Backward}, when: l.column(When)}
	for i := range l.Columns {
		if c := &l.Columns[i]; c.measures() {
			quantity := care.Quantity(c.Meaning)
			low, high, kept := quantity.Range()
			p.columns = append(p.columns, measured{i, quantity, low, high, string(c.Unit) == kept})
		}
	}
	return p
}

// at returns the instant of a line.
func (p *parser) at(cells []string) (int64, error) {
	if p.when >= 0 {
		if at, ok := p.hour.at(cell(cells, p.when)); ok {
			p.resolve.last, p.resolve.any = at, true
			return at, nil
		}
	}
	w, ok := p.l.wallOf(cells)
	if !ok {
		return 0, errors.New("there is no time in the columns of times")
	}
	local, ok := w.seconds(p.l.Dates)
	if !ok {
		return 0, fmt.Errorf("the date does not exist in the order %s", p.l.Dates)
	}
	if w.isUnix {
		return local, nil
	}
	if w.hasOffset {
		return local - int64(w.offset), nil
	}
	at, ok := p.resolve.resolve(local)
	if !ok {
		return 0, fmt.Errorf("%s never was in %s, where the clocks were set forward; a logger whose clock is not changed needs a fixed offset as its zone, such as +01:00",
			time.Unix(local, 0).UTC().Format("15:04 on 2 January 2006"), p.l.Zone)
	}
	if p.when >= 0 {
		p.hour.remember(cell(cells, p.when), &w, local, at, &p.resolve)
	}
	return at, nil
}

// line reads one line. The values are overwritten by the next line.
func (p *parser) line(cells []string) (at int64, values []value, err error) {
	if at, err = p.at(cells); err != nil {
		return 0, nil, err
	}
	p.values = p.values[:0]
	for k := range p.columns {
		m := &p.columns[k]
		text := cell(cells, m.place)
		v, ok := plainNumber(text, p.l.DecimalComma)
		if !ok || !m.plain {
			var missing bool
			if v, missing, err = p.number(m, text); err != nil {
				return 0, nil, err
			}
			if missing {
				continue
			}
		}
		if !(v >= m.low && v <= m.high) {
			_, _, kept := m.quantity.Range()
			return 0, nil, fmt.Errorf("%s: %q is outside %g to %g %s", p.l.Columns[m.place].name(m.place+1), shortened(text), m.low, m.high, kept)
		}
		p.values = append(p.values, value{k, v})
	}
	return at, p.values, nil
}

// number reads a cell that may have a unit of its own, or hold nothing.
func (p *parser) number(m *measured, text string) (v float64, missing bool, err error) {
	c := &p.l.Columns[m.place]
	v, rest, ok := parseNumber(text, p.l.DecimalComma)
	if !ok {
		if isMissing(text) {
			return 0, true, nil
		}
		return 0, false, fmt.Errorf("%s: %q is not a number", c.name(m.place+1), shortened(text))
	}
	unit := c.Unit
	if rest != "" {
		if u, err := ParseUnit(rest); err == nil && Meaning(u.Of()) == c.Meaning {
			unit = u
		} else {
			return 0, false, fmt.Errorf("%s: %q is not a number with a unit of %s", c.name(m.place+1), shortened(text), c.Meaning)
		}
	}
	if v, err = unit.convert(v, p.o.LightFrom); err != nil {
		return 0, false, fmt.Errorf("%s: %w", c.name(m.place+1), err)
	}
	return v, false, nil
}

// readings appends what a line says to a list.
func (p *parser) readings(list []care.Reading, at int64, values []value) []care.Reading {
	for _, v := range values {
		list = append(list, care.Reading{Space: p.o.Space, Source: p.o.Source, Quantity: p.columns[v.column].quantity, At: time.Unix(at, 0).UTC(), Value: v.value})
	}
	return list
}

func shortened(text string) string {
	const most = 40
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}
