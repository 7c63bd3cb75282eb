package casefile

import (
	"github.com/pelletier/go-toml/v2/unstable"
)

// A field is one key of a table and how its value is read into a T.
type field[T any] struct {
	key  string
	read func(f *file, v *node, into *T)
}

// fields are the keys of one kind of table, in the order in which a grower would
// tell them.
type fields[T any] []field[T]

// read reads the entries of a table into a T and notes the unknown ones.
func (known fields[T]) read(f *file, table *node, into *T) {
next:
	for _, entry := range table.inside {
		for i := range known {
			if known[i].key == entry.key {
				known[i].read(f, entry, into)
				continue next
			}
		}
		keys := make([]string, len(known))
		for i := range known {
			keys[i] = known[i].key
		}
		f.suggest(entry.keyAt, entry, entry.key, keys, "unknown key %s in %s", excerpt(entry.key), table.title())
	}
}

// readTable reads a table that may stand once.
func readTable[T any](f *file, v *node, known fields[T], into *T) bool {
	switch {
	case v.kind == unstable.Array && v.origin == headed:
		f.say(v.at, v, "write %s with single brackets: there can be one only", v.title())
		return false
	case v.kind != unstable.Table:
		f.say(v.at, v, "found %s; a table { … } is expected here", v.found())
		return false
	}
	known.read(f, v, into)
	return true
}

// readTables reads each table of a list, up to a limit.
func readTables[T any](f *file, v *node, limit int, read func(f *file, table *node, into *T)) []T {
	switch {
	case v.kind == unstable.Table && v.origin != inline:
		f.say(v.at, v, "write [[%s]] with two brackets on each side: there can be several", keyText(v.key))
		return nil
	case v.kind != unstable.Array:
		f.say(v.at, v, "found %s; tables under [[%s]] are expected here", v.found(), keyText(v.key))
		return nil
	case len(v.inside) > limit:
		f.say(v.inside[limit].at, v.inside[limit], "the file has %d of these; the most that is read is %d", len(v.inside), limit)
		return nil
	}
	list := make([]T, len(v.inside))
	for i, table := range v.inside {
		if table.kind != unstable.Table {
			f.say(table.at, table, "found %s; a table is expected here", table.found())
			continue
		}
		read(f, table, &list[i])
	}
	return list
}

// missing notes an entry that a table must have, unless an unreadable line may
// have held it.
func (f *file) missing(table *node, what string) {
	if !f.broken {
		f.say(table.at, table, "%s", what)
	}
}
