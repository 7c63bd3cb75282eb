package plan

import "math"

// prices take the plan apart into its days (Lagrangian relaxation: Held & Karp
// 1971; Fisher 1981). An item that is done brings its price, a litre used on a
// day costs one, and each day by itself takes what brings most in its minutes,
// set-ups included. The sum of the items' prices less what all days win bounds
// from below what any plan costs. The prices, moved until the days agree, tell
// what is best done when, and of which set-ups a day is best made.
type prices struct {
	m      *Model
	item   []float64     // what doing an item is worth: at most what leaving it out costs
	litre  []litres      // by stock
	byDay  [][]dayOption // what can be done on a day
	random *random

	count []float64 // how often the days together do an item
	day   daily
}

// litres are the limits of a stock: from one day to another, no more can be used
// than the tank holds and what comes in meanwhile. Together they say all that its
// never falling below nothing does: what is left is the least of them less what
// was used.
type litres struct {
	most  []float64 // by first day and last; +Inf where there is no limit. nil: never short
	price []float64 // of each limit
	use   []float64 // by day
	dear  []float64 // what a litre costs on a day: the prices of the limits it falls under
}

// dayOption is an item and its options of one day, without a mix and with it.
type dayOption struct{ item, plain, mixed int32 }

func newPrices(m *Model, r *random) *prices {
	p := &prices{m: m, item: make([]float64, len(m.Items)), count: make([]float64, len(m.Items)), byDay: make([][]dayOption, m.Days), random: r}
	for i := range m.Items {
		p.item[i] = m.leftOut(i)
		options := m.optionsOf(i)
		least := math.Inf(1)
		for k := range options[:len(options)-1] {
			least = min(least, options[k].Cost)
			p.sort(int32(i), int32(k), &options[k])
		}
		p.item[i] = min(p.item[i], least) // as where there is room for all
	}
	few := scarce(m)
	for k := range m.Stocks {
		l := litres{use: make([]float64, m.Days), dear: make([]float64, m.Days)}
		if few[k] {
			l.limit(&m.Stocks[k], m.Days)
		}
		p.litre = append(p.litre, l)
	}
	return p
}

// sort adds an option to those of its day. Of several alike each stands by itself,
// as if they were of different items: that makes the bound lower, not wrong.
func (p *prices) sort(item, choice int32, o *Option) {
	slot := func(one *dayOption) *int32 {
		if o.Mix && p.m.Items[item].Batch >= 0 {
			return &one.mixed
		}
		return &one.plain
	}
	list := p.byDay[o.Day]
	if n := len(list); n == 0 || list[n-1].item != item || *slot(&list[n-1]) >= 0 {
		list = append(list, dayOption{item, none, none})
		p.byDay[o.Day] = list
	}
	*slot(&list[len(list)-1]) = choice
}

// limit works the limits of a stock out.
func (l *litres) limit(s *Stock, days int) {
	l.most, l.price = make([]float64, days*days), make([]float64, days*days)
	for from := range days {
		there := s.Holds
		if from == 0 {
			there = min(s.Holds, s.Start+s.In[0])
		}
		for to := from; to < days; to++ {
			if to > from {
				there += s.In[to]
			}
			l.most[from*days+to] = there
		}
	}
}

// How the prices move, by trial as in annealing.
const (
	patience = 15  // rounds without a better bound, until steps are halved
	atLeast  = 1e3 // a step aims at least at this part of the cost above the bound
)

// largestPriced is up to how many items there is time for prices: a round goes
// through all sets of set-ups of all days.
const largestPriced = 3000

// price looks for the prices on which the days agree, and makes a plan of each.
func (w *search) price() {
	if len(w.m.Items) > largestPriced {
		return
	}
	p := newPrices(w.m, &w.random)
	rounds := max(1, w.how.Steps/stepsPerRound)
	share, since := 1.0, 0
	for n := range rounds {
		if !w.goes(0, float64(n)/float64(rounds)) {
			return
		}
		bound := p.round()
		if since++; bound > w.found.Bound {
			w.found.Bound, since = bound, 0
		} else if since == patience {
			share, since = share/2, 0
		}
		p.move(share, max(w.found.Cost-bound, math.Abs(w.found.Cost)/atLeast))
		s := newState(w.m)
		p.lay(s)
		s.polish()
		w.keep(s)
	}
}

// round lets each day choose, and returns what any plan costs at least.
func (p *prices) round() (bound float64) {
	m := p.m
	clear(p.count)
	for _, v := range p.item {
		bound += v
	}
	for k := range p.litre {
		bound -= p.litre[k].charge(m.Days)
	}
	for day := range m.Days {
		p.offer(day, nil)
		set, wins := p.day.choose(m, day)
		if wins <= 0 {
			continue
		}
		bound -= wins
		p.day.fill(m, day, set, func(e *entry, part float64) {
			it := &m.Items[e.item]
			if it.Stock >= 0 {
				p.litre[it.Stock].use[day] += part * e.litres
			}
			if !e.besides {
				p.count[e.item] += part
			}
		})
	}
	return bound
}

// charge works out what a litre costs on each day, and returns what all limits
// are worth.
func (l *litres) charge(days int) (worth float64) {
	clear(l.use)
	clear(l.dear)
	for at, v := range l.price {
		if v > 0 {
			worth += v * l.most[at]
			for day := at / days; day <= at%days; day++ {
				l.dear[day] += v
			}
		}
	}
	return worth
}

// move moves the prices along what the days disagree on, by a share of the way
// that would close the gap if all went straight (Polyak's step).
func (p *prices) move(share, gap float64) {
	m, norm := p.m, 0.0
	for i, n := range p.count {
		if n > 1 || p.item[i] < m.leftOut(i) {
			norm += (1 - n) * (1 - n)
		}
	}
	p.strained(func(_ *litres, _ int, over float64) { norm += over * over })
	if norm == 0 {
		return
	}
	step := share * gap / norm
	for i, n := range p.count {
		p.item[i] = min(m.leftOut(i), p.item[i]+step*(1-n))
	}
	p.strained(func(l *litres, at int, over float64) { l.price[at] = max(0, l.price[at]+step*over) })
}

// strained calls do for each limit that is overdrawn or has a price.
func (p *prices) strained(do func(l *litres, at int, over float64)) {
	for k := range p.litre {
		l, days := &p.litre[k], p.m.Days
		for from := 0; from < days && l.most != nil; from++ {
			use := 0.0
			for to := from; to < days; to++ {
				use += l.use[to]
				at := from*days + to
				if over := use - l.most[at]; !math.IsInf(l.most[at], 1) && (over > 0 || l.price[at] > 0) {
					do(l, at, over)
				}
			}
		}
	}
}

// lay makes a plan of the prices: the days in a random order take what brings
// most of what is left to do.
func (p *prices) lay(s *state) {
	m := p.m
	order := make([]int, m.Days)
	for day := range order {
		n := p.random.below(day + 1)
		order[day] = order[n]
		order[n] = day
	}
	for _, day := range order {
		p.offer(day, s)
		set, wins := p.day.choose(m, day)
		if wins <= 0 {
			continue
		}
		for k := range p.day.entries {
			e := &p.day.entries[k]
			if !e.goesWith(set) || !e.besides && s.option(int(e.item)).Day >= 0 {
				continue
			}
			if _, excess := s.change(int(e.item), e.choice); excess <= 0 {
				s.give(int(e.item), e.choice)
			}
		}
	}
}
