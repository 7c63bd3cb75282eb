package plan

import (
	"errors"
	"fmt"
	"math"
)

// Model is a plan to be made, in numbers alone: which of its options each item
// takes, so that what it costs in all is least and no day needs more minutes and
// no stock more litres than there are. docs/round.md states it as equations.
//
// Costs are in stress days: what one day beyond the limits of its root zone is
// to a plant with all its roots. Effort counts in the same unit at a price so low
// that all of it together never outweighs a due date.
type Model struct {
	Days    int       // 1 to 366; day 0 is the first
	Minutes []float64 // a day's limit; +Inf where there is none
	Level   []float64 // minutes of a day beyond which a minute more costs LevelPrice
	Stocks  []Stock
	Setups  []float64 // minutes that any job needing it takes on a day, once: going to a space, mixing a batch
	Items   []Item
	Options []Option // of all items, those of one item together

	SetupPrice, LevelPrice float64 // a minute of set-up, a minute above the level
}

// Stock is a kind of water. What comes in on a day is there before anything is
// used on it; what the tank cannot hold runs off.
type Stock struct {
	Start, Holds float64   // litres; Holds may be +Inf
	In           []float64 // litres that come in, by day
}

// Item is one thing to be done at one plant, or not done.
type Item struct {
	First, Count int32 // its options; the last one is always to leave it out
	Space, Batch int16 // set-ups it needs, -1 for none; the batch only for options that say so
	Stock        int16 // kind of water, -1 for none
}

// Option is one way to do an item.
type Option struct {
	Cost            float64 // stress days and its own effort
	Minutes, Litres float32
	Day             int16 // -1: left out
	Mix             bool  // it needs the item's batch
}

// needs returns the set-ups that an option of the item needs, -1 for none.
func (it *Item) needs(o *Option) [2]int16 {
	if o.Mix {
		return [2]int16{it.Space, it.Batch}
	}
	return [2]int16{it.Space, none}
}

// uses reports whether an option of the item needs a set-up.
func (it *Item) uses(o *Option, setup int16) bool {
	return o.Day >= 0 && (it.Space == setup || o.Mix && it.Batch == setup)
}

// Names of errors that Check finds.
var errModel = errors.New("a plan that cannot be made")

// Check returns what is wrong with a model. Everything that only leaves little
// room, such as a limit of zero, is right.
func (m *Model) Check() error {
	bad := func(format string, args ...any) error {
		return fmt.Errorf("%w: %s", errModel, fmt.Sprintf(format, args...))
	}
	if m.Days < 1 || m.Days > 366 {
		return bad("%d days; 1 to 366 are possible", m.Days)
	}
	if len(m.Minutes) != m.Days || len(m.Level) != m.Days {
		return bad("limits of %d and levels of %d days for %d days", len(m.Minutes), len(m.Level), m.Days)
	}
	for day, v := range m.Minutes {
		if !(v >= 0) {
			return bad("%g minutes on day %d; 0 or more are possible", v, day)
		}
		if !(m.Level[day] >= 0) {
			return bad("a level of %g minutes on day %d", m.Level[day], day)
		}
	}
	for i, s := range m.Stocks {
		if !(s.Start >= 0) || !(s.Holds >= 0) || math.IsInf(s.Start, 1) {
			return bad("stock %d of %g litres in a tank of %g", i, s.Start, s.Holds)
		}
		if len(s.In) != m.Days {
			return bad("stock %d comes in on %d of %d days", i, len(s.In), m.Days)
		}
		for day, v := range s.In {
			if !(v >= 0) || math.IsInf(v, 1) {
				return bad("%g litres come into stock %d on day %d", v, i, day)
			}
		}
	}
	for i, v := range m.Setups {
		if !(v >= 0) || math.IsInf(v, 1) {
			return bad("set-up %d takes %g minutes", i, v)
		}
	}
	if !(m.SetupPrice >= 0) || !(m.LevelPrice >= 0) || math.IsInf(m.SetupPrice+m.LevelPrice, 1) {
		return bad("prices of %g and %g", m.SetupPrice, m.LevelPrice)
	}
	for i := range m.Items {
		if err := m.checkItem(i); err != nil {
			return err
		}
	}
	return nil
}

