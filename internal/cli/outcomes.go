package cli

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/store"
	"velamen/internal/store/bundle"
	"velamen/science/outcome"
)

// outcomesCommand tells what happened to the recoveries of a collection.
type outcomesCommand struct {
	File    string `arg:"" help:"The collection; it may be in use."`
	Awaited string `help:"What is waited for: root or established." enum:"root,established" default:"root"`
	Compare string `help:"Compare by a practice; one that is not known lists them all." placeholder:"PRACTICE"`
	Group   string `help:"Only plants of this culture group." placeholder:"GROUP"`
	Since   string `help:"Only repots since this day." placeholder:"DATE"`
	Date    string `help:"As of a day, as 2026-11-24; default today." placeholder:"DATE"`
	CSV     bool   `name:"csv" help:"Print every recovery as CSV, which velamen calc outcomes reads." xor:"form"`
	JSON    bool   `name:"json" help:"Print JSON for programs." xor:"form"`
}

func (c outcomesCommand) Run(r *run) error {
	q, on, err := c.question(r)
	if err != nil {
		return err
	}
	tables, err := culture.Load()
	if err != nil {
		return failed("reading the culture tables", err)
	}
	if c.Group != "" {
		group, err := tables.Lookup(c.Group)
		if err != nil {
			return fmt.Errorf("--group: %w", err)
		}
		q.Group = group.Name
	}
	s, err := store.OpenReading(r.ctx, c.File, r.clock)
	if err != nil {
		return storeProblem("opening the collection", err)
	}
	entries, _, err := s.Collection(r.ctx)
	if closing := s.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return storeProblem("reading the collection", err)
	}
	collection := care.Replay(entries, on.AddDate(0, 0, 1).Add(-time.Nanosecond))
	var all []*care.Outcome
	for _, p := range collection.Plants {
		list := p.Outcomes(collection, tables)
		for i := range list {
			all = append(all, &list[i])
		}
	}
	report, err := care.NewOutcomeReport(all, q, on, book.OutcomeDraws())
	if err != nil {
		return failed("working out the outcomes", err)
	}
	if c.CSV {
		var text bytes.Buffer
		if err := bundle.OutcomeTable(slices.Concat(report.Counted, report.SetAside), q.Awaited).Write(&text); err != nil {
			return failed("writing the table", err)
		}
		_, err := r.out.Write(bytes.ReplaceAll(text.Bytes(), []byte("\r\n"), []byte("\n")))
		return err
	}
	a := outcomesAnswer(&report, c.JSON)
	if c.JSON {
		return writeJSON(r.out, a)
	}
	a.print(r.out)
	return nil
}

// question reads what is asked.
func (c outcomesCommand) question(r *run) (q care.OutcomeQuestion, on time.Time, err error) {
	q.Awaited = care.FirstRoot
	if c.Awaited == "established" {
		q.Awaited = care.Establishment
	}
	if on, err = dayOf(c.Date, r.today); err != nil {
		return q, on, err
	}
	if c.Since != "" {
		if q.Since, err = time.Parse(time.DateOnly, c.Since); err != nil {
			return q, on, fmt.Errorf("--since %q is not a day; write it as %s", c.Since, r.today.Format(time.DateOnly))
		}
	}
	if c.Compare == "" {
		return q, on, nil
	}
	var known []string
	for _, p := range care.Practices {
		if strings.EqualFold(string(p), c.Compare) {
			q.Practice = p
		}
		known = append(known, string(p))
	}
	if q.Practice == "" {
		return q, on, fmt.Errorf("--compare %q is not known; there are %s", c.Compare, strings.Join(known, ", "))
	}
	return q, on, nil
}

// outcomesAnswer puts a report into sections. whole adds every recovery.
func outcomesAnswer(r *care.OutcomeReport, whole bool) answer {
	a := answer{format: "velamen-outcomes-1", sections: []section{outcomeCounts(r)}}
	if r.Between != nil {
		a.sections = append(a.sections, outcomeBetween(r), outcomeEnds(r))
	}
	if r.Compared != nil {
		a.sections = append(a.sections, outcomeWays(r)...)
	}
	if whole {
		a.sections = append(a.sections, outcomeList(r))
	}
	return a
}

