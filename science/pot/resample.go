package pot

import (
	"math"
	"slices"
)

// weigh brings the weights up to date after a reading, and resamples where too
// few members still count. A reading that would leave too few is let in by
// steps, each of which leaves enough.
func (e *Ensemble) weigh() error {
	counted := 0.0 // how far the last reading counts already
	for range mostSteps {
		next := e.furthest(counted)
		if next >= 1 {
			break
		}
		e.weightsAt(next)
		e.resample()
		counted = next
		for i := range e.members {
			m := &e.members[i]
			m.anchor = target(m, counted)
		}
		for range movesPerStep {
			if err := e.move(counted); err != nil {
				return err
			}
		}
	}
	e.settleWeights()
	return nil
}

// target is the log-likelihood of a member when its last reading counts by a
// share.
func target(m *member, counted float64) float64 { return m.before + counted*(m.after-m.before) }

// furthest returns how far the last reading can count while enough members do.
func (e *Ensemble) furthest(counted float64) float64 {
	enough := leastEffect * float64(len(e.members))
	if e.weightsAt(1); e.effective() >= enough {
		return 1
	}
	low, high := counted, 1.0
	for range 20 {
		middle := (low + high) / 2
		if e.weightsAt(middle); e.effective() >= enough {
			low = middle
		} else {
			high = middle
		}
	}
	// The weights that were there before may leave too few by themselves.
	return math.Max(low, counted+1e-3)
}

// weightsAt sets the weights as they are when the last reading counts by a
// share.
func (e *Ensemble) weightsAt(counted float64) {
	most := math.Inf(-1)
	for i := range e.members {
		m := &e.members[i]
		e.weights[i] = target(m, counted) - m.anchor
		most = math.Max(most, e.weights[i])
	}
	sum := 0.0
	for i, l := range e.weights {
		e.weights[i] = math.Exp(l - most)
		sum += e.weights[i]
	}
	for i := range e.weights {
		e.weights[i] /= sum
	}
}

func (e *Ensemble) settleWeights() { e.weightsAt(1) }

// effective is how many members count: one over the sum of squared weights.
func (e *Ensemble) effective() float64 {
	sum := 0.0
	for _, w := range e.weights {
		sum += w * w
	}
	return 1 / sum
}

// resample takes members in proportion to their weights, by one comb of equal
// steps.
func (e *Ensemble) resample() {
	e.redrawn++
	n := len(e.members)
	at, sum, from, before := e.chance.Next()/float64(n), e.weights[0], 0, -1
	for i := range n {
		for sum < at && from < n-1 {
			from++
			sum += e.weights[from]
		}
		u := e.spare[i].u
		copy(u, e.members[from].u)
		e.spare[i] = e.members[from]
		e.spare[i].u = u
		e.spare[i].twin = from == before
		before = from
		at += 1 / float64(n)
	}
	e.members, e.spare = e.spare, e.members
}

// move tries to move each member that is the same as another by a difference
// between two others, and keeps the move as often as the readings allow. Figures are evenly spread over 0 to 1
// and reflected at the ends, so that their ranges need no further weight.
func (e *Ensemble) move(counted float64) error {
	n := len(e.members)
	step := 2.38 / math.Sqrt(2*float64(e.figures))
	trial := member{u: make([]float64, e.figures)}
	for i := range e.members {
		m := &e.members[i]
		if !m.twin {
			continue
		}
		a, b := e.chance.Below(n), e.chance.Below(n)
		// A long step now and then leads from one hill to another.
		size := step * (0.2 + 0.8*e.chance.Next())
		for f := range trial.u {
			trial.u[f] = reflected(m.u[f] + size*(e.members[a].u[f]-e.members[b].u[f]) + 0.01*e.chance.Normal())
		}
		if err := e.follow(&trial); err != nil {
			return err
		}
		if math.Log(e.chance.Next()) < target(&trial, counted)-m.anchor {
			u := m.u
			copy(u, trial.u)
			*m = trial
			m.u = u
			m.twin = true
			m.anchor = target(m, counted)
		}
	}
	return nil
}

// follow takes a new member through everything that has happened.
func (e *Ensemble) follow(m *member) error {
	if err := e.begin(m); err != nil {
		return err
	}
	hour := 0
	for _, event := range e.events {
		e.advance(m, hour, event.Hour, nil)
		e.happen(m, event)
		hour = event.Hour
	}
	e.advance(m, hour, e.hour, nil)
	return nil
}

func reflected(u float64) float64 {
	u = math.Mod(math.Abs(u), 2)
	if u > 1 {
		u = 2 - u
	}
	return math.Min(1-1e-9, math.Max(1e-9, u))
}

// Clone returns a copy that goes its own way.
func (e *Ensemble) Clone() *Ensemble {
	c := *e
	c.events, c.weights = slices.Clone(e.events), slices.Clone(e.weights)
	copied := func(list []member) []member {
		list = slices.Clone(list)
		for i := range list {
			list[i].u = slices.Clone(list[i].u)
		}
		return list
	}
	c.members, c.spare = copied(e.members), copied(e.spare)
	return &c
}
