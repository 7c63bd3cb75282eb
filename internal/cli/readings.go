package cli

import (
	"context"
	"fmt"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/science/light"
)

// readingsCommands take in and give out what sensors measured.
type readingsCommands struct {
	Import  readingsImport  `cmd:"" help:"Add a logger's file to a collection: CSV of any common layout, found out and shown first."`
	Export  readingsExport  `cmd:"" help:"Write readings as CSV, one to a line; it reads back to the same readings."`
	Hours   readingsHours   `cmd:"" help:"Sum a logger's file up by the hour, as CSV, and keep nothing."`
	Summary readingsSummary `cmd:"" help:"The measured climate of the spaces, by day or by hour."`
}

// placeOf reads the places and spaces of a collection without its plants.
func placeOf(ctx context.Context, s *store.Store) (*care.Collection, error) {
	c := care.NewCollection()
	var entries []care.Entry
	query := store.Query{Kinds: []care.Kind{care.PlaceSet, care.SpaceSet, care.SettingsSet, care.Withdrawn}}
	for e, err := range s.Select(ctx, query) {
		if err != nil {
			return nil, storeProblem("reading the collection", err)
		}
		entries = append(entries, e)
	}
	for _, e := range care.Effective(entries, time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)) {
		c.Apply(e)
	}
	return c, nil
}

// spaceNamed returns the space of a name.
func spaceNamed(c *care.Collection, name string) (care.Space, error) {
	var names []string
	for _, s := range c.Spaces {
		if strings.EqualFold(s.Name, strings.TrimSpace(name)) {
			return s, nil
		}
		names = append(names, s.Name)
	}
	if len(names) == 0 {
		return care.Space{}, fmt.Errorf("there is no space called %q; the collection has none yet", name)
	}
	return care.Space{}, fmt.Errorf("there is no space called %q; there are %s", name, strings.Join(names, ", "))
}

// lightOf is what shines in a space, for readings in lux.
func lightOf(space care.Space) light.Source {
	if source, err := light.ParseSource(space.Light.Source); err == nil {
		return source
	}
	if space.Kind.UnderLamps() {
		return light.WhiteLED
	}
	return light.Sun
}

// zoneOf is the time zone of the place.
func zoneOf(r *run, c *care.Collection) *time.Location {
	return readings.ZoneOf(c.Place, r.clock().Location())
}

// settle brings the summaries of a collection up to date.
func settle(r *run, s *store.Store, c *care.Collection, progress store.Progress) error {
	zone := zoneOf(r, c)
	_, err := s.Settle(r.ctx, func(space string) care.DayClock { return c.DayClock(space, zone) }, progress)
	return storeProblem("summarising", err)
}

// dayOption reads a calendar day.
func dayOption(flag, text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return day, fmt.Errorf("--%s %q is not a day such as 2026-11-28", flag, text)
	}
	return day, nil
}
