package plan

import (
	"cmp"
	"math"
	"slices"
)

// exchange takes a few items out that stand in each other's way and puts them back
// in the way that costs least of all, by branch and bound (Land & Doig 1960) in so
// many steps. Every other time one of them, or all of a set-up, must go elsewhere,
// and things may become a little worse, as in annealing.
type exchange struct {
	*state
	random *random
	could  [][]int32 // items that can be done on a day

	out    []int32 // items that were taken out, and
	were   []int32 // the options that they had
	isOut  []bool
	refuse func(item int32, choice int32, o *Option) bool // what must not be; nil: nothing

	best  []int32 // options of the best way so far,
	cost  float64 // its cost,
	least []float64
	nodes int
	turns [mostOut][]turn
}

// turn is an option and what it changes.
type turn struct {
	option int32
	change float64
}

// How exchanges go, by trial as in annealing.
const (
	mostOut      = 10  // items
	mostNodes    = 200 // options gone through in an exchange
	exchangeHeat = 2.0 // what it may make worse at first, in shares of a plan's cost for one item
	nearDays     = 3   // days between which things are exchanged
)

// exchange looks for better plans around the best one.
func (w *search) exchange() {
	e := newExchange(w.best(), &w.random)
	tries := w.how.Steps * triesPerStep
	heat := exchangeHeat * max(e.state.cost, 1e-3) / float64(len(w.m.Items))
	keepEvery := 1 + len(w.m.Items)/1000 // a copy of a large plan takes longer than an exchange
	for n := range tries {
		share := float64(n) / float64(tries)
		if n%64 == 0 && !w.goes(2, share) {
			return
		}
		if n%2 == 0 {
			e.try(-heat*(1-share)*(1-share)*math.Log(e.random.share()), true)
		} else {
			e.try(0, false)
		}
		if n%keepEvery == 0 {
			w.keep(e.state)
		}
	}
	w.keep(e.state)
	w.found.Steps = w.how.Steps
}

func newExchange(s *state, r *random) *exchange {
	m := s.m
	e := &exchange{state: s, random: r, could: make([][]int32, m.Days), isOut: make([]bool, len(m.Items)), best: make([]int32, mostOut), least: make([]float64, mostOut+1)}
	for i := range m.Items {
		last := int16(none)
		for _, o := range m.optionsOf(i) {
			if o.Day >= 0 && o.Day != last {
				last = o.Day
				e.could[o.Day] = append(e.could[o.Day], int32(i))
			}
		}
	}
	return e
}

// try makes one exchange, after which things may cost so much more. With forced,
// something has to change.
func (e *exchange) try(slack float64, forced bool) {
	m := e.m
	e.out, e.were, e.refuse = e.out[:0], e.were[:0], nil
	day := e.random.below(m.Days)
	near := day - nearDays + e.random.below(2*nearDays+1)
	if len(m.Setups) > 0 && e.random.below(3) == 0 { // all of a set-up, and what may take its room
		g := int16(e.random.below(len(m.Setups)))
		for _, i := range e.onDay[day] {
			if m.Items[i].uses(e.option(int(i)), g) {
				e.take(i)
			}
		}
		if forced {
			e.refuse = func(i, _ int32, o *Option) bool { return int(o.Day) == day && m.Items[i].uses(o, g) }
		}
		e.wanting(day, 4)
		e.some(near, 6)
	} else {
		e.some(day, 3+e.random.below(4))
		e.wanting(day, 3)
		e.some(near, 4)
		e.wanting(day, mostOut)
		if forced && len(e.out) > 0 {
			item, was := e.out[0], e.were[0]
			e.refuse = func(i, choice int32, _ *Option) bool { return i == item && choice == was }
		}
	}
	for _, i := range e.out {
		e.isOut[i] = false
	}
	if len(e.out) < 2 {
		return
	}
	e.cost = e.state.cost - negligible*(1+e.state.cost)
	if forced {
		e.cost = e.state.cost + slack
	}
	e.settle()
}

