package plan

import (
	"cmp"
	"math"
	"slices"
)

// Search says how long to look for a better plan, and from where on.
type Search struct {
	Steps  int    // attempts to improve on the first plan
	Random uint64 // the same number gives the same plan
	Start  []int32
	Prefer []int32 // a second plan to begin with, where it is better

	// Watch is told from time to time how far the search has come, and what the
	// best plan so far costs. It returns false to stop there. It may be nil.
	Watch func(done, steps int, cost float64) bool
}

// Found is the best plan that a search found.
type Found struct {
	Choice  []int32 // by item, an option of it
	Cost    float64
	Steps   int  // done
	Stopped bool // before all were done
}

// Solve looks for the plan that costs least: it gives each item in turn, the one
// whose waiting costs most first, its cheapest option that fits, and then takes
// a few related items out again and again and puts them back another way. The
// model must be sound. The same arguments give the same plan.
func Solve(m *Model, how Search) Found {
	s := newState(m)
	w := &search{state: s, m: m, random: random(how.Random)}
	if !w.begin(how.Start) {
		w.construct()
	}
	w.polish()
	if other := how.Prefer; other != nil {
		w.orBetter(func(s *state) bool { return begin(s, other) })
	}
	w.orBetter(func(s *state) bool { return w.annealed(s, how) })
	return w.improve(how)
}

// orBetter goes on with another state if it is better.
func (w *search) orBetter(make func(*state) bool) {
	now := w.state
	other := newState(w.m)
	if !make(other) {
		return
	}
	w.state = other
	w.polish()
	if w.cost >= now.cost-1e-12 {
		w.state = now
	}
}

// annealed anneals a state, from the one of the search on.
func (w *search) annealed(s *state, how Search) bool {
	m := w.m
	if how.Steps == 0 || len(m.Items) < 2 || !begin(s, w.choice) {
		return false
	}
	// What an item loses at most, in the mean, tells how hot to begin.
	gap, minutes := 0.0, 0.0
	for i := range m.Items {
		options := m.optionsOf(i)
		gap += options[len(options)-1].Cost
		minutes += float64(options[0].Minutes) + 0.1
	}
	gap /= float64(len(m.Items))
	a := &anneal{state: s, m: m, random: &w.random, price: tunePrice * gap * float64(len(m.Items)) / minutes}
	moves := how.Steps * movesPerStep
	a.run(moves, tuneHot*gap, tuneCold*gap, func(done int) bool {
		return how.Watch == nil || how.Watch(done/movesPerStep/2, how.Steps, w.cost)
	})
	a.mend()
	return true
}

// movesPerStep is how many single moves count as one step: they take about as
// long.
const movesPerStep = 100

var tunePrice, tuneHot, tuneCold = 0.3, 0.3, 0.002

type search struct {
	*state
	m      *Model
	random random

	could [][]int32 // items that can be done on a day
	least []float64 // what an item costs at least
	bans  []int32

	taken []int32 // items that a step took out
	were  []int32 // the options they had
	seen  []bool  // by item: taken in this step
	order []rank
}

// begin starts from a plan; what does not fit of it is left out.
func (w *search) begin(choice []int32) bool { return begin(w.state, choice) }

func begin(s *state, choice []int32) bool {
	if len(choice) != len(s.m.Items) {
		return false
	}
	for i, c := range choice {
		it := &s.m.Items[i]
		if c < 0 || c >= it.Count-1 {
			continue
		}
		s.take(i)
		if _, fits := s.adds(i, &s.m.Options[it.First+c]); !fits {
			c = it.Count - 1
		}
		s.put(i, c)
	}
	return true
}

// rank is an item with what decides when its turn is.
type rank struct {
	item int32
	by   float64
}

