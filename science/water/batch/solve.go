package batch

import (
	"math"

	"velamen/science/water"
)

// Mix is what to put together for one can.
type Mix struct {
	WaterL []float64 // of each water of the request
	Grams  []float64 // of each product
	Always []float64 // grams of each portion that goes in anyway
	Acid   *water.AcidDose

	Ions water.Ions
	ECmS float64
	Goal float64 // what the goal's quantity comes to

	// Met is set when every limit holds, the water suffices and the goal lies in
	// its range.
	Met     bool
	MissesL float64 // litres of water that are not there
	// Stops are what keeps the goal from being met; without it, or loosened, the
	// mix would come nearer. A mix that is met may have them too: its goal lies in
	// the range, but not where it was wanted.
	Stops []Stop
}

// Stop is one thing that is in the way.
type Stop struct {
	Limit   *Limit  // of a quantity, or nil
	Stock   string  // the water or product that runs out, or empty
	Reaches float64 // what the limited quantity comes to
	Broken  bool    // the limit itself cannot be held
}

// Solve returns the mix for a request. Of all that meet the goal within the
// limits it has the fewest products, then the least cost, then the fewest grams.
// If none does, it is the nearest: upper limits are held first, then the goal's
// range, then lower limits, then the goal itself; Stops then says what is in the
// way. The error is for a request that cannot be right.
func Solve(r Request) (Mix, error) {
	if err := r.check(); err != nil {
		return Mix{}, err
	}
	s := newSolver(&r)
	for _, acid := range s.acidChoices() {
		s.acid = acid
		if x, ok := s.fewest(); ok {
			m := s.mix(x)
			m.Met = true
			return m, nil
		}
	}
	s.chosen = s.all()
	x, _ := s.nearest()
	m := s.mix(x)
	slack := 1e-6 * r.Target
	m.Met = m.MissesL == 0 && m.Goal >= r.Low-slack && m.Goal <= r.High+slack && len(s.broken(&m)) == 0
	m.Stops = s.stops(&m)
	return m, nil
}

// solver holds what the programs of one request have in common. Their variables
// are the share of each water, grams per litre of each chosen product, and meq/L
// of acid.
type solver struct {
	r      *Request
	chosen []int // products in this program
	acid   bool
	always water.Ions
	per    water.Ions // what a meq of acid does

	// Where EC is linearised: its value and slope by each ion.
	about  water.Ions
	ec     float64
	slopes water.Ions

	without *Limit // left out, to see whether it is in the way
	freed   int    // index of a stock left out: waters first, then products; −1 for none
}

func newSolver(r *Request) *solver {
	s := &solver{r: r, freed: -1}
	for _, p := range r.Always {
		s.always = s.always.Plus(times(p.Product.PerGram, p.GramsPerLitre))
	}
	if r.Acid != nil {
		s.per = times(r.Acid.Anions, 1/r.Acid.EqPerMole)
		s.per[water.HCO3]--
	}
	return s
}

func times(c water.Ions, factor float64) water.Ions {
	for i := range c {
		c[i] *= factor
	}
	return c
}

// acidChoices tries without acid first: it is handled only if it is of use.
func (s *solver) acidChoices() []bool {
	if s.r.Acid == nil {
		return []bool{false}
	}
	return []bool{false, true}
}

func (s *solver) all() []int {
	list := make([]int, len(s.r.Products))
	for i := range list {
		list[i] = i
	}
	return list
}

// mostAdded is how many products beside the usual one are tried together before
// everything at hand is.
const mostAdded = 3

// fewest looks for a mix that meets goal and limits with as few products as
// possible.
func (s *solver) fewest() (best []float64, ok bool) {
	var usual, others []int
	for i, p := range s.r.Products {
		if p.Usual {
			usual = append(usual, i)
		} else {
			others = append(others, i)
		}
	}
	least := math.Inf(1)
	for size := 0; size <= min(mostAdded, len(others)) && !ok; size++ {
		eachSubset(others, size, func(subset []int) {
			s.chosen = append(append(s.chosen[:0:0], usual...), subset...)
			if x, cost, found := s.linearised(s.exact); found && cost < least {
				best, least, ok = s.spread(x), cost, true
			}
		})
	}
	return best, ok
}

