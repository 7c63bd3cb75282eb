// Package book keeps a collection as it stands, in step with its journal: what
// the pages and commands read from and write to. It computes nothing itself;
// it asks the domain and remembers the answers until an entry changes them.
//
// What it holds of a plant is its state and, while it recovers, the outline of
// its course. Whole courses are worked out again when they are shown: a few are
// kept. Everything remembered can be dropped at any time.
package book

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"reflect"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"velamen/internal/care"
	"velamen/internal/culture"
)

// Store is where the journal is kept. Append adds entries durably before it
// returns, all or none; an entry whose id is already there with the same
// content is passed over, with other content it is an error. OfPlant returns the
// entries about a plant, those about none for "", and every entry that
// corrections connect with one of them, either way and however far.
type Store interface {
	Append(ctx context.Context, entries []care.Entry) (added []care.Entry, err error)
	All(ctx context.Context) iter.Seq2[care.Entry, error]
	OfPlant(ctx context.Context, plant string) ([]care.Entry, error)
}

// ErrUnknownPlant says that no plant has an id or label.
var ErrUnknownPlant = errors.New("no such plant")

// Invalid is an entry that was refused, with everything that is wrong with it.
type Invalid struct {
	Entry    string // id
	Problems []care.Problem
}

func (e *Invalid) Error() string {
	texts := make([]string, len(e.Problems))
	for i, p := range e.Problems {
		texts[i] = p.Error()
	}
	return fmt.Sprintf("entry %s is refused: %s", e.Entry, strings.Join(texts, "; "))
}

// Book is a collection in memory with its journal behind it. Its methods may
// be called from several goroutines.
type Book struct {
	store  Store
	tables culture.Table
	now    func() time.Time

	writing  sync.Mutex // held by whoever brings the collection up to date
	arrivals arrivals
	behind   bool // the journal holds what the collection does not

	mu         sync.RWMutex
	collection *care.Collection
	stamp      stamp
	records    map[string]int                 // per plant: how often its record changed
	entries    int                            // of the journal
	climate    map[string]care.ClimateProfile // of spaces, by their names in small letters

	courses  courses
	rounds   rounds
	season   seasons
	days     days
	lists    lists
	outcomes outcomes
	comings  comings
	warm     warmths
	dawn     dawn // guarded by rounds
	searches searches
	upTo     anchor // of a book that is the dawn of another: up to where it is told
	depth    int    // how many books it is the dawn of, one after the other

	changed   chan struct{} // tells Prepare
	preparing atomic.Bool   // Prepare runs
}

// stamp counts changes, so that what was remembered can be told from what still
// holds.
type stamp struct {
	all    int // anything
	around int // what is not about one plant
	kase   int // of that, what every course rests on
	warm   int // the warmth of days gone by, or to come
	past   int // what was noted before the plan of the day, or measured
}

// Open reads the whole journal.
func Open(ctx context.Context, store Store, tables culture.Table, now func() time.Time) (*Book, error) {
	b := &Book{store: store, tables: tables, now: now, changed: make(chan struct{}, 1)}
	return b, b.Reload(ctx)
}

// Reload reads the whole journal again.
func (b *Book) Reload(ctx context.Context) error {
	b.writing.Lock()
	defer b.writing.Unlock()
	if err := b.reload(ctx); err != nil {
		return err
	}
	return b.settleClimate(ctx)
}

// Append checks entries, stores them, and brings the collection up to date. It
// returns those that were new: sending the same entry twice is no error and
// changes nothing.
func (b *Book) Append(ctx context.Context, entries ...care.Entry) ([]care.Entry, error) {
	for _, e := range entries {
		if problems := e.Check(b.now()); len(problems) > 0 {
			return nil, &Invalid{Entry: e.ID, Problems: problems}
		}
	}
	b.writing.Lock()
	defer b.writing.Unlock()
	if b.behind {
		if err := b.reload(ctx); err != nil {
			return nil, err
		}
	}
	added, err := b.store.Append(ctx, entries)
	if err != nil || len(added) == 0 {
		return added, err
	}
	if err := b.apply(ctx, added); err != nil {
		b.behind = true
		return added, err
	}
	return added, nil
}

// PlantsKnown refuses entries about a plant that nothing describes: they would
// stand in the journal and count nowhere. The entry that describes it may come in
// the same go, in any order. What was kept before may be sent again, whatever
// became of its plant since.
func (b *Book) PlantsKnown(ctx context.Context, entries []care.Entry) error {
	described := map[string]bool{}
	for _, e := range entries {
		if e.Kind == care.PlantSet {
			described[e.Plant] = true
		}
	}
	for _, e := range entries {
		known := e.Plant == "" || described[e.Plant]
		if !known {
			b.Read(func(c *care.Collection) { known = c.Plants[e.Plant] != nil })
		}
		if known {
			continue
		}
		kept, err := b.store.OfPlant(ctx, e.Plant)
		if err != nil {
			return fmt.Errorf("looking for a plant: %w", err)
		}
		if !slices.ContainsFunc(kept, func(one care.Entry) bool { return one.ID == e.ID }) {
			return &Invalid{Entry: e.ID, Problems: []care.Problem{{Field: "plant", Message: fmt.Sprintf("no plant has the id %s; a plant comes in with an entry of the kind %q", e.Plant, care.PlantSet)}}}
		}
	}
	return nil
}

