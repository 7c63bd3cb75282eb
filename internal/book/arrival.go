package book

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
)

// arrivals knows of the entries that have arrived just enough to tell whether
// another simply comes next or changes what was made of others.
type arrivals struct {
	last      map[string]moment // per plant; "" for what is about none
	corrected map[string]bool   // ids that corrections name, whether they have arrived or not
}

// moment is an entry's place in the order in which things happened.
type moment struct {
	at time.Time
	id string
}

func newArrivals() arrivals {
	return arrivals{last: map[string]moment{}, corrected: map[string]bool{}}
}

// isNext reports whether an entry comes after everything that has arrived about
// its plant, and has nothing to do with a correction: then the plant's state is
// what it was, and the entry applied to it.
func (a arrivals) isNext(e care.Entry) bool {
	return e.Corrects == "" && e.Kind != care.Withdrawn && !a.corrected[e.ID] && !e.At.After(endOfTime) && a.last[e.Plant].before(e)
}

func (m moment) before(e care.Entry) bool {
	if c := m.at.Compare(e.At); c != 0 {
		return c < 0
	}
	return strings.Compare(m.id, e.ID) < 0
}

func (a arrivals) note(e care.Entry) {
	if a.last[e.Plant].before(e) {
		a.last[e.Plant] = moment{e.At, e.ID}
	}
	if e.Corrects != "" {
		a.corrected[e.Corrects] = true
	}
}

// lateEntries gathers entries that do not simply come next.
type lateEntries struct {
	plants      map[string]bool // of those that only came late
	corrections []reference     // and those that correct or are corrected
}

// reference is an entry's id and plant.
type reference struct{ id, plant string }

func (l *lateEntries) add(e care.Entry, a arrivals) {
	if e.Corrects != "" || a.corrected[e.ID] {
		l.corrections = append(l.corrections, reference{e.ID, e.Plant})
		return
	}
	if l.plants == nil {
		l.plants = map[string]bool{}
	}
	l.plants[e.Plant] = true
}

// touch returns the journal of each plant that late entries touch; "" stands for
// the collection as a whole.
func (l *lateEntries) touch(ctx context.Context, store Store) (map[string][]care.Entry, error) {
	touched := map[string][]care.Entry{}
	read := func(plant string) ([]care.Entry, error) {
		history, known := touched[plant]
		if known {
			return history, nil
		}
		history, err := store.OfPlant(ctx, plant)
		if err != nil {
			return nil, fmt.Errorf("reading the journal of a plant: %w", err)
		}
		touched[plant] = history
		return history, nil
	}
	for plant := range l.plants {
		if _, err := read(plant); err != nil {
			return nil, err
		}
	}
	for _, e := range l.corrections {
		history, err := read(e.plant)
		if err != nil {
			return nil, err
		}
		for _, plant := range linked(history, e) {
			if _, err := read(plant); err != nil {
				return nil, err
			}
		}
	}
	return touched, nil
}

// linked returns the plants of the entries that corrections, either way and
// however far, connect with one.
func linked(history []care.Entry, e reference) []string {
	in := map[string]bool{e.id: true}
	for grown := true; grown; {
		grown = false
		for _, other := range history {
			if other.Corrects != "" && in[other.ID] != in[other.Corrects] {
				in[other.ID], in[other.Corrects], grown = true, true, true
			}
		}
	}
	var plants []string
	for _, other := range history {
		if in[other.ID] && !slices.Contains(plants, other.Plant) {
			plants = append(plants, other.Plant)
		}
	}
	return plants
}
