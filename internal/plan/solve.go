package plan

import "math"

// Search says how long to look for a better plan, and from where on.
type Search struct {
	Steps  int    // attempts to improve on the first plan
	Random uint64 // the same number gives the same plan
	Start  []int32
	Prefer []int32 // a second plan to begin with, where it is better
	Keep   bool    // what Start does stays as it is; only what it leaves out is looked at

	// Watch is told from time to time how far the search has come, and what the
	// best plan so far costs. It returns false to stop there. It may be nil.
	Watch func(done, steps int, cost float64) bool
}

// Found is the best plan that a search found.
type Found struct {
	Choice  []int32 // by item, an option of it
	Cost    float64
	Bound   float64 // no plan costs less; -Inf where nothing is known
	Steps   int     // done
	Stopped bool    // before all were done
}

// Solve looks for the plan that costs least. Prices say what is best done when, and
// what no plan costs less than; with them a few days at a time are emptied and
// filled anew, as long as there are steps. More than mostPriced items are annealed
// instead. The model must be sound. The same
// arguments give the same plan, and none that costs more than the plans it was
// given to start from.
func Solve(m *Model, how Search) Found {
	w := &search{m: m, how: how, random: random(how.Random), found: Found{Cost: math.Inf(1), Bound: math.Inf(-1)}}
	s := newState(m)
	w.keep(s)
	if !s.begin(how.Start) {
		s.construct()
	}
	if how.Keep {
		s.complete()
		w.keep(s)
		return w.found
	}
	s.polish()
	w.keep(s)
	if other := newState(m); other.begin(how.Prefer) {
		other.polish()
		w.keep(other)
	}
	switch {
	case how.Steps == 0 || len(m.Items) < 2:
	case len(m.Items) <= mostPriced:
		w.relay(w.price())
	default:
		w.anneal()
	}
	return w.found
}

// mostPriced is up to how many items there is time for prices: beyond, annealing
// comes further in a second.
const mostPriced = 20_000

// search is what the parts of a search share.
type search struct {
	m      *Model
	how    Search
	random random
	found  Found
}

// keep remembers a state if it fits and costs less than any before.
func (w *search) keep(s *state) {
	if s.excess < tolerance/2 && s.cost < w.found.Cost-negligible*(1+math.Abs(w.found.Cost)) || w.found.Choice == nil {
		w.found.Cost, w.found.Choice = s.cost, append(w.found.Choice[:0], s.choice...)
	}
}

// negligible is a difference of costs that may come from the rounding of sums.
const negligible = 1e-11

// best is a state with the best plan so far.
func (w *search) best() *state {
	s := newState(w.m)
	s.begin(w.found.Choice)
	return s
}

// goes reports whether a search that has come to a share of itself should go on.
func (w *search) goes(share float64) bool {
	if w.found.Stopped || w.proved() {
		return false
	}
	w.found.Steps = int(share * float64(w.how.Steps))
	if w.how.Watch != nil && !w.how.Watch(w.found.Steps, w.how.Steps, w.found.Cost) {
		w.found.Stopped = true
		return false
	}
	return true
}

// proved reports whether no plan can be better.
func (w *search) proved() bool {
	return w.found.Cost-w.found.Bound <= 1e-9*(1+math.Abs(w.found.Cost))
}

// random is a stream of numbers by Steele, Lea & Flood 2014 ("SplitMix").
type random uint64

func (r *random) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below returns a number from 0 to n-1, for small n.
func (r *random) below(n int) int { return int(r.next() % uint64(n)) }

// share returns a number above 0 and below 1.
func (r *random) share() float64 { return (float64(r.next()>>11) + 0.5) / (1 << 53) }
