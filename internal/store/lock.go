package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
)

// lock is held by the one process that may write a collection. It is an empty
// SQLite file beside the collection with an exclusive lock on it: the
// operating system releases that when the process ends, however it ends, and
// SQLite knows how to do it on every system.
type lock struct {
	db   *sql.DB
	conn *sql.Conn
}

// LockName returns the name of the lock file of a collection.
func LockName(path string) string { return path + ".lock" }

// takeLock takes the lock of a collection or returns ErrInUse.
func takeLock(ctx context.Context, path string) (*lock, error) {
	f, err := os.OpenFile(LockName(path), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, fmt.Errorf("making the lock file: %w", err)
	}
	// Closing a file drops the locks its process holds on it, so it must not
	// stay open beside SQLite's.
	if err := f.Close(); err != nil {
		return nil, fmt.Errorf("making the lock file: %w", err)
	}
	db, err := connect(LockName(path), locking, 1)
	if err != nil {
		return nil, fmt.Errorf("opening the lock file: %w", err)
	}
	l := &lock{db: db}
	if l.conn, err = db.Conn(ctx); err == nil {
		_, err = l.conn.ExecContext(ctx, "BEGIN EXCLUSIVE")
	}
	if err != nil {
		err = errors.Join(err, l.release())
		if busy(err) {
			return nil, fmt.Errorf("%s: %w", path, ErrInUse)
		}
		return nil, fmt.Errorf("locking %s: %w", path, err)
	}
	return l, nil
}

func (l *lock) release() error {
	if l == nil {
		return nil
	}
	var err error
	if l.conn != nil {
		err = l.conn.Close()
	}
	return errors.Join(err, l.db.Close())
}
