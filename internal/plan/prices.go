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
	few := scarce(m)
	for k := range m.Stocks {
		l := litres{use: make([]float64, m.Days), dear: make([]float64, m.Days)}
		if few[k] {
			l.limit(&m.Stocks[k], m.Days)
		}
		p.litre = append(p.litre, l)
	}
	for i := range m.Items {
		p.item[i] = m.leftOut(i)
		options := m.optionsOf(i)
		least := math.Inf(1)
		for k := range options[:len(options)-1] {
			if p.never(i, &options[k]) {
				continue
			}
			least = min(least, options[k].Cost)
			p.sort(int32(i), int32(k), &options[k])
		}
		p.item[i] = min(p.item[i], least) // as where there is room for all
	}
	return p
}

// never reports whether an option takes more water than there can be on its day.
func (p *prices) never(item int, o *Option) bool {
	k := int(p.m.Items[item].Stock)
	if k < 0 || p.litre[k].most == nil {
		return false
	}
	day := int(o.Day)
	return float64(o.Litres) > p.litre[k].most[day*p.m.Days+day]+tolerance
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

// How prices are looked for, by trial on the instances of BenchmarkGap.
const (
	mostRounds    = 150 // of each kind,
	stepsPerRound = 10
	layEvery      = 5    // rounds
	pricing       = 0.25 // share of the search, about
)

// price looks for the prices on which the days agree, at first with things in part
// and then with whole ones. It makes plans of them on the way.
func (w *search) price() *prices {
	p := newPrices(w.m, &w.random)
	rounds := min(mostRounds, 1+w.how.Steps/stepsPerRound)
	for part, whole := range []bool{false, true} {
		v := newVolume(p)
		for n := range rounds {
			if !w.goes((float64(part) + float64(n)/float64(rounds)) / 2 * pricing) {
				break
			}
			p.day.looks = 0
			if whole {
				p.day.looks = mostLooks
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
		v.back()
	}
	return p
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
		p.offer(day, p.item, nil)
		_, wins := p.day.choose(m, day)
		bound -= wins
		for k, part := range p.day.parts {
			if part == 0 {
				continue
			}
			e := &p.day.entries[k]
			if stock := m.Items[e.item].Stock; stock >= 0 {
				p.litre[stock].use[day] += part * e.litres
			}
			if !e.besides {
				p.count[e.item] += part
			}
		}
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
			if (p.day.parts[k] == 1) != chosen || !e.goesWith(set) || !e.besides && s.option(int(e.item)).Day >= 0 {
				continue
			}
			if _, excess := s.change(int(e.item), e.choice); excess <= 0 {
				s.give(int(e.item), e.choice)
			}
		}
	}
}