func outcomeCounts(r *care.OutcomeReport) section {
	s := section{key: "recoveries", title: "Outcomes", about: r.Question.Awaited.Means(), because: "read from the journal"}
	if len(r.Counted) > 0 {
		s.notes = append(s.notes, r.Lead())
	} else {
		s.notes = append(s.notes, "No recovery is like that.")
	}
	s.lines = []line{
		{key: "recoveries", name: "recoveries", value: len(r.Counted)}, {key: "plants", name: "of so many plants", value: r.Plants},
		{key: "seen", name: "in which they " + r.Question.Awaited.Had(), value: r.Signs}, {key: "never_looked_at", name: "never looked at for it", value: r.Unlooked},
	}
	for _, e := range care.RecoveryEndings {
		s.lines = append(s.lines, line{key: strings.ReplaceAll(string(e), " ", "_"), name: string(e), value: r.Endings[e]})
	}
	if n := len(r.Unsaid); n > 0 {
		s.notes = append(s.notes, fmt.Sprintf("%d were repotted more than a year ago, and nobody said yet whether they are established.", n))
	}
	for _, o := range r.SetAside {
		s.notes = append(s.notes, fmt.Sprintf("Set aside: %s, repotted on %s: %s.", o.Label, o.Repot.Format(time.DateOnly), o.Problem))
	}
	return s
}

func outcomeBetween(r *care.OutcomeReport) section {
	s := section{key: "between_looks", title: "How long it takes", because: r.MedianBecause().Rule, notes: []string{r.MedianSays()}}
	if m := r.Median; m.Window.Reached {
		s.lines = append(s.lines, line{key: "median_after_day", name: "half got there after day", value: m.Window.AfterDay, decimals: 0},
			line{key: "median_by_day", name: "and by day", value: m.Window.ByDay, decimals: 0})
	}
	if r.Horizon > 0 {
		mean := r.MeanFigure()
		s.lines = append(s.lines, line{key: "counted_up_to_day", name: "counted up to day", value: r.Horizon, decimals: 0},
			line{key: "mean_days_without", name: "mean days " + r.Question.Awaited.Without(), value: mean.Value.Value, unit: "d", decimals: 1, span: spanOf(mean.Low, mean.High)})
	}
	s.grid = &grid{key: "masses", columns: []column{
		{key: "after_day", head: "after day"}, {key: "by_day", head: "by day"}, {key: "share", head: "share %", decimals: 1, scale: 100}, {key: "seen", head: "by then %", decimals: 1, scale: 100},
	}}
	seen := 0.0
	for i, m := range r.Between.Masses {
		seen += m.Share
		row := []any{m.AfterDay, nil, m.Share, nil}
		if !math.IsInf(m.ByDay, 1) {
			row[1], row[3] = m.ByDay, min(1, seen)
			if i < len(r.Bands) {
				b := r.Bands[i]
				row[3] = ranged{min(1, seen), 1 - b.High, 1 - b.Low}
			}
		}
		s.grid.rows = append(s.grid.rows, row)
	}
	return s
}

func outcomeEnds(r *care.OutcomeReport) section {
	s := section{key: "endings", title: "How they went", because: r.EndsBecause().Rule, notes: []string{r.EndsSays()}}
	if r.Ends == nil {
		return s
	}
	s.grid = &grid{key: "steps", columns: []column{
		{key: "day", head: "day"}, {key: "at_risk", head: "watched"}, {key: "seen", head: "seen %", decimals: 1, scale: 100},
		{key: "died", head: "died %", decimals: 1, scale: 100}, {key: "unended", head: "neither %", decimals: 1, scale: 100},
	}}
	for _, step := range r.Ends.Steps {
		s.grid.rows = append(s.grid.rows, []any{step.Day, step.AtRisk, incidence(step.Seen), incidence(step.Died), step.Unended})
	}
	return s
}

