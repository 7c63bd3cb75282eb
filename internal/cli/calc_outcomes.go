package cli

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"velamen/internal/culture"
	"velamen/internal/store/bundle"
	"velamen/science/basis"
	"velamen/science/outcome"
)

// calcOutcomes tells how long recoveries take and how they end.
type calcOutcomes struct {
	File       string `arg:"" help:"CSV file of repotted plants with the columns plant, after_day, by_day, ending (seen, not yet, left or died) and if known practice. Days are counted from the repot: the sign was not there on after_day and was there on by_day; both alike for a day that is known; by_day empty when nothing was seen."`
	Compare    string `help:"Column to compare by, practice if left out; in the table of velamen outcomes --csv any other, such as medium." default:"practice" placeholder:"COLUMN"`
	Until      number `name:"until-day" range:"1 to 36600 d" placeholder:"DAY" help:"Day up to which days without the sign are counted, 1 to 36600; as far as every practice was watched if left out."`
	Level      number `name:"level-percent" range:"50 to 99.9 %" placeholder:"PERCENT" help:"Share of cases that intervals hold, 50 to 99.9 %; 95 if left out."`
	WorthDays  number `name:"worth-days" range:"0.1 to 3660 d" placeholder:"DAYS" help:"Smallest difference in days you would act on, 0.1 to 3660; two weeks if left out."`
	WorthShare number `name:"worth-percent" range:"5 to 90 %" placeholder:"PERCENT" help:"Smallest difference in the share of plants you would act on, 5 to 90 %; 20 if left out."`

	Out calcOutput `embed:""`
}

// What is taken for worth knowing.
var (
	worthDays  = parameter{"worth_days", "difference in days worth acting on", basis.Assumed(14, 7, 28, "days")}
	worthShare = parameter{"worth_percent", "difference in the share worth acting on", basis.Assumed(20, 10, 30, "%")}
)

// recoveries are the records of a file, all or of one practice.
type recoveries struct {
	practice string
	records  []outcome.Recovery
	exact    bool // every ending has its day
	died     bool
}

// Run prints the curves, and the practices beside one another.
func (c calcOutcomes) Run(r *run) error {
	s, err := openSheet(c.File, bundle.OutcomeColumns[:4], append([]string{"practice"}, bundle.OutcomeColumns[4:]...))
	if err != nil {
		return err
	}
	if c.Compare != "practice" && !s.has(c.Compare) {
		return fmt.Errorf("--compare %q: %s has no such column", c.Compare, s.file)
	}
	all, practices, err := recoveriesOf(s, c.Compare)
	if err != nil {
		return err
	}
	level := 0.95
	if c.Level.given {
		level = c.Level.value / 100
	}
	a := answer{format: "velamen-calc-outcomes-1", sections: []section{counts(all)}}
	for _, part := range []func(recoveries, float64) (*section, error){turnbullSection, c.survival, incidenceSection} {
		s, err := part(all, level)
		if err != nil {
			return err
		}
		if s != nil {
			a.sections = append(a.sections, *s)
		}
	}
	if len(practices) > 0 {
		compared, err := c.compare(practices, level)
		if err != nil {
			return err
		}
		a.sections = append(a.sections, compared...)
	}
	return c.Out.show(r, a)
}

// endingWords are the words of the column ending.
var endingWords = map[string]outcome.Ending{
	"seen": outcome.Seen, "not yet": outcome.NotYet, "left": outcome.Left, "died": outcome.Died,
}

// mostPractices can still be compared pair by pair.
const mostPractices = 6

// recoveriesOf reads the records, all together and by practice in the order of
// their names.
func recoveriesOf(s *sheet, compare string) (all recoveries, practices []recoveries, err error) {
	all.exact = true
	lines := map[string]int{}
	for _, row := range s.rows {
		if row.cell("problem") != "" {
			continue // it cannot be right, and says why
		}
		one, err := recoveryOf(row)
		if err != nil {
			return all, nil, err
		}
		if earlier, twice := lines[one.Plant]; twice {
			return all, nil, row.expected("plant", fmt.Sprintf("another name: the plant of line %d has it already", earlier))
		}
		lines[one.Plant] = row.line
		all.add(one)
		if !s.has(compare) || compare != "practice" && row.cell(compare) == "" {
			continue
		}
		name, err := row.name(compare)
		if err != nil {
			return all, nil, err
		}
		i := slices.IndexFunc(practices, func(p recoveries) bool { return p.practice == name })
		if i < 0 {
			if i = len(practices); i == mostPractices {
				return all, nil, row.expected(compare, fmt.Sprintf("at most %d different practices", mostPractices))
			}
			practices = append(practices, recoveries{practice: name, exact: true})
		}
		practices[i].add(one)
	}
	if len(all.records) == 0 {
		return all, nil, fmt.Errorf("%s: no row holds a record that can be right", s.file)
	}
	slices.SortFunc(practices, func(a, b recoveries) int {
		if a.practice < b.practice {
			return -1
		}
		return 1
	})
	return all, practices, nil
}

