package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/growth"
)

// calcRoots weighs readings of marked roots of one plant.
type calcRoots struct {
	File      string `arg:"" help:"CSV file of readings with the columns root, date or day, length_mm, and if known error_mm and tip (growing, resting, chewed or broken)."`
	Group     string `placeholder:"NAME" help:"Culture group, for the rates its roots are known to grow at; any orchid's if left out."`
	On        string `placeholder:"DAY" help:"Day of the verdict, a date or a number as in the file; that of the last row if left out."`
	Error     number `name:"error-mm" range:"0.01 to 100 mm" placeholder:"MM" help:"Standard deviation of a reading without its own, 0.01 to 100 mm; that of a ruler along a root in its pot if left out."`
	RateNoise number `name:"rate-noise-mm2-per-day3" range:"0.00001 to 1 mm²/day³" placeholder:"N" help:"How much the rate of a root wanders, 1e-05 to 1 mm²/day³; see the parameters for what is assumed."`

	Out calcOutput `embed:""`
}

// markedRoots are the records of a file.
type markedRoots struct {
	names []string // in the order they first stand in
	roots []growth.Root
	dated bool
	last  float64 // day of the last record
}

// tipWords are the words of the column tip.
var tipWords = map[string]growth.TipChange{
	"growing": growth.Renewed, "resting": growth.Capped, "chewed": growth.Chewed, "broken": growth.Broken,
}

// Run prints what each root says, and what they say together.
func (c calcRoots) Run(r *run) error {
	usual := parameter{"reading_error_mm", "error of a reading, ruler in the pot", growth.RulerInPotErrorMM}
	errorMM, rests := c.Error.or(usual)
	s, err := openSheet(c.File, []string{"root", "length_mm"}, []string{"date", "day", "error_mm", "tip"})
	if err != nil {
		return err
	}
	marked, err := rootsOf(s, errorMM)
	if err != nil {
		return err
	}
	judge, rate, err := c.judge()
	if err != nil {
		return err
	}
	noise, noiseRests := c.RateNoise.or(parameter{"rate_noise", "how the rate wanders", growth.RateNoise})
	judge.Trend.RateNoise = noise
	rests = append(append(rests, noiseRests...), parameter{"growing_rate", "rate that counts as growing", growth.GrowingRate},
		parameter{"group_rate", "rate of roots in full growth", rate}, parameter{"growing_share", "share of marked roots in growth", growth.GrowingShare})
	day, err := c.day(marked)
	if err != nil {
		return err
	}
	v, err := judge.Plant(marked.roots, day)
	if err != nil {
		return err
	}
	tracks := make([]growth.Track, len(marked.roots))
	for i, root := range marked.roots {
		if tracks[i], err = judge.Root(root, day); err != nil {
			return err
		}
	}
	a := answer{format: "velamen-calc-roots-1", sections: []section{marked.verdict(v), marked.each(v, tracks, rests)}}
	if asked := marked.questions(tracks); len(asked.grid.rows) > 0 {
		a.sections = append(a.sections, asked)
	}
	return c.Out.show(r, a)
}

// judge knows the group as a collection would.
func (c calcRoots) judge() (growth.Judge, basis.Value, error) {
	var group culture.Group
	if c.Group != "" {
		tables, err := culture.Load()
		if err != nil {
			return growth.Judge{}, basis.Value{}, failed("reading the culture tables", err)
		}
		if group, err = tables.Lookup(c.Group); err != nil {
			return growth.Judge{}, basis.Value{}, at("--group", err)
		}
	}
	rooting, err := care.RootGrowth(&care.PlantState{}, group, care.GrowthDate(0))
	return rooting.Judge, rooting.Prior, err
}

