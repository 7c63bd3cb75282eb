package cli

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/pest"
)

// calcDegreeDays counts warmth for pests: of a day, of a file of days, or of
// days at a steady mean.
type calcDegreeDays struct {
	File     string `arg:"" optional:"" help:"CSV file of consecutive days with the columns date,min_c,max_c."`
	Hours    string `placeholder:"FILE" help:"CSV file of hourly temperatures instead, with the columns time,temp_c, as in 2026-11-24 13:00: the exact sum."`
	Min      number `name:"min-c" range:"-40 to 60 °C" placeholder:"C" help:"Lowest temperature of one day, -40 to 60 °C."`
	Max      number `name:"max-c" range:"-40 to 60 °C" placeholder:"C" help:"Highest temperature of that day, -40 to 60 °C."`
	NextMin  number `name:"next-min-c" range:"-40 to 60 °C" placeholder:"C" help:"Lowest temperature of the next day, -40 to 60 °C, for the double methods."`
	Mean     number `name:"mean-c" range:"-40 to 60 °C" placeholder:"C" help:"Steady mean instead of minimum and maximum, -40 to 60 °C."`
	Days     number `name:"days" range:"1 to 400 d" whole:"" placeholder:"N" help:"Days at that mean, 1 to 400; one if left out."`
	Lower    number `name:"lower-c" range:"-40 to 60 °C" placeholder:"C" help:"Temperature above which warmth counts, -40 to 60 °C."`
	Upper    number `name:"upper-c" range:"-40 to 60 °C" placeholder:"C" help:"Temperature above which development is no faster, -40 to 60 °C."`
	Vertical bool   `help:"Development stops above --upper-c instead of keeping its pace."`
	Pest     string `placeholder:"NAME" help:"A pest of the culture tables: how long its stages take."`
	From     string `placeholder:"DATE" help:"Day of the treatment or repot, as in 2026-11-24: when to look for the pest again."`

	Out calcOutput `embed:""`
}

// warmDays are the temperatures that were given, one way or the other.
type warmDays struct {
	start      time.Time // of a file; zero otherwise
	minC, maxC []float64
	hoursC     []float64 // of a file of hours, whole days from its first line
	left       int       // hours after the last whole day
	steadyC    float64   // the mean, when only that is known
	steady     bool
}

// Run prints the sums, and how long the stages of a pest take.
func (c calcDegreeDays) Run(r *run) error {
	if err := c.check(); err != nil {
		return err
	}
	days, err := c.temperatures()
	if err != nil {
		return err
	}
	a := answer{format: "velamen-calc-degree-days-1"}
	if c.Lower.given {
		sums, err := c.sums(days)
		if err != nil {
			return err
		}
		a.sections = append(a.sections, sums...)
	}
	if c.Pest != "" {
		tables, err := culture.Load()
		if err != nil {
			return failed("reading the culture tables", err)
		}
		animal, err := tables.Pest(c.Pest)
		if err != nil {
			return at("--pest", err)
		}
		stages, err := pestStages(animal, days.meanC())
		if err != nil {
			return err
		}
		a.sections = append(a.sections, stages)
		if c.From != "" {
			recheck, err := c.recheck(animal, days)
			if err != nil {
				return err
			}
			a.sections = append(a.sections, recheck)
		}
	}
	return c.Out.show(r, a)
}

// check refuses flags that do not go together.
func (c calcDegreeDays) check() error {
	ways := 0
	for _, given := range []bool{c.File != "", c.Hours != "", c.Min.given || c.Max.given, c.Mean.given} {
		if given {
			ways++
		}
	}
	switch {
	case ways != 1:
		return errors.New("give the temperatures in one way: a CSV file of days, --hours, --min-c with --max-c, or --mean-c")
	case c.Min.given != c.Max.given:
		return errors.New("--min-c and --max-c need each other")
	case c.NextMin.given && !c.Min.given:
		return errors.New("--next-min-c goes with --min-c and --max-c")
	case c.Days.given && !c.Mean.given:
		return errors.New("--days goes with --mean-c")
	case !c.Lower.given && c.Pest == "":
		return errors.New("give --lower-c for the sums, --pest for the stages of a pest, or both")
	case c.Upper.given && !c.Lower.given:
		return errors.New("--upper-c goes with --lower-c")
	case c.Upper.given && c.Upper.value <= c.Lower.value:
		return fmt.Errorf("--upper-c: %v is not above --lower-c, %v °C", c.Upper.value, c.Lower.value)
	case c.Vertical && !c.Upper.given:
		return errors.New("--vertical goes with --upper-c")
	case c.From != "" && c.Pest == "":
		return errors.New("--from is for looking again for a pest; give --pest too")
	case c.Min.given && c.Min.value > c.Max.value:
		return fmt.Errorf("--min-c: %v is above --max-c, %v °C", c.Min.value, c.Max.value)
	}
	return nil
}