func outcomeWays(r *care.OutcomeReport) []section {
	c := r.Compared
	ways := section{key: "ways", title: capital(string(c.Practice)), about: fmt.Sprintf("each way on its own, up to day %.0f", c.Horizon), because: c.CompareBecause().Rule}
	if len(c.Ways) < 2 {
		ways.notes = []string{"All recoveries went one way as to this, as far as is known: there is nothing to compare."}
		return []section{ways}
	}
	ways.grid = &grid{key: "ways", columns: []column{
		{key: "way", head: "way"}, {key: "recoveries", head: "recoveries"}, {key: "seen", head: "got there"}, {key: "died", head: "died"}, {key: "median_after_day", head: "half after day"},
		{key: "median_by_day", head: "by day"}, {key: "mean_days_without", head: "mean days without", decimals: 1}, {key: "share", head: "share %", scale: 100}, {key: "borrowed", head: "borrowed %", scale: 100},
	}}
	for _, w := range c.Ways {
		row := []any{w.Name, len(w.Recoveries), w.Signs, w.Died, nil, nil, nil, ranged{w.Share.Mean, w.Share.Low, w.Share.High}, w.Share.FromPrior}
		if w.Median.Reached {
			row[4], row[5] = w.Median.AfterDay, w.Median.ByDay
		}
		if w.MeanKnown {
			row[6] = w.Mean.Days
		}
		ways.grid.rows = append(ways.grid.rows, row)
	}
	if note := c.CompareBecause().Note; note != "" {
		ways.notes = append(ways.notes, note)
	}
	sections := []section{ways}
	pairs := section{key: "compared", title: "Compared", because: "as above", notes: []string{"You chose which plant got what, so a difference may be due to what made you choose."}}
	pairs.grid = &grid{key: "pairs", columns: []column{
		{key: "of", head: "of"}, {key: "first", head: "first"}, {key: "second", head: "second"}, {key: "difference", head: "difference", decimals: 1}, {key: "unit", head: ""},
		{key: "verdict", head: "verdict"}, {key: "first_more", head: "more of first"}, {key: "second_more", head: "of second"},
	}}
	for i := range c.Pairs {
		p := &c.Pairs[i]
		first, second := c.Ways[p.First].Name, c.Ways[p.Second].Name
		row := func(of string, difference any, unit string, v outcome.Verdict) {
			cells := []any{of, first, second, difference, unit, v.Answer.String(), nil, nil}
			if v.Answer != outcome.Differs {
				cells[6], cells[7] = v.FirstMore, v.SecondMore
			}
			pairs.grid.rows = append(pairs.grid.rows, cells)
		}
		if p.DaysKnown {
			var difference any = p.Days.Difference.Days
			if p.Days.SpreadKnown {
				difference = ranged{p.Days.Difference.Days, p.Days.Low, p.Days.High}
			}
			row("mean days", difference, "d", p.Days.Verdict)
		}
		row("share", ranged{100 * p.Shares.Difference, 100 * p.Shares.Low, 100 * p.Shares.High}, "points", p.Shares.Verdict)
		for _, says := range c.PairSays(p, r.Question.Awaited) {
			pairs.notes = append(pairs.notes, capital(says))
		}
		for _, im := range p.Differ {
			pairs.notes = append(pairs.notes, "What else differs: "+c.DifferSays(p, im)+".")
		}
	}
	return append(sections, pairs)
}

// outcomeList is every recovery that counts.
func outcomeList(r *care.OutcomeReport) section {
	s := section{key: "each", title: "Each recovery", because: "read from the journal", grid: &grid{key: "recoveries", columns: []column{
		{key: "label"}, {key: "repot"}, {key: "ending"}, {key: "end_day"}, {key: "root_after_day"}, {key: "root_by_day"}, {key: "established_after_day"}, {key: "established_by_day"},
		{key: "group"}, {key: "medium"}, {key: "home"}, {key: "soaked"}, {key: "season"}, {key: "supplement"}, {key: "work"}, {key: "space"},
	}}}
	day := func(d int) any {
		if d == 0 {
			return nil
		}
		return d
	}
	for _, o := range r.Counted {
		f := o.Factors
		s.grid.rows = append(s.grid.rows, []any{
			o.Label, o.Repot.Format(time.DateOnly), string(o.Ending), day(o.EndDay), o.Root.AfterDay, day(o.Root.ByDay), o.Established.AfterDay, day(o.Established.ByDay),
			f.Group, f.Medium, f.Home, f.Soaked, f.Season, f.Supplement, f.Work, f.Space,
		})
	}
	return s
}
