package web

import (
	"net/http"

	"velamen/internal/care"
)

// collectionRead is what the collection rests on besides its plants.
type collectionRead struct {
	Place    care.Place    `json:"place"`
	Spaces   []care.Space  `json:"spaces"` // in walking order
	Spots    []care.Spot   `json:"spots"`
	Waters   []care.Water  `json:"waters"`
	Feeds    []care.Feed   `json:"feeds"`
	Tanks    []care.Tank   `json:"tanks"`
	Mixing   care.Mixing   `json:"mixing"`
	Routine  care.Routine  `json:"routine"`
	Settings care.Settings `json:"settings"`
	Plants   int           `json:"plants"` // that live here
	Entries  int           `json:"entries"`
}

// collectionOperations are about what all plants have in common.
func collectionOperations() []operation {
	return []operation{{
		method: http.MethodGet, path: "/api/collection", id: "readCollection", summary: "Place, spaces, waters, feeds, routine and settings, as they were last written down",
		answer: collectionRead{}, handle: (*Server).apiCollection,
	}}
}

func (s *Server) apiCollection(*http.Request) (any, error) {
	a := collectionRead{Entries: s.Book.Entries()}
	s.Book.Read(func(c *care.Collection) {
		a.Place, a.Spaces, a.Waters, a.Feeds, a.Tanks, a.Mixing, a.Routine, a.Settings = c.Place, c.Spaces, c.Waters, c.Feeds, c.Tanks, c.Mixing, c.Routine, c.Settings
		for _, spot := range c.Spots {
			a.Spots = append(a.Spots, spot.Spot)
		}
		for _, p := range c.Plants {
			if p.Ended.IsZero() {
				a.Plants++
			}
		}
	})
	return a, nil
}
