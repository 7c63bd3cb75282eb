package book

import (
	"context"
	"fmt"
	"maps"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/internal/culture"
)

// subject is a plant whose course is asked for, with everything it rests on.
type subject struct {
	id    string
	state *care.PlantState
	basis *courseBasis
	// record counts the changes of its record.
	record int
	today  time.Time // up to which its journal counts
}

// courseBasis is what all courses have in common.
type courseBasis struct {
	kase    care.Case
	version int
}

// basis returns what all courses rest on now. The lock is held.
func (b *Book) basis() *courseBasis {
	kase := b.collection.Case()
	kase.Measured = b.climate
	return &courseBasis{kase, b.stamp.kase}
}

// subject returns a plant as it stands now.
func (b *Book) subject(plant string) (subject, bool) {
	b.mu.RLock()
	defer b.mu.RUnlock()
	p := b.collection.Plants[plant]
	return subject{plant, p, b.basis(), b.records[plant], b.Today()}, p != nil
}

// courses remembers what was worked out.
type courses struct {
	mu       sync.Mutex
	outlines map[string]outlined
	whole    map[string]*whole
	turn     int
}

// outlined is the outline of a plant's course, or why there is none.
type outlined struct {
	version, record int
	outline         *care.Outline
	why             error
	// It rests on the journal only through the steps that were decided: state and
	// today are those for which they were last looked at.
	progress care.Progress
	state    *care.PlantState
	today    time.Time
}

// holdsFor reports whether an outline is still that of a plant. It looks the
// steps of the course up again when the plant's journal or the day has changed.
func (o *outlined) holdsFor(s *subject, tables culture.Table) bool {
	if o.version != s.basis.version || o.record != s.record || o.outline == nil && o.why == nil {
		return false
	}
	if o.state == s.state && o.today.Equal(s.today) {
		return true
	}
	var so care.Progress
	if o.state == s.state && o.today.Before(s.today) {
		so = o.progress
	}
	is, err := care.ProgressOf(s.basis.kase, s.state, tables, s.today, so, o.today)
	if err != nil || !slices.Equal(is.Steps, o.progress.Steps) {
		return err != nil && o.why != nil
	}
	o.progress, o.state, o.today = is, s.state, s.today
	return true
}

// whole is a course as it stands on a day.
type whole struct {
	on              time.Time
	version, record int
	state           *care.PlantState
	today           time.Time
	course          care.Course
	turn            int // when it was last asked for
}

// mostWhole is how many whole courses are kept. Each takes about 300 kB.
const mostWhole = 192

// Course returns the course of a plant as it stands on a day.
func (b *Book) Course(plant string, on time.Time) (care.Course, error) {
	s, known := b.subject(plant)
	if !known {
		return care.Course{}, fmt.Errorf("%w: %s", ErrUnknownPlant, plant)
	}
	if len(s.state.Repots) == 0 {
		return care.Course{}, fmt.Errorf("%s has not been repotted yet", s.state.Record.Label)
	}
	if c := b.courses.ofDay(&s, on); c != nil {
		return *c, nil
	}
	c, one := b.workOutCourse(&s, on)
	if one.why == nil {
		b.courses.keepWhole(&s, on, c)
	}
	return c, one.why
}

// workOutCourse works a course out and remembers its outline.
func (b *Book) workOutCourse(s *subject, on time.Time) (care.Course, outlined) {
	c, err := b.courseOf(s, on)
	one := outlined{version: s.basis.version, record: s.record, why: err, state: s.state, today: s.today}
	if err == nil {
		one.outline = c.Outline()
		one.progress, one.why = care.ProgressOf(s.basis.kase, s.state, b.tables, s.today, care.Progress{}, time.Time{})
	}
	if on.Before(s.today) {
		return c, one // it knows less than there is to know
	}
	b.courses.mu.Lock()
	defer b.courses.mu.Unlock()
	if b.courses.outlines == nil {
		b.courses.outlines = map[string]outlined{}
	}
	b.courses.outlines[s.id] = one
	return c, one
}

// ofDay returns a whole course if it is kept.
func (c *courses) ofDay(s *subject, on time.Time) *care.Course {
	c.mu.Lock()
	defer c.mu.Unlock()
	hit := c.whole[s.id]
	if hit == nil || !hit.on.Equal(on) || hit.version != s.basis.version || hit.record != s.record || hit.state != s.state || !hit.today.Equal(s.today) {
		return nil
	}
	c.turn++
	hit.turn = c.turn
	return &hit.course
}

