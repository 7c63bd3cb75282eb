package plan

import (
	"cmp"
	"math"
	"slices"
)

// daily is the problem of a single day at given prices: what to take so that it
// brings most in the minutes that there are. For every set of set-ups it is a
// knapsack, filled in the order of what a minute brings, the last thing in part
// (Dantzig 1957); so what it says to win at most is never too little.
type daily struct {
	entries []entry // what brings most for a minute first
	setups  []int16 // those that are decided; bit n of a set is setups[n]
	users   []int32 // by set-up
}

// entry is something that can be taken on a day.
type entry struct {
	item, choice    int32
	besides         bool // it is the mix alone, beside its item
	minutes, litres float64
	brings, ratio   float64 // at all and for a minute
	mix, without    int16   // a mix that has to be made for it, or must not be made; none: whatever
	need, not       uint32  // the same as sets, the space among them
}

// mostSetups is how many set-ups of a day are decided by going through all sets
// of them. Those beyond cost nothing in the bound.
const mostSetups = 6

// offer lists what can be taken on a day; of a state, only what is not done in it
// yet.
func (p *prices) offer(day int, of *state) {
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
			e = entry{item: one.item, choice: choice, minutes: float64(o.Minutes), litres: float64(o.Litres), brings: p.item[one.item] - o.Cost, mix: none, without: none}
			if it.Stock >= 0 {
				e.brings -= p.litre[it.Stock].dear[day] * e.litres
			}
			return e
		}
		d.offer(make(one.plain), make(one.mixed), it.Batch)
	}
	d.decide(m)
	slices.SortFunc(d.entries, func(a, b entry) int {
		return cmp.Or(cmp.Compare(b.ratio, a.ratio), cmp.Compare(a.item, b.item), cmp.Compare(a.choice, b.choice))
	})
}

// offer adds an item that can be done without its mix or with it.
func (d *daily) offer(plain, mixed entry, mix int16) {
	mixed.mix = mix
	add := func(e entry) {
		if e.brings > 0 {
			e.ratio = e.brings / max(1e-9, e.minutes)
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
			add(more) // brings less for a minute, so it comes after what it is an addition to
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
	if len(d.setups) > mostSetups {
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

// choose returns the set-ups with which a day wins most, and how much.
func (d *daily) choose(m *Model, day int) (set uint32, wins float64) {
	for s := range uint32(1) << len(d.setups) {
		if v := d.fill(m, day, s, nil); v > wins {
			set, wins = s, v
		}
	}
	return set, wins
}

// fill takes what brings most for a minute first, as far as minutes go, and
// tells how much of each was taken.
func (d *daily) fill(m *Model, day int, set uint32, took func(e *entry, part float64)) (wins float64) {
	load := 0.0
	for n, g := range d.setups {
		if set&(1<<n) != 0 {
			load += m.Setups[g]
			wins -= m.SetupPrice * m.Setups[g]
		}
	}
	limit, level := m.Minutes[day], m.Level[day]
	if load > limit+tolerance {
		return math.Inf(-1)
	}
	wins -= m.LevelPrice * max(0, load-level)
	for k := range d.entries {
		e := &d.entries[k]
		if !e.goesWith(set) {
			continue
		}
		if e.ratio <= m.LevelPrice { // above the level it is not worth its minutes
			limit = min(limit, level)
		}
		part := 1.0
		if room := limit + tolerance - load; e.minutes > room {
			part = max(0, room) / e.minutes
		}
		if part > 0 {
			minutes := part * e.minutes
			wins += part*e.brings - m.LevelPrice*(max(0, load+minutes-level)-max(0, load-level))
			load += minutes
			if took != nil {
				took(e, part)
			}
		}
		if part < 1 {
			break
		}
	}
	return wins
}
