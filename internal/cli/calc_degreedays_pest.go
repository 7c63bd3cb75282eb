package cli

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pest"
)

// modelled returns a stage as package pest computes it, if both of its figures
// are known.
func modelled(s culture.Stage) (pest.Stage, bool) {
	if !s.ThresholdC.Known || !s.ConstantDD.Known {
		return pest.Stage{}, false
	}
	one := pest.Stage{LowerC: s.ThresholdC.Value, DegreeDays: s.ConstantDD.Value}
	if s.UpperC.Known {
		one.UpperC = s.UpperC.Value
	}
	return one, true
}

// pestParameters are the figures of package pest whose name has a word in it.
func pestParameters(word string) []parameter {
	var list []parameter
	for _, p := range pest.Parameters() {
		if strings.Contains(p.Name, word) {
			list = append(list, parameter{keyed(p.Name), p.Name, p.Value})
		}
	}
	return list
}

// pestStages is how long each stage takes at a mean.
func pestStages(animal culture.Pest, meanC float64) (section, error) {
	s := section{key: "stages", title: animal.Name, about: fmt.Sprintf("at a mean of %s °C", shown(meanC, 1, 0)),
		because: "days = degree-days ÷ (mean − lower threshold), the mean counted no higher than the upper threshold; both figures together at their fast and their slow end",
		rests:   pestParameters("before a date is promised")}
	s.grid = &grid{key: "stages", columns: []column{
		{key: "stage", head: "stage"}, {key: "days", head: "days", decimals: 1}, {key: "lower_c", head: "above °C", decimals: 1},
		{key: "degree_days", head: "°C·d", decimals: 0}, {key: "rule", head: ""},
	}}
	if len(animal.Stages) == 0 {
		s.notes = append(s.notes, "Nothing is known of its pace.")
	}
	for _, stage := range animal.Stages {
		row, err := stageRow(stage, meanC)
		if err != nil {
			return s, at("--pest", err)
		}
		s.grid.rows = append(s.grid.rows, row)
		if stage.ThresholdC.Known && stage.ConstantDD.Known {
			key, name := keyed(stage.Name), stage.Name
			s.rests = append(s.rests, parameter{key + "_lower_c", "lower threshold, " + name, stage.ThresholdC.Value}, parameter{key + "_degree_days", "degree-days, " + name, stage.ConstantDD.Value})
		}
		if stage.UpperC.Known {
			s.rests = append(s.rests, parameter{keyed(stage.Name) + "_upper_c", "upper threshold, " + stage.Name, stage.UpperC.Value})
		}
	}
	return s, nil
}

func stageRow(stage culture.Stage, meanC float64) ([]any, error) {
	one, known := modelled(stage)
	var rules []string
	if stage.UpperC.Known && meanC >= stage.UpperC.Value.Low {
		rules = append(rules, "so warm that it may stop or die")
	}
	if !known {
		rules = append(rules, "no figures for degree-days")
		for _, o := range stage.Observed {
			rules = append(rules, observedText(o))
		}
		return []any{stage.Name, nil, nil, nil, strings.Join(rules, "; ")}, nil
	}
	d, err := one.DaysAt(meanC)
	if err != nil {
		return nil, err
	}
	var days any = ranged{d.Days, d.ShortestDays, d.LongestDays}
	switch {
	case d.Paused:
		days = nil
		rules = append(rules, "paused: too near its threshold, no date is promised")
	case d.Unbounded:
		days = d.Days
		rules = append(rules, fmt.Sprintf("from %s days, with no upper end", shown(d.ShortestDays, 1, 0)))
	}
	lower, sum := one.LowerC, one.DegreeDays
	return []any{stage.Name, days, ranged{lower.Value, lower.Low, lower.High}, ranged{sum.Value, sum.Low, sum.High}, strings.Join(rules, "; ")}, nil
}

func observedText(o culture.Observation) string {
	text := fmt.Sprintf("seen to take %v to %v days", o.Days.Low, o.Days.High)
	if o.Days.Low == o.Days.High {
		text = fmt.Sprintf("seen to take %v days", o.Days.Low)
	}
	if o.TemperatureStated {
		text += fmt.Sprintf(" at %v °C", o.AtC)
	}
	return text
}

// steadyDays is how long a steady temperature is carried on; package pest looks
// no further.
const steadyDays = 400

// coming are the temperatures from the day of the treatment on.
func (d warmDays) coming(from time.Time) (pest.Temperatures, error) {
	t := pest.Temperatures{Start: from}
	switch {
	case d.steady:
		t.MeanC = slices.Repeat([]float64{d.steadyC}, steadyDays)
	case d.start.IsZero():
		t.MinC, t.MaxC = slices.Repeat(d.minC, steadyDays), slices.Repeat(d.maxC, steadyDays)
	default:
		first := int(math.Round(from.Sub(d.start).Hours() / 24))
		if first < 0 || first >= len(d.minC) {
			last := d.start.AddDate(0, 0, len(d.minC)-1)
			return t, fmt.Errorf("--from: %s is outside the days of the file, %s to %s", from.Format(time.DateOnly), d.start.Format(time.DateOnly), last.Format(time.DateOnly))
		}
		t.MinC, t.MaxC = d.minC[first:], d.maxC[first:]
	}
	return t, nil
}