func (r *recoveries) add(one outcome.Recovery) {
	r.records = append(r.records, one)
	r.exact = r.exact && one.Exact()
	r.died = r.died || one.Ending == outcome.Died
}

func recoveryOf(row sheetRow) (outcome.Recovery, error) {
	plant, err := row.name("plant")
	if err != nil {
		return outcome.Recovery{}, err
	}
	after, err := row.number("after_day", 0, outcome.LatestDay, "days since the repot")
	if err != nil {
		return outcome.Recovery{}, err
	}
	ending, known := endingWords[row.cell("ending")]
	if !known {
		return outcome.Recovery{}, row.expected("ending", "seen, not yet, left or died")
	}
	one := outcome.Recovery{Plant: plant, AfterDay: after, ByDay: math.Inf(1), Ending: ending}
	if ending == outcome.NotYet || ending == outcome.Left {
		if row.cell("by_day") != "" {
			return one, row.expected("by_day", "nothing, as nothing was seen; the last look stands in after_day")
		}
	} else if one.ByDay, err = row.number("by_day", after, outcome.LatestDay, "days since the repot, no earlier than after_day"); err != nil {
		return one, err
	}
	if err := outcome.Check([]outcome.Recovery{one}); err != nil {
		var wrong *outcome.RecordError
		if errors.As(err, &wrong) {
			return one, &culture.RowError{File: row.sheet.file, Line: row.line, Column: "ending", Value: row.cell("ending"), Expected: "a record that can be: " + wrong.Problem}
		}
		return one, err
	}
	return one, nil
}

// counts is what the records are.
func counts(all recoveries) section {
	n := map[outcome.Ending]int{}
	for _, one := range all.records {
		n[one.Ending]++
	}
	return section{key: "plants", title: "The plants", lines: []line{
		{key: "plants", name: "plants", value: len(all.records)},
		{key: "seen", name: "sign seen", value: n[outcome.Seen]},
		{key: "not_yet", name: "not yet", value: n[outcome.NotYet]},
		{key: "left", name: "left the collection", value: n[outcome.Left]},
		{key: "died", name: "died before it", value: n[outcome.Died]},
	}, because: "counted from the file; looks must not be timed by what a plant was doing"}
}

// The band of a Turnbull curve.
const (
	bandResamples = 400
	bandPlants    = 300 // with more, resampling takes longer than anybody waits
)

// turnbullSection is the curve for signs that were found at looks.
func turnbullSection(all recoveries, level float64) (*section, error) {
	if all.exact {
		return nil, nil
	}
	records := outcome.DeathsAsUnseen(all.records)
	curve, err := outcome.Turnbull(records)
	if err != nil {
		return nil, err
	}
	s := &section{key: "turnbull", title: "Between looks", about: "the most likely share of plants that showed the sign between two days; when within them, the records cannot say",
		because: "Turnbull 1976, computed as by Wellner & Zhan 1997, both from memory; ranges from plants drawn again with replacement"}
	if all.died {
		s.notes = append(s.notes, "Plants that died count as watched until they were last alive: this is the pace among plants that live.")
	}
	s.lines = []line{{key: "log_likelihood", name: "log-likelihood", value: curve.LogLikelihood, decimals: 3}}
	if m := curve.Median(); m.Reached {
		s.lines = append(s.lines, line{key: "median_after_day", name: "half had shown it after day", value: m.AfterDay, decimals: 1},
			line{key: "median_by_day", name: "and by day", value: m.ByDay, decimals: 1})
	} else {
		s.notes = append(s.notes, "Half of the plants have not shown the sign: there is no median yet.")
	}
	var days []float64
	for _, mass := range curve.Masses {
		if !math.IsInf(mass.ByDay, 1) {
			days = append(days, mass.ByDay)
		}
	}
	var bands []outcome.Band
	if len(records) <= bandPlants && len(days) > 0 {
		// A fixed seed makes the answer the same every time.
		if bands, err = outcome.TurnbullBand(records, days, bandResamples, level, rand.NewPCG(1976, 38)); err != nil {
			return nil, err
		}
	} else if len(days) > 0 {
		s.notes = append(s.notes, fmt.Sprintf("With more than %d plants the ranges are left out.", bandPlants))
	}
	s.grid = &grid{key: "masses", columns: []column{
		{key: "after_day", head: "after day", decimals: 1}, {key: "by_day", head: "by day", decimals: 1},
		{key: "share", head: "share %", decimals: 1, scale: 100}, {key: "unseen", head: "without it then %", decimals: 1, scale: 100},
	}}
	for i, mass := range curve.Masses {
		row := []any{mass.AfterDay, nil, mass.Share, nil}
		if i < len(days) {
			row[1] = mass.ByDay
			_, unseen, err := curve.Unseen(mass.ByDay)
			if err != nil {
				return nil, err
			}
			row[3] = unseen
			if bands != nil {
				row[3] = ranged{unseen, min(unseen, bands[i].Low), max(unseen, bands[i].High)}
			}
		}
		s.grid.rows = append(s.grid.rows, row)
	}
	return s, nil
}

