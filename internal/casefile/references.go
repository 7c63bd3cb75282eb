package casefile

import "strings"

// namedKind is what a name belongs to, as messages call it.
type namedKind string

const (
	aSpace namedKind = "a space"
	aWater namedKind = "a water"
	aFeed  namedKind = "a feed"
	aPlant namedKind = "a plant"
)

// references are the names a file defines and those it uses. Tables may come in
// any order, so uses are checked at the end.
type references struct {
	defined map[namedKind]map[string]*node
	inOrder map[namedKind][]string
	uses    []use
}

type use struct {
	kind namedKind
	name string
	node *node
}

// define remembers a name; it returns the earlier node of that name, if any.
func (r *references) define(k namedKind, name string, at *node) (earlier *node, fresh bool) {
	if r.defined == nil {
		r.defined = map[namedKind]map[string]*node{}
		r.inOrder = map[namedKind][]string{}
	}
	if r.defined[k] == nil {
		r.defined[k] = map[string]*node{}
	}
	if earlier, ok := r.defined[k][name]; ok {
		return earlier, false
	}
	r.defined[k][name] = at
	r.inOrder[k] = append(r.inOrder[k], name)
	return nil, true
}

// define remembers the name of a space, water or feed.
func (f *file) define(k namedKind, table *node, name string) {
	if name == "" {
		if e := table.entry("name"); e == nil {
			f.missing(table, "the name is missing: plants and routines refer to "+string(k)+" by its name")
		}
		return
	}
	if first, ok := f.spoken.define(k, name, table.entry("name")); !ok {
		f.say(table.entry("name").at, table.entry("name"), "%s is already called %s on line %d", k, excerpt(name), f.line(first.at))
	}
}

// refer reads the name of a space, water or feed that the file must define.
func (f *file) refer(k namedKind, v *node, into *string) {
	if f.text(v, into) {
		f.spoken.uses = append(f.spoken.uses, use{k, *into, v})
	}
}

// checkReferences notes names that are used and defined nowhere, unless an
// unreadable line may define them.
func (f *file) checkReferences() {
	if f.broken {
		return
	}
	for _, u := range f.spoken.uses {
		if f.spoken.defined[u.kind][u.name] == nil {
			f.suggest(u.node.at, u.node, u.name, f.spoken.inOrder[u.kind], "the file defines no %s called %s", strings.TrimPrefix(string(u.kind), "a "), excerpt(u.name))
		}
	}
}
