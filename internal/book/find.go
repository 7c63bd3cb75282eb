package book

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/course"
)

// Standing is where a plant stands, as far as its dates tell.
type Standing string

// The standings. The first four are of a recovery, by the days since the
// repot alone: a course may have the plant established sooner.
const (
	Settling  Standing = "settling"
	Rooting   Standing = "rooting"
	Later     Standing = "after six weeks"
	Intensive Standing = "intensive care" // also one of the others
	Usual     Standing = "usual care"     // not repotted within a year
	Ended     Standing = "ended"          // lost or given away
)

// Standings lists the standings in the order of a recovery.
var Standings = []Standing{Settling, Rooting, Later, Intensive, Usual, Ended}

// Order is what a list of plants is sorted by.
type Order string

// The orders.
const (
	ByLabel   Order = "label"
	ByName    Order = "name"
	BySpace   Order = "space"   // in walking order
	ByRepot   Order = "repot"   // the latest first
	ByQuiet   Order = "quiet"   // those that nothing was written about for longest
	ByArrival Order = "arrival" // the latest first
)

// Orders lists the orders.
var Orders = []Order{ByLabel, ByName, BySpace, ByRepot, ByQuiet, ByArrival}

// Query says which plants are looked for. Empty fields ask for nothing; ended
// plants are found only when they are asked for.
type Query struct {
	Text     string // words that all have to be in label, name, group or space
	Space    string
	Group    string // as the grower writes it
	Standing Standing
	Order    Order
	From, To int // of the list that was found; To 0: to its end
}

// Listed is one plant of a list.
type Listed struct {
	ID, Label, Name, Group, Space string
	Standing                      Standing
	Day                           int // since the repot; -1 if there was none
	Stage                         course.Stage
	Intensive                     bool
	Known                         bool // Stage and Intensive are those of the course
	Latest                        time.Time
	Ended                         time.Time
	EndedHow                      care.Kind
}

// Found is what a query found.
type Found struct {
	Plants     []Listed // those asked for
	Total      int
	Counts     map[Standing]int // of what the query without its standing finds
	Unknown    int              // recovering plants whose course was not worked out yet
	Groups     []string         // of the whole collection
	Spaces     []string         // in walking order, then what else plants name
	Collection int              // all plants that live here
}

// most is how many courses a search for plants in intensive care works out at
// a time.
const mostCourses = 300

// Find looks for plants. No course is worked out for it, except a few where
// intensive care is asked for; those at hand are used.
func (b *Book) Find(ctx context.Context, q Query, on time.Time) (Found, error) {
	out := Found{Counts: map[Standing]int{}}
	words := strings.Fields(strings.ToLower(q.Text))
	groups, spaces := map[string]bool{}, map[string]bool{}
	walk := map[string]int{}
	var list []Listed
	b.Read(func(c *care.Collection) {
		for i, s := range c.Spaces {
			walk[strings.ToLower(s.Name)] = i
			out.Spaces = append(out.Spaces, s.Name)
		}
		for id, p := range c.Plants {
			r := &p.Record
			groups[r.Group] = true
			spaces[r.Space] = true
			if p.Ended.IsZero() {
				out.Collection++
			}
			if q.Space != "" && !strings.EqualFold(r.Space, q.Space) || q.Group != "" && !strings.EqualFold(r.Group, q.Group) || !holdsAll(r, words) {
				continue
			}
			one := listed(id, p, on)
			out.Counts[one.Standing]++
			if one.Standing == q.Standing || q.Standing == "" && one.Standing != Ended || q.Standing == Intensive && one.recovering() {
				list = append(list, one)
			}
		}
	})
	delete(groups, "")
	out.Groups = slices.SortedFunc(maps.Keys(groups), func(x, y string) int { return strings.Compare(strings.ToLower(x), strings.ToLower(y)) })
	for _, name := range slices.Sorted(maps.Keys(spaces)) {
		if _, ok := walk[strings.ToLower(name)]; !ok && name != "" {
			out.Spaces = append(out.Spaces, name)
		}
	}
	if q.Standing == Intensive {
		var err error
		if list, out.Unknown, err = b.intensive(ctx, list, on); err != nil {
			return out, err
		}
		out.Counts[Intensive] = len(list)
	}
	slices.SortFunc(list, order(q.Order, walk))
	out.Total = len(list)
	from := min(max(q.From, 0), len(list))
	to := len(list)
	if q.To > 0 {
		to = min(max(q.To, from), len(list))
	}
	out.Plants = list[from:to]
	for i := range out.Plants {
		b.know(&out.Plants[i], on)
	}
	return out, nil
}

