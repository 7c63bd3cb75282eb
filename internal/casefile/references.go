package casefile

import (
	"strings"
	"unicode"
)

// namedKind is what a name belongs to, as messages call it.
type namedKind string

const (
	aSpace namedKind = "a space"
	aWater namedKind = "a water"
	aFeed  namedKind = "a feed"
	aPlant namedKind = "a plant"
)

// references are the names a file defines and those it uses. Tables may come in
// any order, so uses are checked at the end. Capitals make no difference.
type references struct {
	defined   map[namedKind]map[string]definition // by folded name
	inOrder   map[namedKind][]string
	uses      []use
	strengths []strength
}

type definition struct {
	name string
	node *node
}

type use struct {
	kind namedKind
	name *string // set to the spelling of the definition
	node *node
}

// folded returns a name with each letter replaced by the first of those that
// strings.EqualFold takes for the same.
func folded(name string) string {
	return strings.Map(func(r rune) rune {
		first := r
		for other := unicode.SimpleFold(r); other != r; other = unicode.SimpleFold(other) {
			first = min(first, other)
		}
		return first
	}, name)
}

// capitals says so when a name was defined with other capitals.
func capitals(first *node, name string) string {
	if strings.TrimSpace(first.text) == name {
		return ""
	}
	return "; capitals do not tell two names apart"
}

// define remembers a name; it returns the earlier node of that name, if any.
func (r *references) define(k namedKind, name string, at *node) (earlier *node, fresh bool) {
	if r.defined == nil {
		r.defined = map[namedKind]map[string]definition{}
		r.inOrder = map[namedKind][]string{}
	}
	if r.defined[k] == nil {
		r.defined[k] = map[string]definition{}
	}
	if earlier, ok := r.defined[k][folded(name)]; ok {
		return earlier.node, false
	}
	r.defined[k][folded(name)] = definition{name, at}
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
		f.say(table.entry("name").at, table.entry("name"), "%s is already called %s on line %d%s", k, excerpt(name), f.line(first.at), capitals(first, name))
	}
}

// refer reads the name of a space, water or feed that the file must define.
func (f *file) refer(k namedKind, v *node, into *string) {
	if f.text(v, into) {
		f.spoken.uses = append(f.spoken.uses, use{k, into, v})
	}
}

// checkReferences notes names that are used and defined nowhere, and gives the
// others the spelling of their definition.
func (f *file) checkReferences() {
	for _, u := range f.spoken.uses {
		if defined, ok := f.spoken.defined[u.kind][folded(*u.name)]; ok {
			*u.name = defined.name
			continue
		}
		f.suggest(u.node.at, u.node, *u.name, f.spoken.inOrder[u.kind], "the file defines no %s called %s", strings.TrimPrefix(string(u.kind), "a "), excerpt(*u.name))
	}
}
