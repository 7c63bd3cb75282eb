package web

import (
	"time"

	"velamen/internal/care"
	"velamen/internal/demo"
)

// pastOfSample puts recoveries of former years before those of the sample
// plants, so that there is something to learn from. entries are those that bring
// the sample plants in.
func (s *Server) pastOfSample(entries []care.Entry) []care.Entry {
	begin := demo.Begin(s.Book.Today())
	ids := map[string]string{}
	for i := range entries {
		if e := &entries[i]; e.Kind == care.PlantSet {
			ids[e.Detail.Plant.Label] = e.Plant
			e.At = begin // it was here before its last repot
		}
	}
	add := func(at time.Time, kind care.Kind, plant string, d care.Detail) {
		e := s.newEntry(kind, plant, d)
		e.At = at
		entries = append(entries, e)
	}
	for _, f := range demo.FormerRecoveries(s.Book.Today()) {
		id, here := ids[f.Label]
		if f.Plant != nil {
			id, here = newID(), true
			add(begin, care.PlantSet, id, care.Detail{Plant: f.Plant})
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
