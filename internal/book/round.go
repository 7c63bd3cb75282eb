package book

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// Trouble is a plant whose course cannot be worked out, and why.
type Trouble struct{ Plant, Label, Why string }

// rounds remembers the last rounds, and the jobs of each plant on one day.
type rounds struct {
	mu   sync.Mutex // held while a round is made: others may be waiting for the same
	last []madeRound
	day  time.Time // today, when a round of today was last made
	jobs map[string]plantJobs
}

// madeRound is a round that holds until anything changes.
type madeRound struct {
	on       time.Time
	all      int
	round    plan.Round
	troubles []Trouble
	batches  []care.PlannedBatch
}

// plantJobs are a plant's jobs of a day.
type plantJobs struct {
	state   *care.PlantState
	outline *care.Outline
	around  int
	warm    int
	beside  string // what was found on the other plants of its space
	jobs    []care.Job
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

// fewRounds is how many rounds are kept.
const fewRounds = 3

// Round returns the round of a day, and the plants for which none could be
// made. The caller must not change it. Where many courses are yet to be worked
// out, the round goes without some plants and says how many.
func (b *Book) Round(ctx context.Context, on time.Time) (plan.Round, []Trouble, error) {
	made, err := b.roundOf(ctx, on)
	return made.round, made.troubles, err
}

// Batches returns the cans of feed of a day's round. The caller must not change
// them.
func (b *Book) Batches(ctx context.Context, on time.Time) ([]care.PlannedBatch, error) {
	made, err := b.roundOf(ctx, on)
	return made.batches, err
}

func (b *Book) roundOf(ctx context.Context, on time.Time) (madeRound, error) {
	b.rounds.mu.Lock()
	defer b.rounds.mu.Unlock()
	b.mu.RLock()
	now := b.stamp
	b.mu.RUnlock()
	for _, made := range b.rounds.last {
		if made.all == now.all && made.on.Equal(on) {
			return made, nil
		}
	}
	made, err := b.makeRound(ctx, on)
	if err != nil {
		return madeRound{}, err
	}
	if made.round.Pending == 0 {
		b.rounds.last = slices.DeleteFunc(b.rounds.last, func(old madeRound) bool { return old.all != made.all })
		if len(b.rounds.last) == fewRounds {
			b.rounds.last = slices.Delete(b.rounds.last, 0, 1)
		}
		b.rounds.last = append(b.rounds.last, made)
	}
	return made, nil
}

// makeRound makes a round from the outlines at hand and a few more.
func (b *Book) makeRound(ctx context.Context, on time.Time) (madeRound, error) {
	b.mu.RLock()
	list, s := b.recovering(on, false), b.surroundings(on)
	others := b.others(list)
	b.mu.RUnlock()
	near, err := b.finds(ctx, append(slices.Clone(others), states(list)...), on)
	if err != nil {
		return madeRound{}, err
	}
	_, missing := b.courses.split(list, b.tables)
	if err := b.workOutAll(ctx, b.affordable(missing), allHands()); err != nil {
		return madeRound{}, err
	}
	outlines, missing := b.courses.split(list, b.tables)
	made := madeRound{on: on, all: s.stamp.all}
	if !on.Equal(b.rounds.day) && on.Equal(b.Today()) {
		b.rounds.day, b.rounds.jobs = on, make(map[string]plantJobs, len(list))
	}
	jobs := make([]care.Job, 0, 4*len(list))
	for i, one := range outlines {
		p := &list[i]
		switch {
		case one.why != nil:
			made.troubles = append(made.troubles, Trouble{p.id, p.state.Record.Label, one.why.Error()})
		case one.outline != nil:
			mine, err := b.jobsOf(ctx, p, one.outline, &s, near)
			if err != nil {
				return madeRound{}, err
			}
			jobs = append(jobs, mine...)
		}
	}
	for _, p := range others {
		beside, _ := near.at(p.Record.Space)
		if len(beside) == 0 && !p.MayHavePests() {
			continue
		}
		looks, err := b.looks(ctx, p, beside, on)
		if err != nil {
			return madeRound{}, err
		}
		jobs = append(jobs, care.PestJobs(p, looks, on, s.units)...)
	}
	slices.SortFunc(made.troubles, func(x, y Trouble) int { return strings.Compare(x.Label, y.Label) })
	b.mu.RLock()
	made.batches = b.collection.PlanBatches(jobs, on)
	b.mu.RUnlock()
	made.round = plan.Make(jobs, s.walk, on, s.limits, s.done)
	made.round.Pending = len(missing)
	return made, nil
}

// jobsOf returns a plant's jobs. Those of the day that most rounds are of are
// remembered.
func (b *Book) jobsOf(ctx context.Context, p *subject, outline *care.Outline, s *surroundings, near besides) ([]care.Job, error) {
	beside, key := near.at(p.state.Record.Space)
	ofToday := s.on.Equal(b.rounds.day)
	mine := b.rounds.jobs[p.id]
	if ofToday && mine.state == p.state && mine.outline == outline && mine.around == s.stamp.around && mine.warm == s.stamp.warm && mine.beside == key {
		return mine.jobs, nil
	}
	looks, err := b.looks(ctx, p.state, beside, s.on)
	if err != nil {
		return nil, err
	}
	jobs := outline.WithLooks(looks).Jobs(p.state, s.rains, s.outdoors[p.state.Record.Space], s.on, s.units)
	if ofToday {
		b.rounds.jobs[p.id] = plantJobs{p.state, outline, s.stamp.around, s.stamp.warm, key, jobs}
	}
	return jobs, nil
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

// surroundings are what the jobs of all plants on a day have in common.
type surroundings struct {
	on           time.Time
	stamp        stamp
	walk         []string // spaces
	rains        []care.Rain
	units        care.Units
	limits, done plan.Limits
	outdoors     map[string]bool // spaces under the sky
}

// surroundings returns those of a day. The lock is held.
func (b *Book) surroundings(on time.Time) surroundings {
	c := b.collection
	s := surroundings{
		on: on, stamp: b.stamp, rains: c.Rains, units: c.Settings.Units, outdoors: map[string]bool{},
		limits: plan.Limits{Minutes: c.Settings.MinutesPerDay, Litres: c.Settings.LitresPerDay},
	}
	for _, space := range c.Spaces {
		s.walk = append(s.walk, space.Name)
	}
	for _, p := range c.Plants {
		space := p.Record.Space
		if _, met := s.outdoors[space]; !met {
			s.outdoors[space] = c.Outdoors(space)
		}
		if busyOn(p, on) {
			minutes, mL := p.Spent(on)
			s.done.Minutes += minutes
			s.done.Litres += mL / 1000
		}
	}
	return s
}

// busyOn reports whether anything may have been noted of a plant on a day. Days
// are those of the place where it was done, so a day may begin up to half a day
// earlier elsewhere.
func busyOn(p *care.PlantState, on time.Time) bool { return !p.Latest.Before(on.Add(-14 * time.Hour)) }
