package plan

import (
	"cmp"
	"math"
	"slices"
)

// begin starts from a plan, in a state in which everything is left out; what does
// not fit of the plan stays so.
func (s *state) begin(choice []int32) bool {
	if len(choice) != len(s.m.Items) {
		return false
	}
	for i, c := range choice {
		if c < 0 || c >= s.m.Items[i].Count || c == s.choice[i] {
			continue
		}
		if _, excess := s.change(i, c); excess <= 0 {
			s.give(i, c)
		}
	}
	return true
}

// construct gives each item the cheapest option that fits, those first that lose
// most for every minute they take.
func (s *state) construct() {
	type rank struct {
		item int32
		by   float64
	}
	m := s.m
	order := make([]rank, len(m.Items))
	for i := range m.Items {
		options := m.optionsOf(i)
		least := slices.MinFunc(options, func(a, b Option) int { return cmp.Compare(a.Cost, b.Cost) })
		order[i] = rank{int32(i), (m.leftOut(i) - least.Cost) / max(0.1, float64(least.Minutes))}
	}
	slices.SortFunc(order, func(a, b rank) int { return cmp.Or(cmp.Compare(b.by, a.by), int(a.item-b.item)) })
	for _, r := range order {
		s.improve(int(r.item))
	}
}

// improve gives an item the option that costs least of those that fit.
func (s *state) improve(item int) bool {
	choice := s.choice[item]
	least := -negligible
	it, was := &s.m.Items[item], s.option(item)
	saves := 0.0 // at most, besides the difference between options
	if was.Day >= 0 {
		for _, g := range it.needs(was) {
			if g >= 0 {
				saves += (s.m.SetupPrice + s.m.LevelPrice) * s.m.Setups[g]
			}
		}
		saves += s.m.LevelPrice * float64(was.Minutes)
	}
	for k := range it.Count {
		if k == s.choice[item] || s.m.Options[it.First+k].Cost-was.Cost-saves >= least {
			continue
		}
		if change, excess := s.change(item, k); excess <= 0 && change < least {
			choice, least = k, change
		}
	}
	if choice == s.choice[item] {
		return false
	}
	s.give(item, choice)
	return true
}

// polish moves single items as long as that helps.
func (s *state) polish() {
	const rounds = 8 // hardly ever reached
	for range rounds {
		better := false
		for i := range s.m.Items {
			better = s.improve(i) || better
		}
		if !better {
			return
		}
	}
}

// complete does what is left out, where there is room for it.
func (s *state) complete() {
	for i := range s.m.Items {
		if s.option(i).Day < 0 {
			s.improve(i)
		}
	}
}

// fit leaves out what is too much, that first which loses least for the room it
// gives back.
func (s *state) fit() {
	m := s.m
	drop := func(day int, like func(o *Option, it *Item) bool) bool {
		worst, least := none, math.Inf(1)
		for _, i := range s.onDay[day] {
			it, o := &m.Items[i], s.option(int(i))
			if like(o, it) {
				if v := (m.leftOut(int(i)) - o.Cost) / (0.1 + float64(o.Minutes+o.Litres)); v < least {
					worst, least = int(i), v
				}
			}
		}
		if worst < 0 {
			return false
		}
		s.give(worst, m.Items[worst].Count-1)
		return true
	}
	for day := range m.Days {
		for s.tooMuch(day, s.load[day]) > 0 && drop(day, func(*Option, *Item) bool { return true }) {
		}
	}
	for k := range m.Stocks {
		pours := func(o *Option, it *Item) bool { return int(it.Stock) == k && o.Litres > 0 }
		for day := range m.Days {
			for s.lacks[k*m.Days+day] > 0 {
				// Whatever was used up to that day may give way.
				gave := false
				for d := day; d >= 0 && !gave; d-- {
					gave = drop(d, pours)
				}
				if !gave {
					break
				}
			}
		}
	}
}
