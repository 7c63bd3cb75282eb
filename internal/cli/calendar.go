package cli

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/calendar"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/store"
)

// calendarCommand writes the work to come as a calendar file.
type calendarCommand struct {
	File  string `arg:"" help:"The collection."`
	Out   string `short:"o" required:"" help:"The calendar to write (.ics)." placeholder:"FILE"`
	Days  int    `help:"How many days ahead." default:"60" placeholder:"N"`
	Space string `help:"Only the jobs of this space." placeholder:"NAME" xor:"part"`
	Plant string `help:"Only the jobs of the plant with this label." placeholder:"LABEL" xor:"part"`
	At    string `help:"The hour at which the round is gone about, as 07:30; left out, jobs stand all day." placeholder:"TIME"`
	Zone  string `help:"The time zone of that hour, as Europe/Vienna; left out, UTC." placeholder:"ZONE"`
	Alarm int    `help:"Ring so many minutes before that hour, or after midnight of an all-day event." default:"-1" placeholder:"MINUTES"`
}

func (c calendarCommand) Run(r *run) (err error) {
	f := calendar.Feed{ID: "file", Name: "Velamen", Made: r.clock()}
	if c.Days < 1 || c.Days > book.MostComingDays {
		return fmt.Errorf("--days %d; 1 to %d are possible", c.Days, book.MostComingDays)
	}
	if c.At != "" {
		at, err := calendar.ParseClock(c.At)
		if err != nil {
			return fmt.Errorf("--at: %w", err)
		}
		f.At = &at
	}
	if c.Zone != "" {
		if f.Zone, err = time.LoadLocation(c.Zone); err != nil || c.Zone == "Local" {
			return fmt.Errorf("--zone %q is not known; write it as in Europe/Vienna", c.Zone)
		}
	}
	if c.Alarm >= 0 {
		f.Alarm = &c.Alarm
	}
	tables, err := culture.Load()
	if err != nil {
		return failed("reading the culture tables", err)
	}
	kept, err := store.OpenReading(r.ctx, c.File, r.clock)
	if err != nil {
		return storeProblem("opening the collection", err)
	}
	defer func() { err = errors.Join(err, storeProblem("closing the collection", kept.Close())) }()
	collection, err := book.Open(r.ctx, kept, tables, r.now)
	if err != nil {
		return failed("reading the collection", err)
	}
	holds, err := c.holds(collection)
	if err != nil {
		return err
	}
	coming, err := collection.Coming(r.ctx, collection.Today(), c.Days)
	if err != nil {
		return failed("laying out the days to come", err)
	}
	days := make([]calendar.Day, len(coming))
	for i, day := range coming {
		days[i] = calendar.Day{On: day.On, Round: day.Round}
	}
	f.Entries, f.Days = collection.Entries(), calendar.Of(days, holds)
	var text bytes.Buffer
	if err := f.Write(&text); err != nil {
		return failed("writing the calendar", err)
	}
	if err := writeWhole(c.Out, text.Bytes()); err != nil {
		return err
	}
	fmt.Fprintf(r.out, "%s: the work of %d days.\n", c.Out, c.Days)
	return nil
}

// holds tells the jobs that were asked for; nil for all of them.
func (c calendarCommand) holds(kept *book.Book) (holds func(care.Job) bool, err error) {
	kept.Read(func(now *care.Collection) {
		switch {
		case c.Plant != "":
			var p *care.PlantState
			if p, err = now.ByLabel(c.Plant); err == nil {
				holds = calendar.OfPlant(p.ID)
			}
		case c.Space != "":
			holds = calendar.InSpace(c.Space)
			if !slices.ContainsFunc(now.Spaces, func(s care.Space) bool { return strings.EqualFold(s.Name, c.Space) }) {
				err = fmt.Errorf("--space: there is no space called %q", c.Space)
			}
		}
	})
	return holds, err
}

// collectionIn replays a journal.
func collectionIn(r *run, kept *store.Store) (*care.Collection, error) {
	var entries []care.Entry
	for e, err := range kept.All(r.ctx) {
		if err != nil {
			return nil, failed("reading the journal", err)
		}
		entries = append(entries, e)
	}
	return care.Replay(entries, r.clock()), nil
}

// living are the plants of a collection that are still there, by label.
func living(c *care.Collection) []care.Plant {
	var list []care.Plant
	for _, p := range c.Plants {
		if p.Ended.IsZero() {
			list = append(list, p.Record)
		}
	}
	slices.SortFunc(list, func(a, b care.Plant) int { return strings.Compare(a.Label, b.Label) })
	return list
}