// construct gives each item the cheapest option that fits, those first that lose
// most for every minute they take.
func (w *search) construct() {
	m := w.m
	order := make([]rank, len(m.Items))
	for i := range m.Items {
		options := m.optionsOf(i)
		out := &options[len(options)-1]
		least, minutes := out.Cost, 0.1
		for k := range options[:len(options)-1] {
			if options[k].Cost < least {
				least, minutes = options[k].Cost, float64(options[k].Minutes)
			}
		}
		order[i] = rank{int32(i), (out.Cost - least) / math.Max(0.1, minutes)}
	}
	slices.SortFunc(order, func(a, b rank) int { return cmp.Or(cmp.Compare(b.by, a.by), int(a.item-b.item)) })
	for _, r := range order {
		i := int(r.item)
		w.take(i)
		choice, _, _ := w.best(i)
		w.put(i, choice)
	}
}

// polish moves single items, and empties whole set-ups, as long as that helps.
func (w *search) polish() {
	const rounds = 4
	for range rounds {
		before := w.cost
		for i := range w.m.Items {
			if w.m.Items[i].Count > 1 {
				was := w.take(i)
				if choice, _, _ := w.best(i); choice != none {
					was = choice
				}
				w.put(i, was)
			}
		}
		if before-w.cost < 1e-9*(1+math.Abs(before)) {
			return
		}
	}
}

// improve is the search by taking out and putting back.
func (w *search) improve(how Search) Found {
	m := w.m
	found := Found{Choice: slices.Clone(w.choice), Cost: w.cost}
	w.seen = make([]bool, len(m.Items))
	w.survey()
	// How much worse a step may make things, to get out of a dead end: a share of
	// what a plan costs in the mean for one item, falling to nothing.
	heat := 0.0
	if len(m.Items) > 0 {
		heat = tuneHeat * math.Max(w.cost, 0.001) / float64(len(m.Items))
	}
	watch := 64
	if len(m.Items) < 2 {
		how.Steps = 0
	}
	for step := range how.Steps {
		if how.Watch != nil && step%watch == 0 && !how.Watch(step, how.Steps, found.Cost) {
			found.Steps, found.Stopped = step, true
			break
		}
		found.Steps = step + 1
		before := w.cost
		w.takeOut()
		w.putBack()
		left := 1 - float64(step)/float64(how.Steps)
		if w.cost > before-heat*left*left*math.Log(w.random.share()) {
			w.undo()
			w.cost = before
		} else if w.cost < found.Cost-1e-9 {
			found.Cost = w.cost
			copy(found.Choice, w.choice)
		}
		for _, i := range w.taken {
			w.seen[i] = false
		}
	}
	return found
}

// survey notes what stays the same during a search.
func (w *search) survey() {
	m := w.m
	w.could, w.least = make([][]int32, m.Days), make([]float64, len(m.Items))
	for i := range m.Items {
		least, last := math.Inf(1), int16(-1)
		for _, o := range m.optionsOf(i) {
			least = math.Min(least, o.Cost)
			if o.Day >= 0 && o.Day != last {
				last = o.Day
				w.could[o.Day] = append(w.could[o.Day], int32(i))
			}
		}
		w.least[i] = least
	}
}

// mostTaken is how many items a step takes out, about.
const mostTaken = 40

// takeOut takes items out that stand in each other's way, so that they can come
// back another way.
func (w *search) takeOut() {
	w.taken, w.were = w.taken[:0], w.were[:0]
	switch w.random.below(tuneMoves) {
	case 0:
		w.shutSetup()
	case 1:
		w.openSetup()
	case 2, 3, 4:
		w.rebuildDays()
	default:
		w.aroundAnchor()
	}
}

// shutSetup empties a set-up on one or two days, so that its work comes together
// on others, and lets those take the room who have an interest in it.
func (w *search) shutSetup() {
	m := w.m
	if len(m.Setups) == 0 {
		w.aroundAnchor()
		return
	}
	g := int(w.random.below(uint64(len(m.Setups))))
	day := int(w.random.below(uint64(m.Days)))
	for tries := 0; w.open[g*m.Days+day] == 0 && tries < 2*m.Days; tries++ {
		if day++; day == m.Days {
			day, g = 0, (g+1)%len(m.Setups)
		}
	}
	needs := func(o *Item) bool { return int(o.Space) == g || int(o.Batch) == g }
	w.ban(g, day)
	w.from(day, mostTaken, needs)
	if next := day + 2*int(w.random.below(2)) - 1; next >= 0 && next < m.Days {
		if w.random.below(2) == 0 { // its neighbour has to make room
			w.from(next, mostTaken/3, nil)
		} else {
			w.from(next, mostTaken/3, needs)
		}
	}
	w.whoWants(day, mostTaken/2, nil)
}

