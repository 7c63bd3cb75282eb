package book

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
)

// lists remembers the list of all plants, in the orders that were asked for.
type lists struct {
	mu  sync.Mutex
	now *list
}

// list is the list of all plants on a day. All that is sorted in it changes
// place only with the plants that changed.
type list struct {
	on     time.Time
	stamp  stamp
	plants map[string]*listing
	groups []string // of the whole collection
	spaces []string // in walking order, then what else plants name
	living int

	sorting sync.Mutex
	orders  map[Order][]*listing // those that were asked for
}

// listing is one plant of the list.
type listing struct {
	Listed
	state *care.PlantState
	words string // all that is looked through, in small letters
	name  string // in small letters
	walk  int    // place of its space on the walk
}

// list returns the list as it stands.
func (b *Book) list(on time.Time) *list {
	b.lists.mu.Lock()
	defer b.lists.mu.Unlock()
	b.mu.RLock()
	defer b.mu.RUnlock()
	if old := b.lists.now; old == nil || old.stamp.all != b.stamp.all || !old.on.Equal(on) {
		b.lists.now = newList(b.collection, b.stamp, on, old)
	}
	return b.lists.now
}

// in returns the plants in an order. Lists are shared: a sorted one is never
// changed.
func (l *list) in(o Order) []*listing {
	l.sorting.Lock()
	defer l.sorting.Unlock()
	if !slices.Contains(Orders, o) {
		o = ByLabel
	}
	sorted, ok := l.orders[o]
	if !ok {
		sorted = slices.SortedFunc(maps.Values(l.plants), o.compare)
		l.orders[o] = sorted
	}
	return sorted
}

// newList makes the list of a collection, from the one before where it holds.
func newList(c *care.Collection, s stamp, on time.Time, old *list) *list {
	l := &list{on: on, stamp: s, plants: make(map[string]*listing, len(c.Plants)), orders: map[Order][]*listing{}}
	if old != nil && (!old.on.Equal(on) || old.stamp.around != s.around) {
		old = nil
	}
	walk := map[string]int{}
	for i, space := range c.Spaces {
		walk[strings.ToLower(space.Name)] = i
		l.spaces = append(l.spaces, space.Name)
	}
	groups, others := map[string]bool{}, map[string]bool{}
	var fresh []*listing
	for id, p := range c.Plants {
		var one *listing
		if old != nil {
			one = old.plants[id]
		}
		if one == nil || one.state != p {
			one = newListing(id, p, on, walk)
			fresh = append(fresh, one)
		}
		l.plants[id] = one
		if p.Ended.IsZero() {
			l.living++
		}
		if one.Group != "" {
			groups[one.Group] = true
		}
		if one.walk == len(walk) && one.Space != "" {
			others[one.Space] = true
		}
	}
	l.groups = slices.SortedFunc(maps.Keys(groups), func(x, y string) int {
		return cmp.Or(strings.Compare(strings.ToLower(x), strings.ToLower(y)), strings.Compare(x, y))
	})
	l.spaces = append(l.spaces, slices.Sorted(maps.Keys(others))...)
	if old != nil {
		old.sorting.Lock()
		defer old.sorting.Unlock()
		for o, sorted := range old.orders {
			l.orders[o] = merge(sorted, fresh, o, l.plants)
		}
	}
	return l
}

// merge returns a sorted list brought up to date: without what is not current
// any more, with what is fresh.
func merge(sorted, fresh []*listing, o Order, current map[string]*listing) []*listing {
	fresh = slices.SortedFunc(slices.Values(fresh), o.compare)
	merged := make([]*listing, 0, len(current))
	for _, one := range sorted {
		if current[one.ID] != one {
			continue
		}
		for len(fresh) > 0 && o.compare(fresh[0], one) < 0 {
			merged, fresh = append(merged, fresh[0]), fresh[1:]
		}
		merged = append(merged, one)
	}
	return append(merged, fresh...)
}

func newListing(id string, p *care.PlantState, on time.Time, walk map[string]int) *listing {
	one := &listing{Listed: listed(id, p, on), state: p, name: strings.ToLower(p.Record.Name), walk: len(walk)}
	r := &p.Record
	one.words = strings.ToLower(r.Label + "\n" + r.Name + "\n" + r.Group + "\n" + r.Space)
	if i, ok := walk[strings.ToLower(r.Space)]; ok {
		one.walk = i
	}
	return one
}
