package store

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Result codes of SQLite (sqlite.org/rescode.html).
const (
	sqliteBusy     = 5
	sqliteReadOnly = 8
	sqliteIO       = 10
	sqliteFull     = 13
	sqliteCantOpen = 14
	sqliteNotADB   = 26
)

// busy reports whether another connection holds the lock that was asked for.
func busy(err error) bool { return codeOf(err) == sqliteBusy }

// notADatabase reports whether a file has no readable SQLite header.
func notADatabase(err error) bool {
	return codeOf(err) == sqliteNotADB || err != nil && strings.Contains(err.Error(), "file is not a database")
}

// settings are those of one kind of connection.
type settings struct {
	wait      time.Duration // for a lock that another connection holds
	durable   bool          // write-ahead log, on the disk at every commit
	immediate bool          // transactions take the write lock when they begin
	readOnly  bool
	still     bool // nobody can be writing: read without a lock and without a file beside it
}

var (
	writing = settings{wait: 5 * time.Second, durable: true, immediate: true}
	reading = settings{wait: 5 * time.Second, readOnly: true}
	copying = settings{wait: 5 * time.Second}
	locking = settings{}
)

type pragma struct{ name, value string }

// pragmas are the settings in words that both drivers know.
func (s settings) pragmas() []pragma {
	list := []pragma{{"busy_timeout", strconv.FormatInt(s.wait.Milliseconds(), 10)}, {"foreign_keys", "1"}}
	if s.durable {
		list = append(list, pragma{"journal_mode", "WAL"}, pragma{"synchronous", "FULL"})
	}
	if s.readOnly {
		list = append(list, pragma{"query_only", "1"})
	}
	return list
}

// on returns the settings for reading a file where it lies. Readers of a
// write-ahead log keep an index of it in a file beside it; where the folder cannot
// be written that cannot be, and need not: nobody writes.
func (s settings) on(path string) settings {
	for _, suffix := range []string{"-wal", "-shm"} {
		if there, err := os.Stat(path + suffix); err == nil && there.Size() > 0 {
			return s // it is in use, or was; SQLite knows what it needs
		}
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".velamen-*")
	if err != nil {
		s.still = true
		return s
	}
	f.Close()
	os.Remove(f.Name())
	return s
}

// connect returns a pool of at most the given number of connections to a file
// that exists.
func connect(path string, s settings, most int) (*sql.DB, error) {
	absolute, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	slashed := filepath.ToSlash(absolute)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // a drive letter
	}
	address := url.URL{Scheme: "file", Path: slashed, RawQuery: s.parameters().Encode()}
	db, err := sql.Open(driver, address.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(most)
	db.SetMaxIdleConns(most)
	return db, nil
}

// pragmaNumber asks for a setting that is a whole number.
func pragmaNumber(ctx context.Context, db *sql.DB, name string) (int64, error) {
	var n int64
	if err := db.QueryRowContext(ctx, "PRAGMA "+name).Scan(&n); err != nil {
		return 0, fmt.Errorf("reading %s: %w", name, err)
	}
	return n, nil
}
