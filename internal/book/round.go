package book

import (
	"context"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// Trouble is a plant whose course cannot be worked out, and why.
type Trouble struct{ Plant, Label, Why string }

// rounds remembers the last plans, and what comes at each plant.
type rounds struct {
	mu   sync.Mutex // held while a plan is made: others may be waiting for the same
	last []madePlan
	from time.Time // the day that what comes in the first days is counted from
	come map[string]plantComing
	anew anewPlan
	once askedOnce
}

// madePlan is a plan that holds until anything changes.
type madePlan struct {
	from time.Time
	days int
	all  int
	plan Plan
	laid map[int]laidDay // its days, as far as they were asked for
}

// laidDay is the round of one day of a plan, with its cans of feed.
type laidDay struct {
	round   plan.Round
	batches []care.PlannedBatch
}

// askedOnce remembers the last plan for other limits of the first day.
type askedOnce struct {
	minutes, litres float64 // -1: as said
	made            madePlan
}

// limits are the limits of an ask, as askedOnce has them.
func (a *Ask) limits() (minutes, litres float64) {
	minutes, litres = -1, -1
	if a.Minutes != nil {
		minutes = *a.Minutes
	}
	if a.Litres != nil {
		litres = *a.Litres
	}
	return minutes, litres
}

// plantComing is what comes at a plant.
type plantComing struct {
	state   *care.PlantState
	outline *care.Outline
	around  int
	warm    int
	base    *care.Outline // without its looks for pests
	beside  string        // what was found on the other plants of its space
	coming  []care.Coming
}

// Plan is the plan of some days, and the plants that are not in it.
type Plan struct {
	*plan.Ahead
	Troubles []Trouble
	Pending  int // plants whose courses are still being worked out
	Pace     care.WorkPace
	Mended   bool // something was noted since the plan of the day was made

	outlines  []*care.Outline // by plant of the plan
	bases     []*care.Outline
	besides   []string
	others    []plan.Plant // without a course, after those with one
	otherJobs [][]care.Job
	states    []*care.PlantState
	s         surroundings
}

// mostCourses is how many courses one request works out: they take less than half
// a second. What is missing then is said, and left to Prepare or to the next
// request.
const mostCourses = 300

// affordable returns the plants whose courses a request works out: all of them,
// or as many as it may unless Prepare is at work on them.
func (b *Book) affordable(missing []subject) []subject {
	switch preparing := b.preparing.Load(); {
	case len(missing) > mostCourses && preparing:
		return nil
	case len(missing) > mostCourses:
		return missing[:mostCourses]
	case preparing: // it comes from the other end
		slices.Reverse(missing)
	}
	return missing
}

// PlanDays is how many days a plan has unless more are asked for.
const PlanDays = 14

// horizons are how many days plans have. Each keeps to what the one before it has
// planned, so that a day looks the same from wherever it is looked at.
var horizons = []int{PlanDays, 63, 126, MostComingDays}

// horizon is how many days a plan has that holds so many; and how many the plan
// has that it keeps to, 0 if none.
func horizon(days int) (of, before int) {
	for _, h := range horizons {
		if h >= days {
			return h, before
		}
		before = h
	}
	return days, before
}

// Round returns the round of a day, and the plants for which none could be made:
// a day of the plan that begins today. The caller must not change it. Where many
// courses are yet to be worked out, the round goes without some plants and says
// how many.
func (b *Book) Round(ctx context.Context, on time.Time) (plan.Round, []Trouble, error) {
	day, troubles, err := b.dayOf(ctx, on)
	return day.round, troubles, err
}

// Batches returns the cans of feed of a day's round. The caller must not change
// them.
func (b *Book) Batches(ctx context.Context, on time.Time) ([]care.PlannedBatch, error) {
	day, _, err := b.dayOf(ctx, on)
	return day.batches, err
}

// dayOf returns a day of the plan that begins today, and the plants without.
func (b *Book) dayOf(ctx context.Context, on time.Time) (laidDay, []Trouble, error) {
	from := b.Today()
	if on.Before(from) {
		from = on
	}
	offset := int(on.Sub(from).Hours()/24 + 0.5)
	b.rounds.mu.Lock()
	defer b.rounds.mu.Unlock()
	made, err := b.search(ctx, Ask{From: from, Days: offset + 1})
	if err != nil {
		return laidDay{}, nil, err
	}
	day, laid := made.laid[offset]
	if !laid {
		day.round = made.plan.Round(offset)
		day.batches = b.fill(&day.round)
		made.laid[offset] = day
	}
	return day, made.plan.Troubles, nil
}

// fill plans the cans of a round, and names them in its feeds.
func (b *Book) fill(r *plan.Round) []care.PlannedBatch {
	var jobs []care.Job
	for i := range r.Stops {
		jobs = append(jobs, r.Stops[i].Jobs...)
	}
	b.mu.RLock()
	batches := b.collection.PlanBatches(jobs, r.On)
	b.mu.RUnlock()
	for i := range r.Stops {
		n := copy(r.Stops[i].Jobs, jobs)
		jobs = jobs[n:]
	}
	return batches
}

// Ask is what plan is wanted.
type Ask struct {
	From time.Time
	Days int
	// What there is on the first day alone, instead of what was said; nil: as said.
	Minutes, Litres *float64
	// Watch is told how far the search has come, and may stop it.
	Watch func(done, steps int, harm float64) bool

	taken func() bool // whether a search was stopped for its best plan, to be kept
}

// usual reports whether the plan is the one that everybody gets.
func (a *Ask) usual() bool { return a.Minutes == nil && a.Litres == nil }

// Plan returns the plan of some days from one on. The caller must not change it.
// When the context ends, or watch says so, the best plan so far is returned.
func (b *Book) Plan(ctx context.Context, ask Ask) (Plan, error) {
	b.rounds.mu.Lock()
	defer b.rounds.mu.Unlock()
	made, err := b.search(ctx, ask)
	if err != nil {
		return Plan{}, err
	}
	p := made.plan
	p.Ahead = p.Ahead.First(ask.Days)
	return p, nil
}

// search is planOf of a search that can be watched and stopped.
func (b *Book) search(ctx context.Context, ask Ask) (madePlan, error) {
	goes, end := b.begin(ctx, ask.Watch)
	defer end()
	ask.Watch, ask.taken = goes, b.wasTaken
	return b.planOf(ctx, ask)
}

// planOf is Plan with the rounds that were laid out of it. The lock on the rounds
// is held.
func (b *Book) planOf(ctx context.Context, ask Ask) (madePlan, error) {
	var before int
	ask.Days, before = horizon(ask.Days)
	b.mu.RLock()
	now := b.stamp
	b.mu.RUnlock()
	minutes, litres := ask.limits()
	if once := &b.rounds.once; !ask.usual() && once.minutes == minutes && once.litres == litres && once.made.all == now.all && once.made.from.Equal(ask.From) && once.made.days == ask.Days {
		return once.made, nil
	}
	for _, made := range b.rounds.last {
		if ask.usual() && made.all == now.all && made.from.Equal(ask.From) && made.days == ask.Days {
			return made, nil
		}
	}
	var first *plan.Ahead
	mended := false
	if before > 0 {
		shorter := ask
		shorter.Days = before
		made, err := b.planOf(ctx, shorter)
		if err != nil {
			return madePlan{}, err
		}
		first, mended = made.plan.Ahead, made.plan.Mended
	}
	made, err := b.makePlan(ctx, ask, first)
	if err != nil {
		return madePlan{}, err
	}
	made.plan.Mended = made.plan.Mended || mended
	switch keeps := made.plan.Pending == 0 && (!made.plan.Stopped || ask.taken()); {
	case keeps && !ask.usual():
		b.rounds.once = askedOnce{minutes, litres, made}
	case keeps:
		b.rounds.last = slices.DeleteFunc(b.rounds.last, func(old madePlan) bool { return old.all != made.all })
		if len(b.rounds.last) == len(horizons) {
			b.rounds.last = slices.Delete(b.rounds.last, 0, 1)
		}
		b.rounds.last = append(b.rounds.last, made)
	}
	return made, nil
}

// makePlan makes a plan from the outlines at hand and a few more. It keeps to
// another one, if there is one.
func (b *Book) makePlan(ctx context.Context, ask Ask, keep *plan.Ahead) (madePlan, error) {
	from, days := ask.From, ask.Days
	b.mu.RLock()
	list := b.recovering(from, true)
	others := b.others(list)
	b.mu.RUnlock()
	near, err := b.finds(ctx, append(slices.Clone(others), states(list)...), from)
	if err != nil {
		return madePlan{}, err
	}
	_, missing := b.courses.split(list, b.tables)
	if err := b.workOutAll(ctx, b.affordable(missing), allHands()); err != nil {
		return madePlan{}, err
	}
	outlines, missing := b.courses.split(list, b.tables)
	b.mu.RLock()
	s := b.surroundings(from, days)
	b.mu.RUnlock()
	if v := ask.Minutes; v != nil {
		s.limits.Minutes = *v + s.done.Minutes
		s.horizon.Closed[0] = false
	}
	if v := ask.Litres; v != nil {
		s.situation.LitresToday = v
		s.limits.Litres = *v + s.done.Litres
	}
	made := madePlan{from: from, days: days, all: s.stamp.all, laid: map[int]laidDay{}, plan: Plan{s: s, Pending: len(missing), Pace: s.situation.Pace}}
	p := &made.plan
	for i, one := range outlines {
		state := list[i].state
		switch {
		case one.why != nil:
			p.Troubles = append(p.Troubles, Trouble{list[i].id, state.Record.Label, one.why.Error()})
		case one.outline != nil:
			outline, key, err := b.looked(ctx, state, one.outline, &s, near)
			if err != nil {
				return madePlan{}, err
			}
			p.outlines, p.bases, p.besides, p.states = append(p.outlines, outline), append(p.bases, one.outline), append(p.besides, key), append(p.states, state)
		}
	}
	if err := b.addOthers(ctx, p, &s, others, near); err != nil {
		return madePlan{}, err
	}
	slices.SortFunc(p.Troubles, func(x, y Trouble) int { return strings.Compare(x.Label, y.Label) })
	search := plan.Search{Random: 1, Watch: ask.Watch}
	s.situation.Before, s.situation.Keep = keep, keep != nil
	ahead, err := b.planWith(ctx, p, &s, search, &ask)
	if err != nil {
		return madePlan{}, err
	}
	p.Ahead = ahead
	return made, nil
}

// steadyItems is up to how many things a plan is kept close to the one that the
// day began with: more are never searched through anyway.
const steadyItems = 20_000

// How thoroughly a plan is searched for: that of the day wholly. What is left
// of it after an entry is only mended, lest everything moves; what there is for a
// bad day is looked for a little.
const (
	wholly  = 1
	mended  = 0
	aLittle = 0.125
)

// planWith makes the plan. That of today stays close to the one that the day
// began with, which is worked out from how things stood then.
func (b *Book) planWith(ctx context.Context, p *Plan, s *surroundings, search plan.Search, ask *Ask) (*plan.Ahead, error) {
	situation := s.situation
	plants := make([]plan.Plant, len(p.states), len(p.states)+len(p.others))
	things := 0
	for i, state := range p.states {
		plants[i] = b.rounds.plant(p, i, state, s)
		things += len(plants[i].Coming)
	}
	plants = append(plants, p.others...)
	limits := [][]float64{situation.Minutes}
	// What is without some of the courses is made again as soon as they are there.
	if !situation.Keep && s.on.Equal(b.Today()) && p.Pending == 0 && things <= steadyItems {
		before, err := b.before(ctx, s.on)
		if err != nil {
			return nil, err
		}
		if before != nil {
			made, err := before.planOf(ctx, Ask{From: s.on, Days: PlanDays, Watch: ask.Watch, taken: ask.taken})
			if err != nil {
				return nil, err
			}
			situation.Before = made.plan.Ahead
			p.Mended = !slices.EqualFunc(plants, made.plan.Plants, func(x, y plan.Plant) bool { return x.ID == y.ID && slices.Equal(x.Coming, y.Coming) })
			if was := made.plan.s.situation.Minutes; !slices.Equal(was, situation.Minutes) {
				limits = [][]float64{was, situation.Minutes}
			}
		}
	}
	draft, err := plan.NewDraft(plants, situation)
	if err != nil {
		return nil, err
	}
	mending := situation.Before != nil && !situation.Keep
	made := draft.MakeWithin(stagesOf(limits, mending, draft, ask, s.done.Minutes), search)
	made.Stopped = made.Stopped || situation.Before != nil && situation.Before.Stopped
	if v := ask.Minutes; v != nil {
		made.Days[0].Limit = *v
	}
	return made, nil
}

// looked returns a plant's outline with its looks for pests, and what was found
// beside it.
func (b *Book) looked(ctx context.Context, p *care.PlantState, outline *care.Outline, s *surroundings, near besides) (*care.Outline, string, error) {
	beside, key := near.at(p.Record.Space)
	if known, ok := b.rounds.come[p.ID]; ok && s.on.Equal(b.rounds.from) && known.state == p && known.base == outline && known.around == s.stamp.around && known.warm == s.stamp.warm && known.beside == key {
		return known.outline, key, nil
	}
	looks, err := b.looks(ctx, p, beside, s.on)
	if err != nil {
		return nil, "", err
	}
	return outline.WithLooks(looks), key, nil
}

// addOthers adds the looks for pests that are due at plants which do not recover.
func (b *Book) addOthers(ctx context.Context, p *Plan, s *surroundings, others []*care.PlantState, near besides) error {
	for _, one := range others {
		beside, _ := near.at(one.Record.Space)
		if len(beside) == 0 && !one.MayHavePests() {
			continue
		}
		looks, err := b.looks(ctx, one, beside, s.on)
		if err != nil {
			return err
		}
		jobs := care.PestJobs(one, looks, s.on, s.units)
		if len(jobs) == 0 {
			continue
		}
		p.others = append(p.others, plan.Plant{ID: one.ID, Label: one.Record.Label, Name: one.Record.Name, Space: one.Record.Space, Coming: care.ComingOf(jobs, s.on)})
		p.otherJobs = append(p.otherJobs, jobs)
	}
	return nil
}

// others returns the plants that live here and do not recover, in the order of
// their ids. The lock is held.
func (b *Book) others(recovering []subject) []*care.PlantState {
	recovers := make(map[string]bool, len(recovering))
	for i := range recovering {
		recovers[recovering[i].id] = true
	}
	var list []*care.PlantState
	for id, p := range b.collection.Plants {
		if !recovers[id] && p.Ended.IsZero() {
			list = append(list, p)
		}
	}
	slices.SortFunc(list, func(x, y *care.PlantState) int { return strings.Compare(x.ID, y.ID) })
	return list
}

func states(list []subject) []*care.PlantState {
	of := make([]*care.PlantState, len(list))
	for i := range list {
		of[i] = list[i].state
	}
	return of
}

// plant returns what comes at a plant. What is counted from the day of the last
// plan is remembered.
func (r *rounds) plant(p *Plan, at int, state *care.PlantState, s *surroundings) plan.Plant {
	outline, base, beside := p.outlines[at], p.bases[at], p.besides[at]
	rec := &state.Record
	one := plan.Plant{ID: state.ID, Label: rec.Label, Name: rec.Name, Space: outline.Space}
	if !s.on.Equal(r.from) {
		r.from, r.come = s.on, map[string]plantComing{}
	}
	passing := s.days != PlanDays
	if known, ok := r.come[state.ID]; ok && !passing && known.state == state && known.base == base && known.beside == beside && known.around == s.stamp.around && known.warm == s.stamp.warm {
		one.Coming = known.coming
		return one
	}
	h := s.horizon
	h.Outdoors = s.outdoors[rec.Space]
	one.Coming = outline.Ahead(state, h)
	if !passing {
		r.come[state.ID] = plantComing{state: state, outline: outline, around: s.stamp.around, warm: s.stamp.warm, base: base, beside: beside, coming: one.Coming}
	}
	return one
}

// Round returns the round of a day of the plan.
func (p *Plan) Round(day int) plan.Round {
	r := p.Ahead.Round(day, p.s.walk, p.JobsOf)
	if day == 0 {
		r.Done, r.Limits = p.s.done, p.s.limits
	} else if limit := p.Days[day].Limit; !math.IsInf(limit, 1) {
		r.Limits = plan.Limits{Minutes: limit, Litres: p.s.limits.Litres}
	} else {
		r.Limits.Litres = p.s.limits.Litres
	}
	r.Off = p.s.situation.Minutes[day] == 0
	r.Pending = p.Pending
	return r
}

// JobsOf puts one thing of the plan into words: a flush may bring its feed with it.
func (p *Plan) JobsOf(plant, coming, day int) []care.Job {
	if k := plant - len(p.outlines); k >= 0 {
		return p.otherJobs[k][coming : coming+1]
	}
	one := &p.Plants[plant]
	jobs := p.outlines[plant].JobsOf(p.states[plant], &one.Coming[coming], p.From, p.From.AddDate(0, 0, day), p.s.units)
	for i := range jobs {
		jobs[i].Minutes = p.Pace.Minutes(jobs[i].Task)
	}
	return jobs
}

// surroundings are what the jobs of all plants have in common.
type surroundings struct {
	on           time.Time
	days         int
	stamp        stamp
	walk         []string // spaces
	units        care.Units
	limits, done plan.Limits
	outdoors     map[string]bool // spaces under the sky
	horizon      care.Horizon
	situation    plan.Situation
}

// surroundings returns those of some days. The lock is held.
func (b *Book) surroundings(on time.Time, days int) surroundings {
	c := b.collection
	s := surroundings{
		on: on, days: days, stamp: b.stamp, units: c.Settings.Units, outdoors: map[string]bool{},
		limits:  plan.Limits{Litres: c.Settings.LitresPerDay},
		horizon: care.Horizon{From: on, Days: days, Rains: c.Rains, Closed: make([]bool, days)},
	}
	pace := c.PaceBefore(on)
	for _, space := range c.Spaces {
		s.walk = append(s.walk, space.Name)
	}
	for _, p := range c.Plants {
		space := p.Record.Space
		if _, met := s.outdoors[space]; !met {
			s.outdoors[space] = c.Outdoors(space)
		}
		if busyOn(p, on) {
			minutes, mL := p.Spent(on, pace)
			s.done.Minutes += minutes
			s.done.Litres += mL / 1000
		}
	}
	minutes := make([]float64, days)
	for day := range minutes {
		date := on.AddDate(0, 0, day)
		minutes[day] = c.MinutesOn(date)
		_, away := c.AwayOn(date)
		s.horizon.Closed[day] = away && minutes[day] == 0
	}
	if !math.IsInf(minutes[0], 1) {
		s.limits.Minutes = minutes[0]
	}
	s.situation = plan.Situation{
		From: on, Minutes: minutes, Pace: pace, Litres: c.Settings.LitresPerDay, Supplies: c.Supplies(on, days, nil), Done: s.done,
	}
	return s
}

// busyOn reports whether anything may have been noted of a plant on a day. Days
// are those of the place where it was done, so a day may begin up to half a day
// earlier elsewhere.
func busyOn(p *care.PlantState, on time.Time) bool { return !p.Latest.Before(on.Add(-14 * time.Hour)) }
