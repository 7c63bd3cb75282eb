package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
)

// Done is one thing that was done or seen at a plant on a day.
type Done struct {
	Label, Name, Space string
	Entry              care.Entry
	Also               []care.Entry // further entries of that day that answer the same job
}

// Rained is a fall of rain, and what it did for the plants outdoors.
type Rained struct {
	Rain    care.Rain
	Flushed []string // labels of the plants for which it counts as a flush
	Short   []Short  // those for which it was too little
}

// Short is a plant that a fall of rain did not flush, and how much would have.
type Short struct {
	Label   string
	NeedsMM float64
}

// Done returns what was done or seen on a day, the latest first, and the rain
// of that day. What was withdrawn is not among it.
func (b *Book) Done(ctx context.Context, on time.Time) ([]Done, []Rained, error) {
	type one struct {
		id     string
		record care.Plant
	}
	var plants []one
	var rains []Rained
	b.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			// Days are those of the place where something was done, so a day may
			// begin up to half a day earlier elsewhere.
			if !p.Latest.Before(on.Add(-14 * time.Hour)) {
				plants = append(plants, one{id, p.Record})
			}
		}
		for _, r := range c.Rains {
			if day(r.At).Equal(on) {
				rains = append(rains, Rained{Rain: r})
			}
		}
	})
	var list []Done
	for _, p := range plants {
		history, err := b.store.OfPlant(ctx, p.id)
		if err != nil {
			return nil, nil, fmt.Errorf("reading the journal of a plant: %w", err)
		}
		answers := map[string]int{} // index in list, by job
		for _, e := range care.Effective(history, endOfTime) {
			if e.Kind == care.PlantSet || !day(e.At).Equal(on) {
				continue
			}
			job := e.Detail.Job
			if i, ok := answers[job]; ok && job != "" {
				list[i].Also = append(list[i].Also, e)
				continue
			}
			answers[job] = len(list)
			list = append(list, Done{Label: p.record.Label, Name: p.record.Name, Space: p.record.Space, Entry: e})
		}
	}
	slices.SortFunc(list, func(x, y Done) int {
		return cmp.Or(y.Entry.At.Compare(x.Entry.At), strings.Compare(x.Label, y.Label), strings.Compare(x.Entry.ID, y.Entry.ID))
	})
	return list, rains, b.explainRain(ctx, rains, on)
}

// explainRain fills in what each fall of rain did.
func (b *Book) explainRain(ctx context.Context, rains []Rained, on time.Time) error {
	if len(rains) == 0 {
		return nil
	}
	type one struct{ id, label, space string }
	var outdoors []one
	b.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			if p.Recovering(on) && c.Outdoors(p.Record.Space) {
				outdoors = append(outdoors, one{id, p.Record.Label, p.Record.Space})
			}
		}
	})
	slices.SortFunc(outdoors, func(x, y one) int { return strings.Compare(x.label, y.label) })
	for _, p := range outdoors {
		if err := ctx.Err(); err != nil {
			return err
		}
		c, err := b.Course(p.id, on)
		if err != nil {
			continue // the round lists it among the troubles
		}
		for i := range rains {
			r := &rains[i]
			switch {
			case !r.Rain.FellOn(p.space):
			case r.Rain.MM >= c.Flush.RainMM:
				r.Flushed = append(r.Flushed, p.label)
			default:
				r.Short = append(r.Short, Short{p.label, c.Flush.RainMM})
			}
		}
	}
	return nil
}

// day is the calendar day of a time where it was taken.
func day(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}
