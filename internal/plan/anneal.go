package plan

import (
	"math"
	"slices"
)

// annealing is simulated annealing after Kirkpatrick, Gelatt & Vecchi 1983 over
// the options of single items, of two that change places, and of all that need a
// set-up on a day. Days and stocks may be overdrawn at a price that keeps the
// search near the edge of what fits (Glover's strategic oscillation), so items
// find together what none would find alone.
type annealing struct {
	*state
	random *random
	price  float64 // of a minute or a litre that is not there
	bound  float64 // what a move may make worse

	group, were []int32
}

// How the annealing goes. Found by trial on the instances of BenchmarkGap: they
// are no properties of plants, and only how close plans come depends on them.
const (
	movesPerStep  = 100
	hot, cold     = 0.1, 0.003 // temperatures at first and last, in shares of what leaving a typical item out costs
	dearer, lower = 1.05, 0.97 // the price's factor where something is overdrawn, and where nothing is
	groupEvery    = 8          // moves from one of a set-up to the next
	swapEvery     = 3          // of the others: from one of two items to the next
	largestGroup  = 80         // items: more hardly ever move together
	longestDay    = 1000       // items, beyond which looking a group up takes too long
)

// anneal looks for better plans around the best one, where there is so much to do
// that filling a day anew takes too long.
func (w *search) anneal() {
	m, s := w.m, w.best()
	heat := hot * m.typical()
	minutes := 0.0
	for i := range m.Items {
		minutes += float64(m.Options[m.Items[i].First].Minutes) + 0.1
	}
	a := &annealing{state: s, random: &w.random, price: m.typical() * float64(len(m.Items)) / minutes}
	moves := w.how.Steps * movesPerStep
	cooling := math.Pow(cold/hot, 1/float64(moves))
	look := max(16, len(m.Items)/4)
	for n := range moves {
		if n%look == 0 {
			w.keep(s)
			if s.excess > tolerance {
				a.price *= dearer
			} else {
				a.price *= lower
			}
		}
		if n%8192 == 0 && !w.goes(float64(n)/float64(moves)) {
			return
		}
		heat *= cooling
		a.bound = -heat * math.Log(a.random.share())
		switch {
		case n%groupEvery == 0 && len(m.Setups) > 0:
			a.together()
		case n%swapEvery == 0:
			a.swap()
		default:
			if i, choice := a.pick(); choice >= 0 && a.worth(i, choice) <= a.bound {
				a.give(i, choice)
			}
		}
	}
	s.fit()
	s.polish()
	w.keep(s)
	w.found.Steps = w.how.Steps
}

// typical is what half of the items lose less by being left out.
func (m *Model) typical() float64 {
	list := make([]float64, len(m.Items))
	for i := range m.Items {
		least := math.Inf(1)
		for _, o := range m.optionsOf(i) {
			least = min(least, o.Cost)
		}
		list[i] = m.leftOut(i) - least
	}
	slices.Sort(list)
	return max(list[len(list)/2], 1e-6) // what is worth nothing needs no heat
}

// worth is what a change costs at the price.
func (a *annealing) worth(item int, choice int32) float64 {
	cost, excess := a.change(item, choice)
	return cost + a.price*excess
}

func (a *annealing) energy() float64 { return a.cost + a.price*a.excess }

// pick returns an item and another option for it, none if it has no other.
func (a *annealing) pick() (item int, choice int32) {
	i := a.random.below(len(a.m.Items))
	it := &a.m.Items[i]
	if it.Count < 2 {
		return i, none
	}
	choice = int32(a.random.below(int(it.Count - 1)))
	if choice >= a.choice[i] {
		choice++
	}
	return i, choice
}

// swap lets an item go to another day, and one of that day go elsewhere.
func (a *annealing) swap() {
	i, choice := a.pick()
	if choice < 0 {
		return
	}
	day := a.m.Options[a.m.Items[i].First+choice].Day
	if day < 0 || len(a.onDay[day]) == 0 {
		return
	}
	j := int(a.onDay[day][a.random.below(len(a.onDay[day]))])
	if i == j {
		return
	}
	before, was, wasOther := a.energy(), a.choice[i], a.choice[j]
	a.give(i, choice)
	if other := a.elsewhere(j, func(o *Option) bool { return o.Day != day }); other >= 0 {
		a.give(j, other)
	}
	if a.energy()-before > a.bound {
		a.give(j, wasOther)
		a.give(i, was)
	}
}

// elsewhere returns the option of an item that costs it least of some.
func (a *annealing) elsewhere(item int, may func(o *Option) bool) int32 {
	best, least := int32(none), math.Inf(1)
	it := &a.m.Items[item]
	for k := range it.Count {
		if may(&a.m.Options[it.First+k]) {
			if worth := a.worth(item, k); worth < least {
				best, least = k, worth
			}
		}
	}
	return best
}

// together moves all that need a set-up on one day away: each to where it costs
// least, or all that can to one other day.
func (a *annealing) together() {
	const furthest = 3 // days
	m := a.m
	g, day := int16(a.random.below(len(m.Setups))), a.random.below(m.Days)
	if users := a.open[int(g)*m.Days+day]; users == 0 || users > largestGroup || len(a.onDay[day]) > longestDay {
		return
	}
	a.group, a.were = a.group[:0], a.were[:0]
	for _, i := range a.onDay[day] {
		if m.Items[i].uses(a.option(int(i)), g) {
			a.group = append(a.group, i)
		}
	}
	to := int16(none)
	if a.random.below(2) == 0 {
		to = int16(day - furthest + a.random.below(2*furthest+1))
	}
	before := a.energy()
	for _, i := range a.group {
		it := &m.Items[i]
		away := func(o *Option) bool { return int(o.Day) != day || !it.uses(o, g) }
		best := int32(none)
		if to >= 0 {
			best = a.elsewhere(int(i), func(o *Option) bool { return o.Day == to && away(o) })
		}
		if best < 0 {
			best = a.elsewhere(int(i), away)
		}
		a.were = append(a.were, a.choice[i])
		a.give(int(i), best)
	}
	if a.energy()-before > a.bound {
		for n, i := range a.group {
			a.give(int(i), a.were[n])
		}
	}
}
