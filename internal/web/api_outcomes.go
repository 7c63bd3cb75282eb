package web

import (
	"fmt"
	"maps"
	"net/http"
	"slices"

	"velamen/internal/care"
)

// outcomesRead is what became of past recoveries, in words and one by one.
type outcomesRead struct {
	Awaited  care.Awaited                `json:"awaited"`
	Lead     string                      `json:"lead"`
	Median   string                      `json:"median,omitempty"`
	Ends     string                      `json:"ends,omitempty"`
	Mean     *care.Figure                `json:"mean,omitempty"` // days without the sign, counted up to Horizon
	Horizon  float64                     `json:"horizon_days,omitempty"`
	Endings  map[care.RecoveryEnding]int `json:"endings"`
	Counted  []*care.Outcome             `json:"counted"`   // the newest first
	SetAside []*care.Outcome             `json:"set_aside"` // those that cannot be right
	Ways     []wayRead                   `json:"ways,omitempty"`
}

// wayRead is one way of the practice that is compared.
type wayRead struct {
	Name       string `json:"name"`
	Recoveries int    `json:"recoveries"`
	Signs      int    `json:"signs"`
	Died       int    `json:"died"`
}

// outcomeOperations are about recoveries that are over, or under way.
func outcomeOperations() []operation {
	oneOf := func(list any) map[string]any { return map[string]any{"type": "string", "enum": list} }
	return []operation{{
		method: http.MethodGet, path: "/api/outcomes", id: "readOutcomes", summary: "What became of the recoveries here", answer: outcomesRead{}, handle: (*Server).apiOutcomes,
		params: []parameter{
			inQuery("awaited", "What is waited for; a first growing root if left out.", oneOf(care.Awaiteds)), inQuery("practice", "Compare the ways of a practice.", oneOf(care.Practices)),
			inQuery("group", "Only plants of this culture group.", aText), inQuery("since", "Only repots since this day.", aDate),
		},
	}}
}

func (s *Server) apiOutcomes(r *http.Request) (any, error) {
	q, f := s.questionOf(r.URL.Query())
	for _, name := range slices.Sorted(maps.Keys(f.errors)) {
		return nil, fmt.Errorf("%w: %s: %s", errBadRequest, name, f.errors[name])
	}
	report, err := s.Book.AskOutcomes(q, s.Book.Today())
	if err != nil {
		return nil, err
	}
	a := outcomesRead{Awaited: q.Awaited, Lead: "No recovery is like that.", Endings: report.Endings, Counted: report.Counted, SetAside: report.SetAside}
	if len(report.Counted) == 0 {
		return a, nil
	}
	a.Lead, a.Median, a.Ends, a.Horizon = report.Lead(), report.MedianSays(), report.EndsSays(), report.Horizon
	if report.Horizon > 0 && report.Spread.Known {
		mean := report.MeanFigure()
		a.Mean = &mean
	}
	if c := report.Compared; c != nil {
		for _, way := range c.Ways {
			a.Ways = append(a.Ways, wayRead{way.Name, len(way.Recoveries), way.Signs, way.Died})
		}
	}
	return a, nil
}