// keepWhole keeps a whole course, and lets go of the one that was not asked for
// the longest.
func (c *courses) keepWhole(s *subject, on time.Time, kept care.Course) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.whole == nil {
		c.whole = map[string]*whole{}
	}
	c.turn++
	c.whole[s.id] = &whole{on, s.basis.version, s.record, s.state, s.today, kept, c.turn}
	if len(c.whole) <= mostWhole {
		return
	}
	oldest := ""
	for id, w := range c.whole {
		if oldest == "" || w.turn < c.whole[oldest].turn {
			oldest = id
		}
	}
	delete(c.whole, oldest)
}

// atHand returns a plant's outline if it holds.
func (c *courses) atHand(s *subject, tables culture.Table) (outlined, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	one := c.outlines[s.id]
	holds := one.holdsFor(s, tables)
	if holds {
		c.outlines[s.id] = one
	}
	return one, holds
}

// workOutAll works out the outlines of plants, with as many hands as are given.
func (b *Book) workOutAll(ctx context.Context, list []subject, hands int) error {
	var next sync.Mutex
	var busy sync.WaitGroup
	for range min(hands, len(list)) {
		busy.Go(func() {
			for {
				next.Lock()
				if len(list) == 0 || ctx.Err() != nil {
					next.Unlock()
					return
				}
				s := &list[0]
				list = list[1:]
				next.Unlock()
				if _, ok := b.courses.atHand(s, b.tables); !ok {
					b.workOutCourse(s, later(s.today, s.state.Record.Repot.Date))
				}
			}
		})
	}
	busy.Wait()
	return ctx.Err()
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// allHands is how many courses are worked out at once while somebody waits.
func allHands() int { return runtime.GOMAXPROCS(0) }

// recovering returns the plants that recover on a day, in the order of their
// ids. ahead also returns those that are to be repotted after it. The lock is
// held.
func (b *Book) recovering(on time.Time, ahead bool) []subject {
	basis, today := b.basis(), b.Today()
	var list []subject
	for id, p := range b.collection.Plants {
		if p.Recovering(on) || ahead && p.Ended.IsZero() && len(p.Repots) > 0 && p.Record.Repot.Date.After(on) {
			list = append(list, subject{id, p, basis, b.records[id], today})
		}
	}
	slices.SortFunc(list, func(x, y subject) int { return strings.Compare(x.id, y.id) })
	return list
}

// split tells plants whose outlines hold from those that are yet to be worked
// out.
func (c *courses) split(list []subject, tables culture.Table) (known []outlined, missing []subject) {
	c.mu.Lock()
	defer c.mu.Unlock()
	known = make([]outlined, len(list))
	for i := range list {
		if one := c.outlines[list[i].id]; one.holdsFor(&list[i], tables) {
			c.outlines[list[i].id] = one
			known[i] = one
		} else {
			missing = append(missing, list[i])
		}
	}
	return known, missing
}

// letGo drops the outlines of all plants but some.
func (c *courses) letGo(but []subject) {
	stay := make(map[string]bool, len(but))
	for i := range but {
		stay[but[i].id] = true
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	maps.DeleteFunc(c.outlines, func(id string, _ outlined) bool { return !stay[id] })
}

// Outlined is a plant's course in outline, or why there is none; neither while it
// is yet to be worked out.
type Outlined struct {
	Outline *care.Outline
	Why     error
}

// Outlines returns the courses of plants in outline. A few that are missing are
// worked out.
func (b *Book) Outlines(ctx context.Context, plants []string) ([]Outlined, error) {
	list := make([]subject, len(plants))
	b.mu.RLock()
	basis, today := b.basis(), b.Today()
	for i, id := range plants {
		p := b.collection.Plants[id]
		if p == nil || len(p.Repots) == 0 {
			b.mu.RUnlock()
			return nil, fmt.Errorf("%w that was repotted: %s", ErrUnknownPlant, id)
		}
		list[i] = subject{id, p, basis, b.records[id], today}
	}
	b.mu.RUnlock()
	_, missing := b.courses.split(list, b.tables)
	if err := b.workOutAll(ctx, b.affordable(missing), allHands()); err != nil {
		return nil, err
	}
	known, _ := b.courses.split(list, b.tables)
	out := make([]Outlined, len(known))
	for i, one := range known {
		out[i] = Outlined{one.outline, one.why}
	}
	return out, nil
}