// openSetup gives those a day who need a set-up that is not made on it, or
// hardly used.
func (w *search) openSetup() {
	m := w.m
	if len(m.Setups) == 0 {
		w.aroundAnchor()
		return
	}
	g := int(w.random.below(uint64(len(m.Setups))))
	day := int(w.random.below(uint64(m.Days)))
	needs := func(o *Item) bool { return int(o.Space) == g || int(o.Batch) == g }
	if w.random.below(2) == 0 {
		for _, d := range [2]int{day - 1, day + 1} {
			if d >= 0 && d < m.Days && w.random.below(2) == 0 {
				w.ban(g, d)
				w.from(d, mostTaken/2, needs)
			}
		}
	}
	w.whoWants(day, mostTaken/2, needs)
	// Another set-up may have to go for it.
	if h := int(w.random.below(uint64(len(m.Setups)))); h != g && w.open[h*m.Days+day] > 0 && w.random.below(2) == 0 {
		w.ban(h, day)
		w.from(day, mostTaken/2, func(o *Item) bool { return int(o.Space) == h || int(o.Batch) == h })
	} else {
		w.from(day, mostTaken/4, nil)
	}
}

// rebuildDays takes two days apart, nearly or wholly, and shares some of the
// set-ups out between them: each is made on one of the two only.
func (w *search) rebuildDays() {
	m := w.m
	day := int(w.random.below(uint64(m.Days)))
	other := min(day+1+int(w.random.below(2)), m.Days-1)
	if w.random.below(2) == 0 {
		day, other = other, day
	}
	keep := func(*Item) bool { return true }
	if w.random.below(3) == 0 && len(m.Setups) > 1 { // two set-ups change places
		g, h := int(w.random.below(uint64(len(m.Setups)))), int(w.random.below(uint64(len(m.Setups))))
		w.ban(g, day)
		w.ban(h, other)
		keep = func(o *Item) bool {
			return int(o.Space) == g || int(o.Batch) == g || int(o.Space) == h || int(o.Batch) == h || w.random.below(4) == 0
		}
	} else {
		for g := range m.Setups {
			switch w.random.below(6) {
			case 0:
				w.ban(g, day)
			case 1:
				w.ban(g, other)
			}
		}
	}
	w.from(day, mostTaken, keep)
	w.from(other, mostTaken, keep)
	w.whoWants(day, mostTaken/2, nil)
	w.whoWants(other, mostTaken/2, nil)
}

// aroundAnchor takes out an item that costs much, and what stands on the days it
// could be done on.
func (w *search) aroundAnchor() {
	anchor := w.costly()
	now := w.day(anchor)
	options := w.m.optionsOf(anchor)
	size := 3 + int(w.random.below(16))
	day := int(options[w.random.below(uint64(len(options)))].Day)
	if day < 0 {
		day = now
	}
	w.out(anchor)
	w.from(day, size*2/3, nil)
	w.from(now, size/3, nil)
	if day >= 0 {
		w.whoWants(day, size/2, nil)
	}
	if w.random.below(3) == 0 {
		w.from(int(w.random.below(uint64(w.m.Days))), size/3, nil)
	}
}

// ban keeps a set-up from being made on a day in this step.
func (w *search) ban(setup, day int) {
	at := setup*w.m.Days + day
	if !w.banned[at] {
		w.banned[at] = true
		w.bans = append(w.bans, int32(at))
	}
}

// whoWants takes out items that could be done on a day, and are dear where they
// are.
func (w *search) whoWants(day, most int, like func(*Item) bool) {
	list := w.could[day]
	if len(list) == 0 {
		return
	}
	at := int(w.random.below(uint64(len(list))))
	for tries := min(len(list), 12*most); most > 0 && tries > 0; tries-- {
		i := int(list[at])
		if at++; at == len(list) {
			at = 0
		}
		it := &w.m.Items[i]
		if w.choice[i] == none || like != nil && !like(it) {
			continue
		}
		if o := &w.m.Options[it.First+w.choice[i]]; int(o.Day) != day && o.Cost > w.least[i]+1e-9 || like != nil && w.random.below(3) > 0 {
			w.out(i)
			most--
		}
	}
}

