package book

import (
	"context"
	"sync"
	"time"

	"velamen/internal/plan"
)

// Searching is how far the search for a plan has come that is under way.
type Searching struct {
	Since       time.Time
	Done, Steps int     // Steps is 0 while courses are worked out for it
	Cost        float64 // of the best plan so far: stress days and effort; of a season, the urgency met
	Ended       <-chan struct{}
}

// searches is the search under way.
type searches struct {
	mu    sync.Mutex
	now   *Searching
	taken bool // the best so far is to be taken
}

// watch is told how far a search has come, and may stop it.
type watch = func(done, steps int, cost float64) bool

// begin tells that a search begins, and returns its watch, which hands on to
// another, and what ends it.
func (b *Book) begin(ctx context.Context, also watch) (watch, func()) {
	s := &b.searches
	ended := make(chan struct{})
	s.mu.Lock()
	s.now, s.taken = &Searching{Since: b.now(), Ended: ended}, false
	s.mu.Unlock()
	goes := func(done, steps int, cost float64) bool {
		s.mu.Lock()
		if s.now != nil {
			s.now.Done, s.now.Steps, s.now.Cost = done, steps, cost
		}
		taken := s.taken
		s.mu.Unlock()
		return !taken && ctx.Err() == nil && (also == nil || also(done, steps, cost))
	}
	return goes, func() {
		s.mu.Lock()
		s.now = nil
		s.mu.Unlock()
		close(ended)
	}
}

// Searching returns how far the search has come that is under way, if one is.
func (b *Book) Searching() (Searching, bool) {
	b.searches.mu.Lock()
	defer b.searches.mu.Unlock()
	if b.searches.now == nil {
		return Searching{}, false
	}
	return *b.searches.now, true
}

// TakeBest stops the search that is under way: the best plan so far is taken, and
// kept until something changes or SearchOn is called.
func (b *Book) TakeBest() {
	b.searches.mu.Lock()
	defer b.searches.mu.Unlock()
	b.searches.taken = b.searches.now != nil
}

// wasTaken reports whether the best so far was to be taken.
func (b *Book) wasTaken() bool {
	b.searches.mu.Lock()
	defer b.searches.mu.Unlock()
	return b.searches.taken
}

// SearchOn forgets plans whose search was stopped.
func (b *Book) SearchOn() {
	b.rounds.mu.Lock()
	defer b.rounds.mu.Unlock()
	b.forgetStopped()
}

func (b *Book) forgetStopped() {
	stopped := false
	for _, made := range b.rounds.last {
		stopped = stopped || made.plan.Stopped
	}
	if stopped || b.rounds.once.made.plan.Ahead != nil && b.rounds.once.made.plan.Stopped {
		b.rounds.last, b.rounds.once = nil, askedOnce{}
	}
	if s := b.season.made; s != nil && s.Stopped {
		b.season = seasons{}
	}
	if d := b.dawn.book; d != nil {
		d.forgetStopped()
	}
}

// WorkOut works out the courses of all plants that a plan from a day on needs: a
// single request only does some of them. watch is told how far it has come, and
// may stop it there.
func (b *Book) WorkOut(ctx context.Context, on time.Time, watch func(done, of int) bool) error {
	b.mu.RLock()
	list := b.recovering(on, true)
	b.mu.RUnlock()
	_, missing := b.courses.split(list, b.tables)
	const atOnce = 32
	for done := 0; done < len(missing); done += atOnce {
		if watch != nil && !watch(done, len(missing)) {
			return nil
		}
		if err := b.workOutAll(ctx, missing[done:min(done+atOnce, len(missing))], allHands()); err != nil {
			return err
		}
	}
	return nil
}

// worthAnew is how many stress days fewer another plan has to cost, and which
// share of them, to be offered.
const (
	worthAnew      = 0.2
	worthAnewShare = 0.03
)

// anewPlan remembers what a new plan would cost.
type anewPlan struct {
	all, days int
	from      time.Time
	harm      float64
}

// Anew returns what a plan would cost that keeps to no other, stress days, and
// whether it is worth asking for: mending the plan of the day after each entry may
// cost more.
func (b *Book) Anew(ctx context.Context, p *Plan) (harm float64, worth bool, err error) {
	if !p.Mended || len(p.Missed) == 0 {
		return p.Harm, false, nil
	}
	b.rounds.mu.Lock()
	defer b.rounds.mu.Unlock()
	worthIt := func(anew float64) bool {
		less := p.Harm - anew
		return less > worthAnew && less > worthAnewShare*p.Harm
	}
	if known := &b.rounds.anew; known.all == p.s.stamp.all && known.days == len(p.Days) && known.from.Equal(p.From) {
		return known.harm, worthIt(known.harm), nil
	}
	draft, err := plan.NewDraft(p.Plants, p.s.situation)
	if err != nil {
		return 0, false, err
	}
	goes, end := b.begin(ctx, nil)
	defer end()
	made := draft.Make(plan.Search{Steps: plan.Steps(draft.Items()), Random: 1, Watch: goes})
	harm = made.First(len(p.Days)).Harm
	if !made.Stopped {
		b.rounds.anew = anewPlan{p.s.stamp.all, len(p.Days), p.From, harm}
	}
	return harm, worthIt(harm), nil
}
