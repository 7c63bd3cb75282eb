package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
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
func Backup(ctx context.Context, from, to string, progress Progress) (r Report, err error) {
	if err := mustBeFree(to); err != nil {
		return Report{}, err
	}
	c, r, err := stage(ctx, from, to, progress)
	if err != nil {
		return r, err
	}
	defer func() { err = errors.Join(err, c.remove()) }()
	return r, c.install(to)
}

// Restore makes a collection from a backup. An existing collection is kept
// aside when replace is set, and is otherwise ErrExists; the name it was given
// is returned.
func Restore(ctx context.Context, backup, to string, replace bool, now time.Time, progress Progress) (r Report, aside string, err error) {
	err = mustBeFree(to)
	if errors.Is(err, ErrExists) && replace {
		aside, err = setAsideName(to, now)
	}
	if err != nil {
		return Report{}, "", err
	}
	c, r, err := stage(ctx, backup, to, progress)
	if err != nil {
		return r, "", err
	}
	defer func() { err = errors.Join(err, c.remove()) }()
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

// copied is a finished copy that waits for its name, in a folder beside it. The
// lock tells it from one whose process was killed.
type copied struct {
	folder string
	lock   *lock
}

// copiesPattern is what the folders of unfinished copies are called.
const copiesPattern = ".velamen-copy-*"

// remove removes what is left of the copy: while it is locked, so that nobody
// begins anything in it, and then what could not be removed because of the lock.
func (c copied) remove() error {
	_ = os.RemoveAll(c.folder)
	return errors.Join(c.lock.release(), os.RemoveAll(c.folder))
}

// sweep removes copies in a folder that were never finished, because the process
// that made them was killed, if need be before it had locked them.
func sweep(ctx context.Context, folder string) error {
	names, err := filepath.Glob(filepath.Join(folder, copiesPattern))
	if err != nil {
		return err
	}
	for _, name := range names {
		c := copied{folder: name}
		if c.lock, err = takeLock(ctx, c.making()); err != nil {
			continue // it is being made
		}
		if err := c.remove(); err != nil {
			return fmt.Errorf("removing a copy that was never finished: %w", err)
		}
	}
	return nil
}

func (c copied) collection() string { return filepath.Join(c.folder, "collection") }

// making is what the lock of an unfinished copy is called after.
func (c copied) making() string { return filepath.Join(c.folder, "making") }

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
	if err := sweep(ctx, filepath.Dir(to)); err != nil {
		return c, r, err
	}
	if c, err = newCopy(ctx, filepath.Dir(to)); err != nil {
		return c, r, err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, c.remove())
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

// newCopy makes and locks a folder for a copy. Until it is locked another process
// may sweep it away; then another one is made.
func newCopy(ctx context.Context, folder string) (c copied, err error) {
	const tries = 3
	for range tries {
		if c.folder, err = os.MkdirTemp(folder, copiesPattern); err != nil {
			return c, fmt.Errorf("making a folder for the copy: %w", err)
		}
		if c.lock, err = takeLock(ctx, c.making()); !errors.Is(err, ErrInUse) && !errors.Is(err, os.ErrNotExist) {
			break
		}
	}
	if err != nil {
		err = errors.Join(err, c.remove())
	}
	return c, err
}

// copyDatabase copies the tables as they stand at one moment, without sessions.
func copyDatabase(ctx context.Context, from, to string) error {
	source, err := connect(from, copying.on(from), 1)
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
	if _, err := os.Lstat(path); err != nil {
		// Only its photographs are left; opening it would make a file.
	} else if db, err := connect(path, copying, 1); err == nil {
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

// asideMark stands between the name of a collection and the time at which
// another took its place.
const asideMark = ".before-"

// setAsideName is what an old collection is renamed to when another takes its
// place.
func setAsideName(path string, now time.Time) (string, error) {
	name := path + asideMark + now.UTC().Format("20060102T150405Z")
	free := name
	for n := 2; ; n++ {
		err := mustBeFree(free)
		if !errors.Is(err, ErrExists) {
			return free, err
		}
		free = fmt.Sprintf("%s-%d", name, n)
	}
}

// mustNotBeUnfinished refuses a name under which a restore was cut off: a new,
// empty collection there would look like the loss of the old one.
func mustNotBeUnfinished(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return nil
	}
	kept, err := filepath.Glob(escapeGlob(path) + asideMark + "*")
	if err != nil {
		return err
	}
	if _, err := os.Lstat(PhotoFolder(path)); err == nil {
		kept = append(kept, PhotoFolder(path))
	}
	if len(kept) == 0 {
		return nil
	}
	return fmt.Errorf("there is no %s, but there is %s: %w", path, kept[0], ErrUnfinished)
}

// escapeGlob takes their meaning from the marks that patterns of names have.
func escapeGlob(path string) string {
	return strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(path)
}
