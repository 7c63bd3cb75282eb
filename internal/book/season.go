package book

import (
	"context"
	"math"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// SeasonWeeks is how many weeks of repots a season plans.
const SeasonWeeks = 12

// mostProspects is of how many candidates the weeks after a repot are worked out;
// they are the most urgent.
const mostProspects = 120

// Season is the plan of a season with its candidates.
type Season struct {
	plan.Season
	List    []plan.Prospective
	Later   []care.NotNow
	Further int  // candidates that are less urgent than those in List
	Pending int  // recoveries under way that are still being worked out
	Stopped bool // the search was stopped before its end
}

// seasons remembers the last plan of a season.
type seasons struct {
	all  int
	from time.Time
	made *Season
}

// Season returns the plan of the season from a day on.
func (b *Book) Season(ctx context.Context, on time.Time, watch func(done, steps int, value float64) bool) (*Season, error) {
	b.rounds.mu.Lock()
	defer b.rounds.mu.Unlock()
	b.mu.RLock()
	list := b.recovering(on, false)
	now := b.stamp
	b.mu.RUnlock()
	if old := b.season.made; old != nil && b.season.all == now.all && b.season.from.Equal(on) {
		return old, nil
	}
	goes, end := b.begin(ctx, watch)
	defer end()
	_, missing := b.courses.split(list, b.tables)
	if err := b.workOutAll(ctx, b.affordable(missing), allHands()); err != nil {
		return nil, err
	}
	outlines, missing := b.courses.split(list, b.tables)
	total := SeasonWeeks + care.ProspectWeeks
	b.mu.RLock()
	around := b.surroundings(on, 7*total)
	c := b.collection
	candidates, later := c.Season(b.tables, on, SeasonWeeks)
	states := make([]*care.PlantState, len(candidates))
	for i := range candidates {
		states[i] = c.Plants[candidates[i].Plant]
	}
	frozen := *c // its lists are replaced, never changed
	b.mu.RUnlock()
	s := seasonSituation(&around, frozen.Settings, total)
	for i, one := range outlines {
		if one.outline != nil {
			h := around.horizon
			h.Outdoors = around.outdoors[list[i].state.Record.Space]
			care.LoadAhead(one.outline, list[i].state, h, around.situation.Pace, s.NeedMinutes, s.NeedLitres)
		}
	}
	out := &Season{Later: later, Pending: len(missing)}
	out.Further = max(0, len(candidates)-mostProspects)
	const steps = 400
	weighed := len(candidates) - out.Further
	for i := range candidates[:weighed] {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !goes(i, weighed+steps, 0) { // what was weighed so far is planned
			out.Stopped = true
			out.Further = len(candidates) - i
			break
		}
		at := candidates[i].From
		if set := candidates[i].Planned; !set.IsZero() {
			at = set
		}
		out.List = append(out.List, plan.Prospective{Candidate: candidates[i], Prospect: frozen.Prospect(states[i], b.tables, at, around.situation.Pace)})
	}
	out.Season = plan.MakeSeason(out.List, s, steps, func(done, _ int, value float64) bool {
		out.Stopped = out.Stopped || !goes(weighed+done, weighed+steps, value)
		return !out.Stopped
	})
	if out.Pending == 0 && (!out.Stopped || b.wasTaken()) {
		b.season = seasons{now.all, on, out}
	}
	return out, nil
}

// seasonSituation adds up the days of each week.
func seasonSituation(around *surroundings, settings care.Settings, weeks int) plan.SeasonSituation {
	s := plan.SeasonSituation{
		From: around.on, Weeks: SeasonWeeks, Minutes: make([]float64, weeks), Litres: make([]float64, weeks), Bench: make([]float64, SeasonWeeks),
		NeedMinutes: make([]float64, weeks), NeedLitres: make([]float64, weeks),
	}
	limited := map[string]bool{}
	coming := make([]float64, weeks)
	open := false // a water without limit
	for _, one := range around.situation.Supplies {
		if !one.Limited || one.Stock.Grade == 0 {
			open = true
			continue
		}
		limited[one.Water] = true
		coming[0] += one.Stock.Value
		for day, in := range one.InflowL {
			if day/7 < weeks {
				coming[day/7] += in.Value
			}
		}
	}
	for week := range weeks {
		for day := 7 * week; day < 7*week+7; day++ {
			s.Minutes[week] += around.situation.Minutes[day]
		}
		s.Litres[week] = math.Inf(1)
		switch {
		case settings.LitresPerDay > 0:
			s.Litres[week] = 7 * settings.LitresPerDay
		case len(limited) > 0 && !open:
			s.Litres[week] = coming[week]
		}
		if week < SeasonWeeks {
			s.Bench[week] = math.Inf(1)
			if settings.BenchMinutesPerWeek > 0 {
				s.Bench[week] = settings.BenchMinutesPerWeek
			}
		}
		// Somebody goes to every space every day, as long as recoveries last.
		s.NeedMinutes[week] = 7 * plan.SpaceMinutes.Value * float64(len(around.walk))
	}
	return s
}
