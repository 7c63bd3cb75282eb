package plan

// state is a choice of options with the sums that tell at once what a change
// costs and what it takes too much of. It may take more minutes than a day has
// and more litres than a stock: excess says how much.
type state struct {
	m      *Model
	choice []int32 // option of each item
	cost   float64
	excess float64   // minutes and litres that are not there
	load   []float64 // minutes by day, set-ups included
	open   []int32   // items that need a set-up, by set-up and day
	use    []float64 // litres, by stock and day
	left   []float64 // litres at the end of a day, by stock and day
	lacks  []float64 // litres that were not there on a day, by stock and day
	scarce []bool    // stocks that can run short

	trail []step // what was given since mark, so that it can be undone
	marks bool

	onDay [][]int32 // items by day
	place []int32   // where an item stands in its list
}

const none = -1

// newState is the state in which everything is left out, which always fits.
func newState(m *Model) *state {
	s := &state{
		m: m, choice: make([]int32, len(m.Items)), load: make([]float64, m.Days), open: make([]int32, len(m.Setups)*m.Days),
		use: make([]float64, len(m.Stocks)*m.Days), left: make([]float64, len(m.Stocks)*m.Days), lacks: make([]float64, len(m.Stocks)*m.Days),
		scarce: scarce(m), onDay: make([][]int32, m.Days), place: make([]int32, len(m.Items)),
	}
	for i := range m.Items {
		it := &m.Items[i]
		s.choice[i] = it.Count - 1
		s.cost += m.Options[it.First+it.Count-1].Cost
	}
	for i := range m.Stocks {
		left := m.Stocks[i].Start
		for day := range m.Days {
			left = min(m.Stocks[i].Holds, left+m.Stocks[i].In[day])
			s.left[i*m.Days+day] = left
		}
	}
	return s
}

// scarce tells which stocks run short if everything is done as early as it can
// be and takes the most it can: the others need no book-keeping.
func scarce(m *Model) []bool {
	use := make([]float64, len(m.Stocks)*m.Days)
	for i := range m.Items {
		k, first, most := int(m.Items[i].Stock), m.Days, float32(0)
		if k < 0 {
			continue
		}
		for _, o := range m.optionsOf(i) {
			if o.Day >= 0 && o.Litres > 0 {
				first, most = min(first, int(o.Day)), max(most, o.Litres)
			}
		}
		if first < m.Days {
			use[k*m.Days+first] += float64(most)
		}
	}
	list := make([]bool, len(m.Stocks))
	for k := range m.Stocks {
		// What is used later could have run off by then: a tank that cannot hold
		// everything is always watched.
		s, sum, in := &m.Stocks[k], 0.0, m.Stocks[k].Start
		for day := range m.Days {
			in += s.In[day]
			sum += use[k*m.Days+day]
			list[k] = list[k] || sum > in
		}
		list[k] = list[k] || sum > 0 && in > s.Holds
	}
	return list
}

// run works out what is left of a stock from a day on. What is not there is
// counted and not owed.
func (s *state) run(stock, from int) {
	k := &s.m.Stocks[stock]
	base := stock * s.m.Days
	left := k.Start
	if from > 0 {
		left = s.left[base+from-1]
	}
	for day := from; day < s.m.Days; day++ {
		lack := 0.0
		left = min(k.Holds, left+k.In[day]) - s.use[base+day]
		if left < -tolerance/2 {
			lack, left = -left, 0
		}
		s.excess += lack - s.lacks[base+day]
		s.lacks[base+day] = lack
		if day > from && left == s.left[base+day] {
			return // from here on nothing is different
		}
		s.left[base+day] = left
	}
}

// runWith returns how many litres more a stock lacks if some are used on two
// days.
func (s *state) runWith(stock, day int, litres float64, other int, otherLitres float64) (more float64) {
	k := &s.m.Stocks[stock]
	base := stock * s.m.Days
	from, last := min(day, other), max(day, other)
	if from < 0 {
		from = last
	}
	left := k.Start
	if from > 0 {
		left = s.left[base+from-1]
	}
	for d := from; d < s.m.Days; d++ {
		left = min(k.Holds, left+k.In[d]) - s.use[base+d]
		if d == day {
			left -= litres
		}
		if d == other {
			left -= otherLitres
		}
		if left < -tolerance/2 {
			more -= left
			left = 0
		}
		more -= s.lacks[base+d]
		if d >= last && left == s.left[base+d] {
			break
		}
	}
	return more
}

func (s *state) over(day int, load float64) float64 { return max(0, load-s.m.Level[day]) }

func (s *state) tooMuch(day int, load float64) float64 {
	return max(0, load-s.m.Minutes[day]-tolerance/2)
}