// costly returns an item, of a few the one that has most to win.
func (w *search) costly() int {
	best, most := 0, math.Inf(-1)
	for range 4 {
		i := int(w.random.below(uint64(len(w.m.Items))))
		it := &w.m.Items[i]
		if cost := w.m.Options[it.First+w.choice[i]].Cost - w.least[i]; cost > most {
			best, most = i, cost
		}
	}
	return best
}

func (w *search) day(item int) int {
	return int(w.m.Options[w.m.Items[item].First+w.choice[item]].Day)
}

func (w *search) out(item int) {
	if w.seen[item] {
		return
	}
	w.seen[item] = true
	w.taken = append(w.taken, int32(item))
	w.were = append(w.were, w.take(item))
}

// from takes items of a day out, as they come from a place picked at random.
func (w *search) from(day, most int, like func(*Item) bool) {
	if day < 0 {
		return
	}
	n := len(w.onDay[day])
	if n == 0 {
		return
	}
	at, tries := int(w.random.below(uint64(n))), min(n, 4*most)
	for ; most > 0 && tries > 0 && len(w.onDay[day]) > 0; tries-- {
		list := w.onDay[day]
		if at >= len(list) {
			at = 0
		}
		i := int(list[at])
		if like != nil && !like(&w.m.Items[i]) {
			at++
			continue
		}
		w.out(i) // the last of the list takes its place
		most--
		at += int(w.random.below(3))
	}
}

// putBack gives the items that were taken out their cheapest options, that one
// first which would miss its best option most; of many it looks once, of a few
// again after each.
func (w *search) putBack() {
	w.order = w.order[:0]
	byRegret := w.random.below(3) > 0
	for _, i := range w.taken {
		w.order = append(w.order, rank{i, w.urgency(int(i), byRegret)})
	}
	again := len(w.order) <= 16
	if !again {
		slices.SortFunc(w.order, func(a, b rank) int { return cmp.Or(cmp.Compare(b.by, a.by), int(a.item-b.item)) })
	}
	for k := range w.order {
		if again && k > 0 {
			for n := k; n < len(w.order); n++ {
				w.order[n].by = w.urgency(int(w.order[n].item), byRegret)
			}
		}
		if again {
			first := k
			for n := k + 1; n < len(w.order); n++ {
				if w.order[n].by > w.order[first].by {
					first = n
				}
			}
			w.order[k], w.order[first] = w.order[first], w.order[k]
		}
		i := int(w.order[k].item)
		choice, _, _ := w.best(i)
		w.put(i, choice)
	}
	w.unban()
	for _, r := range w.order { // the later ones may have made it cheaper
		i := int(r.item)
		was := w.take(i)
		if choice, _, _ := w.best(i); choice != none {
			was = choice
		}
		w.put(i, was)
	}
}

func (w *search) unban() {
	for _, at := range w.bans {
		w.banned[at] = false
	}
	w.bans = w.bans[:0]
}

func (w *search) urgency(i int, byRegret bool) float64 {
	_, cost, regret := w.best(i)
	by := regret
	if !byRegret {
		options := w.m.optionsOf(i)
		by = (options[len(options)-1].Cost - cost) / (0.3 + float64(options[0].Minutes))
	}
	return math.Min(by, 1e9) * (0.7 + 0.6*w.random.share())
}

// undo puts what was taken out back where it was.
func (w *search) undo() {
	for _, i := range w.taken {
		w.take(int(i))
	}
	for k, i := range w.taken {
		w.put(int(i), w.were[k])
	}
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
func (r *random) below(n uint64) uint64 { return r.next() % n }

// share returns a number above 0 and below 1.
func (r *random) share() float64 { return (float64(r.next()>>11) + 0.5) / (1 << 53) }

var tuneHeat, tuneMoves = 2.0, uint64(8)
