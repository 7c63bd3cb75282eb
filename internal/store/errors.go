package store

import (
	"errors"
	"fmt"
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
)

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
