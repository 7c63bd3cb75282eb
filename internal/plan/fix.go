package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
)

// Fix is something that would let everything be done on time.
type Fix struct {
	Minutes float64 // more, on Day
	Litres  float64 // more of Water, by Day
	Water   string
	Day     int
	// Plants whose rhythm, a day longer, would make the room.
	Plants []string
}

// Says tells a fix in words.
func (f *Fix) Says(from time.Time) string {
	on := from.AddDate(0, 0, f.Day).Format("Monday 2 January")
	switch {
	case f.Litres > 0:
		return fmt.Sprintf("%s L more %s by %s", shortNumber(f.Litres), orWater(f.Water), on)
	case len(f.Plants) > 0:
		return "a day more between two flushes of " + strings.Join(f.Plants, ", ")
	}
	return fmt.Sprintf("%.0f minutes more on %s", math.Ceil(f.Minutes), on)
}

func shortNumber(v float64) string {
	v = math.Ceil(10*v) / 10
	if v >= 10 {
		return fmt.Sprintf("%.0f", math.Ceil(v))
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")
}

func orWater(name string) string {
	if name == "" {
		return "water"
	}
	return "of " + name
}

// fixes works out what would mend a shortfall: each thing that is missed is put
// on the day, of those on which it is on time, where it takes the fewest minutes
// more; then what is lacking is added up. By construction that is enough.
func (a *Ahead) fixes(s *Situation) []Fix {
	m := a.model
	free := *m
	free.Minutes, free.Stocks = make([]float64, m.Days), nil
	for day := range free.Minutes {
		free.Minutes[day] = math.Inf(1)
	}
	free.Items = slices.Clone(m.Items) // without stocks, they must not ask for any
	for i := range free.Items {
		free.Items[i].Stock = none
	}
	st := newState(&free)
	use := make([]float64, len(m.Stocks)*m.Days)
	var again []int
	keep := func(i int, choice int32) {
		st.give(i, choice)
		it := &m.Items[i]
		if o := &m.Options[it.First+choice]; o.Day >= 0 && it.Stock >= 0 {
			use[int(it.Stock)*m.Days+int(o.Day)] += float64(o.Litres)
		}
	}
	for i := range a.refs {
		if a.misses(i, a.option(i)) {
			again = append(again, i)
			continue
		}
		keep(i, a.choice[i])
	}
	for _, i := range again {
		best, least := int32(none), math.Inf(1)
		for k, o := range m.optionsOf(i) {
			if o.Day < 0 || a.misses(i, &o) {
				continue
			}
			minutes := float64(o.Minutes) + st.setup(&m.Items[i], &o, 0)
			room := math.Max(0, m.Minutes[o.Day]-st.load[o.Day])
			// Nobody is there on a day without minutes.
			lacking := math.Max(0, minutes-room) + 1e-3*minutes
			if m.Minutes[o.Day] == 0 {
				lacking += 1e3
			}
			if lacking < least {
				best, least = int32(k), lacking
			}
		}
		if best >= 0 {
			keep(i, best)
		}
	}
	var list []Fix
	for day := range m.Days {
		if lacking := st.load[day] - m.Minutes[day]; lacking > tolerance {
			list = append(list, Fix{Minutes: lacking, Day: day})
		}
	}
	for k, stock := range m.Stocks {
		lacking, by := 0.0, -1
		left := stock.Start
		for day := range m.Days {
			left = math.Min(stock.Holds, left+stock.In[day]) - use[k*m.Days+day]
			if left < -tolerance {
				lacking -= left
				left = 0
				if by < 0 {
					by = day
				}
			}
		}
		if by >= 0 {
			list = append(list, Fix{Litres: lacking, Day: by, Water: a.waterOf(k)})
		}
	}
	if f, ok := a.slower(list); ok {
		list = append(list, f)
	}
	return list
}

// waterOf is the water of a stock.
func (a *Ahead) waterOf(stock int) string {
	for i, r := range a.refs {
		if int(a.model.Items[i].Stock) == stock {
			return a.Plants[r.plant].Coming[r.coming].Water
		}
	}
	return ""
}

// misses reports whether an option of an item is late, without its feed, or none.
func (a *Ahead) misses(item int, o *Option) bool {
	r := a.refs[item]
	c := &a.Plants[r.plant].Coming[r.coming]
	return o.Day < 0 || c.CostOn(int(o.Day)) > 0 || c.Fed && !o.Mix
}

// slower names plants that bear a day more between two flushes best, as many as
// make the room that is lacking: each flush of theirs comes round less often.
func (a *Ahead) slower(lacking []Fix) (Fix, bool) {
	need := 0.0
	for _, f := range lacking {
		need += f.Minutes
	}
	if need == 0 {
		return Fix{}, false
	}
	type bearer struct {
		plant   int
		cost    float64
		minutes float64
	}
	var list []bearer
	for i := range a.Plants {
		p := &a.Plants[i]
		one := bearer{plant: i}
		flushes, first, last := 0, 0, 0
		for k := range p.Coming {
			if c := &p.Coming[k]; c.Task == care.Flushing && !c.Before {
				if flushes == 0 {
					first = c.Due
				}
				last, one.cost = c.Due, c.Wait.After(1)
				flushes++
			}
		}
		if flushes < 3 || last == first {
			continue
		}
		every := float64(last-first) / float64(flushes-1)
		if every < 2 { // a day more would halve it
			continue
		}
		one.minutes = float64(flushes) * 1.5 / (every + 1)
		one.cost *= float64(flushes) * every / (every + 1)
		list = append(list, one)
	}
	slices.SortStableFunc(list, func(x, y bearer) int {
		switch {
		case x.cost*y.minutes < y.cost*x.minutes:
			return -1
		case x.cost*y.minutes > y.cost*x.minutes:
			return 1
		}
		return 0
	})
	const most = 6
	f := Fix{}
	for _, one := range list {
		if need <= 0 {
			return f, true
		}
		if len(f.Plants) == most {
			return Fix{}, false
		}
		need -= one.minutes
		f.Plants = append(f.Plants, a.Plants[one.plant].Label)
	}
	return f, need <= 0
}
