//go:build !(race && cgo)

package store

import (
	"errors"
	"net/url"

	"modernc.org/sqlite"
)

// driver is SQLite in Go alone: the binary needs no C library.
const driver = "sqlite"

// parameters writes the settings of a connection as this driver reads them.
func (s settings) parameters() url.Values {
	v := url.Values{"mode": {"rw"}}
	for _, p := range s.pragmas() {
		v.Add("_pragma", p.name+"("+p.value+")")
	}
	if s.still {
		v.Set("immutable", "1")
	}
	if s.immediate {
		v.Set("_txlock", "immediate")
	}
	return v
}

// codeOf returns the result code of SQLite that an error carries, 0 when none.
func codeOf(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}