// recheck is when to look for the pest again.
func (c calcDegreeDays) recheck(animal culture.Pest, days warmDays) (section, error) {
	from, err := time.Parse(time.DateOnly, c.From)
	if err != nil {
		return section{}, fmt.Errorf("--from: %q is not a day; write it as 2026-11-24", c.From)
	}
	if from.Year() < 1980 || from.Year() > 2100 {
		return section{}, fmt.Errorf("--from: %s is outside the years 1980 to 2100", c.From)
	}
	coming, err := days.coming(from)
	if err != nil {
		return section{}, err
	}
	var cycle pest.LifeCycle
	var eggs, generations bool
	for _, stage := range animal.Stages {
		switch stage.Name {
		case "egg":
			cycle.Egg, eggs = modelled(stage)
		case "generation":
			cycle.Generation, generations = modelled(stage)
		}
	}
	s := section{key: "recheck", title: "Looking again", about: "after everything in reach was treated on " + from.Format("2 January 2006")}
	if !eggs || !generations {
		s.scheduled(animal, days, from)
		return s, nil
	}
	plan, err := pest.AfterTreatment(cycle, coming)
	if err != nil {
		return s, at("--pest", err)
	}
	s.because = "a repeat lies after most eggs hatched, at 1.1 of their degree-days, and before the first survivor lays; where no day does both, repeats follow closely"
	s.planned(plan)
	s.rests = pestParameters("")
	return s, nil
}

// visit writes a day for a cell; a day that cannot be promised is empty.
func visit(day time.Time) any {
	if day.IsZero() {
		return nil
	}
	return day.Format(time.DateOnly)
}

// planned fills in what degree-days say.
func (s *section) planned(plan pest.Recheck) {
	s.lines = []line{
		{key: "first_look", name: "first look, at the latest", value: visit(plan.FirstLook)},
		{key: "paused", name: "development paused", value: plan.Paused, shown: yesNo(plan.Paused)},
		{key: "complete", name: "the last repeat is after the last egg", value: plan.Complete, shown: yesNo(plan.Complete)},
	}
	s.grid = &grid{key: "visits", columns: []column{
		{key: "visit", head: "visit"}, {key: "earliest", head: "earliest"}, {key: "due", head: "due"}, {key: "latest", head: "latest"},
	}}
	split := false
	for i, p := range plan.Passes {
		s.grid.rows = append(s.grid.rows, []any{fmt.Sprintf("repeat %d", i+1), visit(p.Earliest), visit(p.Due), visit(p.Latest)})
		split = split || p.Split
	}
	for _, day := range plan.Looks {
		name := "look"
		if day.Equal(plan.WatchUntil) {
			name = "end of the watch, if every look was clean"
		}
		s.grid.rows = append(s.grid.rows, []any{name, nil, visit(day), nil})
	}
	slices.SortStableFunc(s.grid.rows, func(a, b []any) int { return strings.Compare(fmt.Sprint(a[2]), fmt.Sprint(b[2])) })
	for _, note := range []struct {
		say  bool
		text string
	}{
		{plan.Paused, "Too near a threshold: development rests or crawls, and only the next look is dated. Plan again when it is warmer."},
		{split, "No one day catches all: the slowest eggs hatch after the fastest survivors lay, so repeats follow closely."},
		{!plan.Paused && !plan.Complete, "The last repeat is not yet after the last egg: plan again from it."},
		{plan.Extrapolated, "Some days lie beyond the temperatures given and go on at the pace of their last week."},
	} {
		if note.say {
			s.notes = append(s.notes, note.text)
		}
	}
}

func yesNo(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}

// scheduled fills in the days of the culture tables, for a pest without figures
// for egg and generation.
func (s *section) scheduled(animal culture.Pest, days warmDays, from time.Time) {
	if !animal.Schedule.Known {
		look := pest.RoutineLook(from)
		s.lines = []line{{key: "first_look", name: "general look", value: visit(look)}}
		s.because = "nothing is known of its pace, so the general look two weeks on"
		s.rests = pestParameters("between looks")
		return
	}
	meanC := days.meanC()
	first, watch := scheduledDays(animal.Schedule.FirstRecheck, meanC), scheduledDays(animal.Schedule.KeepWatching, meanC)
	passes := animal.Schedule.Passes.Value()
	dated := func(days float64) string {
		return from.AddDate(0, 0, int(math.Round(days))).Format(time.DateOnly)
	}
	s.lines = []line{
		{key: "first_look", name: "first look", value: dated(first.Value)},
		{key: "first_look_days", name: "days until then", value: first.Value, unit: "d", decimals: 0, span: spanOf(first.Low, first.High)},
		{key: "passes_least", name: "repeats, at least", value: passes.Low, decimals: 0},
		{key: "passes_most", name: "at most", value: passes.High, decimals: 0},
		{key: "watch_until", name: "watch until", value: dated(watch.Value)},
		{key: "watch_days", name: "days until then", value: watch.Value, unit: "d", decimals: 0, span: spanOf(watch.Low, watch.High)},
	}
	s.because = "days of the culture tables for 15, 20 and 25 °C, in proportion between them; degree-days of egg and generation are not known"
	s.rests = []parameter{{"first_look_days", "days to the first look", first}, {"watch_days", "days of watching", watch}, {"passes", "repeats", passes}}
}

// scheduledDays reads a schedule at a temperature; outside the three it is known
// for the nearest counts.
func scheduledDays(t culture.ByTemperature, meanC float64) basis.Value {
	a, b, from := t.At15C.Value(), t.At20C.Value(), 15.0
	if meanC > 20 {
		a, b, from = b, t.At25C.Value(), 20
	}
	share := math.Max(0, math.Min(1, (meanC-from)/5))
	mix := func(x, y float64) float64 { return x + share*(y-x) }
	a.Value, a.Low, a.High = mix(a.Value, b.Value), mix(a.Low, b.Low), mix(a.High, b.High)
	a.Grade = basis.Weakest(a.Grade, b.Grade)
	return a
}
