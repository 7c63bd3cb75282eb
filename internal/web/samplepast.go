package web

import (
	"time"

	"velamen/internal/care"
	"velamen/internal/demo"
)

// pastOfSample is what the journal would say of recoveries of former years, of
// plants that are in the sample collection and of some that have gone, so that
// there is something to learn from.
func (s *Server) pastOfSample() []care.Entry {
	var entries []care.Entry
	ids := map[string]string{}
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			ids[p.Record.Label] = id
		}
	})
	add := func(at time.Time, kind care.Kind, plant string, d care.Detail) {
		e := s.newEntry(kind, plant, d)
		e.At, e.By = at, sampleBy
		entries = append(entries, e)
	}
	for _, f := range demo.FormerRecoveries(s.Book.Today()) {
		id, here := ids[f.Label]
		if f.Plant != nil {
			id, here = newID(), true
			add(demo.Begin(s.Book.Today()), care.PlantSet, id, care.Detail{Plant: f.Plant})
		}
		if !here {
			continue
		}
		at := f.Repot.Date.Add(sampleHour * time.Hour)
		add(at, care.RepotDone, id, care.Detail{Repot: &f.Repot})
		for _, n := range f.Notes {
			add(at.AddDate(0, 0, n.Day), n.Kind, id, n.Detail)
		}
	}
	return entries
}
