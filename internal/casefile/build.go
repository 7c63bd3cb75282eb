package casefile

import (
	"bytes"

	"github.com/pelletier/go-toml/v2/unstable"
)

// deepest bounds the nesting of tables and lists. The deepest key of a case,
// plant.repot.to.pot.top, needs five; a file that goes far beyond is not one.
const deepest = 12

// A builder turns the expressions of a file, one after the other, into a tree.
type builder struct {
	file *file
	base int   // offset of the parser's input in the file
	root *node // the whole file
	here *node // the table that a key belongs to; nil after an unusable header

	path []step // of the key being read
}

// step is one part of a dotted key.
type step struct {
	key string
	at  int
}

// steps returns the parts of a key. They are valid until the next key is read.
func (b *builder) steps(keys unstable.Iterator) []step {
	b.path = b.path[:0]
	for keys.Next() {
		part := keys.Node()
		b.path = append(b.path, step{string(part.Data), b.base + int(part.Raw.Offset)})
	}
	return b.path
}

// header opens the table of a [table] or [[table]] line.
func (b *builder) header(e *unstable.Node) {
	steps := b.steps(e.Key())
	at := b.bracket(steps[0].at)
	b.here = nil
	if len(steps) > deepest {
		b.file.say(at, nil, "tables are nested deeper than any case file needs")
		return
	}
	table := b.root
	for _, s := range steps[:len(steps)-1] {
		next := table.entry(s.key)
		if next == nil {
			next = table.add(b.file.newNode(node{kind: unstable.Table, at: at, key: s.key, keyAt: s.at}))
		}
		if next.kind == unstable.Array && next.origin == headed {
			next = next.inside[len(next.inside)-1]
		}
		if next.kind != unstable.Table || next.origin == inline {
			b.file.say(s.at, next, "this was already written out on line %d; add the new entries there", b.file.line(next.keyAt))
			return
		}
		table = next
	}
	last := steps[len(steps)-1]
	old := table.entry(last.key)
	fresh := node{kind: unstable.Table, at: at, key: last.key, keyAt: last.at, origin: headed}
	switch {
	case e.Kind == unstable.ArrayTable && old == nil:
		list := fresh
		list.kind = unstable.Array
		old = table.add(b.file.newNode(list))
		fallthrough
	case e.Kind == unstable.ArrayTable && old.kind == unstable.Array && old.origin == headed:
		fresh.key = ""
		b.here = old.add(b.file.newNode(fresh))
	case e.Kind == unstable.Table && old == nil:
		b.here = table.add(b.file.newNode(fresh))
	case e.Kind == unstable.Table && old.kind == unstable.Table && old.origin == implied:
		old.at, old.keyAt, old.origin = at, last.at, headed
		b.here = old
	case e.Kind == unstable.Table && old.kind == unstable.Array:
		b.file.say(at, old, "write [[%s]] with two brackets, as on line %d", keyText(last.key), b.file.line(old.at))
	case old.kind == unstable.Table && old.parent == b.root:
		b.file.say(at, old, "this table is already on line %d; there can be one only", b.file.line(old.keyAt))
	default:
		b.file.say(at, old, "this was already given on line %d", b.file.line(old.keyAt))
	}
}

// bracket returns the offset of the bracket that opens a header, given its
// first key.
func (b *builder) bracket(keyAt int) int {
	line := bytes.LastIndexByte(b.file.data[:keyAt], '\n') + 1
	return line + bytes.IndexByte(b.file.data[line:keyAt], '[')
}

// keyValue adds a line key = value to a table.
func (b *builder) keyValue(table *node, e *unstable.Node, depth int) {
	steps := b.steps(e.Key())
	if depth+len(steps) > deepest {
		b.file.say(steps[0].at, table, "keys are nested deeper than any case file needs")
		return
	}
	for _, s := range steps[:len(steps)-1] {
		next := table.entry(s.key)
		if next == nil {
			next = table.add(b.file.newNode(node{kind: unstable.Table, at: s.at, key: s.key, keyAt: s.at, origin: dotted}))
		}
		if next.kind != unstable.Table || next.origin != dotted {
			b.file.say(s.at, next, "this was already given on line %d", b.file.line(next.keyAt))
			return
		}
		table = next
	}
	last := steps[len(steps)-1]
	if old := table.entry(last.key); old != nil {
		b.file.say(last.at, old, "this was already given on line %d", b.file.line(old.keyAt))
		return
	}
	entry := b.file.newNode(node{key: last.key, keyAt: last.at})
	table.add(entry)
	b.value(entry, e.Value(), b.valueAt(last.at), depth+len(steps)) // overwrites steps
}

// value fills a node from the parser's. Lists carry no offset of their own, so
// the caller tells where the value starts.
func (b *builder) value(into *node, v *unstable.Node, at, depth int) {
	into.kind, into.at, into.origin = v.Kind, at, inline
	if v.Raw.Length > 0 {
		into.at = b.base + int(v.Raw.Offset)
	}
	switch v.Kind {
	case unstable.Array:
		if depth >= deepest {
			b.file.say(into.at, into, "lists are nested deeper than any case file needs")
			return
		}
		for elements := v.Children(); elements.Next(); {
			b.value(into.add(b.file.newNode(node{keyAt: into.at})), elements.Node(), into.at, depth+1)
		}
	case unstable.InlineTable:
		into.kind = unstable.Table
		for entries := v.Children(); entries.Next(); {
			b.keyValue(into, entries.Node(), depth)
		}
	default:
		into.text = string(v.Data)
	}
}

// valueAt returns the offset of the value that follows a key.
func (b *builder) valueAt(keyAt int) int {
	data, at := b.file.data, keyAt
	quote := byte(0)
	for at < len(data) && (quote != 0 || data[at] != '=') {
		switch {
		case quote == '"' && data[at] == '\\':
			at++
		case data[at] == quote:
			quote = 0
		case quote == 0 && (data[at] == '"' || data[at] == '\''):
			quote = data[at]
		}
		at++
	}
	for at++; at < len(data) && (data[at] == ' ' || data[at] == '\t'); {
		at++
	}
	return min(at, len(data))
}
