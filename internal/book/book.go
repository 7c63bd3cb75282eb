// Package book keeps a collection as it stands, in step with its journal: what
// the pages and commands read from and write to. It computes nothing itself;
// it asks the domain and remembers the answers until an entry changes them.
package book

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/plan"
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

	mu         sync.RWMutex
	collection *care.Collection
	changed    map[string]int // per plant: how often its state changed
	version    int            // of everything that all courses depend on

	cacheMu sync.Mutex
	courses map[string]cached
}

// cached is a course as it was worked out for a day.
type cached struct {
	day              time.Time
	version, changed int
	course           care.Course
}

// Open reads the whole journal.
func Open(ctx context.Context, store Store, tables culture.Table, now func() time.Time) (*Book, error) {
	b := &Book{store: store, tables: tables, now: now, changed: map[string]int{}, courses: map[string]cached{}}
	return b, b.Reload(ctx)
}

// Reload reads the whole journal again.
func (b *Book) Reload(ctx context.Context) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.reload(ctx)
}

// reload works the whole collection out afresh. The lock is held.
func (b *Book) reload(ctx context.Context) error {
	var entries []care.Entry
	for e, err := range b.store.All(ctx) {
		if err != nil {
			return fmt.Errorf("reading the journal: %w", err)
		}
		entries = append(entries, e)
	}
	b.collection = care.Replay(entries, endOfTime)
	b.version++
	return nil
}

// endOfTime is later than any entry.
var endOfTime = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

// Append checks entries, stores them, and brings the collection up to date. It
// returns those that were new: sending the same entry twice is no error and
// changes nothing.
func (b *Book) Append(ctx context.Context, entries ...care.Entry) ([]care.Entry, error) {
	for _, e := range entries {
		if problems := e.Check(b.now()); len(problems) > 0 {
			return nil, &Invalid{Entry: e.ID, Problems: problems}
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	added, err := b.store.Append(ctx, entries)
	if err != nil {
		return nil, err
	}
	return added, b.apply(ctx, added)
}

// apply brings the collection up to date with new entries. An entry may come
// late, correct another or be corrected by one that came first, which changes
// what was made of others: whatever it touches is worked out afresh from its
// own journal. The lock is held.
func (b *Book) apply(ctx context.Context, added []care.Entry) error {
	const many = 1000 // beyond this the whole journal is read sooner
	if len(added) > many {
		return b.reload(ctx)
	}
	histories := map[string][]care.Entry{}
	touched := map[string]bool{} // plants; "" stands for the collection as a whole
	for _, e := range added {
		history, known := histories[e.Plant]
		if !known {
			var err error
			if history, err = b.store.OfPlant(ctx, e.Plant); err != nil {
				return fmt.Errorf("reading the journal of a plant: %w", err)
			}
			histories[e.Plant] = history
		}
		for _, plant := range linked(history, e) {
			touched[plant] = true
		}
	}
	for plant := range touched {
		history, known := histories[plant]
		if !known {
			var err error
			if history, err = b.store.OfPlant(ctx, plant); err != nil {
				return fmt.Errorf("reading the journal of a plant: %w", err)
			}
		}
		b.workOut(plant, history)
	}
	return nil
}

// linked returns the plants of an entry and of those that corrections, either
// way and however far, connect it with.
func linked(history []care.Entry, e care.Entry) []string {
	in := map[string]bool{e.ID: true}
	plants := []string{e.Plant}
	for grown := true; grown; {
		grown = false
		for _, other := range history {
			if other.Corrects != "" && in[other.ID] != in[other.Corrects] {
				in[other.ID], in[other.Corrects], grown = true, true, true
			}
		}
	}
	for _, other := range history {
		if in[other.ID] && !slices.Contains(plants, other.Plant) {
			plants = append(plants, other.Plant)
		}
	}
	return plants
}

// workOut replays a plant, or what concerns the collection as a whole, from its
// journal.
func (b *Book) workOut(plant string, history []care.Entry) {
	fresh := care.Replay(history, endOfTime)
	if plant == "" {
		fresh.Plants = b.collection.Plants
		b.collection = fresh
		b.version++
		return
	}
	b.changed[plant]++
	delete(b.collection.Plants, plant)
	if p := fresh.Plants[plant]; p != nil {
		b.collection.Plants[plant] = p
	}
}

// Read calls f with the collection, which f must not change or keep.
func (b *Book) Read(f func(c *care.Collection)) {
	b.mu.RLock()
	defer b.mu.RUnlock()
	f(b.collection)
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

// Course returns the course of a plant as it stands on a day.
func (b *Book) Course(plant string, on time.Time) (care.Course, error) {
	b.mu.RLock()
	p := b.collection.Plants[plant]
	if p == nil {
		b.mu.RUnlock()
		return care.Course{}, fmt.Errorf("%w: %s", ErrUnknownPlant, plant)
	}
	record, kase := p.Record, b.collection.Case()
	stamp := cached{day: on, version: b.version, changed: b.changed[plant]}
	b.mu.RUnlock()
	if len(p.Repots) == 0 {
		return care.Course{}, fmt.Errorf("%s has not been repotted yet", record.Label)
	}
	b.cacheMu.Lock()
	hit, ok := b.courses[plant]
	b.cacheMu.Unlock()
	if ok && hit.day.Equal(on) && hit.version == stamp.version && hit.changed == stamp.changed {
		return hit.course, nil
	}
	c, err := care.NewCourse(kase, record, b.tables, on)
	if err != nil {
		return care.Course{}, err
	}
	stamp.course = c
	b.cacheMu.Lock()
	b.courses[plant] = stamp
	b.cacheMu.Unlock()
	return c, nil
}

// workOutCourses works out the courses of plants ahead of their being asked
// for, on all processors. What fails, fails again when it is asked for.
func (b *Book) workOutCourses(ctx context.Context, plants []string, on time.Time) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(plants)) {
		all.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(plants)) && ctx.Err() == nil; i = next.Add(1) - 1 {
				_, _ = b.Course(plants[i], on)
			}
		})
	}
	all.Wait()
}

