package web

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/internal/demo"
	"velamen/internal/store"
	"velamen/internal/store/intake"
)

// sampleBy is who the entries of the sample collection are by: it tells them
// from everything that was really done.
const sampleBy = "sample collection"

// errSampleInUse says that the collection holds something already.
var errSampleInUse = errors.New("the sample collection can only be put into an empty one")

// LoadSample puts the sample collection into an empty one, with some weeks of
// care behind it, as the first page does when asked to.
func (s *Server) LoadSample(ctx context.Context) error {
	if err := s.loadSample(ctx); err != nil {
		return err
	}
	return s.careForSample(ctx)
}

// loadSample puts an invented collection into an empty one.
func (s *Server) loadSample(ctx context.Context) error {
	if s.Sample == nil {
		return fmt.Errorf("%w: the sample collection", errUnavailable)
	}
	if !s.empty() {
		return fmt.Errorf("%w: %w", errForbidden, errSampleInUse)
	}
	sample, units, err := s.Sample(s.Book.Today())
	if err != nil {
		return fmt.Errorf("making the sample collection: %w", err)
	}
	var draft intake.Draft
	var settings care.Settings
	s.Book.Read(func(c *care.Collection) {
		settings = c.Settings
		draft = intake.Case(sample, units, intake.Into{Have: c, Tables: s.Book.Tables(), Now: s.Now(), NewID: newID})
	})
	if draft.Problems() > 0 {
		return fmt.Errorf("making the sample collection: %d problems in it", draft.Problems())
	}
	settings.Units, settings.SampleDataOnly = units, true
	flag := s.newEntry(care.SettingsSet, "", care.Detail{Settings: &settings})
	entries := slices.DeleteFunc(draft.Entries, func(e care.Entry) bool { return e.Kind == care.SettingsSet })
	for i := range entries {
		if entries[i].Kind == care.PlantSet {
			entries[i].At = demo.Begin(s.Book.Today()) // it was here before its last repot
		}
	}
	entries = append(entries, flag)
	for i := range entries {
		entries[i].By, entries[i].Recorded = sampleBy, flag.Recorded
	}
	for i := range entries {
		switch d := &entries[i].Detail; entries[i].Kind {
		case care.PlaceSet:
			d.Place.Zone = demo.Zone
		case care.SpaceSet:
			d.Space.Room = demo.Room(d.Space.Name)
		}
	}
	if _, err = s.Book.Append(ctx, entries...); err != nil {
		return err
	}
	return s.measureSample(ctx)
}

// measureSample keeps what invented loggers measured in the sample's spaces.
func (s *Server) measureSample(ctx context.Context) error {
	if s.Readings == nil {
		return nil
	}
	for part := range slices.Chunk(demo.Readings(s.Now()), store.ReadingBatch) {
		if _, err := s.Readings.KeepReadings(ctx, part); err != nil {
			return err
		}
	}
	return s.settle(ctx)
}

// clearSample withdraws everything the sample collection brought, and whatever
// was noted about its plants, so that they leave no trace in the collection;
// the journal still shows it all. What plants of the grower's own rest on stays:
// the spaces they stand in, and with them waters, feeds, routine and place.
func (s *Server) clearSample(ctx context.Context) error {
	standing, err := s.standing(ctx)
	if err != nil {
		return err
	}
	sample := map[string]bool{} // plants
	var settings care.Settings
	for _, e := range standing {
		switch {
		case e.By == sampleBy && e.Kind == care.PlantSet:
			sample[e.Plant] = true
		case e.Kind == care.SettingsSet && e.By == sampleBy:
			settings = care.Settings{Units: e.Detail.Settings.Units} // its limits go with it
		case e.Kind == care.SettingsSet:
			settings = *e.Detail.Settings
		}
	}
	var stay []string // names of spaces
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			if !sample[id] {
				stay = append(stay, strings.ToLower(p.Record.Space))
			}
		}
	})
	var entries []care.Entry
	for _, e := range standing {
		if !sample[e.Plant] && !leavesWithSample(e, stay) {
			continue
		}
		entries = append(entries, s.withdrawal(e))
	}
	settings.SampleDataOnly = false
	own := s.newEntry(care.SettingsSet, "", care.Detail{Settings: &settings})
	if _, err = s.Book.Append(ctx, append(entries, own)...); err != nil || s.Readings == nil {
		return err
	}
	if err := s.Readings.RemoveSource(ctx, demo.ReadingSource); err != nil {
		return err
	}
	return s.settle(ctx)
}

// leavesWithSample reports whether an entry about no plant goes when the sample
// plants go. stay names the spaces of the grower's own plants.
func leavesWithSample(e care.Entry, stay []string) bool {
	if e.By != sampleBy || e.Plant != "" {
		return false
	}
	if e.Kind == care.SpaceSet {
		return !slices.Contains(stay, strings.ToLower(e.Detail.Space.Name))
	}
	return len(stay) == 0
}
