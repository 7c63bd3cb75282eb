package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"velamen/internal/care"
)

// WorthAMove is by how much a place must suit better before moving a plant is
// proposed, in clear steps of one climate quantity (see care.Fit). An
// assumption: a move disturbs, and costs a minute.
const WorthAMove = 1.0

// Tenant is a plant to be placed, with how each place suits it.
type Tenant struct {
	Plant, Label string
	Fits         []care.Fit // one for each place, in any order
}

// Move is one plant that would stand better elsewhere.
type Move struct {
	Tenant   *Tenant
	From, To care.Fit
}

// Placement is the proposal for a whole collection.
type Placement struct {
	Moves         []Move // by how much they gain, the most first
	Before, After float64
	Unplaced      []string // labels of plants whose place is not described
}

// Place proposes where the plants of a collection should stand: the least misfit
// in all, with every move held against WorthAMove, and no place fuller than it
// can be. standing is how many plants stand in each place; those that are not
// among the tenants stay where they are.
func Place(places []care.PlaceOption, standing []int, tenants []Tenant) (Placement, error) {
	var out Placement
	var here []*Tenant
	var from []int
	room := make([]int, len(places))
	for k, p := range places {
		room[k] = max(p.Places, standing[k])
		room[k] -= standing[k]
	}
	at := func(f care.Fit) int {
		return slices.IndexFunc(places, func(p care.PlaceOption) bool {
			return strings.EqualFold(p.Space, f.Space) && strings.EqualFold(p.Spot, f.Spot)
		})
	}
	for i := range tenants {
		t := &tenants[i]
		k := slices.IndexFunc(t.Fits, func(f care.Fit) bool { return f.Here })
		if k < 0 || at(t.Fits[k]) < 0 {
			out.Unplaced = append(out.Unplaced, t.Label)
			continue
		}
		here, from = append(here, t), append(from, at(t.Fits[k]))
		room[at(t.Fits[k])]++ // its own place
	}
	cost := make([][]int, len(here))
	fits := make([][]care.Fit, len(here))
	for i, t := range here {
		cost[i], fits[i] = make([]int, len(places)), make([]care.Fit, len(places))
		for k := range cost[i] {
			cost[i][k] = Forbidden
		}
		for _, f := range t.Fits {
			k := at(f)
			if k < 0 {
				continue
			}
			misfit := f.Misfit
			if k != from[i] {
				misfit += WorthAMove
			}
			cost[i][k], fits[i][k] = int(math.Round(1000*math.Min(misfit, 1e5))), f
		}
	}
	place, _, err := Assign(cost, room)
	if err != nil {
		return out, fmt.Errorf("placing the plants: %w", err)
	}
	for i, k := range place {
		out.Before += fits[i][from[i]].Misfit
		out.After += fits[i][k].Misfit
		if k != from[i] {
			out.Moves = append(out.Moves, Move{here[i], fits[i][from[i]], fits[i][k]})
		}
	}
	slices.SortStableFunc(out.Moves, func(a, b Move) int {
		x, y := a.From.Misfit-a.To.Misfit, b.From.Misfit-b.To.Misfit
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return strings.Compare(a.Tenant.Label, b.Tenant.Label)
	})
	return out, nil
}
