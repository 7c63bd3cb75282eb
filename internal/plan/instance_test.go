package plan

import (
	"math"
	"math/rand/v2"
)

// shape is how large a random instance is and how scarce things are in it.
type shape struct {
	plants, days int
	minutes      float64 // share of the mean need that a day allows; 0: no limit
	litres       float64 // the same of the water that comes in; 0: no limit
	away         int     // days at a stretch without any time
}

// instance makes a random model of the kind that a collection of recovering
// plants gives: flushes every one to five days, with or without feed, roots
// weekly, pictures fortnightly, two kinds of water, a tank, some spaces.
func instance(r *rand.Rand, s shape) *Model {
	spaces, waters := 2+s.plants/40, 2
	m := &Model{Days: s.days, SetupPrice: 0.0005, LevelPrice: 0.0002}
	for range spaces {
		m.Setups = append(m.Setups, 1.5)
	}
	for range waters {
		m.Setups = append(m.Setups, 3)
	}
	need, water := 0.0, make([]float64, waters)
	for p := range s.plants {
		space, kind := int16(p%spaces), int16(r.IntN(waters))
		every := 1 + r.IntN(5)
		dry := 0.05 + 0.6*r.Float64() // stress of the first day late
		grows := 1 + r.Float64()
		litres, minutes := 0.1+1.2*r.Float64(), 0.7+1.5*r.Float64()
		// chain adds something that comes again and again; every fedth time a feed
		// goes with it that can be left for later.
		chain := func(due, every int, m0, l0, first float64, batch, stock int16, fedth int) {
			for n := 1; due < s.days; due, n = due+every, n+1 {
				var options []Option
				fed := fedth > 0 && n%fedth == 0
				early, late := (every-1)/2, every-1-(every-1)/2
				if due < 0 {
					early, late = 0, every-1
				}
				for day := max(0, due-early); day <= min(s.days-1, max(due, 0)+late); day++ {
					cost := 0.001 * float64(max(0, due-day))
					for d := range max(0, day-due) {
						cost += first * math.Pow(grows, float64(d))
					}
					if fed {
						options = append(options, Option{Cost: cost, Minutes: float32(m0 + 1), Litres: float32(l0), Day: int16(day), Mix: true})
						cost += 0.2
					}
					options = append(options, Option{Cost: cost, Minutes: float32(m0), Litres: float32(l0), Day: int16(day)})
				}
				out := 0.0
				for d := range every {
					out += first * math.Pow(grows, float64(d))
				}
				m.add(Item{Space: space, Batch: batch, Stock: stock}, options, out+0.01)
				need += m0
				if fed {
					need++
				}
				if stock >= 0 {
					water[stock] += l0
				}
			}
		}
		batch := int16(spaces) + kind
		chain(r.IntN(every+1)-1, every, minutes, litres, dry, batch, kind, 2+r.IntN(2))
		chain(r.IntN(8), 7, 2, 0, 0.05, -1, -1, 0)
		chain(r.IntN(14), 14, 1, 0, 0.02, -1, -1, 0)
		if r.IntN(3) == 0 {
			chain(r.IntN(s.days), s.days, 3, 0, 0.4, -1, -1, 0)
		}
	}
	for i, minutes := range m.Setups { // a space daily, a mix twice a week
		need += minutes * float64(s.days) / float64(1+3*min(1, i/spaces))
	}
	away := s.days
	if s.away > 0 {
		away = r.IntN(max(1, s.days-s.away))
	}
	for day := range s.days {
		limit := math.Inf(1)
		if s.minutes > 0 {
			limit = s.minutes * (0.7 + 0.6*r.Float64()) * need / float64(s.days)
		}
		if day >= away && day < away+s.away {
			limit = 0
		}
		m.Minutes = append(m.Minutes, limit)
		m.Level = append(m.Level, need/float64(s.days))
	}
	for kind := range waters {
		stock := Stock{Holds: math.Inf(1)}
		for range s.days {
			in := math.Max(1, water[kind])
			if s.litres > 0 {
				in = s.litres * water[kind] / float64(s.days)
				stock.Holds = 3 * in
			}
			stock.In = append(stock.In, in)
		}
		stock.Start = stock.In[0]
		m.Stocks = append(m.Stocks, stock)
	}
	return m
}