// eachSubset calls f with every subset of a size.
func eachSubset(of []int, size int, f func([]int)) {
	subset := make([]int, 0, size)
	var from func(start int)
	from = func(start int) {
		if len(subset) == size {
			f(subset)
			return
		}
		for i := start; i <= len(of)-(size-len(subset)); i++ {
			subset = append(subset, of[i])
			from(i + 1)
			subset = subset[:len(subset)-1]
		}
	}
	from(0)
}

// spread puts the variables of the chosen products in the places of all.
func (s *solver) spread(x []float64) []float64 {
	w, p := len(s.r.Waters), len(s.r.Products)
	all := make([]float64, w+p+1)
	copy(all, x[:w])
	for k, i := range s.chosen {
		all[w+i] = x[w+k]
	}
	if s.acid {
		all[w+p] = x[w+len(s.chosen)]
	}
	return all
}

// columns is how many variables the programs start with.
func (s *solver) columns() int {
	n := len(s.r.Waters) + len(s.chosen)
	if s.acid {
		n++
	}
	return n
}

// adds returns what a unit of a variable adds to a litre.
func (s *solver) adds(j int) *water.Ions {
	w := len(s.r.Waters)
	switch {
	case j < w:
		return &s.r.Waters[j].Ions
	case j < w+len(s.chosen):
		return &s.r.Products[s.chosen[j-w]].PerGram
	}
	return &s.per
}

// coefficients returns a row of a quantity, and its constant part from what goes
// in anyway.
func (s *solver) coefficients(q Quantity, columns int) (a []float64, constant float64) {
	a = make([]float64, columns)
	value := q.of
	if q == EC {
		value = func(c *water.Ions) (sum float64) {
			for i, mmol := range c {
				sum += s.slopes[i] * mmol
			}
			return sum
		}
		constant = s.ec - value(&s.about)
	}
	for j := range s.columns() {
		a[j] = value(s.adds(j))
	}
	return a, constant + value(&s.always)
}

// usesEC reports whether EC has to be linearised.
func (s *solver) usesEC() bool {
	if s.r.Goal == EC {
		return true
	}
	for _, l := range s.r.Limits {
		if l.Quantity == EC {
			return true
		}
	}
	return false
}

// linearised solves a program, again and again about its last solution where EC
// counts, until it stays.
func (s *solver) linearised(solve func() ([]float64, float64, bool)) (x []float64, cost float64, ok bool) {
	if !s.usesEC() {
		return solve()
	}
	s.about = s.start()
	for range 12 {
		if !s.linearise() {
			return nil, 0, false
		}
		if x, cost, ok = solve(); !ok {
			return x, cost, ok
		}
		next := s.ions(s.spread(x))
		ec := EC.of(&next)
		if math.IsInf(ec, 1) {
			// Half way: the law ends before this mix.
			for i := range next {
				next[i] = (next[i] + s.about[i]) / 2
			}
			s.about = next
			continue
		}
		predicted := s.ec
		for i := range next {
			predicted += s.slopes[i] * (next[i] - s.about[i])
		}
		s.about = next
		if math.Abs(predicted-ec) <= 1e-7*(0.01+ec) {
			return x, cost, true
		}
	}
	return x, cost, ok
}

// start is a mix to linearise about: the first water with the first product at
// about the strength that is wanted.
func (s *solver) start() water.Ions {
	c := s.r.Waters[0].Ions.Plus(s.always)
	if len(s.chosen) > 0 {
		c = c.Plus(times(s.r.Products[s.chosen[0]].PerGram, 0.3))
	}
	return c
}

// linearise takes value and slopes of EC about a mix.
func (s *solver) linearise() bool {
	for i := range s.about {
		s.about[i] = math.Max(0, s.about[i])
	}
	ec, err := s.about.ECmS()
	if err != nil {
		return false
	}
	s.ec = ec
	for i := range s.about {
		const step = 0.01 // mmol/L
		more := s.about
		more[i] += step
		ec, err := more.ECmS()
		if err != nil {
			return false
		}
		s.slopes[i] = (ec - s.ec) / step
	}
	return true
}

