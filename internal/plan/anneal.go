package plan

import (
	"cmp"
	"math"
	"slices"
)

// anneal moves items one by one, and sometimes all of a set-up together, while
// days may take more minutes and stocks more litres than there are, at a price
// that rises until nothing does: so items find together what none would find
// alone. It follows Kirkpatrick, Gelatt & Vecchi 1983 with a falling temperature,
// and leaves a state that fits.
type anneal struct {
	*state
	m      *Model
	random *random
	price  float64 // of a minute or a litre too many
	over   float64 // sum of what is too many
	lacks  []float64
	group  []int32
	were   []int32
}

// penalty is what is too many on a day.
func (a *anneal) tooMuch(day int) float64 { return math.Max(0, a.load[day]-a.m.Minutes[day]) }

// lack adds up by how much a stock falls below nothing.
func (a *anneal) lack(stock int) float64 {
	sum, base := 0.0, stock*a.m.Days
	for _, left := range a.after[base : base+a.m.Days] {
		if left < 0 {
			sum -= left
		}
	}
	return sum
}

func (a *anneal) energy() float64 { return a.cost + a.price*a.over }

// swap gives an item another option and keeps the sums.
func (a *anneal) swap(i int, choice int32) {
	it := &a.m.Items[i]
	was, is := a.day(it, a.choice[i]), a.day(it, choice)
	if was >= 0 {
		a.over -= a.tooMuch(was)
	}
	if is >= 0 && is != was {
		a.over -= a.tooMuch(is)
	}
	a.take(i)
	a.put(i, choice)
	if was >= 0 {
		a.over += a.tooMuch(was)
	}
	if is >= 0 && is != was {
		a.over += a.tooMuch(is)
	}
	if k := int(it.Stock); k >= 0 {
		lack := a.lack(k)
		a.over += lack - a.lacks[k]
		a.lacks[k] = lack
	}
}

func (a *anneal) day(it *Item, choice int32) int { return int(a.m.Options[it.First+choice].Day) }

// run makes so many moves. best is told of every state that fits.
func (a *anneal) run(moves int, hot, cold float64, keep func(done int) bool) {
	m := a.m
	a.lacks = make([]float64, len(m.Stocks))
	for k := range m.Stocks {
		a.lacks[k] = a.lack(k)
	}
	cooling := math.Pow(cold/hot, 1/float64(max(1, moves)))
	heat := hot
	cheap, dear := a.price, 40*a.price
	rising := math.Pow(dear/cheap, 1/float64(max(1, moves)))
	for move := range moves {
		if move%8192 == 0 && !keep(move) {
			return
		}
		heat *= cooling
		a.price *= rising
		before := a.energy()
		bound := before - heat*math.Log(a.random.share())
		if move%16 == 0 && len(m.Setups) > 0 {
			a.together(bound)
			continue
		}
		i := int(a.random.below(uint64(len(m.Items))))
		it := &m.Items[i]
		if it.Count < 2 {
			continue
		}
		choice := int32(a.random.below(uint64(it.Count - 1)))
		was := a.choice[i]
		if choice >= was {
			choice++
		}
		a.swap(i, choice)
		if a.energy() > bound {
			a.swap(i, was)
		}
	}
}

// together moves all that need a set-up on a day to its neighbour, as far as they
// can go there.
func (a *anneal) together(bound float64) {
	m := a.m
	g, day := int16(a.random.below(uint64(len(m.Setups)))), int(a.random.below(uint64(m.Days)))
	other := day + 1 - 2*int(a.random.below(2))
	if other < 0 || other >= m.Days || a.open[int(g)*m.Days+day] == 0 {
		return
	}
	a.group, a.were = a.group[:0], a.were[:0]
	for _, i := range a.onDay[day] {
		it := &m.Items[i]
		o := &m.Options[it.First+a.choice[i]]
		if needs := it.needs(o); needs[0] != g && needs[1] != g {
			continue
		}
		for k := range it.Count {
			if there := &m.Options[it.First+k]; int(there.Day) == other && there.Mix == o.Mix {
				a.group, a.were = append(a.group, i), append(a.were, k)
				break
			}
		}
	}
	if len(a.group) > 80 {
		return
	}
	for n, i := range a.group {
		was := a.choice[i]
		a.swap(int(i), a.were[n])
		a.were[n] = was
	}
	if a.energy() > bound {
		for n, i := range a.group {
			a.swap(int(i), a.were[n])
		}
	}
}

// mend takes out what is too many, that first which loses least for the room it
// gives back, and tries to find another place for it.
func (a *anneal) mend() {
	m := a.m
	out := func(i int32) float64 {
		it := &m.Items[i]
		options := m.optionsOf(int(i))
		now := &options[a.choice[i]]
		return (options[it.Count-1].Cost - now.Cost) / (0.1 + float64(now.Minutes) + float64(now.Litres))
	}
	var homeless []int32
	drop := func(day int, like func(i int32) bool) bool {
		worst, least := int32(none), math.Inf(1)
		for _, i := range a.onDay[day] {
			if v := out(i); v < least && (like == nil || like(i)) {
				worst, least = i, v
			}
		}
		if worst < 0 {
			return false
		}
		a.take(int(worst))
		a.put(int(worst), m.Items[worst].Count-1)
		homeless = append(homeless, worst)
		return true
	}
	for day := range m.Days {
		for a.load[day] > m.Minutes[day]+tolerance/2 && drop(day, nil) {
		}
	}
	for k := range m.Stocks {
		for day := range m.Days {
			for a.after[k*m.Days+day] < -tolerance/2 {
				// Whatever was used up to that day may give way.
				gave := false
				for d := day; d >= 0 && !gave; d-- {
					gave = drop(d, func(i int32) bool {
						return int(m.Items[i].Stock) == k && m.Options[m.Items[i].First+a.choice[i]].Litres > 0
					})
				}
				if !gave {
					break
				}
			}
		}
	}
	slices.SortFunc(homeless, func(x, y int32) int {
		a, b := m.optionsOf(int(x)), m.optionsOf(int(y))
		return cmp.Or(cmp.Compare(b[len(b)-1].Cost, a[len(a)-1].Cost), int(x-y))
	})
	for _, i := range homeless {
		a.take(int(i))
		choice, _, _ := a.best(int(i))
		a.put(int(i), choice)
	}
}