// Trouble is a plant whose course cannot be worked out, and why.
type Trouble struct{ Plant, Label, Why string }

// Round returns the round of a day, and the plants for which none could be
// made.
func (b *Book) Round(ctx context.Context, on time.Time) (plan.Round, []Trouble, error) {
	type one struct {
		id       string
		state    *care.PlantState
		outdoors bool
	}
	var list []one
	var walk []string
	var rains []care.Rain
	var settings care.Settings
	var done plan.Limits
	b.Read(func(c *care.Collection) {
		for _, s := range c.Spaces {
			walk = append(walk, s.Name)
		}
		for id, p := range c.Plants {
			minutes, mL := p.Spent(on)
			done.Minutes += minutes
			done.Litres += mL / 1000
			if p.Recovering(on) {
				list = append(list, one{id, p, c.Outdoors(p.Record.Space)})
			}
		}
		rains, settings = c.Rains, c.Settings
	})
	plants := make([]string, len(list))
	for i, o := range list {
		plants[i] = o.id
	}
	b.workOutCourses(ctx, plants, on)
	var jobs []care.Job
	var troubles []Trouble
	for _, o := range list {
		if err := ctx.Err(); err != nil {
			return plan.Round{}, nil, err
		}
		c, err := b.Course(o.id, on)
		if err != nil {
			troubles = append(troubles, Trouble{o.id, o.state.Record.Label, err.Error()})
			continue
		}
		jobs = append(jobs, care.Jobs(o.state, &c, rains, o.outdoors, on, settings.Units)...)
	}
	slices.SortFunc(troubles, func(a, b Trouble) int { return strings.Compare(a.Label, b.Label) })
	return plan.Make(jobs, walk, on, plan.Limits{Minutes: settings.MinutesPerDay, Litres: settings.LitresPerDay}, done), troubles, nil
}