// settle puts what is out back, as it was if no way is cheaper than e.cost.
func (e *exchange) settle() {
	for k, i := range e.out {
		e.best[k] = e.were[k]
		e.give(int(i), e.m.Items[i].Count-1)
	}
	e.rank()
	e.nodes = mostNodes
	e.branch(0)
	for k, i := range e.out {
		if e.choice[i] != e.best[k] {
			e.give(int(i), e.best[k])
		}
	}
}

// take takes an item out, if there are not too many yet.
func (e *exchange) take(i int32) {
	if e.isOut[i] || len(e.out) == mostOut || e.m.Items[i].Count < 2 {
		return
	}
	e.isOut[i] = true
	e.out, e.were = append(e.out, i), append(e.were, e.choice[i])
}

// some takes so many items of a day, one after another.
func (e *exchange) some(day, most int) {
	if day < 0 || day >= e.m.Days || len(e.onDay[day]) == 0 {
		return
	}
	list := e.onDay[day]
	at := e.random.below(len(list))
	for n := range min(most, len(list)) {
		e.take(list[(at+n)%len(list)])
	}
}

// wanting takes items that would cost less on a day than where they are.
func (e *exchange) wanting(day, most int) {
	const looked = 60 // items, so that a large collection takes no longer
	list := e.could[day]
	if len(list) == 0 {
		return
	}
	at := e.random.below(len(list))
	for n := 0; n < min(len(list), looked) && most > 0; n++ {
		i := list[(at+n)%len(list)]
		now := e.option(int(i))
		if int(now.Day) == day {
			continue
		}
		if slices.ContainsFunc(e.m.optionsOf(int(i)), func(o Option) bool { return int(o.Day) == day && o.Cost < now.Cost }) {
			e.take(i)
			most--
		}
	}
}

// rank puts first what loses most by being left out, and adds up what is won at
// most from each on.
func (e *exchange) rank() {
	type ranked struct {
		item, was int32
		wins      float64
	}
	var list [mostOut]ranked
	order := list[:len(e.out)]
	for k, i := range e.out {
		order[k] = ranked{i, e.best[k], e.winsAtMost(int(i))}
	}
	slices.SortFunc(order, func(a, b ranked) int { return cmp.Or(cmp.Compare(b.wins, a.wins), int(a.item-b.item)) })
	e.least[len(order)] = 0
	for k := len(order) - 1; k >= 0; k-- {
		e.out[k], e.best[k] = order[k].item, order[k].was
		e.least[k] = e.least[k+1] - order[k].wins
	}
}

// winsAtMost is what doing an item that is left out can save: by the cheapest
// option that fits if its set-ups are made already.
func (e *exchange) winsAtMost(item int) float64 {
	out, most := e.m.leftOut(item), 0.0
	for _, o := range e.m.optionsOf(item) {
		if o.Day >= 0 && out-o.Cost > most && e.tooMuch(int(o.Day), e.load[o.Day]+float64(o.Minutes)) <= 0 {
			most = out - o.Cost
		}
	}
	return most
}

// branch goes through the options of what is out, from one item on.
func (e *exchange) branch(at int) {
	if e.state.cost+e.least[at] >= e.cost {
		return
	}
	if at == len(e.out) {
		e.cost = e.state.cost
		for k, i := range e.out {
			e.best[k] = e.choice[i]
		}
		return
	}
	i := int(e.out[at])
	was, turns := e.choice[i], e.turns[at][:0]
	for k, options := int32(0), e.m.optionsOf(i); int(k) < len(options); k++ {
		if e.refuse != nil && e.refuse(int32(i), k, &options[k]) {
			continue
		}
		change, excess := 0.0, 0.0
		if k != was {
			change, excess = e.change(i, k)
		}
		if excess <= 0 && e.state.cost+change+e.least[at+1] < e.cost {
			turns = append(turns, turn{k, change})
		}
	}
	slices.SortFunc(turns, func(a, b turn) int { return cmp.Or(cmp.Compare(a.change, b.change), int(a.option-b.option)) })
	e.turns[at] = turns
	for _, t := range turns {
		if e.nodes--; e.nodes < 0 {
			return
		}
		if t.option != was {
			e.give(i, t.option)
		}
		e.branch(at + 1)
		if t.option != was {
			e.give(i, was)
		}
	}
}
