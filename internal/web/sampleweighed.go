package web

import (
	"context"
	"fmt"
	"math"
	"time"

	"velamen/internal/care"
	"velamen/internal/demo"
)

// spotsOfSample are the places of the sample's spaces, and who stands there.
func (s *Server) spotsOfSample() []care.Entry {
	var entries []care.Entry
	add := func(at time.Time, kind care.Kind, plant string, d care.Detail) {
		e := s.newEntry(kind, plant, d)
		e.At, e.By = at, sampleBy
		entries = append(entries, e)
	}
	for _, n := range demo.Spots(s.Now()) {
		add(n.At, n.Kind, "", n.Detail)
	}
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			if spot := demo.Standing[p.Record.Label]; spot != "" {
				add(s.Now().AddDate(0, 0, -74), care.Moved, id, care.Detail{ToSpace: p.Record.Space, ToSpot: spot})
			}
		}
	})
	return entries
}

// weighSample invents what pots weighed since their last flush: along the band
// of what is possible, nearer to one end of it than to the middle.
func (s *Server) weighSample(ctx context.Context) error {
	ids := map[string]string{}
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			ids[p.Record.Label] = id
		}
	})
	var entries []care.Entry
	for label, w := range demo.Weighed {
		sp, err := s.specimen(ids[label])
		if err != nil {
			return fmt.Errorf("weighing the sample plant %s: %w", label, err)
		}
		c, err := s.Book.Course(sp.id, s.Book.Today())
		if err != nil {
			return err
		}
		f, err := s.foretell(ctx, sp, &c)
		if err != nil {
			return err
		}
		home, err := care.FillHome(s.Book.Tables(), sp.state.Record.Repot.To, true)
		if err != nil {
			return err
		}
		// An hour before the last flush, when it has drained, and on two mornings.
		last := sp.state.LastFlush
		for i, at := range []time.Time{last.Add(-time.Hour), last.Add(2 * time.Hour), last.AddDate(0, 0, 1), last.AddDate(0, 0, 2)} {
			hour := int(at.Sub(last).Hours()) + last.Hour() + 24*int(math.Round(dayOf(last).Sub(f.Start).Hours()/24))
			if hour < 0 || hour >= len(f.Water.Value) || at.After(s.Now()) {
				continue
			}
			share := f.Water.Value[hour]
			if w.Off < 0 {
				share -= w.Off * (f.Water.Low[hour] - share)
			} else {
				share += w.Off * (f.Water.High[hour] - share)
			}
			mass := math.Round(w.TareG + home.DryMediumG() + share*home.CapacityML())
			e := s.newEntry(care.Weighed, sp.id, care.Detail{MassG: &mass})
			e.At, e.By = at.Add(time.Duration(i)*time.Minute), sampleBy
			entries = append(entries, e)
		}
	}
	_, err := s.Book.Append(ctx, entries...)
	return err
}
