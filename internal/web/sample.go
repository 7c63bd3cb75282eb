package web

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"velamen/internal/care"
)

// sampleBy is who the entries of the sample collection are by: it tells them
// from everything that was really done.
const sampleBy = "sample collection"

// errSampleInUse says that the collection holds something already.
var errSampleInUse = errors.New("the sample collection can only be put into an empty one")

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
	entries, err := sampleEntries(sample, units, s.Now().UTC())
	if err != nil {
		return err
	}
	_, err = s.Book.Append(ctx, entries...)
	return err
}

// sampleEntries is the journal that would lead to a case: the place as it
// stands, and each plant added on the day before its work.
func sampleEntries(sample care.Case, units care.Units, now time.Time) ([]care.Entry, error) {
	first := now
	for _, p := range sample.Plants {
		if p.Repot.Date.Before(first) {
			first = p.Repot.Date
		}
	}
	first = first.AddDate(0, 0, -1)
	var list []care.Entry
	var failed error
	add := func(at time.Time, kind care.Kind, plant string, d care.Detail) {
		id, err := uuid.NewV7()
		failed = errors.Join(failed, err)
		list = append(list, care.Entry{ID: id.String(), At: at, Recorded: now, Kind: kind, Plant: plant, By: sampleBy, Detail: d})
	}
	add(first, care.SettingsSet, "", care.Detail{Settings: &care.Settings{Units: units, SampleDataOnly: true}})
	add(first, care.PlaceSet, "", care.Detail{Place: &sample.Place})
	for i := range sample.Spaces {
		add(first, care.SpaceSet, "", care.Detail{Space: &sample.Spaces[i]})
	}
	for i := range sample.Waters {
		add(first, care.WaterSet, "", care.Detail{Water: &sample.Waters[i]})
	}
	for i := range sample.Feeds {
		add(first, care.FeedSet, "", care.Detail{Feed: &sample.Feeds[i]})
	}
	add(first, care.RoutineSet, "", care.Detail{Routine: &sample.Routine})
	for _, p := range sample.Plants {
		id, err := uuid.NewV7()
		failed = errors.Join(failed, err)
		repot := p.Repot
		p.Repot = care.Repot{}
		add(repot.Date.AddDate(0, 0, -1), care.PlantSet, id.String(), care.Detail{Plant: &p})
		add(repot.Date, care.RepotDone, id.String(), care.Detail{Repot: &repot})
	}
	return list, failed
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
	for _, e := range standing {
		if e.By == sampleBy && e.Kind == care.PlantSet {
			sample[e.Plant] = true
		}
	}
	var stay []string // names of spaces
	var settings care.Settings
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			if !sample[id] {
				stay = append(stay, strings.ToLower(p.Record.Space))
			}
		}
		settings = c.Settings
	})
	var entries []care.Entry
	for _, e := range standing {
		if !sample[e.Plant] && !leavesWithSample(e, stay) {
			continue
		}
		w, err := s.withdrawal(e)
		if err != nil {
			return err
		}
		entries = append(entries, w)
	}
	settings.SampleDataOnly = false
	own, err := s.newEntry(care.SettingsSet, "", care.Detail{Settings: &settings})
	if err != nil {
		return err
	}
	_, err = s.Book.Append(ctx, append(entries, own)...)
	return err
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