func (m *Model) checkItem(i int) error {
	it := &m.Items[i]
	bad := func(format string, args ...any) error {
		return fmt.Errorf("%w: item %d: %s", errModel, i, fmt.Sprintf(format, args...))
	}
	if it.First < 0 || it.Count < 1 || int(it.First)+int(it.Count) > len(m.Options) {
		return bad("options %d to %d of %d", it.First, it.First+it.Count-1, len(m.Options))
	}
	for _, setup := range []int16{it.Space, it.Batch} {
		if setup < -1 || int(setup) >= len(m.Setups) {
			return bad("there is no set-up %d", setup)
		}
	}
	if it.Stock < -1 || int(it.Stock) >= len(m.Stocks) {
		return bad("there is no stock %d", it.Stock)
	}
	options := m.optionsOf(i)
	for k, o := range options {
		if math.IsNaN(o.Cost) || math.IsInf(o.Cost, 0) || !(o.Minutes >= 0) || !(o.Litres >= 0) {
			return bad("option %d costs %g, takes %g minutes and %g litres", k, o.Cost, o.Minutes, o.Litres)
		}
		if last := k == len(options)-1; (o.Day < 0) != last || int(o.Day) >= m.Days {
			return bad("option %d is on day %d of %d; the last, and no other, is to leave it out", k, o.Day, m.Days)
		}
	}
	return nil
}

// optionsOf returns the options of an item.
func (m *Model) optionsOf(item int) []Option {
	it := &m.Items[item]
	return m.Options[it.First : it.First+it.Count]
}

// leftOut is what leaving an item out costs.
func (m *Model) leftOut(item int) float64 {
	it := &m.Items[item]
	return m.Options[it.First+it.Count-1].Cost
}

// add adds an item with its options; leaving it out comes last.
func (m *Model) add(it Item, options []Option, leftOut float64) {
	it.First, it.Count = int32(len(m.Options)), int32(len(options)+1)
	m.Options = append(append(m.Options, options...), Option{Cost: leftOut, Day: -1})
	m.Items = append(m.Items, it)
}

// Cost returns what a choice of options costs, or an error that says which limit
// it breaks. choice[i] counts from 0 within the options of item i.
func (m *Model) Cost(choice []int32) (float64, error) {
	if len(choice) != len(m.Items) {
		return 0, fmt.Errorf("%w: %d choices for %d items", errModel, len(choice), len(m.Items))
	}
	cost := 0.0
	load := make([]float64, m.Days)
	open := make([]bool, len(m.Setups)*m.Days)
	use := make([]float64, len(m.Stocks)*m.Days)
	for i := range m.Items {
		it := &m.Items[i]
		if choice[i] < 0 || choice[i] >= it.Count {
			return 0, fmt.Errorf("%w: item %d has no option %d", errModel, i, choice[i])
		}
		o := &m.Options[it.First+choice[i]]
		cost += o.Cost
		if o.Day < 0 {
			continue
		}
		day := int(o.Day)
		load[day] += float64(o.Minutes)
		for _, setup := range it.needs(o) {
			if setup >= 0 && !open[int(setup)*m.Days+day] {
				open[int(setup)*m.Days+day] = true
				load[day] += m.Setups[setup]
				cost += m.SetupPrice * m.Setups[setup]
			}
		}
		if it.Stock >= 0 {
			use[int(it.Stock)*m.Days+day] += float64(o.Litres)
		}
	}
	for day, v := range load {
		if v > m.Minutes[day]+tolerance {
			return 0, fmt.Errorf("%w: day %d takes %.3f minutes of %.3f", errModel, day, v, m.Minutes[day])
		}
		cost += m.LevelPrice * math.Max(0, v-m.Level[day])
	}
	for i, s := range m.Stocks {
		left := s.Start
		for day := range m.Days {
			left = math.Min(s.Holds, left+s.In[day]) - use[i*m.Days+day]
			if left < -tolerance {
				return 0, fmt.Errorf("%w: stock %d falls to %.3f litres on day %d", errModel, i, left, day)
			}
		}
	}
	return cost, nil
}

// tolerance allows for the rounding of sums, in minutes and litres.
const tolerance = 1e-6
