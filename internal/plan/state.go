package plan

import "math"

// state is a choice of options with the sums that tell at once what a change
// costs and whether it fits.
type state struct {
	m      *Model
	choice []int32 // option of each item; none: it is being moved
	cost   float64
	load   []float64 // minutes by day, set-ups included
	open   []int32   // items that need a set-up, by set-up and day
	use    []float64 // litres, by stock and day
	after  []float64 // litres left at the end of a day, by stock and day

	banned []bool // set-ups that must not be made now, by set-up and day

	onDay [][]int32 // items by day
	place []int32   // where an item stands in its list
}

const none = -1

// newState is the state in which everything is left out, which always fits.
func newState(m *Model) *state {
	s := &state{
		m: m, choice: make([]int32, len(m.Items)), load: make([]float64, m.Days), open: make([]int32, len(m.Setups)*m.Days), banned: make([]bool, len(m.Setups)*m.Days),
		use: make([]float64, len(m.Stocks)*m.Days), after: make([]float64, len(m.Stocks)*m.Days),
		onDay: make([][]int32, m.Days), place: make([]int32, len(m.Items)),
	}
	for i := range m.Items {
		it := &m.Items[i]
		s.choice[i] = it.Count - 1
		s.cost += m.Options[it.First+it.Count-1].Cost
	}
	for i := range s.after {
		s.after[i] = none // nothing is worked out yet
	}
	for i := range m.Stocks {
		s.run(i, 0)
	}
	return s
}

// run works out what is left of a stock from a day on.
func (s *state) run(stock, from int) {
	k := &s.m.Stocks[stock]
	left := k.Start
	base := stock * s.m.Days
	if from > 0 {
		left = s.after[base+from-1]
	}
	for day := from; day < s.m.Days; day++ {
		left = math.Min(k.Holds, left+k.In[day]) - s.use[base+day]
		if day > from && left == s.after[base+day] {
			return // from here on nothing is different
		}
		s.after[base+day] = left
	}
}

// waterFits reports whether litres more can be used on a day: nothing after it
// may run dry. What would run off otherwise costs nothing.
func (s *state) waterFits(stock, day int, litres float64) bool {
	k := &s.m.Stocks[stock]
	base := stock * s.m.Days
	missing := litres
	for d := day; d < s.m.Days; d++ {
		left := s.after[base+d]
		if d > day {
			// Part of what is missing would have run off.
			missing -= math.Max(0, s.after[base+d-1]+k.In[d]-k.Holds)
			if missing <= 0 {
				return true
			}
		}
		if left-missing < -tolerance/2 {
			return false
		}
	}
	return true
}

func (s *state) over(day int, load float64) float64 { return math.Max(0, load-s.m.Level[day]) }

// adds returns what it costs to give an item that has none an option, and
// whether it fits.
func (s *state) adds(item int, o *Option) (cost float64, fits bool) {
	if o.Day < 0 {
		return o.Cost, true
	}
	m, it, day := s.m, &s.m.Items[item], int(o.Day)
	minutes := float64(o.Minutes)
	cost = o.Cost
	if g := int(it.Space); g >= 0 && s.open[g*m.Days+day] == 0 {
		if s.banned[g*m.Days+day] {
			return 0, false
		}
		minutes += m.Setups[g]
		cost += m.SetupPrice * m.Setups[g]
	}
	if g := int(it.Batch); o.Mix && g >= 0 && s.open[g*m.Days+day] == 0 {
		if s.banned[g*m.Days+day] {
			return 0, false
		}
		minutes += m.Setups[g]
		cost += m.SetupPrice * m.Setups[g]
	}
	load := s.load[day]
	if load+minutes > m.Minutes[day]+tolerance/2 {
		return 0, false
	}
	cost += m.LevelPrice * (s.over(day, load+minutes) - s.over(day, load))
	if it.Stock >= 0 && o.Litres > 0 && !s.waterFits(int(it.Stock), day, float64(o.Litres)) {
		return 0, false
	}
	return cost, true
}

// put gives an item an option; it must have none.
func (s *state) put(item int, choice int32) { s.change(item, choice, 1) }

// take takes an item's option away and returns it.
func (s *state) take(item int) int32 {
	choice := s.choice[item]
	s.change(item, choice, -1)
	return choice
}

func (s *state) change(item int, choice int32, sign float64) {
	m, it := s.m, &s.m.Items[item]
	o := &m.Options[it.First+choice]
	s.cost += sign * o.Cost
	s.choice[item] = choice
	if sign < 0 {
		s.choice[item] = none
	}
	if o.Day < 0 {
		return
	}
	day := int(o.Day)
	before := s.load[day]
	minutes := float64(o.Minutes)
	for _, setup := range it.needs(o) {
		if setup < 0 {
			continue
		}
		at := int(setup)*m.Days + day
		if sign > 0 && s.open[at] == 0 || sign < 0 && s.open[at] == 1 {
			minutes += m.Setups[setup]
			s.cost += sign * m.SetupPrice * m.Setups[setup]
		}
		s.open[at] += int32(sign)
	}
	s.load[day] = before + sign*minutes
	s.cost += m.LevelPrice * (s.over(day, s.load[day]) - s.over(day, before))
	if it.Stock >= 0 && o.Litres > 0 {
		s.use[int(it.Stock)*m.Days+day] += sign * float64(o.Litres)
		s.run(int(it.Stock), day)
	}
	if sign > 0 {
		s.place[item] = int32(len(s.onDay[day]))
		s.onDay[day] = append(s.onDay[day], int32(item))
		return
	}
	list := s.onDay[day]
	last := list[len(list)-1]
	list[s.place[item]] = last
	s.place[last] = s.place[item]
	s.onDay[day] = list[:len(list)-1]
}

// best returns the cheapest option of an item that fits, and what the next best
// costs more.
func (s *state) best(item int) (choice int32, cost, regret float64) {
	second := math.Inf(1)
	cost, choice = math.Inf(1), none
	for k, options := 0, s.m.optionsOf(item); k < len(options); k++ {
		o := &options[k]
		if o.Cost >= second { // nothing makes an option cheaper
			continue
		}
		c, fits := s.adds(item, o)
		switch {
		case !fits:
		case c < cost:
			second = cost
			choice, cost = int32(k), c
		case c < second:
			second = c
		}
	}
	return choice, cost, second - cost
}
