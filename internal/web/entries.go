package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"mime"
	"net/http"
	"time"

	"github.com/google/uuid"

	"velamen/internal/care"
)

// Entries from programs: the outbox of a phone that was without reception, and
// machines with a token. The same entry may be sent any number of times.
func entryRoutes(on *router) {
	on.post("/entries", (*Server).takeEntries, machinesToo, upTo(1<<20))
}

// entriesSent is the body of POST /entries.
type entriesSent struct {
	Entries []care.Entry `json:"entries"`
}

// entriesTaken is the answer: every id in Taken is kept for good; those in
// Added are new.
type entriesTaken struct {
	Taken []string `json:"taken"`
	Added []string `json:"added"`
}

func (s *Server) takeEntries(w http.ResponseWriter, r *http.Request) error {
	if kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind != "application/json" {
		return fmt.Errorf("%w: the body has to be application/json", errBadRequest)
	}
	var sent entriesSent
	in := json.NewDecoder(r.Body)
	in.DisallowUnknownFields()
	if err := in.Decode(&sent); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return fmt.Errorf("%w: %w", errBadRequest, err)
	}
	now := s.Now().UTC()
	for i := range sent.Entries {
		sent.Entries[i].Recorded = now
	}
	added, err := s.Book.Append(r.Context(), sent.Entries...)
	if err != nil {
		return err
	}
	answer := entriesTaken{Taken: []string{}, Added: []string{}}
	for _, e := range sent.Entries {
		answer.Taken = append(answer.Taken, e.ID)
	}
	for _, e := range added {
		answer.Added = append(answer.Added, e.ID)
	}
	return sendJSON(w, http.StatusOK, answer)
}

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