// change returns what it costs, and what it adds to the excess, to give an item
// another option than it has.
func (s *state) change(item int, choice int32) (cost, excess float64) {
	m, it := s.m, &s.m.Items[item]
	was, is := &m.Options[it.First+s.choice[item]], &m.Options[it.First+choice]
	cost = is.Cost - was.Cost
	if was.Day == is.Day {
		if is.Day >= 0 {
			minutes := float64(is.Minutes) - float64(was.Minutes)
			if is.Mix != was.Mix && it.Batch >= 0 {
				switch at := int(it.Batch)*m.Days + int(is.Day); {
				case is.Mix && s.open[at] == 0:
					minutes += m.Setups[it.Batch]
					cost += m.SetupPrice * m.Setups[it.Batch]
				case was.Mix && s.open[at] == 1:
					minutes -= m.Setups[it.Batch]
					cost -= m.SetupPrice * m.Setups[it.Batch]
				}
			}
			c, e := s.minutes(int(is.Day), minutes)
			cost, excess = cost+c, excess+e
		}
	} else {
		if was.Day >= 0 {
			setup := s.setup(it, was, 1)
			c, e := s.minutes(int(was.Day), -float64(was.Minutes)-setup)
			cost, excess = cost+c-m.SetupPrice*setup, excess+e
		}
		if is.Day >= 0 {
			setup := s.setup(it, is, 0)
			c, e := s.minutes(int(is.Day), float64(is.Minutes)+setup)
			cost, excess = cost+c+m.SetupPrice*setup, excess+e
		}
	}
	if k := int(it.Stock); k >= 0 && s.scarce[k] && (was.Litres != is.Litres || was.Day != is.Day) {
		excess += s.runWith(k, int(was.Day), -float64(was.Litres), int(is.Day), float64(is.Litres))
	}
	return cost, excess
}

// minutes returns what more minutes on a day cost and add to the excess.
func (s *state) minutes(day int, more float64) (cost, excess float64) {
	load := s.load[day]
	return s.m.LevelPrice * (s.over(day, load+more) - s.over(day, load)), s.tooMuch(day, load+more) - s.tooMuch(day, load)
}

// setup returns the minutes of the set-ups that an option needs and that so many
// items have.
func (s *state) setup(it *Item, o *Option, have int32) (minutes float64) {
	if g := int(it.Space); g >= 0 && s.open[g*s.m.Days+int(o.Day)] == have {
		minutes += s.m.Setups[g]
	}
	if g := int(it.Batch); g >= 0 && o.Mix && s.open[g*s.m.Days+int(o.Day)] == have {
		minutes += s.m.Setups[g]
	}
	return minutes
}

// step is an item and the option that it had.
type step struct {
	item int
	was  int32
}

// mark begins a trail.
func (s *state) mark() { s.trail, s.marks = s.trail[:0], true }

// undo goes back along the trail.
func (s *state) undo() {
	s.marks = false
	for k := len(s.trail) - 1; k >= 0; k-- {
		s.give(s.trail[k].item, s.trail[k].was)
	}
}

// give gives an item another option.
func (s *state) give(item int, choice int32) {
	if s.marks {
		s.trail = append(s.trail, step{item, s.choice[item]})
	}
	it := &s.m.Items[item]
	was, is := &s.m.Options[it.First+s.choice[item]], &s.m.Options[it.First+choice]
	s.cost += is.Cost - was.Cost
	s.choice[item] = choice
	if was.Day >= 0 {
		s.count(item, was, -1)
	}
	if is.Day >= 0 {
		s.count(item, is, 1)
	}
	if k := int(it.Stock); k >= 0 && s.scarce[k] {
		base := k * s.m.Days
		if was.Day >= 0 {
			s.use[base+int(was.Day)] -= float64(was.Litres)
		}
		if is.Day >= 0 {
			s.use[base+int(is.Day)] += float64(is.Litres)
		}
		// The later day first: a run stops where nothing is different any more.
		if later := max(was.Day, is.Day); later >= 0 {
			s.run(k, int(later))
		}
		if sooner := min(was.Day, is.Day); sooner >= 0 {
			s.run(k, int(sooner))
		}
	}
}

// count adds an item's minutes and set-ups to a day, or takes them away.
func (s *state) count(item int, o *Option, sign int32) {
	m, it, day := s.m, &s.m.Items[item], int(o.Day)
	if sign < 0 {
		setup := 0.0
		for _, g := range it.needs(o) {
			if g >= 0 {
				at := int(g)*m.Days + day
				if s.open[at]--; s.open[at] == 0 {
					setup += m.Setups[g]
				}
			}
		}
		s.cost -= m.SetupPrice * setup
		s.spend(day, -float64(o.Minutes)-setup)
		list := s.onDay[day]
		last := list[len(list)-1]
		list[s.place[item]] = last
		s.place[last] = s.place[item]
		s.onDay[day] = list[:len(list)-1]
		return
	}
	setup := 0.0
	for _, g := range it.needs(o) {
		if g >= 0 {
			at := int(g)*m.Days + day
			if s.open[at]++; s.open[at] == 1 {
				setup += m.Setups[g]
			}
		}
	}
	s.cost += m.SetupPrice * setup
	s.spend(day, float64(o.Minutes)+setup)
	s.place[item] = int32(len(s.onDay[day]))
	s.onDay[day] = append(s.onDay[day], int32(item))
}

func (s *state) spend(day int, minutes float64) {
	c, e := s.minutes(day, minutes)
	s.cost += c
	s.excess += e
	s.load[day] += minutes
}

// option is the option that an item has.
func (s *state) option(item int) *Option {
	return &s.m.Options[s.m.Items[item].First+s.choice[item]]
}
