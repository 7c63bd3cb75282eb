package plan_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/plan"
)

func options(places ...int) (list []care.PlaceOption) {
	for k, n := range places {
		list = append(list, care.PlaceOption{Space: "sill", Spot: fmt.Sprint(k), Places: n})
	}
	return list
}

func tenant(label string, here int, misfits ...float64) plan.Tenant {
	t := plan.Tenant{Plant: label, Label: label}
	for k, m := range misfits {
		t.Fits = append(t.Fits, care.Fit{PlaceOption: care.PlaceOption{Space: "sill", Spot: fmt.Sprint(k)}, Misfit: m, Here: k == here})
	}
	return t
}

func TestPlacementProposesOnlyMovesThatAreWorthIt(t *testing.T) {
	for _, c := range []struct {
		name    string
		places  []int
		stand   []int
		tenants []plan.Tenant
		moves   []string
	}{
		{"a better place is free", []int{1, 1}, []int{1, 0}, []plan.Tenant{tenant("A", 0, 2, 0)}, []string{"A to 1"}},
		{"hardly better", []int{1, 1}, []int{1, 0}, []plan.Tenant{tenant("A", 0, 0.4, 0)}, nil},
		{"no room", []int{1, 1}, []int{1, 1}, []plan.Tenant{tenant("A", 0, 2, 0)}, nil},
		{"they change places", []int{1, 1}, []int{1, 1}, []plan.Tenant{tenant("A", 0, 3, 0), tenant("B", 1, 0, 1)}, []string{"A to 1", "B to 0"}},
		{"one that needs it little lets another in", []int{1, 1, 1}, []int{1, 1, 0}, []plan.Tenant{tenant("A", 0, 4, 0, 4), tenant("B", 1, 9, 0, 0.2)}, []string{"A to 1", "B to 2"}},
		{"as full as it is", []int{0, 2}, []int{2, 0}, []plan.Tenant{tenant("A", 0, 2, 0), tenant("B", 0, 0, 0)}, []string{"A to 1"}},
	} {
		got, err := plan.Place(options(c.places...), c.stand, c.tenants)
		if err != nil {
			t.Fatal(err)
		}
		var moves []string
		for _, m := range got.Moves {
			moves = append(moves, m.Tenant.Label+" to "+m.To.Spot)
		}
		if fmt.Sprint(moves) != fmt.Sprint(c.moves) {
			t.Errorf("%s: %v, want %v", c.name, moves, c.moves)
		}
	}
}

// No proposal makes the collection worse, overfills a place or moves what gains
// too little in all.
func TestPlacementsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.IntRange(1, 4).Draw(t, "places")
		standing, capacity := make([]int, places), rapid.SliceOfN(rapid.IntRange(0, 4), places, places).Draw(t, "capacity")
		var tenants []plan.Tenant
		for i := range rapid.IntRange(0, 8).Draw(t, "plants") {
			here := rapid.IntRange(0, places-1).Draw(t, "here")
			standing[here]++
			tenants = append(tenants, tenant(fmt.Sprint("P", i), here, rapid.SliceOfN(rapid.Float64Range(0, 5), places, places).Draw(t, "misfits")...))
		}
		got, err := plan.Place(options(capacity...), standing, tenants)
		if err != nil {
			t.Fatal(err)
		}
		if gain := got.Before - got.After; gain < float64(len(got.Moves))*plan.WorthAMove-0.01*float64(len(tenants)+1) {
			t.Fatalf("%d moves gain %.2f", len(got.Moves), gain)
		}
		held := append([]int{}, standing...)
		for _, m := range got.Moves {
			var from, to int
			fmt.Sscan(m.From.Spot, &from)
			fmt.Sscan(m.To.Spot, &to)
			held[from]--
			held[to]++
		}
		for k := range held {
			if held[k] > max(capacity[k], standing[k]) {
				t.Fatalf("place %d holds %d of %d", k, held[k], capacity[k])
			}
		}
	})
}