func (c calcDegreeDays) temperatures() (warmDays, error) {
	switch {
	case c.Mean.given:
		return warmDays{steadyC: c.Mean.value, steady: true}, nil
	case c.Min.given:
		return warmDays{minC: []float64{c.Min.value}, maxC: []float64{c.Max.value}}, nil
	case c.Hours != "":
		s, err := openSheet(c.Hours, []string{"time", "temp_c"}, nil)
		if err != nil {
			return warmDays{}, err
		}
		return hoursOf(s)
	}
	s, err := openSheet(c.File, []string{"date", "min_c", "max_c"}, nil)
	if err != nil {
		return warmDays{}, err
	}
	return daysOf(s)
}

// daysOf reads consecutive days.
func daysOf(s *sheet) (warmDays, error) {
	var days warmDays
	for i, row := range s.rows {
		day, err := row.date("date")
		if err != nil {
			return days, err
		}
		if i == 0 {
			days.start = day
		} else if next := days.start.AddDate(0, 0, i); !day.Equal(next) {
			return days, row.expected("date", next.Format(time.DateOnly)+", the day after the one before; a missing day must not pass for a cold one")
		}
		low, err := row.number("min_c", -40, 60, "°C")
		if err != nil {
			return days, err
		}
		high, err := row.number("max_c", -40, 60, "°C")
		if err != nil {
			return days, err
		}
		if high < low {
			return days, row.expected("max_c", fmt.Sprintf("at least the minimum of the day, %v °C", low))
		}
		days.minC, days.maxC = append(days.minC, low), append(days.maxC, high)
	}
	return days, nil
}

// hoursOf reads consecutive hours and cuts them into days of 24 from the first
// one on.
func hoursOf(s *sheet) (warmDays, error) {
	var days warmDays
	var start time.Time
	for i, row := range s.rows {
		at, err := row.hour("time")
		if err != nil {
			return days, err
		}
		if i == 0 {
			start = at
			days.start = time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, time.UTC)
		} else if next := start.Add(time.Duration(i) * time.Hour); !at.Equal(next) {
			return days, row.expected("time", next.Format(hourLayout)+", the hour after the one before; a missing hour must not pass for a cold one")
		}
		c, err := row.number("temp_c", -40, 60, "°C")
		if err != nil {
			return days, err
		}
		days.hoursC = append(days.hoursC, c)
	}
	whole := len(days.hoursC) / 24
	if whole == 0 {
		return days, fmt.Errorf("%s: %d hours are no whole day", s.file, len(days.hoursC))
	}
	days.left = len(days.hoursC) - 24*whole
	days.hoursC = days.hoursC[:24*whole]
	for day := range slices.Chunk(days.hoursC, 24) {
		days.minC, days.maxC = append(days.minC, slices.Min(day)), append(days.maxC, slices.Max(day))
	}
	return days, nil
}

// meanC is the mean of all days, from the middles of minimum and maximum where no
// hours are known.
func (d warmDays) meanC() float64 {
	if d.steady {
		return d.steadyC
	}
	var sum float64
	if n := len(d.hoursC); n > 0 {
		for _, c := range d.hoursC {
			sum += c
		}
		return sum / float64(n)
	}
	for i := range d.minC {
		sum += (d.minC[i] + d.maxC[i]) / 2
	}
	return sum / float64(len(d.minC))
}

// thresholds are those of the flags.
func (c calcDegreeDays) thresholds() pest.Thresholds {
	th := pest.Above(c.Lower.value)
	if c.Upper.given {
		th.UpperC = c.Upper.value
	}
	if c.Vertical {
		th.CutOff = pest.Vertical
	}
	return th
}

const dailySums = "sine: Baskerville & Emin 1969; triangle and the double methods, by half-days to the next minimum: Zalom et al. 1983; " +
	"averages: McMaster & Wilhelm 1997, methods 1 and 2"

