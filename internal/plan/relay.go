package plan

import (
	"math"
	"slices"
)

// relay looks for better plans around the best one: it empties a few days and
// fills one after the other anew with what brings most, at prices somewhat other
// each time. What can still be done on a later one of them is worth its price;
// for what cannot, it is now or never. (Shaw 1998 calls this a large
// neighbourhood search.) What it makes worse at first, it may, as in annealing
// (Kirkpatrick, Gelatt & Vecchi 1983), in several rounds from hot to cold.
type relay struct {
	*state
	p      *prices
	random *random

	days  []int     // emptied, in the order in which they are filled
	last  []int32   // by item, the last of these days on which it can be done
	worth []float64 // by item
}

// How days are laid anew, by trial on the instances of BenchmarkGap: only how
// close plans come to the best depends on it.
const (
	coolings = 8    // from hot to cold
	heat     = 3.0  // what may become worse at first, in shares of a plan's cost for one item
	unsure   = 0.25 // the largest share by which a price is off
	nearby   = 5    // days between the first that is emptied and the others
	usually  = 4    // days besides the first, at most
	now      = 4    // and then, one time in so many,
	many     = 10   // so many at most
)

func (w *search) relay(p *prices) {
	r := &relay{state: w.best(), p: p, random: &w.random, last: make([]int32, len(w.m.Items)), worth: make([]float64, len(w.m.Items))}
	hot := heat * max(r.cost, 1e-3) / float64(len(w.m.Items))
	cooling := max(1, w.how.Steps/coolings)
	for n := range w.how.Steps {
		if n%16 == 0 && !w.goes(pricing+(1-pricing)*float64(n)/float64(w.how.Steps)) {
			return
		}
		if n > 0 && n%cooling == 0 {
			r.state = w.best()
		}
		cold := float64(n%cooling) / float64(cooling)
		r.mark()
		before := r.cost
		r.empty()
		p.heeds = r.random.below(2) == 0
		for k := range r.days {
			r.fill(k)
		}
		r.settle()
		if r.cost > before-hot*(1-cold)*(1-cold)*math.Log(r.random.share()) {
			r.undo()
			continue
		}
		w.keep(r.state)
	}
	w.found.Steps = w.how.Steps
}

// empty leaves out all that is done on some days.
func (r *relay) empty() {
	first := r.random.below(r.m.Days)
	r.days = append(r.days[:0], first)
	more := 1 + r.random.below(usually)
	if r.random.below(now) == 0 {
		more = 1 + r.random.below(many)
	}
	for range more {
		day := first - nearby + r.random.below(2*nearby+1)
		if day >= 0 && day < r.m.Days && !slices.Contains(r.days, day) {
			r.days = append(r.days, day)
		}
	}
	for k, day := range r.days {
		for list := r.onDay[day]; len(list) > 0; list = r.onDay[day] {
			i := int(list[len(list)-1])
			r.give(i, r.m.Items[i].Count-1)
		}
		for _, one := range r.p.byDay[day] {
			r.last[one.item] = int32(k)
		}
	}
}

// fill fills one of the days.
func (r *relay) fill(k int) {
	off := unsure * r.random.share()
	for _, one := range r.p.byDay[r.days[k]] {
		i := int(one.item)
		r.worth[i] = r.m.leftOut(i)
		if r.last[i] > int32(k) {
			r.worth[i] = min(r.worth[i], r.p.item[i]*(1+off*(2*r.random.share()-1)))
		}
	}
	r.p.layDay(r.state, r.days[k], r.worth)
}

// settle moves single items to and from these days as long as that helps.
func (r *relay) settle() {
	const rounds = 3
	for range rounds {
		better := false
		for _, day := range r.days {
			for _, one := range r.p.byDay[day] {
				better = r.improve(int(one.item)) || better
			}
		}
		if !better {
			return
		}
	}
}
