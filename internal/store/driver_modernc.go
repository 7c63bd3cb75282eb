//go:build !(race && cgo)

package store

import (
	"errors"
	"net/url"
	"strings"

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

// busy reports whether another connection holds the lock that was asked for.
func busy(err error) bool {
	var e *sqlite.Error
	return errors.As(err, &e) && e.Code()&0xff == sqliteBusy
}

// notADatabase reports whether a file has no readable SQLite header.
func notADatabase(err error) bool {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code()&0xff == sqliteNotADB
	}
	return err != nil && strings.Contains(err.Error(), "file is not a database")
}