// base returns the rows that every program has: the shares of the waters add up,
// no stock is overdrawn, and acid leaves some alkalinity.
func (s *solver) base(columns int) []row {
	w := len(s.r.Waters)
	whole := row{a: make([]float64, columns), sense: equal, b: 1}
	for j := range w {
		whole.a[j] = 1
	}
	rows := []row{whole}
	stock := func(j, index int, there float64) {
		if math.IsInf(there, 1) || s.freed == index {
			return
		}
		r := row{a: make([]float64, columns), b: there / s.r.Litres}
		r.a[j] = 1
		rows = append(rows, r)
	}
	for j, one := range s.r.Waters {
		stock(j, j, one.StockL)
	}
	for k, i := range s.chosen {
		stock(w+k, w+i, s.r.Products[i].StockG)
	}
	if s.acid {
		a, constant := s.coefficients(Alkalinity, columns)
		rows = append(rows, row{a: a, sense: atLeast, b: s.r.KeepsAlkalinity - constant})
	}
	return rows
}

// costs are what a mix is judged by once it meets goal and limits.
func (s *solver) costs(columns int) []float64 {
	c := make([]float64, columns)
	for j, w := range s.r.Waters {
		c[j] = w.Cost
	}
	for k, i := range s.chosen {
		c[len(s.r.Waters)+k] = 0.1
		if s.r.Products[i].Usual {
			c[len(s.r.Waters)+k] = 0.01
		}
	}
	if s.acid {
		c[len(s.r.Waters)+len(s.chosen)] = 0.01
	}
	return c
}

// limitRows returns the rows of the limits. over and under, if they are not
// negative, are the first of the columns by which each may be exceeded and missed,
// as a share of its figure.
func (s *solver) limitRows(columns, over, under int) []row {
	var rows []row
	add := func(a []float64, sense sense, b, figure float64, slack int) {
		r := row{a: append([]float64(nil), a...), sense: sense, b: b}
		if slack >= 0 {
			r.a[slack] = math.Max(1, math.Abs(figure))
			if sense == atMost {
				r.a[slack] = -r.a[slack]
			}
		}
		rows = append(rows, r)
	}
	slack := func(first, i int) int {
		if first < 0 {
			return first
		}
		return first + i
	}
	for i := range s.r.Limits {
		l := &s.r.Limits[i]
		if l == s.without {
			continue
		}
		a, constant := s.coefficients(l.Quantity, columns)
		if !math.IsInf(l.Min, -1) {
			add(a, atLeast, l.Min-constant, l.Min, slack(under, i))
		}
		if !math.IsInf(l.Max, 1) {
			add(a, atMost, l.Max-constant, l.Max, slack(over, i))
		}
	}
	return rows
}

// exact is the mix that meets goal and limits at the least cost.
func (s *solver) exact() ([]float64, float64, bool) {
	n := s.columns()
	a, constant := s.coefficients(s.r.Goal, n)
	p := program{cost: s.costs(n), rows: append(s.base(n), s.limitRows(n, -1, -1)...)}
	p.rows = append(p.rows, row{a: a, sense: equal, b: s.r.Target - constant})
	x, cost, how := p.solve()
	return x, cost, how == optimal
}

// ions is what a mix of all the variables comes to.
func (s *solver) ions(all []float64) water.Ions {
	w, p := len(s.r.Waters), len(s.r.Products)
	c := s.always
	for j, one := range s.r.Waters {
		c = c.Plus(times(one.Ions, all[j]))
	}
	for i, one := range s.r.Products {
		c = c.Plus(times(one.PerGram, all[w+i]))
	}
	if acid := all[w+p]; acid > 0 {
		c = c.Plus(times(s.per, acid))
	}
	for i := range c {
		c[i] = math.Max(0, c[i]) // rounding
	}
	return c
}
