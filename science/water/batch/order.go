package batch

import (
	"cmp"
	"slices"

	"velamen/science/water"
)

// Action is one step of mixing.
type Action uint8

// The steps, in the order in which they come.
const (
	PourWater  Action = iota // of one kind
	AddAcid                  // into the water, never the other way round
	DissolveIt               // a product; stir until it is clear
	AddCalcium               // a product with calcium: last, when sulphate and phosphate are diluted
	AddAlways                // a supplement
	ReadTheEC                // and compare
)

// Step is one step of mixing: what, and its place among the request's waters,
// products or portions.
type Step struct {
	Action Action
	Of     int
}

// Order returns the steps in which a mix is put together: the water with least
// salt first, acid into it, then what has no calcium, then what has, at last what
// goes in anyway.
func (r *Request) Order(m Mix) []Step {
	var steps []Step
	waters := make([]int, 0, len(m.WaterL))
	for j, l := range m.WaterL {
		if l > 0 {
			waters = append(waters, j)
		}
	}
	slices.SortStableFunc(waters, func(a, b int) int {
		return cmp.Compare(r.Waters[a].Ions.IonicStrength(), r.Waters[b].Ions.IonicStrength())
	})
	for _, j := range waters {
		steps = append(steps, Step{PourWater, j})
	}
	if m.Acid != nil {
		steps = append(steps, Step{AddAcid, 0})
	}
	for _, calcium := range []bool{false, true} {
		for i, g := range m.Grams {
			if g == 0 || (r.Products[i].PerGram[water.Ca] > 0) != calcium {
				continue
			}
			action := DissolveIt
			if calcium {
				action = AddCalcium
			}
			steps = append(steps, Step{action, i})
		}
	}
	for i, g := range m.Always {
		if g > 0 {
			steps = append(steps, Step{AddAlways, i})
		}
	}
	return append(steps, Step{ReadTheEC, 0})
}

// KeepApart reports whether products of the mix must not meet undiluted: one
// brings calcium and another sulphate or phosphate.
func (r *Request) KeepApart(m Mix) bool {
	calcium, other := false, false
	for i, g := range m.Grams {
		if g == 0 {
			continue
		}
		c := r.Products[i].PerGram
		if c[water.Ca] > 0 {
			calcium = true
		} else if c[water.SO4]+c[water.H2PO4]+c[water.HPO4] > 0 {
			other = true
		}
	}
	return calcium && other
}

// Concentrated returns how many times as strong a concentrate of all that is
// weighed may be before it clouds, up to 1000.
func (r *Request) Concentrated(m Mix) (float64, error) {
	var c water.Ions
	for i, g := range m.Grams {
		c = c.Plus(times(r.Products[i].PerGram, g/r.Litres))
	}
	return c.StrongestClear()
}
