package book

import (
	"cmp"
	"context"
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
	Verdict  string // rooting, holding, …: only recovering plants have one
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
	Known                         bool // Stage and Intensive are those of the course, and Verdict that of its journal
	Verdict                       string
	Emergency                     bool
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

// Find looks for plants. No course is worked out for it, except a few where
// intensive care is asked for; those at hand are used.
func (b *Book) Find(ctx context.Context, q Query, on time.Time) (Found, error) {
	l := b.list(on)
	out := Found{Counts: map[Standing]int{}, Groups: l.groups, Spaces: l.spaces, Collection: l.living}
	words := strings.Fields(strings.ToLower(q.Text))
	var found []*listing
	for _, one := range l.in(q.Order) {
		if q.Space != "" && !strings.EqualFold(one.Space, q.Space) || q.Group != "" && !strings.EqualFold(one.Group, q.Group) || !holdsAll(one.words, words) {
			continue
		}
		out.Counts[one.Standing]++
		if one.Standing == q.Standing || q.Standing == "" && one.Standing != Ended || q.Standing == Intensive && one.recovering() {
			found = append(found, one)
		}
	}
	if q.Standing == Intensive {
		var err error
		if found, out.Unknown, err = b.following(ctx, found, func(one *outlined) bool {
			_, intensive := one.outline.Stage(on)
			return intensive
		}); err != nil {
			return out, err
		}
		out.Counts[Intensive] = len(found)
	}
	if q.Verdict != "" {
		var err error
		found = slices.DeleteFunc(slices.Clone(found), func(one *listing) bool { return !one.recovering() })
		if found, out.Unknown, err = b.following(ctx, found, func(one *outlined) bool { return one.progress.Standing.String() == q.Verdict }); err != nil {
			return out, err
		}
	}
	out.Total = len(found)
	from := min(max(q.From, 0), len(found))
	to := len(found)
	if q.To > 0 {
		to = min(max(q.To, from), len(found))
	}
	for _, one := range found[from:to] {
		out.Plants = append(out.Plants, one.Listed)
		b.know(&out.Plants[len(out.Plants)-1], on)
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
	if s, ok := b.subject(l.ID); ok {
		if one, ok := b.courses.atHand(&s, b.tables); ok && one.outline != nil {
			l.Stage, l.Intensive = one.outline.Stage(on)
			l.Verdict, l.Emergency, l.Known = one.progress.Standing.String(), one.progress.Emergency, true
		}
	}
}

// following returns the plants of whose course something holds, and how many it
// could not tell of in this go.
func (b *Book) following(ctx context.Context, list []*listing, holds func(*outlined) bool) (need []*listing, unknown int, err error) {
	subjects := make([]subject, 0, len(list))
	kept := list[:0:0]
	for _, one := range list {
		if s, ok := b.subject(one.ID); ok {
			subjects, kept = append(subjects, s), append(kept, one)
		}
	}
	_, missing := b.courses.split(subjects, b.tables)
	slices.SortFunc(missing, func(x, y subject) int { // the latest repots need it most
		return y.state.Record.Repot.Date.Compare(x.state.Record.Repot.Date)
	})
	if err := b.workOutAll(ctx, b.affordable(missing), allHands()); err != nil {
		return nil, 0, err
	}
	outlines, missing := b.courses.split(subjects, b.tables)
	for i := range outlines {
		if outlines[i].outline != nil && holds(&outlines[i]) { // the round lists the others among the troubles
			need = append(need, kept[i])
		}
	}
	return need, len(missing), nil
}

// holdsAll reports whether every word is in a text.
func holdsAll(text string, words []string) bool {
	for _, word := range words {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

// compare returns how an order compares plants; those that are equal by it come
// by label.
func (o Order) compare(x, y *listing) int {
	first := 0
	switch o {
	case ByName:
		first = strings.Compare(x.name, y.name)
	case BySpace:
		if first = x.walk - y.walk; first == 0 {
			first = strings.Compare(x.Space, y.Space)
		}
	case ByRepot:
		first = cmp.Compare(uint(x.Day), uint(y.Day)) // never comes last
	case ByQuiet:
		first = x.Latest.Compare(y.Latest)
	case ByArrival:
		first = strings.Compare(y.ID, x.ID) // ids are made in order of time
	}
	if first != 0 {
		return first
	}
	return cmp.Or(CompareLabels(x.Label, y.Label), strings.Compare(x.ID, y.ID))
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
