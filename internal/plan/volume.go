package plan

import "math"

// volume moves prices by the volume algorithm (Barahona & Anbil 2000): from the
// prices of the best bound, along a running mean of what the days disagreed on.
// Single rounds point this way and that; their mean hardly does.
type volume struct {
	p     *prices
	bound float64     // the best, and
	item  []float64   // its prices
	litre [][]float64 // of water
	along []float64   // the direction
	flow  [][]float64
	share float64 // of the way that would close the gap if all went straight
	since int     // rounds without a better bound
}

// How prices move, by trial on the instances of BenchmarkGap.
const (
	lately   = 0.1 // weight of the last round in the mean
	patience = 10  // rounds without a better bound until steps are shorter,
	shorter  = 0.66
	longer   = 1.1 // and when a step in the direction of the mean was right
	longest  = 2.0
	atLeast  = 1e3 // a step aims at least at this part of the cost above the bound
)

func newVolume(p *prices) *volume {
	v := &volume{p: p, bound: math.Inf(-1), share: 1, item: append([]float64(nil), p.item...), along: make([]float64, len(p.item))}
	for k := range p.litre {
		v.litre = append(v.litre, append([]float64(nil), p.litre[k].price...))
		v.flow = append(v.flow, make([]float64, len(p.litre[k].price)))
	}
	return v
}

// learn takes in what a round says of the prices.
func (v *volume) learn(bound float64) {
	weight := lately
	if math.IsInf(v.bound, -1) {
		weight = 1
	}
	straight := 0.0
	learn := func(along *float64, over float64) {
		straight += over * *along
		*along += weight * (over - *along)
	}
	for i, n := range v.p.count {
		learn(&v.along[i], 1-n)
	}
	for k := range v.p.litre {
		for day := range v.flow[k] {
			learn(&v.flow[k][day], v.p.litre[k].over(day))
		}
	}
	if bound <= v.bound {
		if v.since++; v.since == patience {
			v.share, v.since = v.share*shorter, 0
		}
		return
	}
	v.bound, v.since = bound, 0
	copy(v.item, v.p.item)
	for k := range v.litre {
		copy(v.litre[k], v.p.litre[k].price)
	}
	if straight > 0 {
		v.share = min(longest, v.share*longer)
	}
}

// step sets the prices to be tried next, towards what the best plan so far costs.
func (v *volume) step(cost float64) {
	m, norm := v.p.m, 0.0
	for i, d := range v.along {
		if d < 0 || v.item[i] < m.leftOut(i) {
			norm += d * d
		}
	}
	for k := range v.flow {
		for at, d := range v.flow[k] {
			if d > 0 || v.litre[k][at] > 0 {
				norm += d * d
			}
		}
	}
	if norm == 0 {
		return
	}
	step := v.share * max(cost-v.bound, math.Abs(cost)/atLeast) / norm
	for i, d := range v.along {
		v.p.item[i] = min(m.leftOut(i), v.item[i]+step*d)
	}
	for k := range v.flow {
		for at, d := range v.flow[k] {
			v.p.litre[k].price[at] = max(0, v.litre[k][at]+step*d/v.p.litre[k].unit)
		}
	}
}

// back sets the prices of the best bound.
func (v *volume) back() {
	copy(v.p.item, v.item)
	for k := range v.litre {
		copy(v.p.litre[k].price, v.litre[k])
	}
}
