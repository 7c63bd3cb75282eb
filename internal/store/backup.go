package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
)

// Backup writes a copy of a collection, as it stands at one moment, that is
// itself an ordinary collection with its photographs beside it. Another
// process may be writing meanwhile. The copy is on the disk and verified
// before it gets its name; sessions stay behind. An existing file is never
// overwritten.
//
// Photographs that are damaged or missing do not stop a backup: they are listed
// in the report. Any other damage does, and nothing is written.
func Backup(ctx context.Context, from, to string, progress Progress) (Report, error) {
	if err := mustBeFree(to); err != nil {
		return Report{}, err
	}
	c, r, err := stage(ctx, from, to, progress)
	if err != nil {
		return r, err
	}
	defer os.RemoveAll(c.folder)
	return r, c.install(to)
}

// Restore makes a collection from a backup. An existing collection is kept
// aside when replace is set, and is otherwise ErrExists; the name it was given
// is returned.
func Restore(ctx context.Context, backup, to string, replace bool, now time.Time, progress Progress) (r Report, aside string, err error) {
	err = mustBeFree(to)
	if errors.Is(err, ErrExists) && replace {
		aside, err = setAsideName(to, now), nil
	}
	if err != nil {
		return Report{}, "", err
	}
	c, r, err := stage(ctx, backup, to, progress)
	if err != nil {
		return r, "", err
	}
	defer os.RemoveAll(c.folder)
	l, err := takeLock(ctx, to)
	if err != nil {
		return r, "", err
	}
	defer func() { err = errors.Join(err, l.release()) }()
	if aside != "" {
		if err := setAside(ctx, to, aside); err != nil {
			return r, "", err
		}
	}
	return r, aside, c.install(to)
}

func mustBeFree(path string) error {
	for _, name := range []string{path, PhotoFolder(path)} {
		if _, err := os.Lstat(name); err == nil {
			return fmt.Errorf("%s: %w", name, ErrExists)
		} else if !errors.Is(err, os.ErrNotExist) {
			return err
		}
	}
	return nil
}

// copied is a finished copy that waits for its name, in a folder beside it.
type copied struct{ folder string }

func (c copied) collection() string { return filepath.Join(c.folder, "collection") }

// install gives the copy its name. The database comes last: where it is, the
// photographs are.
func (c copied) install(to string) error {
	if err := os.Rename(PhotoFolder(c.collection()), PhotoFolder(to)); err != nil {
		return err
	}
	if err := os.Rename(c.collection(), to); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(to))
}

// stage copies a collection into a new folder beside its future place and
// verifies the copy.
func stage(ctx context.Context, from, to string, progress Progress) (c copied, r Report, err error) {
	if from, err = find(from); err != nil {
		return c, r, err
	}
	if _, err := inspect(ctx, from); err != nil {
		return c, r, err
	}
	if c.folder, err = os.MkdirTemp(filepath.Dir(to), ".velamen-*"); err != nil {
		return c, r, fmt.Errorf("making a folder for the copy: %w", err)
	}
	defer func() {
		if err != nil {
			os.RemoveAll(c.folder)
		}
	}()
	progress.tell("copying the journal", 0, 0)
	if err = copyDatabase(ctx, from, c.collection()); err != nil {
		return c, r, err
	}
	if err = c.copyPhotos(ctx, from, progress); err != nil {
		return c, r, err
	}
	if r, err = Verify(ctx, c.collection(), progress); err != nil {
		return c, r, err
	}
	if len(r.Damage) > 0 {
		return c, r, fmt.Errorf("nothing was written, because %s is damaged: %w", from, &r.Damage[0])
	}
	return c, r, os.Chmod(c.collection(), 0o600)
}

// copyDatabase copies the tables as they stand at one moment, without sessions.
func copyDatabase(ctx context.Context, from, to string) error {
	source, err := connect(from, copying, 1)
	if err != nil {
		return err
	}
	defer source.Close()
	if _, err := source.ExecContext(ctx, "VACUUM INTO ?", to); err != nil {
		return fmt.Errorf("copying the journal: %w", err)
	}
	version, err := pragmaNumber(ctx, source, "user_version")
	if err != nil {
		return err
	}
	copy, err := connect(to, copying, 1)
	if err != nil {
		return err
	}
	defer copy.Close()
	statements := []string{"PRAGMA secure_delete = 1"}
	if version >= 3 {
		statements = append(statements, "DELETE FROM session")
	}
	for _, statement := range statements {
		if _, err := copy.ExecContext(ctx, statement); err != nil {
			return fmt.Errorf("copying the journal: %w", err)
		}
	}
	return errors.Join(copy.Close(), syncFile(to))
}

// copyPhotos copies every sound photograph that the copied tables list.
func (c copied) copyPhotos(ctx context.Context, from string, progress Progress) error {
	folder := PhotoFolder(c.collection())
	if err := os.Mkdir(folder, 0o700); err != nil {
		return err
	}
	s, err := OpenReading(ctx, c.collection(), time.Now)
	if err != nil {
		return err
	}
	defer s.Close()
	var list []Photo
	for p, err := range s.Photos(ctx) {
		if err != nil {
			return fmt.Errorf("listing photographs: %w", err)
		}
		list = append(list, p)
	}
	for i, p := range list {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("stopped: %w", err)
		}
		progress.tell("copying photographs", i+1, len(list))
		content, err := readPhoto(p, from)
		if err != nil {
			continue // it will be missing from the copy, and the report says so
		}
		err = WriteFile(p.file(c.collection()), false, func(w io.Writer) error {
			_, err := w.Write(content)
			return err
		})
		if err != nil {
			return err
		}
	}
	return errors.Join(s.Close(), syncFolder(folder))
}

// setAside renames a collection that another is about to replace. Its
// write-ahead log is worked in first; a file too damaged for that keeps its log
// beside it.
func setAside(ctx context.Context, path, aside string) error {
	if err := mustBeFree(aside); err != nil {
		return err
	}
	if db, err := connect(path, copying, 1); err == nil {
		_, _ = db.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
		db.Close()
	}
	for _, suffix := range []string{"", "-wal", ".photos"} {
		if err := os.Rename(path+suffix, aside+suffix); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("keeping the old collection aside: %w", err)
		}
	}
	if err := os.Remove(path + "-shm"); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}
