package book_test

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"velamen/internal/book"
	"velamen/internal/care"
)

// measuredJournal is a journal with what was measured beside it.
type measuredJournal struct {
	*journal
	hours map[string][]care.ClimateHour
}

func (m *measuredJournal) ClimateHours(_ context.Context, space string, from, until time.Time) (list []care.ClimateHour, err error) {
	for _, h := range m.hours[space] {
		if !h.Start.Before(from) && h.Start.Before(until) {
			list = append(list, h)
		}
	}
	return list, nil
}

func (m *measuredJournal) ClimateDays(context.Context, string, time.Time, time.Time) ([]care.ClimateDay, error) {
	return nil, nil
}

// measure adds so many hours of a climate from a time on.
func (m *measuredJournal) measure(space string, from time.Time, hours int, tempC, rhPercent float64) {
	for i := range hours {
		one := func(v float64) care.Spread { return care.Spread{Min: v, Mean: v, Max: v, Count: 6} }
		m.hours[space] = append(m.hours[space], care.ClimateHour{Start: from.Add(time.Duration(i) * time.Hour).UTC(), TempC: one(tempC), RHPercent: one(rhPercent)})
	}
}

// Readings that come late count for what was learned from the hours they fell
// on, as soon as the book is told of them; those that came after a pot was
// weighed change nothing.
func TestLateReadingsCountAtOnce(t *testing.T) {
	d := withPlants(t, residents...)
	plant, space := plantID(residents[0]), ""
	d.book.Read(func(c *care.Collection) { space = c.Plants[plant].Record.Space })
	flushed := now.AddDate(0, 0, -5)
	d.add(flushed, care.FlushDone, plant, care.Detail{VolumeML: new(600.0)})
	d.add(flushed.Add(2*time.Hour), care.Weighed, plant, care.Detail{MassG: new(700.0)})
	weighed := flushed.AddDate(0, 0, 3)
	d.add(weighed, care.Weighed, plant, care.Detail{MassG: new(610.0)})

	m := &measuredJournal{d.journal, map[string][]care.ClimateHour{}}
	open := func() *book.Book {
		b, err := book.Open(t.Context(), m, d.book.Tables(), d.book.Now)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	b := open()
	learned := func(b *book.Book) []care.LearnedFigure {
		c, err := b.Course(plant, b.Today())
		if err != nil || c.Learned == nil {
			t.Fatal(c.Learned, err)
		}
		return c.Learned.Figures
	}
	before := learned(b)

	m.measure(space, weighed.Add(time.Hour).Truncate(time.Hour), 24, 35, 20)
	changed := care.Changed{}
	changed.Note(space, weighed.Add(time.Hour))
	if err := b.Measured(t.Context(), changed); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before, learned(b)); diff != "" {
		t.Errorf("what was measured after the weighing changed what was learned from it\n%s", diff)
	}

	later := m.hours[space]
	m.hours[space] = nil
	m.measure(space, flushed.Truncate(time.Hour), 72, 30, 35)
	m.hours[space] = append(m.hours[space], later...)
	changed.Note(space, flushed.Truncate(time.Hour))
	if err := b.Measured(t.Context(), changed); err != nil {
		t.Fatal(err)
	}
	if cmp.Equal(before, learned(b)) {
		t.Error("three hot, dry days did not change what the weighing told")
	}
	if diff := cmp.Diff(learned(open()), learned(b)); diff != "" {
		t.Errorf("told of late readings, the book knows something else than one opened anew (- anew, + told)\n%s", diff)
	}
}

// Hours are those of the clocks at the place.
func TestHoursAreByTheClockOfThePlace(t *testing.T) {
	d := withPlants(t, residents...)
	d.add(now, care.PlaceSet, "", care.Detail{Place: &care.Place{Zone: "Australia/Melbourne"}})
	m := &measuredJournal{d.journal, map[string][]care.ClimateHour{}}
	at := time.Date(2026, 1, 10, 3, 0, 0, 0, time.UTC)
	m.measure("shelf", at, 1, 20, 50)
	b, err := book.Open(t.Context(), m, d.book.Tables(), d.book.Now)
	if err != nil {
		t.Fatal(err)
	}
	hours, err := b.Hours(t.Context(), "shelf", at, at.Add(time.Hour))
	if err != nil || len(hours) != 1 || hours[0].Start.Hour() != 14 || !hours[0].Start.Equal(at) {
		t.Errorf("%v, %v; want 14:00 in Melbourne", hours, err)
	}
}
