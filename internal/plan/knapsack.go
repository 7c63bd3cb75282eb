package plan

import (
	"cmp"
	"math"
	"slices"
)

// choose returns the set-ups with which a day wins most, and how much. What it
// takes for that stands in parts.
func (d *daily) choose(m *Model, day int) (set uint32, wins float64) {
	d.sets = d.sets[:0]
	for s := range uint32(1) << len(d.setups) {
		if v := d.fill(m, day, s, nil); v > 0 {
			d.sets = append(d.sets, chance{s, v})
		}
	}
	slices.SortFunc(d.sets, func(a, b chance) int { return cmp.Or(cmp.Compare(b.wins, a.wins), cmp.Compare(a.set, b.set)) })
	d.parts = slices.Grow(d.parts[:0], len(d.entries))[:len(d.entries)]
	clear(d.parts)
	d.nodes = d.looks
	for _, way := range d.sets {
		if way.wins <= wins+negligible {
			break
		}
		if d.looks > 0 && d.whole(m, day, way.set, wins) {
			if d.wins > wins {
				set, wins = way.set, d.wins
				clear(d.parts)
				for _, k := range d.took {
					d.parts[k] = 1
				}
			}
			continue
		}
		// Too many to go through, and no set left wins more than this one in part.
		set, wins = way.set, way.wins
		clear(d.parts)
		d.fill(m, day, set, d.parts)
		break
	}
	return set, wins
}

// chance is a set of set-ups and what a day wins with it at most.
type chance struct {
	set  uint32
	wins float64
}

// whole looks for what wins more than floor with whole things only, by branch and
// bound (Land & Doig 1960). It returns false if that takes too long.
func (d *daily) whole(m *Model, day int, set uint32, floor float64) bool {
	d.line, d.now, d.took = d.line[:0], d.now[:0], d.took[:0]
	d.sums = append(d.sums[:0], sums{})
	d.worthy = 0
	load, wins := 0.0, 0.0
	for n, g := range d.setups {
		if set&(1<<n) != 0 {
			load += m.Setups[g]
			wins -= m.SetupPrice * m.Setups[g]
		}
	}
	d.wins = floor
	d.limit, d.level, d.price = m.Minutes[day]+tolerance, m.Level[day], m.LevelPrice
	for k := range d.entries {
		e := &d.entries[k]
		if e.need&^set != 0 || load+e.minutes > d.limit { // what is slower with its mix may fit without
			continue
		}
		d.line = append(d.line, int32(k))
		last := &d.sums[len(d.sums)-1]
		d.sums = append(d.sums, sums{last.minutes + e.minutes, last.brings + e.brings})
		if e.ratio > d.price {
			d.worthy = len(d.line)
		}
	}
	return d.dig(0, load, wins-d.price*max(0, load-d.level))
}

// sums are those of the line up to an entry.
type sums struct{ minutes, brings float64 }

// dig goes on from an entry of the line.
func (d *daily) dig(at int, load, wins float64) bool {
	if wins > d.wins {
		d.wins = wins
		d.took = append(d.took[:0], d.now...)
	}
	for ; at < len(d.line); at++ {
		if wins+d.atMost(at, load) <= d.wins+negligible {
			return true
		}
		k := d.line[at]
		e := &d.entries[k]
		if load+e.minutes > d.limit || e.stock >= 0 && e.litres > d.room[e.stock] || !d.may(e) {
			continue
		}
		if d.nodes--; d.nodes < 0 {
			return false
		}
		d.now = append(d.now, k)
		if e.stock >= 0 {
			d.room[e.stock] -= e.litres
		}
		cost := d.price * (max(0, load+e.minutes-d.level) - max(0, load-d.level))
		ok := d.dig(at+1, load+e.minutes, wins+e.brings-cost)
		d.now = d.now[:len(d.now)-1]
		if e.stock >= 0 {
			d.room[e.stock] += e.litres
		}
		if !ok {
			return false
		}
	}
	return true
}

// may reports whether an entry can be taken beside what is.
func (d *daily) may(e *entry) bool {
	for _, k := range d.now {
		if d.entries[k].item == e.item {
			return e.besides
		}
	}
	return !e.besides
}

// atMost is what the rest of the line wins at most: what brings more for a minute
// than one above the level costs up to the limit, the rest up to the level.
func (d *daily) atMost(at int, load float64) (wins float64) {
	full := load
	to := at
	if at < d.worthy {
		to, full, wins = d.upTo(at, d.worthy, load, d.limit)
	}
	if to == max(at, d.worthy) && full < min(d.level, d.limit) {
		_, more, brings := d.upTo(to, len(d.line), full, min(d.level, d.limit))
		full, wins = more, wins+brings
	}
	return wins - d.price*(max(0, full-d.level)-max(0, load-d.level))
}

// upTo takes entries from one on until another or until the minutes are used, the
// last in part.
func (d *daily) upTo(at, end int, load, limit float64) (to int, full, brings float64) {
	base := d.sums[at]
	room := limit - load
	low, high := at, end // entries up to low fit
	for low < high {
		mid := int(uint(low+high+1) >> 1)
		if d.sums[mid].minutes-base.minutes <= room {
			low = mid
		} else {
			high = mid - 1
		}
	}
	brings = d.sums[low].brings - base.brings
	full = load + d.sums[low].minutes - base.minutes
	if low < end && full < limit {
		e := &d.entries[d.line[low]]
		brings += (limit - full) / e.minutes * e.brings
		full = limit
	}
	return low, full, brings
}

// fill takes what brings most for a minute first, as far as minutes go, and
// tells how much of each was taken.
func (d *daily) fill(m *Model, day int, set uint32, parts []float64) (wins float64) {
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
			if parts != nil {
				parts[k] = part
			}
		}
		if part < 1 {
			break
		}
	}
	return wins
}
