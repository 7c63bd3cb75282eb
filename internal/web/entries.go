package web

import (
	"time"

	"github.com/google/uuid"

	"velamen/internal/care"
)

// newEntry starts an entry that was just typed into a form.
func (s *Server) newEntry(kind care.Kind, plant string, d care.Detail) care.Entry {
	// The offset of the place stays: it decides which day it was.
	now := s.Now().Truncate(time.Second)
	return care.Entry{ID: newID(), At: now, Recorded: now.UTC(), Kind: kind, Plant: plant, Detail: d}
}

// newID is the id of an entry that is made now, or of one that a form may make
// later: the same form, sent twice, is one entry. The system's randomness does
// not fail (crypto/rand).
func newID() string { return uuid.Must(uuid.NewV7()).String() }
