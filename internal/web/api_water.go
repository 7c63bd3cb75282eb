package web

import (
	"net/http"

	"velamen/internal/care"
	"velamen/science/basis"
)

type (
	// waterRead is how much there is of each water and what comes in.
	waterRead struct {
		Supplies []supplyRead `json:"supplies"`
	}
	supplyRead struct {
		Water    string        `json:"water"`
		Limited  bool          `json:"limited"`            // false: out of a tap, as much as is wanted
		Stock    *basis.Value  `json:"stock,omitempty"`    // L, today; left out where it was never read
		HoldsL   float64       `json:"holds_l,omitempty"`  // what the tank holds, where it is known
		Inflow   []basis.Value `json:"inflow,omitempty"`   // L of each day from today on, while the tank is not full
		RejectL  float64       `json:"reject_l,omitempty"` // down the drain for each litre that comes in
		Because  *care.Because `json:"because,omitempty"`  // of the inflow
		Warnings []string      `json:"warnings,omitempty"`
	}
	// batchesRead is what is mixed on a day.
	batchesRead struct {
		Batches []batchRead `json:"batches"`
	}
	batchRead struct {
		Name     string          `json:"name"`
		Jobs     []string        `json:"jobs"` // keys of the feeds poured from it
		Plants   []string        `json:"plants"`
		Goal     basis.Value     `json:"goal"`
		Litres   float64         `json:"litres"`
		Cans     int             `json:"cans"`
		Put      []putRead       `json:"put"` // in the order in which it goes in
		ECmS     float64         `json:"ec_ms,omitempty"`
		ECLow    float64         `json:"ec_low_ms,omitempty"` // with what the scale rounds
		ECHigh   float64         `json:"ec_high_ms,omitempty"`
		Problems []string        `json:"problems,omitempty"` // it cannot be as wanted
		Cautions []string        `json:"cautions,omitempty"`
		Notes    []string        `json:"notes,omitempty"`
		Waters   []care.LitresOf `json:"waters,omitempty"`
	}
	putRead struct {
		What   string `json:"what"`
		Amount string `json:"amount"`
		Note   string `json:"note,omitempty"`
	}
)

// waterOperations are about water and feed.
func waterOperations() []operation {
	return []operation{
		{method: http.MethodGet, path: "/api/water", id: "readWater", summary: "How much there is of each water, and what will come in", answer: waterRead{}, handle: (*Server).apiWater},
		{
			method: http.MethodGet, path: "/api/batches", id: "readBatches", summary: "The cans of feed of a day: what goes in and what it comes to", answer: batchesRead{}, handle: (*Server).apiBatches,
			params: []parameter{inQuery("date", "Today or one of the coming days; today if left out.", aDate)},
		},
	}
}

func (s *Server) apiWater(*http.Request) (any, error) {
	var supplies []care.Supply
	s.Book.Read(func(c *care.Collection) { supplies = c.Supplies(s.Book.Today(), aheadDays, nil) })
	a := waterRead{Supplies: []supplyRead{}}
	for _, one := range supplies {
		v := supplyRead{Water: one.Water, Limited: one.Limited}
		if one.Limited {
			v.HoldsL, v.Inflow, v.RejectL, v.Because, v.Warnings = one.HoldsL, one.InflowL, one.RejectL, one.Because, one.Warnings
			if one.Stock.Grade != 0 {
				v.Stock = &one.Stock
			}
		}
		a.Supplies = append(a.Supplies, v)
	}
	return a, nil
}

func (s *Server) apiBatches(r *http.Request) (any, error) {
	on, err := dayAsked(r, s.Book.Today())
	if err != nil {
		return nil, err
	}
	planned, err := s.Book.Batches(r.Context(), on)
	if err != nil {
		return nil, err
	}
	u := s.units()
	a := batchesRead{Batches: []batchRead{}}
	for _, b := range planned {
		can := newCanView(u, b, on)
		v := batchRead{
			Name: b.Name, Jobs: b.Jobs, Plants: b.Labels, Goal: b.Goal, Litres: b.Litres, Cans: b.Cans, ECmS: b.Weighed.ECmS, ECLow: b.Weighed.ECLow, ECHigh: b.Weighed.ECHigh,
			Put: []putRead{}, Problems: can.Problems, Cautions: can.Cautions, Notes: can.Notes,
		}
		for _, put := range can.Put {
			v.Put = append(v.Put, putRead{put.What, put.Amount, put.Note})
		}
		for i, l := range b.Mix.WaterL {
			if l > 0 {
				v.Waters = append(v.Waters, care.LitresOf{Water: b.Request.Waters[i].Name, Litres: l})
			}
		}
		a.Batches = append(a.Batches, v)
	}
	return a, nil
}
