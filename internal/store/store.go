package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"
)

// Store is an open collection. Its methods may be called from several
// goroutines.
type Store struct {
	path  string
	now   func() time.Time
	lock  *lock
	write *sql.DB // one connection; nil when opened for reading
	read  *sql.DB

	looked sync.Map // spaces whose summaries were checked, by id
}

// Create makes a new collection and opens it. The file must not exist. now
// tells the time of recording.
func Create(ctx context.Context, path string, now func() time.Time) (*Store, error) {
	if err := errors.Join(ctx.Err(), mustNotBeUnfinished(path)); err != nil {
		return nil, err
	}
	if _, err := os.Lstat(path); err == nil {
		return nil, fmt.Errorf("%s: %w", path, ErrExists)
	}
	l, err := takeLock(ctx, path)
	if err != nil {
		return nil, err
	}
	// Made under another name, so that a kill leaves nothing that looks like a
	// collection and is none.
	fresh := path + ".new"
	err = makeNew(ctx, fresh, now)
	if _, there := os.Lstat(path); err == nil && there == nil {
		err = fmt.Errorf("%s: %w", path, ErrExists)
	}
	if err == nil {
		err = os.Rename(fresh, path)
	}
	err = errors.Join(err, removeCollection(fresh))
	if err == nil {
		err = syncFolder(filepath.Dir(path))
	}
	if err = errors.Join(err, l.release()); err != nil {
		return nil, err
	}
	return Open(ctx, path, now)
}

// makeNew makes a collection under a name that nobody else uses, in place of what
// a killed process left there.
func makeNew(ctx context.Context, path string, now func() time.Time) error {
	if err := removeCollection(path); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	if err != nil {
		return fmt.Errorf("making the file: %w", err)
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("making the file: %w", err)
	}
	s, err := open(ctx, path, now, true)
	if err != nil {
		return err
	}
	return errors.Join(s.SetMeta(ctx, "made", now().UTC().Format(time.RFC3339)), s.Close())
}

// Open opens a collection for writing and reading, and brings it to the newest
// schema. It returns ErrInUse when another process has done so.
func Open(ctx context.Context, path string, now func() time.Time) (*Store, error) {
	path, err := find(path)
	if err != nil {
		return nil, err
	}
	if _, err := inspect(ctx, path); err != nil {
		return nil, err
	}
	return open(ctx, path, now, false)
}

// OpenReading opens a collection for reading, also while another process
// writes it. A file of an earlier schema is brought up to date first.
func OpenReading(ctx context.Context, path string, now func() time.Time) (*Store, error) {
	path, err := find(path)
	if err != nil {
		return nil, err
	}
	version, err := inspect(ctx, path)
	if err != nil {
		return nil, err
	}
	if version < Version {
		s, err := open(ctx, path, now, false)
		if err != nil {
			return nil, err
		}
		if err := s.Close(); err != nil {
			return nil, err
		}
	}
	s := &Store{path: path, now: now}
	if err := s.openReaders(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// find returns the real name of a file that exists, so that the lock and the
// log of a file are the same whatever name it is called by.
func find(path string) (string, error) {
	real, err := filepath.EvalSymlinks(path)
	if errors.Is(err, os.ErrNotExist) {
		return "", fmt.Errorf("%s: %w", path, ErrMissing)
	}
	if err != nil {
		return "", err
	}
	info, err := os.Stat(real)
	if err != nil {
		return "", err
	}
	if info.IsDir() {
		return "", fmt.Errorf("%s is a folder: %w", path, ErrForeign)
	}
	return real, nil
}

// inspect returns the schema version of a file without changing anything in it.
func inspect(ctx context.Context, path string) (version int64, err error) {
	db, err := connect(path, reading.on(path), 1)
	if err != nil {
		return 0, err
	}
	defer db.Close()
	return identify(ctx, db, path)
}

// open opens a file that is a collection, or empty when it is new.
func open(ctx context.Context, path string, now func() time.Time, fresh bool) (s *Store, err error) {
	s = &Store{path: path, now: now}
	defer func() {
		if err != nil {
			s, err = nil, errors.Join(err, s.Close())
		}
	}()
	if s.lock, err = takeLock(ctx, path); err != nil {
		return s, err
	}
	if s.write, err = connect(path, writing, 1); err != nil {
		return s, err
	}
	if fresh {
		if _, err = s.write.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
			return s, fmt.Errorf("marking the file: %w", err)
		}
	}
	version, err := identify(ctx, s.write, path)
	if err != nil {
		return s, err
	}
	if version < Version {
		if err = migrate(ctx, s.write); err != nil {
			return s, err
		}
	}
	return s, s.openReaders(ctx)
}

func (s *Store) openReaders(ctx context.Context) (err error) {
	how := reading
	if s.lock == nil {
		how = reading.on(s.path)
	}
	if s.read, err = connect(s.path, how, max(4, runtime.GOMAXPROCS(0))); err != nil {
		return err
	}
	return checkSchema(ctx, s.read, s.path)
}

// Path returns the name of the file.
func (s *Store) Path() string { return s.path }

// Close closes the collection and gives up the lock.
func (s *Store) Close() error {
	var errs []error
	for _, db := range []*sql.DB{s.read, s.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	errs = append(errs, s.lock.release())
	return errors.Join(errs...)
}

// change runs f in one writing transaction: all of it or nothing.
func (s *Store) change(ctx context.Context, f func(tx *sql.Tx) error) error {
	if s.write == nil {
		return ErrReadOnly
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return unkept(err)
	}
	if err := f(tx); err != nil {
		// A context that ended, or a full disk, has rolled back already.
		if back := tx.Rollback(); !errors.Is(back, sql.ErrTxDone) {
			err = errors.Join(err, back)
		}
		return unkept(err)
	}
	return unkept(tx.Commit())
}

// SetMeta keeps a remark about the file itself.
func (s *Store) SetMeta(ctx context.Context, key, value string) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value", key, value)
		return err
	})
}

// stamp returns the time of recording as it is kept.
func (s *Store) stamp() time.Time { return s.now().UTC().Truncate(time.Microsecond) }
