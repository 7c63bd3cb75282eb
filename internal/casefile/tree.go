package casefile

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// A node is one value of the file with the place where it was written: a
// table with its entries, a list with its elements, or a single value.
type node struct {
	kind   unstable.Kind // Table, Array, or the kind of a single value
	at     int           // offset of the value, or of a table's header
	text   string        // a string without its quotes; any other value as written
	inside []*node       // entries of a table, elements of a list

	key    string // the key it stands under; empty in a list
	keyAt  int
	number int // its place in a list, from 1; 0 under a key
	parent *node

	origin origin
	byKey  map[string]*node // filled once a table has many entries
}

// origin says how a table or list came about, which decides whether later
// lines may add to it.
type origin uint8

const (
	implied origin = iota // only named on the way to another table
	headed                // [table] or [[table]]
	dotted                // a.b = …
	inline                // { … } or [ … ]
)

// newNode takes a node from a block, so that a large file needs few allocations.
func (f *file) newNode(n node) *node {
	if len(f.nodes) == 0 {
		f.nodes = make([]node, 256)
	}
	f.nodes[0] = n
	taken := &f.nodes[0]
	f.nodes = f.nodes[1:]
	return taken
}

// entry returns the entry of a table under a key, or nil.
func (n *node) entry(key string) *node {
	if n.byKey != nil {
		return n.byKey[key]
	}
	for _, e := range n.inside {
		if e.key == key {
			return e
		}
	}
	return nil
}

// add puts an entry into a table or an element into a list.
func (n *node) add(child *node) *node {
	child.parent = n
	n.inside = append(n.inside, child)
	if n.kind == unstable.Array {
		child.number = len(n.inside)
		return child
	}
	const many = 24 // more entries than any table has keys
	switch {
	case n.byKey != nil:
		n.byKey[child.key] = child
	case len(n.inside) > many:
		n.byKey = make(map[string]*node, 2*many)
		for _, e := range n.inside {
			n.byKey[e.key] = e
		}
	}
	return child
}

// path names a value as messages do: plant[2].repot.date.
func (n *node) path() string {
	if n == nil || n.parent == nil {
		return ""
	}
	before := n.parent.path()
	switch {
	case n.number > 0:
		return before + "[" + strconv.Itoa(n.number) + "]"
	case before == "":
		return keyText(n.key)
	default:
		return before + "." + keyText(n.key)
	}
}

// title names a table as its header is written: [[plant]], [plant.repot].
func (n *node) title() string {
	if n.parent == nil {
		return "the file"
	}
	var keys []string
	for t := n; t.parent != nil; t = t.parent {
		if t.number == 0 {
			keys = append([]string{keyText(t.key)}, keys...)
		}
	}
	name := strings.Join(keys, ".")
	if n.number > 0 {
		return "[[" + name + "]]"
	}
	return "[" + name + "]"
}

// keyText writes a key as TOML does, shortened.
func keyText(key string) string {
	bare := key != ""
	for _, c := range key {
		bare = bare && (c == '_' || c == '-' || '0' <= c && c <= '9' || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z')
	}
	if bare && len(key) <= 40 {
		return key
	}
	return excerpt(key)
}

// found says what stands where something else was expected.
func (n *node) found() string {
	switch n.kind {
	case unstable.Table:
		return "a table"
	case unstable.Array:
		return "a list"
	case unstable.String:
		return excerpt(n.text)
	case unstable.LocalDate, unstable.LocalTime, unstable.LocalDateTime, unstable.DateTime:
		return fmt.Sprintf("the date or time %s", n.text)
	default:
		return n.text
	}
}
