package store

import (
	"errors"
	"fmt"
	"slices"
	"syscall"
)

var (
	// ErrNotFound says that nothing is kept under a name.
	ErrNotFound = errors.New("not found")
	// ErrMissing says that there is no such file.
	ErrMissing = errors.New("there is no such file")
	// ErrExists says that a file would have been overwritten.
	ErrExists = errors.New("the file exists already")
	// ErrInUse says that another process writes the file.
	ErrInUse = errors.New("the collection is open in another velamen; stop that one first")
	// ErrForeign says that a file is no collection.
	ErrForeign = errors.New("this is not a velamen collection")
	// ErrUnfinished says that a restore was cut off before the collection had its
	// name.
	ErrUnfinished = errors.New("a restore was cut off here; restore the backup again with --replace, or move what is left elsewhere")
	// ErrReadOnly says that a collection was opened for reading.
	ErrReadOnly = errors.New("the collection was opened for reading only")
	// ErrDiskFull says that a disk has no room for what was to be kept.
	ErrDiskFull = errors.New("the disk is full")
	// ErrDiskReadOnly says that a disk takes nothing.
	ErrDiskReadOnly = errors.New("the disk cannot be written")
	// ErrDiskFails says that a disk did not do as it was asked.
	ErrDiskFails = errors.New("the disk fails")
	// ErrLocked says that another program held the collection for longer than was
	// waited.
	ErrLocked = errors.New("another program holds the collection")
)

// unkept names why something could not be kept, where the disk or another program
// is to blame: whoever sent it can do something about that.
func unkept(err error) error {
	for _, one := range []struct {
		kind   error
		codes  []int
		system []syscall.Errno
	}{
		{ErrDiskFull, []int{sqliteFull}, []syscall.Errno{syscall.ENOSPC, syscall.EDQUOT}},
		{ErrDiskReadOnly, []int{sqliteReadOnly, sqliteCantOpen}, []syscall.Errno{syscall.EROFS, syscall.EACCES, syscall.EPERM}},
		{ErrDiskFails, []int{sqliteIO}, []syscall.Errno{syscall.EIO}},
		{ErrLocked, []int{sqliteBusy}, nil},
	} {
		if errors.Is(err, one.kind) {
			return err
		}
		if slices.Contains(one.codes, codeOf(err)) || slices.ContainsFunc(one.system, func(e syscall.Errno) bool { return errors.Is(err, e) }) {
			return fmt.Errorf("%w: %w", one.kind, err)
		}
	}
	return err
}

// Conflict is an entry whose id is in the journal with other content.
type Conflict struct {
	Entry string // id
}

func (e *Conflict) Error() string {
	return fmt.Sprintf("entry %s is in the journal already, with other content; nothing was added", e.Entry)
}

// Newer is a file that a later release has brought to a schema unknown here.
type Newer struct {
	Path        string
	Have, Known int64 // versions of the schema
}

func (e *Newer) Error() string {
	return fmt.Sprintf("%s was written by a newer velamen (schema %d; this one knows up to %d); use that release or a later one", e.Path, e.Have, e.Known)
}

// Drift is a file whose tables are not those of its version: somebody changed
// them by other means.
type Drift struct {
	Path    string
	Objects []string // tables, indices and triggers that differ
}

func (e *Drift) Error() string {
	return fmt.Sprintf("the tables of %s were changed by another program (%s); restore a backup, or export what can be read", e.Path, list(e.Objects))
}

// Damaged is something kept that does not read back as it was written.
type Damaged struct {
	What string // "entry 0190…", "photograph 3f2a…"
	Why  string
}

func (e *Damaged) Error() string { return e.What + ": " + e.Why }

// list writes a few names and counts the rest.
func list(names []string) string {
	const shown = 5
	text := ""
	for i, name := range names {
		if i == shown {
			return text + fmt.Sprintf(" and %d more", len(names)-shown)
		}
		if i > 0 {
			text += ", "
		}
		text += name
	}
	return text
}
