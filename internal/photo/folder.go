package photo

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"os"
	"path"
	"runtime"
)

// Folder keeps files under the hash of their content. What was put in once
// never changes, so putting the same in again is harmless, and whatever is read
// is compared with its name. Its methods may be called from several goroutines
// and programs at once.
//
// A file with the hash abcd… lies in the folder ab under its whole hash. Names
// that begin with a dot are files that were being written when the program or
// the power stopped; they are never read and may be deleted.
type Folder struct {
	root *os.Root
}

var (
	// ErrNotAHash is the answer to a name that no file in a Folder can have.
	ErrNotAHash = errors.New("a file is named by 64 lower-case hexadecimal digits")
	// ErrMissing is the answer to the hash of a file that is not there.
	ErrMissing = fmt.Errorf("no such file in the folder of pictures: %w", fs.ErrNotExist)
)

// DamagedFile is a file whose content is no longer what it was.
type DamagedFile struct {
	Hash  string // its name, the hash it had
	Found string // the hash it has
	Size  int    // bytes
}

// Error names the file.
func (d *DamagedFile) Error() string {
	return fmt.Sprintf("the file %s in the folder of pictures is damaged: its %d bytes have the hash %s; restore it from a backup", d.Hash, d.Size, d.Found)
}

// OpenFolder opens the folder at a path, which it creates if need be.
func OpenFolder(at string) (*Folder, error) {
	if err := os.MkdirAll(at, 0o700); err != nil {
		return nil, fmt.Errorf("opening the folder of pictures: %w", err)
	}
	root, err := os.OpenRoot(at)
	if err != nil {
		return nil, fmt.Errorf("opening the folder of pictures: %w", err)
	}
	return &Folder{root}, nil
}

// Close lets go of the folder.
func (f *Folder) Close() error { return f.root.Close() }

// Put stores a file and returns its hash. When it returns without an error the
// file is safe on the disk, whole and under its name; a damaged file with the
// same hash has been replaced.
func (f *Folder) Put(content []byte) (hash string, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("storing a picture: %w", err)
		}
	}()
	hash = Hash(content)
	if _, err := f.Get(hash); err == nil {
		return hash, nil
	}
	drawer := hash[:2]
	switch err := f.root.Mkdir(drawer, 0o700); {
	case err == nil:
		if err := f.sync("."); err != nil {
			return "", err
		}
	case !errors.Is(err, fs.ErrExist):
		return "", err
	}
	unfinished := path.Join(drawer, "."+rand.Text())
	if err := f.write(unfinished, content); err != nil {
		return "", errors.Join(err, f.discard(unfinished))
	}
	if err := f.root.Rename(unfinished, path.Join(drawer, hash)); err != nil {
		return "", errors.Join(err, f.discard(unfinished))
	}
	return hash, f.sync(drawer)
}

// write makes a new file and waits until it is on the disk.
func (f *Folder) write(name string, content []byte) error {
	file, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = file.Write(content)
	if err == nil {
		err = file.Sync()
	}
	return errors.Join(err, file.Close())
}

func (f *Folder) discard(name string) error {
	if err := f.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// sync waits until the names in a folder are on the disk.
func (f *Folder) sync(name string) error {
	if runtime.GOOS == "windows" {
		return nil // which cannot, and keeps names in a journal of its own
	}
	folder, err := f.root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}

// Get returns the file with the hash, after comparing it. Errors: ErrNotAHash,
// ErrMissing, a *DamagedFile, or what the disk said.
func (f *Folder) Get(hash string) ([]byte, error) {
	if !isHash(hash) {
		return nil, ErrNotAHash
	}
	content, err := f.root.ReadFile(path.Join(hash[:2], hash))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, ErrMissing
	case err != nil:
		return nil, fmt.Errorf("reading a picture: %w", err)
	}
	if found := Hash(content); found != hash {
		return nil, &DamagedFile{Hash: hash, Found: found, Size: len(content)}
	}
	return content, nil
}

// Hashes goes through the names of all files in order, for backups and for
// looking whether each can still be read with Get.
func (f *Folder) Hashes() iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		drawers, err := fs.ReadDir(f.root.FS(), ".")
		if err != nil {
			yield("", fmt.Errorf("listing the folder of pictures: %w", err))
			return
		}
		for _, drawer := range drawers {
			if !drawer.IsDir() {
				continue
			}
			files, err := fs.ReadDir(f.root.FS(), drawer.Name())
			if err != nil && !yield("", fmt.Errorf("listing the folder of pictures: %w", err)) {
				return
			}
			for _, file := range files {
				// A file in the wrong drawer is none that Get would find.
				if hash := file.Name(); isHash(hash) && hash[:2] == drawer.Name() && !yield(hash, nil) {
					return
				}
			}
		}
	}
}

// isHash reports whether a name is one that Hash could have returned. It keeps
// out every path that would lead somewhere else.
func isHash(name string) bool {
	if len(name) != 64 {
		return false
	}
	for _, c := range []byte(name) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}