// reload works the whole collection out afresh, from entries as they come: they
// are too many to be held at once. The writing lock is held.
func (b *Book) reload(ctx context.Context) error {
	entries := 0
	collection, arrivals, late := care.NewCollection(), newArrivals(), lateEntries{}
	for e, err := range b.store.All(ctx) {
		if err != nil {
			return fmt.Errorf("reading the journal: %w", err)
		}
		if arrivals.isNext(e) {
			collection.Apply(e)
		} else {
			late.add(e, arrivals)
		}
		arrivals.note(e)
		entries++
	}
	touched, err := late.touch(ctx, b.store)
	if err != nil {
		return err
	}
	for plant, history := range touched {
		workOut(collection, plant, history)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.collection, b.arrivals, b.behind, b.entries = collection, arrivals, false, entries
	b.records = make(map[string]int, len(collection.Plants))
	b.stamp = stamp{b.stamp.all + 1, b.stamp.around + 1, b.stamp.kase + 1, b.stamp.warm + 1, b.stamp.past + 1}
	b.tellChanged()
	return nil
}

// apply brings the collection up to date with new entries. Most simply come
// next. An entry may also come late, correct another or be corrected by one that
// came first, which changes what was made of others: whatever it touches is
// worked out afresh from its own journal. The writing lock is held.
func (b *Book) apply(ctx context.Context, added []care.Entry) error {
	var next []care.Entry
	late := lateEntries{}
	for _, e := range added {
		if b.arrivals.isNext(e) {
			next = append(next, e)
		} else {
			late.add(e, b.arrivals)
		}
		b.arrivals.note(e)
	}
	touched, err := late.touch(ctx, b.store)
	if err != nil {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	kase, rains, around := b.collection.Case(), b.collection.Rains, false
	before := map[string]*care.PlantState{}
	meet := func(plant string) {
		if plant == "" {
			around = true
		} else if _, met := before[plant]; !met {
			before[plant] = b.collection.Plants[plant]
		}
	}
	for _, e := range next {
		if _, afresh := touched[e.Plant]; afresh {
			continue
		}
		p := b.collection.Plants[e.Plant]
		if _, met := before[e.Plant]; !met && p != nil {
			// Others may be reading it: a state is replaced, never changed.
			meet(e.Plant)
			b.collection.Plants[e.Plant] = p.Clone()
		}
		meet(e.Plant)
		b.collection.Apply(e)
	}
	for plant, history := range touched {
		meet(plant)
		workOut(b.collection, plant, history)
	}
	b.stamp.all++
	b.entries += len(added)
	// What is noted late belongs to the plan of the day as if it had not been.
	if planned, _ := b.anchorOn(b.Today()); slices.ContainsFunc(added, func(e care.Entry) bool { return planned.holds(&e) }) {
		b.stamp.past++
	}
	for plant, was := range before {
		is := b.collection.Plants[plant]
		if was == nil || is == nil || !reflect.DeepEqual(was.Record, is.Record) || !slices.Equal(was.Taught(), is.Taught()) {
			b.records[plant]++
		}
	}
	if around {
		if !reflect.DeepEqual(rains, b.collection.Rains) {
			for id, p := range b.collection.Plants { // rain waters the pots that were read
				if p.PotReadings > 0 && b.collection.Outdoors(p.Record.Space) {
					b.records[id]++
				}
			}
		}
		b.stamp.around++
		if !reflect.DeepEqual(kase, b.collection.Case()) {
			b.stamp.kase++
		}
	}
	b.tellChanged()
	return nil
}

// tellChanged lets Prepare know, if it runs.
func (b *Book) tellChanged() {
	select {
	case b.changed <- struct{}{}:
	default:
	}
}

// workOut replays a plant, or what concerns the collection as a whole, from its
// journal.
func workOut(c *care.Collection, plant string, history []care.Entry) {
	fresh := care.Replay(history, endOfTime)
	if plant == "" {
		fresh.Plants = c.Plants
		*c = *fresh
		return
	}
	delete(c.Plants, plant)
	if p := fresh.Plants[plant]; p != nil {
		c.Plants[plant] = p
	}
}

// endOfTime is later than any entry.
var endOfTime = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

// Read calls f with the collection, which f must not change or keep.
func (b *Book) Read(f func(c *care.Collection)) {
	b.mu.RLock()
	defer b.mu.RUnlock()
	f(b.collection)
}

// Entries returns how many entries the journal has. It never falls.
func (b *Book) Entries() int {
	b.mu.RLock()
	defer b.mu.RUnlock()
	return b.entries
}

// Tables returns the culture tables.
func (b *Book) Tables() culture.Table { return b.tables }

// Now returns the time.
func (b *Book) Now() time.Time { return b.now() }

// Today returns the calendar day, at midnight UTC.
func (b *Book) Today() time.Time { return day(b.now()) }

// Journal returns the entries of a plant, newest first, corrected ones
// included.
func (b *Book) Journal(ctx context.Context, plant string) ([]care.Entry, error) {
	entries, err := b.store.OfPlant(ctx, plant)
	slices.SortStableFunc(entries, func(x, y care.Entry) int { return y.At.Compare(x.At) })
	return entries, err
}
