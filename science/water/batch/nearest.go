package batch

import (
	"math"

	"velamen/science/water"
)

// nearest returns the mix that comes nearest, in this order: as much water as
// there is, the upper limits exceeded by least, the goal within its range, the
// lower limits missed by least, the goal as wanted, the least cost. Each step
// holds what the one before reached: a feed that lacks calcium is not given twice
// as strong for the little it has.
func (s *solver) nearest() (all []float64, ok bool) {
	all = make([]float64, len(s.r.Waters)+len(s.r.Products)+1) // if there is no water at all, or none within the law of conductivity
	var best misses
	for _, acid := range s.acidChoices() {
		s.acid = acid
		x, _, found := s.linearised(s.elastic)
		if !found {
			continue
		}
		one := s.spread(x)
		m := s.mix(one)
		if missed := s.missed(&m); !ok || missed.less(best) {
			all, best, ok = one, missed, true
		}
	}
	return all, ok
}

// misses is how far a mix is from what is wanted, the weightier first.
type misses struct{ water, above, outside, below, goal float64 }

// What has to lie between two misses for one to count as less.
const (
	lessLimits = 1e-6
	lessGoal   = 1e-4
)

func (m misses) less(than misses) bool {
	for _, pair := range [][3]float64{
		{m.water, than.water, lessLimits}, {m.above, than.above, lessLimits}, {m.outside, than.outside, lessGoal},
		{m.below, than.below, lessLimits}, {m.goal, than.goal, lessGoal},
	} {
		if math.Abs(pair[0]-pair[1]) > pair[2] {
			return pair[0] < pair[1]
		}
	}
	return false
}

// missed is how far a mix is from what is wanted; a limit that is left out does
// not count.
func (s *solver) missed(m *Mix) misses {
	all := misses{
		water:   m.MissesL / s.r.Litres,
		outside: math.Max(0, math.Max(s.r.Low-m.Goal, m.Goal-s.r.High)) / s.r.Target,
		goal:    math.Abs(m.Goal-s.r.Target) / s.r.Target,
	}
	for _, b := range s.broken(m) {
		switch share := func(side float64) float64 { return math.Abs(b.Reaches-side) / math.Max(1, math.Abs(side)) }; {
		case b.Limit == s.without:
		case b.Reaches < b.Limit.Min:
			all.below += share(b.Limit.Min)
		default:
			all.above += share(b.Limit.Max)
		}
	}
	return all
}

// elastic solves the steps of nearest about one linearisation.
func (s *solver) elastic() ([]float64, float64, bool) {
	n := s.columns()
	// Further columns: the missing share of water, how far each limit is exceeded
	// and missed, and how far the goal is: above and below it within its range,
	// and beyond.
	const sides = 4
	missing, over := n, n+1
	under := over + len(s.r.Limits)
	goal := under + len(s.r.Limits)
	columns := goal + sides
	a, constant := s.coefficients(s.r.Goal, columns)
	for k, sign := range [sides]float64{-1, 1, -1, 1} {
		a[goal+k] = sign * s.r.Target
	}
	p := program{cost: make([]float64, columns), rows: append(s.base(columns), s.limitRows(columns, over, under)...)}
	p.rows[0].a[missing] = 1
	p.rows = append(p.rows, row{a: a, sense: equal, b: s.r.Target - constant})
	for k, room := range [2]float64{s.r.High/s.r.Target - 1, 1 - s.r.Low/s.r.Target} {
		within := row{a: make([]float64, columns), b: room}
		within.a[goal+k] = 1
		p.rows = append(p.rows, within)
	}
	var x []float64
	for _, step := range [][2]int{{missing, over}, {over, under}, {goal + 2, columns}, {under, goal}, {goal, columns}} {
		clear(p.cost)
		held := row{a: make([]float64, columns)}
		for j := step[0]; j < step[1]; j++ {
			p.cost[j], held.a[j] = 1, 1
		}
		found, least, how := p.solve()
		if how != optimal {
			return x, 0, x != nil
		}
		x = found
		held.b = least + 1e-9
		p.rows = append(p.rows, held)
	}
	clear(p.cost)
	copy(p.cost, s.costs(n))
	if found, cost, how := p.solve(); how == optimal {
		return found, cost, true
	}
	return x, 0, true // rounding in what is held leaves nothing better
}

