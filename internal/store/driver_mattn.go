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

// busy reports whether another connection holds the lock that was asked for.
func busy(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && int(e.Code) == sqliteBusy
}

// notADatabase reports whether a file has no readable SQLite header.
func notADatabase(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && int(e.Code) == sqliteNotADB
}
