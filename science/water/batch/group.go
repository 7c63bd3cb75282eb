package batch

import (
	"cmp"
	"math"
	"slices"
)

// Want is a strength that somebody needs, in any unit, with what serves as well.
type Want struct {
	Target, Low, High float64
	Litres            float64
}

// Group is one can that serves several wants.
type Group struct {
	Members   []int // of the wants
	Target    float64
	Low, High float64 // strengths that serve all of its members
	Litres    float64
}

// Fewest puts wants together so that as few cans as possible are mixed: each
// want's strength lies between its Low and High in the can that serves it. Taken
// from the weakest up, a can is as strong as the first of its members bears, and
// takes everything that this still serves; no fewer points meet all intervals
// (the usual greedy argument). Within what serves all its members, a can is as
// strong as its members want on the average, by their litres.
func Fewest(wants []Want) []Group {
	order := make([]int, len(wants))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(wants[a].High, wants[b].High) })
	var groups []Group
	for len(order) > 0 {
		g := Group{Low: math.Inf(-1), High: wants[order[0]].High}
		rest := order[:0:0]
		sum, plain := 0.0, 0.0
		for _, i := range order {
			w := wants[i]
			if w.Low > g.High {
				rest = append(rest, i)
				continue
			}
			g.Members = append(g.Members, i)
			g.Low = math.Max(g.Low, w.Low)
			g.Litres += w.Litres
			sum += w.Target * w.Litres
			plain += w.Target
		}
		g.Target = plain / float64(len(g.Members))
		if g.Litres > 0 {
			g.Target = sum / g.Litres
		}
		g.Target = math.Min(math.Max(g.Target, g.Low), g.High)
		slices.Sort(g.Members)
		groups = append(groups, g)
		order = rest
	}
	return groups
}