// rootsOf reads the records.
func rootsOf(s *sheet, errorMM float64) (markedRoots, error) {
	m := markedRoots{dated: s.has("date"), last: math.Inf(-1)}
	if s.has("date") == s.has("day") {
		return m, &culture.RowError{File: s.file, Line: 1, Column: "date", Expected: "a column date or a column day, one of the two"}
	}
	place := map[string]int{}
	for _, row := range s.rows {
		name, err := row.name("root")
		if err != nil {
			return m, err
		}
		i, there := place[name]
		if !there {
			i = len(m.names)
			place[name] = i
			m.names, m.roots = append(m.names, name), append(m.roots, growth.Root{})
		}
		if err := m.add(&m.roots[i], row, errorMM); err != nil {
			return m, err
		}
	}
	return m, nil
}

// add reads one row into its root.
func (m *markedRoots) add(root *growth.Root, row sheetRow, errorMM float64) error {
	var day float64
	var err error
	if m.dated {
		var date time.Time
		date, err = row.date("date")
		day = care.GrowthDay(date)
	} else {
		day, err = row.number("day", 0, growth.FarthestDay, "days")
	}
	if err != nil {
		return err
	}
	m.last = max(m.last, day)
	if word := row.cell("tip"); word != "" {
		change, known := tipWords[word]
		if !known {
			return row.expected("tip", "growing, resting, chewed, broken or nothing")
		}
		root.Tips = append(root.Tips, growth.TipEvent{Day: day, Change: change})
		if row.cell("length_mm") == "" {
			return nil
		}
	}
	reading := growth.Reading{Day: day, ErrorMM: errorMM}
	if reading.LengthMM, err = row.number("length_mm", 0, growth.LongestMM, "mm"); err != nil {
		return err
	}
	if row.cell("error_mm") != "" {
		if reading.ErrorMM, err = row.number("error_mm", growth.SmallestErrorMM, growth.LargestErrorMM, "mm"); err != nil {
			return err
		}
	}
	root.Readings = append(root.Readings, reading)
	return nil
}

// day is that of the verdict.
func (c calcRoots) day(m markedRoots) (float64, error) {
	if c.On == "" {
		return m.last, nil
	}
	if m.dated {
		date, err := time.Parse(time.DateOnly, c.On)
		if err != nil || date.Year() < 1800 || date.Year() > 2200 {
			return 0, fmt.Errorf("--on: %q is not a day; write it as 2026-11-24, as in the file", c.On)
		}
		return care.GrowthDay(date), nil
	}
	day, err := strconv.ParseFloat(c.On, 64)
	if err != nil || !(day >= 0 && day <= growth.FarthestDay) {
		return 0, fmt.Errorf("--on: %q is not a day; write a number from 0 to %v, as in the file", c.On, growth.FarthestDay)
	}
	return day, nil
}

// when writes a day as the file does.
func (m markedRoots) when(day float64) any {
	if m.dated {
		return care.GrowthDate(day).Format(time.DateOnly)
	}
	return math.Round(day*100) / 100
}

// dayText is when, for people.
func (m markedRoots) dayText(day float64) string {
	if m.dated {
		return fmt.Sprint(m.when(day))
	}
	return fmt.Sprintf("day %v", m.when(day))
}

// z95 bounds the middle 95 % of a normal distribution.
const z95 = 1.959964

// within95 is a figure with the range that holds it in 19 cases of 20; nothing
// when nothing is known.
func within95(value, variance float64) any {
	if math.IsInf(variance, 1) || math.IsNaN(variance) {
		return nil
	}
	sd := math.Sqrt(max(0, variance))
	return ranged{value, value - z95*sd, value + z95*sd}
}

