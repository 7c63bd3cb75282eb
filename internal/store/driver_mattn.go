//go:build race && cgo

package store

import (
	"errors"
	"net/url"

	"github.com/mattn/go-sqlite3"
)

// driver is SQLite in C: under the race detector the one in Go is watched at
// every memory access and becomes too slow to test with.
const driver = "sqlite3"

// parameters writes the settings of a connection as this driver reads them.
func (s settings) parameters() url.Values {
	v := url.Values{"mode": {"rw"}}
	for _, p := range s.pragmas() {
		v.Set("_"+p.name, p.value)
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
	var e sqlite3.Error
	if errors.As(err, &e) {
		return int(e.Code) & 0xff
	}
	return 0
}