// curve is the product-limit curve, with each sign on the day it was found.
func (r recoveries) curve(level float64) (outcome.Curve, error) {
	return outcome.KaplanMeier(outcome.AtDayFound(outcome.DeathsAsUnseen(r.records)), outcome.LogLog, level)
}

const productLimit = "product limit, Kaplan & Meier 1958, with Greenwood's error on the log-log scale; median as by Brookmeyer & Crowley 1982; mean days from the area under the curve, all from memory"

// survival is the share without the sign by day, with median and mean.
func (c calcOutcomes) survival(all recoveries, level float64) (*section, error) {
	curve, err := all.curve(level)
	if err != nil {
		return nil, err
	}
	s := &section{key: "kaplan_meier", title: "Days to the sign", because: productLimit}
	if !all.exact {
		s.about = "each sign on the day it was found, which is later than it came"
	}
	if all.died {
		s.notes = append(s.notes, "Plants that died count as watched until they were last alive: this is the pace among plants that live, not the share that roots.")
	}
	until := curve.LastDay
	if c.Until.given {
		until = c.Until.value
	}
	m := curve.Median()
	for _, part := range []struct {
		key, name string
		reach     outcome.Reach
	}{{"median_day", "half had shown it by day", m.Estimate}, {"median_low_day", "at the earliest", m.Low}, {"median_high_day", "at the latest", m.High}} {
		l := line{key: part.key, name: part.name, shown: "not reached"}
		if part.reach.Reached {
			l.value, l.shown, l.decimals = part.reach.Day, "", 1
		}
		s.lines = append(s.lines, l)
	}
	if until > 0 {
		mean, err := curve.RestrictedMean(until)
		if err != nil {
			return nil, at("--until-day", err)
		}
		s.lines = append(s.lines, line{key: "until_day", name: "counting up to day", value: until, decimals: 1},
			line{key: "mean_days", name: "mean days without it", value: mean.Days, unit: "d", decimals: 1, span: around(curve, until, level)},
			line{key: "mean_standard_error", name: "its standard error", value: mean.StandardError, unit: "d", decimals: 2})
	}
	s.grid = &grid{key: "steps", columns: []column{
		{key: "day", head: "day", decimals: 1}, {key: "at_risk", head: "watched"}, {key: "signs", head: "signs"}, {key: "unseen", head: "without it %", decimals: 1, scale: 100},
	}}
	for _, step := range curve.Steps {
		s.grid.rows = append(s.grid.rows, []any{step.Day, step.AtRisk, step.Events, ranged{step.Unseen, step.Low, step.High}})
	}
	return s, nil
}

// incidenceSection is the share that rooted and the share that died, when
// plants died.
func incidenceSection(all recoveries, level float64) (*section, error) {
	if !all.died {
		return nil, nil
	}
	curve, err := outcome.AalenJohansen(outcome.AtDayFound(all.records), outcome.LogLog, level)
	if err != nil {
		return nil, err
	}
	s := &section{key: "aalen_johansen", title: "How they end", about: "the share of all plants that have shown the sign, and that died first",
		because: "cumulative incidence with competing endings, Aalen & Johansen 1978, from memory; errors of the delta method"}
	if !all.exact {
		s.notes = append(s.notes, "Each ending is taken on the day it was found.")
	}
	s.grid = &grid{key: "steps", columns: []column{
		{key: "day", head: "day", decimals: 1}, {key: "at_risk", head: "watched"}, {key: "seen", head: "sign seen %", decimals: 1, scale: 100},
		{key: "died", head: "died %", decimals: 1, scale: 100}, {key: "unended", head: "neither %", decimals: 1, scale: 100},
	}}
	for _, step := range curve.Steps {
		s.grid.rows = append(s.grid.rows, []any{step.Day, step.AtRisk, incidence(step.Seen), incidence(step.Died), step.Unended})
	}
	return s, nil
}

func incidence(i outcome.Incidence) ranged { return ranged{i.Share, i.Low, i.High} }
