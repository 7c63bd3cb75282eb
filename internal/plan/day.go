package plan

import (
	"cmp"
	"math"
	"slices"
)

// daily is the problem of a single day at given prices: what to take so that it
// brings most in the minutes that there are. For every set of set-ups it is a
// knapsack. Filled in the order of what a minute brings, the last thing in part
// (Dantzig 1957), it says at once what there is to win at most; branch and bound
// (Land & Doig 1960) says what whole things win.
type daily struct {
	entries []entry   // what brings most for a minute first
	setups  []int16   // those that are decided; bit n of a set is setups[n]
	users   []int32   // by set-up
	room    []float64 // litres that can be used, by stock
	sets    []chance
	parts   []float64 // of each entry, so much is taken
	looks   int       // ways to fill a day that may be gone through; 0: things are taken in part

	// Of the set that is gone through:
	line, now, took           []int32 // entries that go with it, those taken, and those of the best way so far
	sums                      []sums
	worthy                    int // entries of the line that are worth minutes above the level
	wins, limit, level, price float64
	nodes                     int // ways that may still be gone through
}

// How thoroughly a day is gone through, by trial on the instances of BenchmarkGap.
const (
	mostSetups  = 6   // for which all sets are gone through; those beyond cost nothing in the bound
	mostEntries = 600 // beyond which no set-up is decided and things are taken in part: with so many it hardly matters
	mostLooks   = 200 // ways to fill a day
)

// entry is something that can be taken on a day.
type entry struct {
	item, choice    int32
	besides         bool // it is the mix alone, beside its item
	minutes, litres float64
	brings, ratio   float64 // at all and for a minute
	stock           int16   // kind of water, none where there is enough
	mix, without    int16   // a mix that has to be made for it, or must not be made; none: whatever
	need, not       uint32  // the same as sets, the space among them
}

// offer lists what can be taken on a day, at what doing each item is worth; of a
// state, only what is not done in it yet.
func (p *prices) offer(day int, worth []float64, of *state) {
	m, d := p.m, &p.day
	d.entries = d.entries[:0]
	for _, one := range p.byDay[day] {
		if of != nil && of.option(int(one.item)).Day >= 0 {
			continue
		}
		it := &m.Items[one.item]
		make := func(choice int32) (e entry) {
			if choice < 0 {
				return e
			}
			o := &m.Options[it.First+choice]
			e = entry{item: one.item, choice: choice, minutes: float64(o.Minutes), litres: float64(o.Litres), brings: worth[one.item] - o.Cost, mix: none, without: none, stock: it.Stock}
			if it.Stock >= 0 && p.litre[it.Stock].price != nil {
				e.brings -= p.litre[it.Stock].price[day] * e.litres
			}
			return e
		}
		d.offer(make(one.plain), make(one.mixed), it.Batch)
	}
	d.room = d.room[:0]
	for k := range m.Stocks {
		room := p.litre[k].most(day)
		if of != nil && !p.heeds {
			room = math.Inf(1)
		} else if of != nil && of.scarce[k] {
			room = slices.Min(of.left[k*m.Days+day : (k+1)*m.Days])
		}
		d.room = append(d.room, room+tolerance)
	}
	d.decide(m)
	slices.SortFunc(d.entries, func(a, b entry) int {
		return cmp.Or(cmp.Compare(b.ratio, a.ratio), after(a.besides, b.besides), cmp.Compare(a.item, b.item), cmp.Compare(a.choice, b.choice))
	})
}

// after puts what is besides last.
func after(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// offer adds an item that can be done without its mix or with it.
func (d *daily) offer(plain, mixed entry, mix int16) {
	mixed.mix = mix
	add := func(e entry) {
		if e.brings > 0 {
			e.ratio = e.brings / max(1e-9, e.minutes)
			if e.besides {
				e.ratio = min(e.ratio, d.entries[len(d.entries)-1].ratio)
			}
			d.entries = append(d.entries, e)
		}
	}
	if mixed.brings <= plain.brings || mixed.brings <= 0 {
		add(plain)
		if mixed.minutes < plain.minutes { // quicker though it brings less: the bound may count both
			add(mixed)
		}
		return
	}
	if plain.brings > 0 {
		more := mixed
		more.besides = true
		more.minutes, more.litres, more.brings = mixed.minutes-plain.minutes, mixed.litres-plain.litres, mixed.brings-plain.brings
		if more.minutes > 0 && plain.brings*more.minutes >= more.brings*plain.minutes {
			add(plain)
			add(more) // brings no more for a minute, so it comes after what it is an addition to
			return
		}
		plain.without = mix
		add(plain)
	}
	add(mixed)
}

// decide picks the set-ups to be decided, those that take most for each of their
// users, and turns what entries need into sets.
func (d *daily) decide(m *Model) {
	d.users = slices.Grow(d.users[:0], len(m.Setups))[:len(m.Setups)]
	clear(d.users)
	for k := range d.entries {
		for _, g := range [2]int16{m.Items[d.entries[k].item].Space, d.entries[k].mix} {
			if g >= 0 {
				d.users[g]++
			}
		}
	}
	d.setups = d.setups[:0]
	for g, n := range d.users {
		if n > 0 && m.Setups[g] > 0 {
			d.setups = append(d.setups, int16(g))
		}
	}
	if len(d.entries) > mostEntries {
		d.setups = d.setups[:0]
	} else if len(d.setups) > mostSetups {
		slices.SortFunc(d.setups, func(a, b int16) int {
			return cmp.Or(cmp.Compare(m.Setups[b]*float64(d.users[a]), m.Setups[a]*float64(d.users[b])), int(a-b))
		})
		d.setups = d.setups[:mostSetups]
	}
	set := func(g int16) uint32 {
		if at := slices.Index(d.setups, g); at >= 0 {
			return 1 << at
		}
		return 0
	}
	for k := range d.entries {
		e := &d.entries[k]
		e.need, e.not = set(e.mix)|set(m.Items[e.item].Space), set(e.without)
	}
}

// goesWith reports whether an entry can be taken if just a set of set-ups is made.
func (e *entry) goesWith(set uint32) bool { return e.need&^set == 0 && e.not&set == 0 }
