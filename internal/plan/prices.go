package plan

import "slices"

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
	heeds  bool // a day's water is heeded while it is filled, not only afterwards

	count []float64 // how often the days together do an item
	day   daily
}

// dayOption is an item and its options of one day, without a mix and with it.
type dayOption struct{ item, plain, mixed int32 }

func newPrices(m *Model, r *random) *prices {
	p := &prices{m: m, item: make([]float64, len(m.Items)), count: make([]float64, len(m.Items)), byDay: make([][]dayOption, m.Days), random: r}
	few := scarce(m)
	for k := range m.Stocks {
		p.litre = append(p.litre, newLitres(m, k, few[k]))
	}
	for i := range m.Items {
		options := m.optionsOf(i)
		best := &options[len(options)-1]
		for k := range options[:len(options)-1] {
			if o := &options[k]; !p.never(i, o) {
				p.sort(int32(i), int32(k), o)
				if o.Cost < best.Cost {
					best = o
				}
			}
		}
		p.item[i] = best.Cost // as where there is room for all
		if k := m.Items[i].Stock; k >= 0 && p.litre[k].price != nil && best.Litres > 0 {
			p.litre[k].wants = append(p.litre[k].wants, want{int32(i), float64(best.Litres), best.Cost, m.leftOut(i)})
		}
	}
	return p
}

// never reports whether an option takes more water than there can be on its day.
func (p *prices) never(item int, o *Option) bool {
	k := p.m.Items[item].Stock
	return k >= 0 && float64(o.Litres) > p.litre[k].most(int(o.Day))+tolerance
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

// How prices are looked for, by trial on the instances of BenchmarkGap.
const (
	mostRounds    = 150 // of each kind,
	stepsPerRound = 10
	layEvery      = 5    // rounds
	pricing       = 0.25 // share of the search, about
)

// price looks for the prices on which the days agree, at first with things in part
// and then with whole ones.
func (w *search) price() *prices {
	p := newPrices(w.m, &w.random)
	best := w.haggle(p, 0, pricing/4)
	if p.charge() {
		if other := w.haggle(p, pricing/4, pricing/2); other.bound > best.bound {
			best = other
		}
	}
	best.back()
	if len(slices.MaxFunc(p.byDay, func(a, b []dayOption) int { return len(a) - len(b) })) <= mostEntries {
		p.day.looks = mostLooks
		w.haggle(p, pricing/2, pricing).back()
	}
	return p
}

// haggle moves the prices for some rounds, from one share of the search to
// another, and makes plans of them on the way.
func (w *search) haggle(p *prices, from, to float64) *volume {
	v := newVolume(p)
	rounds := min(mostRounds, 1+w.how.Steps/stepsPerRound)
	for n := range rounds {
		if !w.goes(from + (to-from)*float64(n)/float64(rounds)) {
			break
		}
		bound := p.round()
		w.found.Bound = max(w.found.Bound, bound)
		v.learn(bound)
		v.step(w.found.Cost)
		if n%layEvery == layEvery-1 {
			s := newState(w.m)
			p.lay(s)
			s.polish()
			w.keep(s)
		}
	}
	return v
}

// round lets each day choose, and returns what any plan costs at least.
func (p *prices) round() (bound float64) {
	m := p.m
	clear(p.count)
	for _, v := range p.item {
		bound += v
	}
	for k := range p.litre {
		bound -= p.litre[k].worth()
		clear(p.litre[k].use)
	}
	for day := range m.Days {
		p.offer(day, p.item, nil)
		_, wins := p.day.choose(m, day)
		bound -= wins
		for k, part := range p.day.parts {
			if part == 0 {
				continue
			}
			e := &p.day.entries[k]
			if stock := m.Items[e.item].Stock; stock >= 0 && p.litre[stock].price != nil {
				p.litre[stock].use[day] += part * e.litres
			}
			if !e.besides {
				p.count[e.item] += part
			}
		}
	}
	return bound
}

// lay makes a plan of the prices: the days in a random order take what brings
// most of what is left to do.
func (p *prices) lay(s *state) {
	order := make([]int, p.m.Days)
	for day := range order {
		n := p.random.below(day + 1)
		order[day] = order[n]
		order[n] = day
	}
	for _, day := range order {
		p.layDay(s, day, p.item)
	}
}

// layDay fills a day with what brings most of what is left to do, at what doing
// each item is worth.
func (p *prices) layDay(s *state, day int, worth []float64) {
	p.offer(day, worth, s)
	set, _ := p.day.choose(p.m, day)
	for _, chosen := range [2]bool{true, false} { // then whatever else has room
		for k := range p.day.entries {
			e := &p.day.entries[k]
			if (p.day.parts[k] == 1) != chosen || e.need&^set != 0 || !e.besides && s.option(int(e.item)).Day >= 0 {
				continue
			}
			if cost, excess := s.change(int(e.item), e.choice); excess <= 0 && (chosen || cost < 0) {
				s.give(int(e.item), e.choice)
			}
		}
	}
}
