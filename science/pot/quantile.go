package pot

import (
	"cmp"
	"math"
	"slices"
)

// Span is a figure as an ensemble knows it: its median and the middle 80 %.
type Span struct{ Low, Middle, High float64 }

// Width is the width of the middle 80 %.
func (s Span) Width() float64 { return s.High - s.Low }

// The shares of the ensemble below the ends of a Span.
const lowShare, highShare = 0.1, 0.9

// weighted is a figure of one member with its weight.
type weighted struct{ value, weight float64 }

// span returns the span of figures; the list is sorted in place.
func span(list []weighted) Span {
	slices.SortFunc(list, func(a, b weighted) int { return cmp.Compare(a.value, b.value) })
	total := 0.0
	for _, w := range list {
		total += w.weight
	}
	return Span{at(list, lowShare*total), at(list, 0.5*total), at(list, highShare*total)}
}

// at returns the figure below which a weight lies, in a straight line between
// the middles of neighbours.
func at(list []weighted, wanted float64) float64 {
	sum, before := 0.0, math.NaN()
	beforeAt := 0.0
	for _, w := range list {
		middle := sum + w.weight/2
		if middle >= wanted {
			if math.IsNaN(before) || middle == beforeAt {
				return w.value
			}
			return before + (w.value-before)*(wanted-beforeAt)/(middle-beforeAt)
		}
		before, beforeAt = w.value, middle
		sum += w.weight
	}
	return before
}

// Figure returns one drawn figure of the members as a share of its range, 0 to
// 1, as it is known now.
func (e *Ensemble) Figure(figure int) Span {
	return e.Of(func(u []float64, _ *Pot) float64 { return u[figure] })
}

// Of returns anything that follows from a member's figures and pot.
func (e *Ensemble) Of(f func(u []float64, p *Pot) float64) Span {
	list := make([]weighted, len(e.members))
	for i := range e.members {
		list[i] = weighted{f(e.members[i].u, e.members[i].Pot), e.weights[i]}
	}
	return span(list)
}

// Mean returns the weighted means of all figures: the middle of what is known,
// from which one plain run can be made.
func (e *Ensemble) Mean() []float64 {
	mean := make([]float64, e.figures)
	for i := range e.members {
		for f, u := range e.members[i].u {
			mean[f] += e.weights[i] * u
		}
	}
	return mean
}

// Effective returns how many members count, at most all of them.
func (e *Ensemble) Effective() float64 { return e.effective() }

// Readings returns how many readings the weights rest on.
func (e *Ensemble) Readings() int { return e.seen }

// Redrawn returns how often the ensemble was resampled.
func (e *Ensemble) Redrawn() int { return e.redrawn }

// Again returns an ensemble of the same figures and weights in another weather:
// draw makes their pots as they stand at its start. What the readings said stays
// behind them, so that a further one can be judged.
func (e *Ensemble) Again(draw func(u []float64) (Candidate, error), weather Weather) (*Ensemble, error) {
	if _, err := weather.hours(); err != nil {
		return nil, err
	}
	c := e.Clone()
	c.spare = make([]member, len(c.members))
	for i := range c.spare {
		c.spare[i].u = make([]float64, c.figures)
	}
	c.draw, c.weather, c.hour, c.events = draw, weather, 0, nil
	for i := range c.members {
		m := &c.members[i]
		was := *m
		if err := c.begin(m); err != nil {
			return nil, err
		}
		m.s0, m.s1, m.s2, m.logPrecision, m.others = was.s0, was.s1, was.s2, was.logPrecision, was.others
		m.before, m.after, m.anchor = was.before, was.after, was.anchor
	}
	return c, nil
}

// Rest lets go of everything but the figures, the weights and what the readings
// said: a quarter of the room. Only Again, Figure and Mean may follow.
func (e *Ensemble) Rest() {
	e.spare, e.events, e.weather = nil, nil, Weather{}
	for i := range e.members {
		e.members[i].Candidate = Candidate{}
	}
}