// mix makes the answer of all the variables.
func (s *solver) mix(all []float64) Mix {
	r := s.r
	w, p := len(r.Waters), len(r.Products)
	m := Mix{WaterL: make([]float64, w), Grams: make([]float64, p), Always: make([]float64, len(r.Always))}
	for i := range all {
		all[i] = tidy(all[i])
	}
	poured := 0.0
	for j := range w {
		poured += all[j]
		m.WaterL[j] = all[j] * r.Litres
	}
	if poured < 1-1e-6 {
		m.MissesL = (1 - poured) * r.Litres
	}
	for i := range p {
		m.Grams[i] = all[w+i] * r.Litres
	}
	for i, one := range r.Always {
		m.Always[i] = one.GramsPerLitre * r.Litres
	}
	m.Ions = s.ions(all)
	if meq := all[w+p]; meq > 0 {
		mmol := meq / r.Acid.EqPerMole
		d := water.AcidDose{MeqPerL: meq, GramsPerL: mmol * r.Acid.GramsPerMole / 1000 / (r.Acid.MassPercent / 100), Cautions: r.Acid.Cautions, Water: m.Ions}
		if r.Acid.DensityKgPerL > 0 {
			d.MillilitresPL = d.GramsPerL / r.Acid.DensityKgPerL
		}
		added := times(r.Acid.Anions, mmol)
		d.Added = added.Elements()
		m.Acid = &d
	}
	if ec, err := m.Ions.ECmS(); err == nil {
		m.ECmS = ec
	}
	m.Goal = r.Goal.of(&m.Ions)
	return m
}

// tidy takes away what rounding left of nothing.
func tidy(x float64) float64 {
	if x < 1e-6 {
		return 0
	}
	return x
}

// atLimit is the share by which a limit may be missed without being broken: no
// limit is known that well.
const atLimit = 1e-4

// broken returns the limits that a mix does not hold.
func (s *solver) broken(m *Mix) (list []Stop) {
	for i := range s.r.Limits {
		l := &s.r.Limits[i]
		v := l.Quantity.of(&m.Ions)
		tolerance := atLimit * (1 + math.Abs(v))
		if v < l.Min-tolerance || v > l.Max+tolerance {
			list = append(list, Stop{Limit: l, Reaches: v, Broken: true})
		}
	}
	return list
}

// stops returns what is in the way of a mix: limits that are broken, and limits
// and stocks without which it would come nearer.
func (s *solver) stops(m *Mix) []Stop {
	list := s.broken(m)
	if m.MissesL > 0 {
		for _, w := range s.r.Waters {
			if !math.IsInf(w.StockL, 1) {
				list = append(list, Stop{Stock: w.Name})
			}
		}
		return list
	}
	was := s.missed(m)
	nearer := func() bool {
		all, ok := s.nearest()
		if !ok {
			return false
		}
		other := s.mix(all)
		return s.missed(&other).less(was)
	}
	for i := range s.r.Limits {
		l := &s.r.Limits[i]
		s.without = l
		already := false
		for _, b := range list {
			already = already || b.Limit == l
		}
		if !already && nearer() {
			list = append(list, Stop{Limit: l, Reaches: l.Quantity.of(&m.Ions)})
		}
	}
	s.without = nil
	for i, w := range s.r.Waters {
		if s.freed = i; !math.IsInf(w.StockL, 1) && nearer() {
			list = append(list, Stop{Stock: w.Name})
		}
	}
	for i, p := range s.r.Products {
		if s.freed = len(s.r.Waters) + i; !math.IsInf(p.StockG, 1) && nearer() {
			list = append(list, Stop{Stock: p.Name})
		}
	}
	s.freed = -1
	return list
}