// listed returns what the record and the dates tell.
func listed(id string, p *care.PlantState, on time.Time) Listed {
	r := &p.Record
	one := Listed{ID: id, Label: r.Label, Name: r.Name, Group: r.Group, Space: r.Space, Day: -1, Latest: p.Latest, Ended: p.Ended, EndedHow: p.EndedHow}
	if len(p.Repots) > 0 {
		one.Day = int(on.Sub(day(r.Repot.Date)).Hours() / 24)
	}
	switch {
	case !p.Ended.IsZero():
		one.Standing = Ended
	case !p.Recovering(on):
		one.Standing = Usual
	case one.Day < int(course.SettlingDays.Value):
		one.Standing, one.Stage = Settling, course.Settling
	case one.Day < int(course.RecoveryDays.Value):
		one.Standing, one.Stage = Rooting, course.Rooting
	default:
		one.Standing, one.Stage = Later, course.SteppingUp
	}
	return one
}

func (l *Listed) recovering() bool {
	return l.Standing == Settling || l.Standing == Rooting || l.Standing == Later
}

// know fills in what the course says, if it is at hand.
func (b *Book) know(l *Listed, on time.Time) {
	if !l.recovering() {
		return
	}
	if c, ok := b.courseAtHand(l.ID, on); ok {
		l.Stage, l.Intensive, l.Known = c.Stage, c.Intensive, true
	}
}

// courseAtHand returns the course of a plant if it was worked out already.
func (b *Book) courseAtHand(plant string, on time.Time) (*care.Course, bool) {
	b.mu.RLock()
	version, changed := b.version, b.changed[plant]
	b.mu.RUnlock()
	b.cacheMu.Lock()
	defer b.cacheMu.Unlock()
	hit, ok := b.courses[plant]
	if !ok || !hit.day.Equal(on) || hit.version != version || hit.changed != changed {
		return nil, false
	}
	return &hit.course, true
}

// intensive returns the plants that need intensive care, and how many it could
// not tell of in this go.
func (b *Book) intensive(ctx context.Context, list []Listed, on time.Time) (need []Listed, unknown int, err error) {
	slices.SortFunc(list, order(ByRepot, nil)) // the latest repots need it most
	worked := 0
	for _, one := range list {
		if err := ctx.Err(); err != nil {
			return nil, 0, err
		}
		b.know(&one, on)
		if !one.Known {
			if worked >= mostCourses {
				unknown++
				continue
			}
			worked++
			c, err := b.Course(one.ID, on)
			if err != nil {
				continue // the round lists it among the troubles
			}
			one.Stage, one.Intensive, one.Known = c.Stage, c.Intensive, true
		}
		if one.Intensive {
			need = append(need, one)
		}
	}
	return need, unknown, nil
}

// holdsAll reports whether every word is in the record.
func holdsAll(r *care.Plant, words []string) bool {
	if len(words) == 0 {
		return true
	}
	text := strings.ToLower(r.Label + "\n" + r.Name + "\n" + r.Group + "\n" + r.Space)
	for _, word := range words {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

// order compares plants; those that are equal by it come by label.
func order(o Order, walk map[string]int) func(x, y Listed) int {
	place := func(l *Listed) int {
		if i, ok := walk[strings.ToLower(l.Space)]; ok {
			return i
		}
		return len(walk)
	}
	return func(x, y Listed) int {
		first := 0
		switch o {
		case ByName:
			first = strings.Compare(strings.ToLower(x.Name), strings.ToLower(y.Name))
		case BySpace:
			first = cmp.Or(cmp.Compare(place(&x), place(&y)), strings.Compare(x.Space, y.Space))
		case ByRepot:
			first = cmp.Compare(uint(x.Day), uint(y.Day)) // never comes last
		case ByQuiet:
			first = x.Latest.Compare(y.Latest)
		case ByArrival:
			first = strings.Compare(y.ID, x.ID) // ids are made in order of time
		}
		return cmp.Or(first, CompareLabels(x.Label, y.Label), strings.Compare(x.ID, y.ID))
	}
}

// CompareLabels puts labels into the order in which people count: P-2 before
// P-10, whatever the case of their letters.
func CompareLabels(x, y string) int {
	for x != "" && y != "" {
		a, b := digits(x), digits(y)
		if a > 0 && b > 0 {
			m, n := strings.TrimLeft(x[:a], "0"), strings.TrimLeft(y[:b], "0")
			if c := cmp.Or(cmp.Compare(len(m), len(n)), strings.Compare(m, n)); c != 0 {
				return c
			}
			x, y = x[a:], y[b:]
			continue
		}
		if c := cmp.Compare(lower(x[0]), lower(y[0])); c != 0 {
			return c
		}
		x, y = x[1:], y[1:]
	}
	return cmp.Compare(len(x), len(y))
}

// digits returns how many digits a text begins with.
func digits(text string) int {
	n := 0
	for n < len(text) && '0' <= text[n] && text[n] <= '9' {
		n++
	}
	return n
}

func lower(c byte) byte {
	if 'A' <= c && c <= 'Z' {
		return c + 'a' - 'A'
	}
	return c
}
