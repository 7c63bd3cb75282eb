package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
)

// WriteFile writes a file so that a crash leaves the old content or the new
// one, never a part: into a temporary file beside it, onto the disk, then under
// its name. An existing file is an error unless replace is set.
func WriteFile(path string, replace bool, fill func(w io.Writer) error) (err error) {
	if _, err := os.Lstat(path); err == nil && !replace {
		return fmt.Errorf("%s: %w", path, ErrExists)
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".velamen-*")
	if err != nil {
		return fmt.Errorf("making a temporary file: %w", err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err = fill(f); err != nil {
		return err
	}
	if err = errors.Join(f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err = os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder puts the names in a folder onto the disk.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil // a folder cannot be opened for this there, and need not be
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncFile puts a file that another library wrote onto the disk.
func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// removeCollection removes a collection that was not finished.
func removeCollection(path string) error {
	var errs []error
	for _, suffix := range []string{"", "-wal", "-shm", "-journal", ".lock"} {
		if err := os.Remove(path + suffix); !errors.Is(err, os.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}