// each is what every root says.
func (m markedRoots) each(v growth.Verdict, tracks []growth.Track, rests []parameter) section {
	s := section{key: "roots", title: "Each root", about: "ranges hold 19 cases of 20; together: in the light of the plant's other roots", rests: rests,
		because: "local linear trend in continuous time, Harvey 1989 section 9.2, from memory; roots pooled as by DerSimonian & Laird 1986"}
	s.grid = &grid{key: "roots", columns: []column{
		{key: "root", head: "root"}, {key: "readings", head: "read"}, {key: "status", head: "status"},
		{key: "length_mm", head: "length mm", decimals: 1}, {key: "rate_mm_per_day", head: "rate mm/day", decimals: 2},
		{key: "pooled_rate_mm_per_day", head: "together mm/day", decimals: 2}, {key: "chance_growing", head: fmt.Sprintf("chance > %v mm/day %%", growth.GrowingRate.Value), scale: 100}, {key: "next", head: "read again"},
	}}
	for i, e := range v.Roots {
		t := tracks[i]
		row := []any{m.names[i], e.Readings, e.Status.String(), nil, nil, within95(e.Pooled.MMPerDay, e.Pooled.Variance), nil, nil}
		if t.Now != (growth.Belief{}) { // something is known of its length
			row[3] = within95(t.Now.LengthMM, t.Now.LengthVar)
			row[4] = within95(t.Now.RateMMPerDay, t.Now.RateVar)
		}
		if chance, known := t.ChanceGrowing(); known {
			row[6] = chance
		}
		if e.Next.Rule != 0 {
			row[7] = m.when(e.Next.Day)
		}
		s.grid.rows = append(s.grid.rows, row)
	}
	return s
}

// questions are the readings that were set aside.
func (m markedRoots) questions(tracks []growth.Track) section {
	s := section{key: "questions", title: "Questions", about: "readings that no root can give; they are left out until someone has looked again",
		because: "a change must lie within 1.96 standard deviations of the reading errors of what a root can do",
		rests:   []parameter{{"ceiling_share", "most that is believed, times the fastest rate of the group", growth.CeilingShare}}}
	s.grid = &grid{key: "questions", columns: []column{
		{key: "root", head: "root"}, {key: "day", head: "day"}, {key: "length_mm", head: "mm", decimals: 1},
		{key: "against_day", head: "against"}, {key: "against_mm", head: "mm", decimals: 1}, {key: "question", head: "question"}, {key: "causes", head: "perhaps"},
	}}
	for i, t := range tracks {
		for _, q := range t.Questions {
			var causes []string
			for _, cause := range q.Kind.Causes() {
				causes = append(causes, cause.String())
			}
			s.grid.rows = append(s.grid.rows, []any{m.names[i], m.when(q.Reading.Day), q.Reading.LengthMM, m.when(q.AgainstDay), q.AgainstMM, q.Kind.String(), strings.Join(causes, "; ")})
		}
	}
	return s
}

// verdict is what all roots say together.
func (m markedRoots) verdict(v growth.Verdict) section {
	s := section{key: "plant", title: "The plant", about: "on " + m.dayText(v.Day),
		because: "growing when the chance that a root grows is at least the clear chance, stopped when it is at most one less it; roots of a plant are not taken for independent; next reading by preposterior analysis, Raiffa & Schlaifer 1961, from memory",
		rests: []parameter{{"clear_chance", "chance from which a verdict is clear", growth.ClearChance}, {"growing_rate", "rate that counts as growing", growth.GrowingRate},
			{"soonest_reading_days", "soonest next reading", growth.SoonestReadingDays}, {"latest_reading_days", "latest next reading", growth.LatestReadingDays}}}
	s.lines = []line{
		{key: "verdict", name: "its marked roots", value: v.State.String()},
		{key: "chance_at_least", name: "chance that one grows, at least", value: v.AtLeast, unit: "%", scale: 100},
		{key: "chance_at_most", name: "at most", value: v.AtMost, unit: "%", scale: 100},
	}
	if rate, known := within95(v.Mean.MMPerDay, v.Mean.Variance).(ranged); known {
		s.lines = append(s.lines, line{key: "mean_rate_mm_per_day", name: "mean rate", value: rate.value, unit: "mm/day", decimals: 2, span: spanOf(rate.low, rate.high)})
	}
	if v.Next.Rule != 0 {
		s.lines = append(s.lines,
			line{key: "next_reading", name: "next reading worth taking", value: m.when(v.Next.Day), shown: m.dayText(v.Next.Day)},
			line{key: "next_reading_why", name: "why then", value: v.Next.Rule.String()})
	}
	if v.Next.Rule == growth.LikelySettles {
		s.lines = append(s.lines, line{key: "next_reading_settles", name: "chance that it settles the root", value: v.Next.ChanceSettles, unit: "%", scale: 100})
	}
	return s
}
