package casefile

import (
	"strings"

	"velamen/internal/culture"
)

// A dictionary knows the names that growers use for one sort of thing. The case
// keeps a name as it was written; a dictionary only says whether it means
// something.
type dictionary struct {
	about string
	check func(t culture.Table, name string) error
}

var (
	groupNames    = dictionary{"group", func(t culture.Table, name string) error { _, err := t.Lookup(name); return err }}
	mediumNames   = dictionary{"medium", func(t culture.Table, name string) error { _, err := t.Medium(name); return err }}
	materialNames = dictionary{"container", func(t culture.Table, name string) error { _, err := t.Container(name); return err }}
	mountNames    = dictionary{"mount", func(t culture.Table, name string) error { _, err := t.Mount(name); return err }}
	pestNames     = dictionary{"pest", func(t culture.Table, name string) error { _, err := t.Pest(name); return err }}
)

// names looks names up and remembers them, since a collection repeats few.
type names struct {
	table   culture.Table
	known   map[[2]string]bool // by dictionary and name as written
	unknown int
}

// named reads a name that a dictionary must know.
func (f *file) named(v *node, d dictionary, into *string) {
	var text string
	if f.text(v, &text) && f.means(v.at, v, text, d) {
		*into = text
	}
}

// means reports whether a dictionary knows a name, and notes a problem at an
// offset otherwise.
func (f *file) means(at int, v *node, name string, d dictionary) bool {
	const patience = 200 // unknown names; each is compared with the whole table
	key := [2]string{d.about, name}
	if f.names.known[key] {
		return true
	}
	if f.names.unknown >= patience {
		f.say(at, v, "no %s is called %s", d.about, excerpt(name))
		return false
	}
	if err := d.check(f.names.table, name); err != nil {
		f.names.unknown++
		f.say(at, v, "%s", trimSubject(err))
		return false
	}
	if f.names.known == nil {
		f.names.known = map[[2]string]bool{}
	}
	f.names.known[key] = true
	return true
}

// trimSubject drops the package that an error names first, as in "light: …".
func trimSubject(err error) string {
	text := err.Error()
	if subject, rest, ok := strings.Cut(text, ": "); ok && strings.IndexFunc(subject, func(r rune) bool { return r < 'a' || r > 'z' }) < 0 {
		return rest
	}
	return text
}
