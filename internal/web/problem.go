package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strings"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/store"
)

// The kinds of error a handler may return, besides those of book.
var (
	errNotFound    = errors.New("there is no such page")
	errSignIn      = errors.New("sign in first")
	errForbidden   = errors.New("this is not allowed")
	errBadRequest  = errors.New("the request cannot be read")
	errMethod      = errors.New("it is asked in another way")
	errTooMany     = errors.New("too many attempts")
	errUnavailable = errors.New("not available here")
)

// problem is an error as it is told: RFC 9457 for programs, a page for people.
type problem struct {
	Title   string         `json:"title"`
	Status  int            `json:"status"`
	Detail  string         `json:"detail,omitempty"`
	Errors  []care.Problem `json:"errors,omitempty"` // one for each field that is wrong
	Request string         `json:"request,omitempty"`
}

// problemTable maps kinds of error to what is told. The first that matches
// counts. Detail of the error itself is told only where telling is set: it was
// written for the person who sent the request.
var problemTable = []struct {
	kind    error
	status  int
	title   string
	telling bool
}{
	{errNotFound, http.StatusNotFound, "There is no such page", false},
	{book.ErrUnknownPlant, http.StatusNotFound, "There is no such plant", false},
	{store.ErrNotFound, http.StatusNotFound, "It is not kept here", false},
	{errSignIn, http.StatusUnauthorized, "Sign in first", false},
	{errForbidden, http.StatusForbidden, "This is not allowed", true},
	{errBadRequest, http.StatusBadRequest, "The request cannot be read", true},
	{errMethod, http.StatusMethodNotAllowed, "It is asked in another way", true},
	{errTooMany, http.StatusTooManyRequests, "Too many attempts", true},
	{errUnavailable, http.StatusNotFound, "Not available here", true},
	{store.ErrDiskFull, http.StatusInsufficientStorage, "The disk is full", false},
	{store.ErrDiskReadOnly, http.StatusServiceUnavailable, "The disk cannot be written", false},
	{store.ErrDiskFails, http.StatusServiceUnavailable, "The disk fails", false},
	{store.ErrLocked, http.StatusServiceUnavailable, "Another program holds the collection", false},
	{context.DeadlineExceeded, http.StatusServiceUnavailable, "This took too long", false},
}

// keptNothing says what became of what was sent, and of all else.
const keptNothing = "Nothing of what you sent was kept; all that was kept before is there. "

// wayOut says what to do about a kind of error.
var wayOut = map[error]string{
	store.ErrDiskFull:     keptNothing + "Make room on the disk that holds the collection, then send it again; no restart is needed. What waits on a phone is sent by itself.",
	store.ErrDiskReadOnly: keptNothing + "Give the program leave to write the collection's file and folder, or put them on a disk that can be written, then send it again.",
	store.ErrDiskFails:    keptNothing + "Look after the disk that holds the collection: make a backup to another one with velamen backup, and check the file with velamen verify.",
	store.ErrLocked:       keptNothing + "Close the other program that has the collection's file open, or wait until it is done, then send it again.",
}

// problemOf returns what is told of an error.
func problemOf(err error) problem {
	var large *http.MaxBytesError
	var refused *book.Invalid
	var conflict *store.Conflict
	var asked *unanswered
	switch {
	case errors.As(err, &asked):
		return problem{Title: "This cannot be answered", Status: http.StatusUnprocessableEntity, Detail: sentence(asked.Error()) + ".", Errors: asked.problems}
	case errors.As(err, &large):
		return problem{Title: "That is too much at once", Status: http.StatusRequestEntityTooLarge}
	case errors.As(err, &refused):
		return problem{Title: "Something in the entry has to change", Status: http.StatusUnprocessableEntity, Detail: refused.Error(), Errors: refused.Problems}
	case errors.As(err, &conflict):
		return problem{Title: "This entry is kept with other content", Status: http.StatusConflict, Detail: conflict.Error()}
	}
	for _, row := range problemTable {
		if errors.Is(err, row.kind) {
			p := problem{Title: row.title, Status: row.status, Detail: wayOut[row.kind]}
			if row.telling {
				p.Detail = saidOf(err, row.kind)
			}
			return p
		}
	}
	return problem{Title: "Something failed here", Status: http.StatusInternalServerError, Detail: "Nothing of what you sent was kept. It may work when tried again."}
}

// saidOf returns what an error says besides its kind, which the title says.
func saidOf(err, kind error) string {
	said, found := strings.CutPrefix(err.Error(), kind.Error()+": ")
	if !found && said == kind.Error() || said == "" {
		return ""
	}
	return ended(sentence(said))
}

// ended ends a sentence with a full stop, unless it has an end already.
func ended(text string) string {
	if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// errorView is the page of a problem.
type errorView struct {
	frame
	Problem problem
}

// fail tells an error.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	p := problemOf(err)
	p.Request = requestID(r)
	noteError(r, err)
	noteOf(r).told = p.Title
	switch {
	case noteOf(r).status != 0:
		panic(http.ErrAbortHandler) // the answer has begun: cut it off rather than let it look whole
	case r.Context().Err() == context.Canceled:
		// Hardly anybody is listening any more. Whoever is, because only the way
		// here was cut, must not take an empty answer for a yes.
		panic(http.ErrAbortHandler)
	}
	if wantsJSON(r) {
		w.Header().Set("Content-Type", "application/problem+json")
		if p.Status == http.StatusUnauthorized {
			w.Header().Set("WWW-Authenticate", "Bearer")
		}
		w.WriteHeader(p.Status)
		_ = json.NewEncoder(w).Encode(p) // the reader may have gone
		return
	}
	if p.Status == http.StatusUnauthorized {
		http.Redirect(w, r, signInPath(r), http.StatusSeeOther)
		return
	}
	v := &errorView{Problem: p}
	if p.Status < http.StatusInternalServerError {
		v.Problem.Request = "" // nobody has to look that up
	}
	v.Title = p.Title
	if err := s.render(w, r, p.Status, "error.html", v); err != nil {
		noteError(r, err)
		http.Error(w, p.Title, p.Status)
	}
}

// wantsJSON reports whether the request was made by a program.
func wantsJSON(r *http.Request) bool {
	return strings.HasPrefix(r.URL.Path, "/api/") || strings.Contains(r.Header.Get("Accept"), "json") ||
		strings.HasPrefix(r.Header.Get("Content-Type"), "application/json") ||
		r.Header.Get("Authorization") != ""
}

// sendJSON answers a program.
func sendJSON(w http.ResponseWriter, status int, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, err = w.Write(append(text, '\n'))
	return err
}
