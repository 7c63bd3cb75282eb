package plan

import (
	"fmt"
	"math"
	"time"
)

// Proof says why a plan cannot do everything on time: in some days, what cannot
// be done before or after them needs more than there is.
type Proof struct {
	From, To int // days, both included
	Needs    float64
	There    float64
	Stock    int // -1: minutes; else the stock that runs short
	items    []int
}

// onTime returns the window of an item in which it costs nothing but effort.
func (a *Ahead) onTime(item int) (first, last int, minutes, litres float64) {
	r := a.refs[item]
	c := &a.Plants[r.plant].Coming[r.coming]
	first, last, minutes = math.MaxInt, -1, math.Inf(1)
	for _, o := range a.model.optionsOf(item) {
		if o.Day < 0 || c.CostOn(int(o.Day)) > 0 || c.Fed && !o.Mix {
			continue
		}
		first, last = min(first, int(o.Day)), max(last, int(o.Day))
		minutes, litres = math.Min(minutes, float64(o.Minutes)), float64(o.Litres)
	}
	return first, last, minutes, litres
}

// prove looks for days in which the jobs that have to be done in them need more
// than there is. That is a proof; that none is found is none.
func (a *Ahead) prove() *Proof {
	windows := make([]window, 0, len(a.refs))
	for i := range a.refs {
		first, last, minutes, litres := a.onTime(i)
		it := &a.model.Items[i]
		windows = append(windows, window{i, first, last, minutes, litres, it.Space, it.Batch, it.Stock})
		r := a.refs[i]
		if c := &a.Plants[r.plant].Coming[r.coming]; !c.Fed && c.Feed == "" {
			windows[i].batch = none
		}
	}
	return prove(a.model, windows)
}

// window is when an item can be done on time; last before first: never.
type window struct {
	item, first, last int
	minutes, litres   float64
	space, batch      int16
	stock             int16
}

func prove(m *Model, windows []window) *Proof {
	for _, w := range windows {
		if w.last < w.first {
			return &Proof{From: 0, To: m.Days - 1, Needs: 1, There: 0, Stock: none, items: []int{w.item}}
		}
	}
	starts := make([][]window, m.Days)
	for _, w := range windows {
		starts[w.first] = append(starts[w.first], w)
	}
	// For each first day, those that begin on it or later are added up by the
	// last day on which they can be done.
	byLast := make([][]window, m.Days)
	var best *Proof
	worst := tolerance
	consider := func(p Proof) {
		if short := (p.Needs - p.There) / math.Max(1, p.There); short > worst {
			worst, best = short, &p
		}
	}
	for from := m.Days - 1; from >= 0; from-- {
		for _, w := range starts[from] {
			byLast[w.last] = append(byLast[w.last], w)
		}
		minutes, there := 0.0, 0.0
		litres := make([]float64, len(m.Stocks))
		met := make([]bool, len(m.Setups))
		var items []int
		for to := from; to < m.Days; to++ {
			there += m.Minutes[to]
			for _, w := range byLast[to] {
				items = append(items, w.item)
				minutes += w.minutes
				for _, g := range [2]int16{w.space, w.batch} {
					if g >= 0 && !met[g] {
						met[g] = true
						minutes += m.Setups[g] // once at least
					}
				}
				if w.stock >= 0 {
					litres[w.stock] += w.litres
				}
			}
			if minutes > there+tolerance {
				consider(Proof{from, to, minutes, there, none, append([]int(nil), items...)})
			}
			for k := range m.Stocks {
				if water := m.Stocks[k].most(from, to); litres[k] > water+tolerance {
					consider(Proof{from, to, litres[k], water, k, append([]int(nil), items...)})
				}
			}
		}
	}
	return best
}

// most is the most that can be used of a stock from one day to another.
func (s *Stock) most(from, to int) float64 {
	there := s.Start
	for day := range from + 1 {
		there = math.Min(s.Holds, there+s.In[day])
	}
	for day := from + 1; day <= to; day++ {
		there += s.In[day]
	}
	return there
}

// Says tells the proof in words.
func (p *Proof) Says(from time.Time) string {
	when := from.AddDate(0, 0, p.From).Format("Monday 2 January")
	if p.To > p.From {
		when += " to " + from.AddDate(0, 0, p.To).Format("Monday 2 January")
	}
	if p.Stock < 0 {
		return fmt.Sprintf("What has to be done from %s takes at least %.0f min, and there are %.0f.", when, math.Ceil(p.Needs), p.There)
	}
	return fmt.Sprintf("What has to be poured from %s is at least %.1f L, and there are %.1f.", when, p.Needs, p.There)
}
