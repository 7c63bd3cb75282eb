package readings

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"velamen/internal/care"
)

// Hours reads a file that is laid out as Look found to its hourly climate, keeps
// nothing, and gives each hour in which something was measured to yield: what an
// import would summarise, for a file that is only to be looked at. Hours come in
// the order of the file, those of one day forward in time. Of two values for one
// moment the first counts. The lines may be in any order within a day or two; a
// line that goes back further than that is an error. The findings hold also when
// Hours is stopped.
func (l *Layout) Hours(ctx context.Context, from io.Reader, o Options, clock care.DayClock, progress func(line int), yield func(care.ClimateHour) error) (Findings, error) {
	p := l.newParser(o)
	d := days{p: p, clock: clock, yield: yield}
	f, _, err := p.lines(ctx, from, progress, func() int { return 0 }, d.take)
	if err == nil {
		err = d.summarise(len(d.open))
	}
	return f, err
}

// days gathers the lines of a file by calendar day, until no more can come for a
// day.
type days struct {
	p     *parser
	clock care.DayClock
	yield func(care.ClimateHour) error

	open []*openDay // in the order of the file; what is given out already stands first
	at   *openDay   // of the last line
}

// openDay is a calendar day of the file.
type openDay struct {
	date       time.Time
	begin, end int64
	given      bool
	columns    []column
}

// column is what one column of the file says of a day.
type column struct {
	at    []int64
	value []float64
	mixed bool // not in rising order of time
}

// daysAhead is how many days later than a day lines have to be for it to be whole.
const daysAhead = 2

func (d *days) take(line int, at int64, values []value) error {
	if d.at == nil || at < d.at.begin || at >= d.at.end {
		if err := d.find(line, at); err != nil {
			return err
		}
	}
	for _, v := range values {
		c := &d.at.columns[v.column]
		if n := len(c.at); n > 0 && c.at[n-1] >= at {
			c.mixed = true
		}
		c.at, c.value = append(c.at, at), append(c.value, v.value)
	}
	return nil
}

// find makes the day of an instant the present one.
func (d *days) find(line int, at int64) error {
	for _, one := range d.open {
		if at >= one.begin && at < one.end {
			if one.given {
				return d.tooLate(line, one.date)
			}
			d.at = one
			return nil
		}
	}
	date := d.clock.DateOf(time.Unix(at, 0))
	if len(d.open) > 0 && d.open[0].given && d.before(date, d.open[0].date) {
		return d.tooLate(line, date)
	}
	d.at = &openDay{date: date, begin: d.clock.Begin(date).Unix(), end: d.clock.Begin(date.AddDate(0, 0, 1)).Unix(), columns: make([]column, len(d.p.columns))}
	if len(d.open) > 0 { // as much room as the day before took
		for i, c := range d.open[len(d.open)-1].columns {
			d.at.columns[i] = column{at: make([]int64, 0, len(c.at)+1), value: make([]float64, 0, len(c.at)+1)}
		}
	}
	place := len(d.open)
	for place > 0 && d.before(date, d.open[place-1].date) {
		place--
	}
	d.open = slices.Insert(d.open, place, d.at)
	if err := d.summarise(len(d.open) - daysAhead); err != nil {
		return err
	}
	for len(d.open) > 1 && d.open[0].given && d.open[1].given {
		d.open = d.open[1:]
	}
	return nil
}

func (d *days) tooLate(line int, date time.Time) error {
	return fmt.Errorf("line %d goes back to %s, when that day was summed up already; sort the lines by time, or import the file", line, date.Format(time.DateOnly))
}

// before reports whether a day comes before another in the order of the file.
func (d *days) before(a, b time.Time) bool {
	if d.p.l.Backward {
		a, b = b, a
	}
	return a.Before(b)
}

// summarise gives out the first n open days that were not given out yet.
func (d *days) summarise(n int) error {
	for i := 0; i < n; i++ {
		one := d.open[i]
		if one.given {
			continue
		}
		for _, k := range []int{i - 1, i, i + 1} {
			if k >= 0 && k < len(d.open) {
				d.open[k].sort()
			}
		}
		hours, _ := d.clock.SummariseDay(one.date, d.series(i))
		for _, h := range hours {
			if err := d.yield(h); err != nil {
				return err
			}
		}
		one.given = true
	}
	return nil
}

// series is what the file says of a day and of an hour to both sides of it.
func (d *days) series(i int) []care.SensorSeries {
	margin := int64(care.SummaryMargin / time.Second)
	earlier, later := i-1, i+1
	if d.p.l.Backward {
		earlier, later = later, earlier
	}
	one := d.open[i]
	list := make([]care.SensorSeries, 0, len(one.columns))
	for k := range one.columns {
		own := &one.columns[k]
		if len(own.at) == 0 {
			continue
		}
		s := care.SensorSeries{Source: d.p.o.Source, Quantity: d.p.columns[k].quantity}
		add := func(day int, from, until int64) {
			if day < 0 || day >= len(d.open) {
				return
			}
			c := &d.open[day].columns[k]
			a, _ := slices.BinarySearch(c.at, from)
			b, _ := slices.BinarySearch(c.at, until)
			s.At, s.Value = append(s.At, c.at[a:b]...), append(s.Value, c.value[a:b]...)
		}
		s.At, s.Value = make([]int64, 0, len(own.at)+len(own.at)/8), make([]float64, 0, len(own.at)+len(own.at)/8)
		add(earlier, one.begin-margin, one.begin)
		add(i, one.begin, one.end)
		add(later, one.end, one.end+margin)
		list = append(list, s)
	}
	return list
}

// sort puts the values of a day in order of time, one for each moment.
func (o *openDay) sort() {
	for i := range o.columns {
		c := &o.columns[i]
		if !c.mixed {
			continue
		}
		type pair struct {
			at    int64
			value float64
		}
		pairs := make([]pair, len(c.at))
		for k := range pairs {
			pairs[k] = pair{c.at[k], c.value[k]}
		}
		slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(a.at, b.at) })
		pairs = slices.CompactFunc(pairs, func(a, b pair) bool { return a.at == b.at })
		c.at, c.value, c.mixed = c.at[:0], c.value[:0], false
		for _, one := range pairs {
			c.at, c.value = append(c.at, one.at), append(c.value, one.value)
		}
	}
}