// sums are the degree-days by every method that the temperatures allow.
func (c calcDegreeDays) sums(days warmDays) ([]section, error) {
	th := c.thresholds()
	s := section{key: "sums", title: "Degree-days", about: c.aboutThresholds(), because: dailySums}
	s.grid = &grid{key: "methods", columns: []column{{key: "method", head: "method"}, {key: "degree_days", head: "°C·d", decimals: 2}}}
	if days.steady {
		count := 1.0
		if c.Days.given {
			count = c.Days.value
		}
		perDay, err := pest.FromMean(days.steadyC, th)
		if err != nil {
			return nil, at("--mean-c", err)
		}
		s.grid.rows = [][]any{{"daily mean", perDay * count}}
		s.because = "mean less the lower threshold, never below 0, for each day"
		s.notes = []string{"A mean says nothing of warm afternoons: it falls short when the nights are colder than the lower threshold."}
		return []section{s}, nil
	}
	rows, err := c.methodRows(days, th)
	if err != nil {
		return nil, err
	}
	s.grid.rows = rows
	if len(days.hoursC) > 0 {
		exact, err := pest.FromSamples(days.hoursC, 24, th)
		if err != nil {
			return nil, err
		}
		s.grid.rows = append([][]any{{"hour by hour, exact", exact}}, rows...)
		if days.left > 0 {
			s.notes = append(s.notes, fmt.Sprintf("The last %d hours make no whole day and are left out.", days.left))
		}
	}
	if len(days.minC) == 1 {
		if !c.NextMin.given {
			s.notes = append(s.notes, "The double methods need the next day's minimum: --next-min-c.")
		}
		return []section{s}, nil
	}
	s.notes = append(s.notes, "The double methods take the last day's own minimum for the night after it.")
	daily, err := dailySection(days, th)
	return []section{s, daily}, err
}

func (c calcDegreeDays) aboutThresholds() string {
	about := fmt.Sprintf("above %v °C", c.Lower.value)
	switch {
	case c.Vertical:
		about += fmt.Sprintf(", none while it is hotter than %v °C (vertical cut-off)", c.Upper.value)
	case c.Upper.given:
		about += fmt.Sprintf(", no faster above %v °C (horizontal cut-off)", c.Upper.value)
	}
	return about
}

func (c calcDegreeDays) methodRows(days warmDays, th pest.Thresholds) ([][]any, error) {
	type method struct {
		name string
		of   func(low, high, next float64) (float64, error)
	}
	methods := []method{
		{"average, without an upper threshold", func(low, high, _ float64) (float64, error) { return pest.Average(low, high, th.LowerC) }},
	}
	if !c.Vertical { // it knows no vertical cut-off
		methods = append(methods, method{"average of minimum and maximum brought between the thresholds", func(low, high, _ float64) (float64, error) {
			return pest.AverageClipped(low, high, th.LowerC, th.UpperC)
		}})
	}
	methods = append(methods,
		method{"single triangle", func(low, high, _ float64) (float64, error) { return pest.Triangle(low, high, th) }},
		method{"single sine", func(low, high, _ float64) (float64, error) { return pest.Sine(low, high, th) }},
	)
	if c.NextMin.given || len(days.minC) > 1 {
		methods = append(methods,
			method{"double triangle", func(low, high, next float64) (float64, error) { return pest.DoubleTriangle(low, high, next, th) }},
			method{"double sine", func(low, high, next float64) (float64, error) { return pest.DoubleSine(low, high, next, th) }},
		)
	}
	rows := make([][]any, len(methods))
	for i, m := range methods {
		var sum float64
		for day := range days.minC {
			next := days.minC[min(day+1, len(days.minC)-1)]
			if c.NextMin.given {
				next = c.NextMin.value
			}
			one, err := m.of(days.minC[day], days.maxC[day], next)
			if err != nil {
				return nil, err
			}
			sum += one
		}
		rows[i] = []any{m.name, sum}
	}
	return rows, nil
}

// dailySection is the running sum by single sine.
func dailySection(days warmDays, th pest.Thresholds) (section, error) {
	s := section{key: "daily", title: "Day by day", about: "by single sine, the usual companion of published insect constants",
		because: "single sine, Baskerville & Emin 1969"}
	s.grid = &grid{key: "days", columns: []column{
		{key: "date", head: "date"}, {key: "min_c", head: "min °C", decimals: 1}, {key: "max_c", head: "max °C", decimals: 1},
		{key: "degree_days", head: "°C·d", decimals: 2}, {key: "running", head: "sum", decimals: 1},
	}}
	running := make([]float64, len(days.minC))
	if err := pest.Accumulate(running, days.minC, days.maxC, th); err != nil {
		return s, err
	}
	before := 0.0
	for i, sum := range running {
		s.grid.rows = append(s.grid.rows, []any{days.start.AddDate(0, 0, i).Format(time.DateOnly), days.minC[i], days.maxC[i], math.Max(0, sum-before), sum})
		before = sum
	}
	return s, nil
}
