package book

import (
	"context"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"time"

	"velamen/internal/care"
)

// anchor is the moment as of which the plan of a day is made: what was noted
// later mends that plan and makes no other.
type anchor struct {
	day  time.Time
	last care.Noting // on that day, counted in; zero: the beginning of the day
	open bool        // last is not counted in
	anew bool        // the plan keeps to no other
}

// holds reports whether an entry was made before the plan.
func (a anchor) holds(e *care.Entry) bool {
	on := day(e.At)
	if on.Equal(a.day) && !a.last.At.IsZero() {
		before := care.Noting{At: e.At, Entry: e.ID}.Compare(a.last)
		return before < 0 || before == 0 && !a.open
	}
	return on.Before(a.day)
}

// newShare is how many of the plants have to be new on a day for its plan to be
// made as of the last of them: whoever sets up a collection plans none of its
// plants in the morning.
const newShare = 0.1

// mostDawns is how many plans of a day rest on one another.
const mostDawns = 16

// anchorOn returns the moment as of which the plan was made that the plan of a
// day keeps to; none if it keeps to none. The lock is held.
func (b *Book) anchorOn(on time.Time) (a anchor, some bool) {
	a = anchor{day: on}
	if b.depth >= mostDawns || b.depth > 0 && b.upTo == a {
		return a, false
	}
	consider := func(n care.Noting, anew bool) {
		if day(n.At).Equal(on) && n.Compare(a.last) > 0 {
			a.last, a.anew = n, anew
		}
	}
	consider(b.collection.PlannedAnew, true)
	consider(b.collection.Relimited, false)
	var last time.Time
	plants, fresh := 0, 0
	for _, p := range b.collection.Plants {
		if !p.Recovering(on) {
			continue
		}
		plants++
		began := p.Added
		if n := len(p.Repots); n > 0 {
			began = later(began, p.Repots[n-1].At)
		}
		if day(began).Equal(on) {
			fresh++
			last = later(last, began)
		}
	}
	if float64(fresh) > newShare*float64(plants) {
		consider(care.Noting{At: last, Entry: "g"}, true) // after any id
	}
	if b.depth > 0 && b.upTo == a {
		if a.anew {
			return a, false
		}
		a.open = true
	}
	return a, true
}

// dawn is the book as it stood when the plan was made that another one keeps to:
// so that is still a function of journal, settings and day.
type dawn struct {
	anchor anchor
	past   int // how often what is before it had changed
	book   *Book
}

// before returns the book as it stood when the plan was made that the plan of a
// day keeps to; nil if it keeps to none. The lock on the rounds is held.
func (b *Book) before(ctx context.Context, on time.Time) (*Book, error) {
	b.mu.RLock()
	a, some := b.anchorOn(on)
	past := b.stamp.past
	b.mu.RUnlock()
	if !some {
		return nil, nil
	}
	if b.dawn.book == nil || b.dawn.anchor != a || b.dawn.past != past {
		d, err := b.asOf(ctx, a)
		if err != nil {
			return nil, err
		}
		b.dawn = dawn{anchor: a, past: past, book: d}
	}
	if d := b.dawn.book; len(d.rounds.last) == 0 {
		d.borrow(b)
	}
	return b.dawn.book, nil
}

// asOf returns the book as it stood at an anchor. What nothing was noted of since
// is shared.
func (b *Book) asOf(ctx context.Context, a anchor) (*Book, error) {
	now := b.now()
	at := a.last.At
	if at.IsZero() {
		at = time.Date(a.day.Year(), a.day.Month(), a.day.Day(), 0, 0, 0, 0, now.Location())
	}
	d := &Book{store: b.store, tables: b.tables, now: func() time.Time { return at }, depth: b.depth + 1, upTo: a}
	b.mu.RLock()
	c := *b.collection
	plants := maps.Clone(c.Plants)
	d.climate, d.records, d.stamp = b.climate, map[string]int{}, stamp{all: 1, around: 1, kase: 1, warm: 1}
	b.mu.RUnlock()
	before, since, err := b.until(ctx, "", a)
	if err != nil {
		return nil, err
	}
	if len(since) > 0 {
		c = *care.Replay(before, endOfTime)
	}
	for id, p := range plants {
		if !busyOn(p, a.day) {
			continue
		}
		before, since, err := b.until(ctx, id, a)
		switch {
		case err != nil:
			return nil, err
		case len(since) == 0:
			continue
		}
		if was := care.Replay(before, endOfTime).Plants[id]; was != nil {
			plants[id] = was
		} else {
			delete(plants, id)
		}
	}
	c.Plants = plants
	d.collection = &c
	return d, nil
}

// until returns the entries of a plant, or of none, that were made before an
// anchor, and those made since.
func (b *Book) until(ctx context.Context, plant string, a anchor) (before, since []care.Entry, err error) {
	history, err := b.store.OfPlant(ctx, plant)
	if err != nil {
		return nil, nil, fmt.Errorf("reading the journal up to the plan of the day: %w", err)
	}
	for i := range history {
		if a.holds(&history[i]) {
			before = append(before, history[i])
		} else {
			since = append(since, history[i])
		}
	}
	return before, since, nil
}

// borrow takes over what another book has worked out, where it holds here too.
func (b *Book) borrow(from *Book) {
	from.mu.RLock()
	defer from.mu.RUnlock()
	if !reflect.DeepEqual(from.collection.Case(), b.collection.Case()) || !reflect.DeepEqual(from.climate, b.climate) {
		return
	}
	rained := len(from.collection.Rains) != len(b.collection.Rains)
	from.courses.mu.Lock()
	defer from.courses.mu.Unlock()
	if b.courses.outlines == nil {
		b.courses.outlines = map[string]outlined{}
	}
	for id, p := range b.collection.Plants {
		is, one := from.collection.Plants[id], from.courses.outlines[id]
		switch {
		case is == nil || one.version != from.stamp.kase || one.record != from.records[id]:
		case is != p && !(reflect.DeepEqual(is.Record, p.Record) && slices.Equal(is.Taught(), p.Taught())):
		case rained && p.PotReadings > 0: // rain waters the pots that were read
		default:
			one.version, one.record = b.stamp.kase, b.records[id]
			b.courses.outlines[id] = one
		}
	}
}
