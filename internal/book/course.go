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
)

// subject is a plant whose course is asked for, with everything it rests on.
type subject struct {
	id    string
	state *care.PlantState
	basis *courseBasis
	// record counts the changes of its record.
	record int
}

// courseBasis is what all courses have in common.
type courseBasis struct {
	kase    care.Case
	version int
}

// basis returns what all courses rest on now. The lock is held.
func (b *Book) basis() *courseBasis { return &courseBasis{b.collection.Case(), b.stamp.kase} }

// subject returns a plant as it stands now.
func (b *Book) subject(plant string) (subject, bool) {
	b.mu.RLock()
	defer b.mu.RUnlock()
	p := b.collection.Plants[plant]
	return subject{plant, p, b.basis(), b.records[plant]}, p != nil
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
}

func (o outlined) holdsFor(s *subject) bool {
	return o.version == s.basis.version && o.record == s.record && (o.outline != nil || o.why != nil)
}

// whole is a course as it stands on a day.
type whole struct {
	on              time.Time
	version, record int
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
	c, err := care.NewCourse(s.basis.kase, s.state.Record, b.tables, on)
	one := outlined{version: s.basis.version, record: s.record, why: err}
	if err == nil {
		one.outline = c.Outline()
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
	if hit == nil || !hit.on.Equal(on) || hit.version != s.basis.version || hit.record != s.record {
		return nil
	}
	c.turn++
	hit.turn = c.turn
	return &hit.course
}

// keepWhole keeps a whole course, and lets go of the one that was not asked for
// the longest.
func (c *courses) keepWhole(s *subject, on time.Time, course care.Course) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.whole == nil {
		c.whole = map[string]*whole{}
	}
	c.turn++
	c.whole[s.id] = &whole{on, s.basis.version, s.record, course, c.turn}
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
func (c *courses) atHand(s *subject) (outlined, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	one := c.outlines[s.id]
	return one, one.holdsFor(s)
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
				if _, ok := b.courses.atHand(s); !ok {
					b.workOutCourse(s, s.state.Record.Repot.Date)
				}
			}
		})
	}
	busy.Wait()
	return ctx.Err()
}

// allHands is how many courses are worked out at once while somebody waits.
func allHands() int { return runtime.GOMAXPROCS(0) }

// recovering returns the plants that recover on a day, in the order of their
// ids. ahead also returns those that are to be repotted after it. The lock is
// held.
func (b *Book) recovering(on time.Time, ahead bool) []subject {
	basis := b.basis()
	var list []subject
	for id, p := range b.collection.Plants {
		if p.Recovering(on) || ahead && p.Ended.IsZero() && len(p.Repots) > 0 && p.Record.Repot.Date.After(on) {
			list = append(list, subject{id, p, basis, b.records[id]})
		}
	}
	slices.SortFunc(list, func(x, y subject) int { return strings.Compare(x.id, y.id) })
	return list
}

// split tells plants whose outlines hold from those that are yet to be worked
// out.
func (c *courses) split(list []subject) (known []outlined, missing []subject) {
	c.mu.Lock()
	defer c.mu.Unlock()
	known = make([]outlined, len(list))
	for i := range list {
		if one := c.outlines[list[i].id]; one.holdsFor(&list[i]) {
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
	basis := b.basis()
	for i, id := range plants {
		p := b.collection.Plants[id]
		if p == nil || len(p.Repots) == 0 {
			b.mu.RUnlock()
			return nil, fmt.Errorf("%w that was repotted: %s", ErrUnknownPlant, id)
		}
		list[i] = subject{id, p, basis, b.records[id]}
	}
	b.mu.RUnlock()
	_, missing := b.courses.split(list)
	if err := b.workOutAll(ctx, b.affordable(missing), allHands()); err != nil {
		return nil, err
	}
	known, _ := b.courses.split(list)
	out := make([]Outlined, len(known))
	for i, one := range known {
		out[i] = Outlined{one.outline, one.why}
	}
	return out, nil
}
