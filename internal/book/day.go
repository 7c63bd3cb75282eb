package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
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

// days remembers what was noted on one day.
type days struct {
	mu    sync.Mutex
	on    time.Time
	noted map[string]noted // by plant
}

// noted are the entries of one plant on the day, as far as they count.
type noted struct {
	state   *care.PlantState
	entries []care.Entry
}

// Done returns what was done or seen on a day, the latest first, and the rain
// of that day. What was withdrawn is not among it.
func (b *Book) Done(ctx context.Context, on time.Time) ([]Done, []Rained, error) {
	var plants []*care.PlantState
	var rains []Rained
	b.Read(func(c *care.Collection) {
		for _, p := range c.Plants {
			if busyOn(p, on) {
				plants = append(plants, p)
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
		entries, err := b.notedOn(ctx, p, on)
		if err != nil {
			return nil, nil, err
		}
		answers := map[string]int{} // index in list, by job
		for _, e := range entries {
			job := e.Detail.Job
			if i, ok := answers[job]; ok && job != "" {
				list[i].Also = append(list[i].Also, e)
				continue
			}
			answers[job] = len(list)
			list = append(list, Done{Label: p.Record.Label, Name: p.Record.Name, Space: p.Record.Space, Entry: e})
		}
	}
	slices.SortFunc(list, func(x, y Done) int {
		return cmp.Or(y.Entry.At.Compare(x.Entry.At), strings.Compare(x.Label, y.Label), strings.Compare(x.Entry.ID, y.Entry.ID))
	})
	return list, rains, b.explainRain(ctx, rains, on)
}

// notedOn returns what was noted of a plant on a day. Its state tells whether
// what was read before still holds.
func (b *Book) notedOn(ctx context.Context, p *care.PlantState, on time.Time) ([]care.Entry, error) {
	b.days.mu.Lock()
	defer b.days.mu.Unlock()
	if !b.days.on.Equal(on) {
		b.days.on, b.days.noted = on, map[string]noted{}
	}
	if known := b.days.noted[p.ID]; known.state == p {
		return known.entries, nil
	}
	history, err := b.store.OfPlant(ctx, p.ID)
	if err != nil {
		return nil, fmt.Errorf("reading the journal of a plant: %w", err)
	}
	one := noted{state: p}
	for _, e := range care.Effective(history, endOfTime) {
		if e.Plant == p.ID && e.Kind != care.PlantSet && day(e.At).Equal(on) {
			one.entries = append(one.entries, e)
		}
	}
	b.days.noted[p.ID] = one
	return one.entries, nil
}

// explainRain fills in what each fall of rain did. Plants whose course is yet to
// be worked out are left out, as in the round.
func (b *Book) explainRain(ctx context.Context, rains []Rained, on time.Time) error {
	if len(rains) == 0 {
		return nil
	}
	var outdoors []subject
	b.mu.RLock()
	for _, s := range b.recovering(on, false) {
		if b.collection.Outdoors(s.state.Record.Space) {
			outdoors = append(outdoors, s)
		}
	}
	b.mu.RUnlock()
	slices.SortFunc(outdoors, func(x, y subject) int {
		return strings.Compare(x.state.Record.Label, y.state.Record.Label)
	})
	_, missing := b.courses.split(outdoors, b.tables)
	if err := b.workOutAll(ctx, b.affordable(missing), allHands()); err != nil {
		return err
	}
	outlines, _ := b.courses.split(outdoors, b.tables)
	for i, one := range outlines {
		if one.outline == nil {
			continue // the round lists it among the troubles
		}
		p, enough := outdoors[i].state, one.outline.RainMM(on)
		for i := range rains {
			r := &rains[i]
			switch {
			case !r.Rain.FellOn(p.Record.Space):
			case r.Rain.MM >= enough:
				r.Flushed = append(r.Flushed, p.Record.Label)
			default:
				r.Short = append(r.Short, Short{p.Record.Label, enough})
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
