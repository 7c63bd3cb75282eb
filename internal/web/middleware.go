package web

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"time"

	"github.com/google/uuid"
)

// policy lets a page use what this server sends, and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// note collects what is logged of a request. Paths with their query and bodies
// are not among it: they may hold what is nobody's business.
type note struct {
	id    string
	route string
	err   error
	told  string // what the person was told of it, in general

	status   int // of the answer, once it has begun
	signedIn bool
}

type noteKey struct{}

func noteOf(r *http.Request) *note {
	if n, ok := r.Context().Value(noteKey{}).(*note); ok {
		return n
	}
	return &note{}
}

func requestID(r *http.Request) string         { return noteOf(r).id }
func noteRoute(r *http.Request, route string)  { noteOf(r).route = route }
func noteError(r *http.Request, problem error) { noteOf(r).err = problem }

// around wraps all routes: an id and a line in the log for each request, the
// headers every answer carries, and no forged requests.
func (s *Server) around(next http.Handler) http.Handler {
	forged := http.NewCrossOriginProtection()
	inside := s.access.sessions.LoadAndSave(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		noteOf(r).signedIn = s.access.sessionHolds(r.Context())
		next.ServeHTTP(w, r)
	}))
	s.access.sessions.ErrorFunc = s.fail
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		begun := s.Now()
		n := &note{id: uuid.NewString()}
		r = r.WithContext(context.WithValue(r.Context(), noteKey{}, n))
		seen := &statusWriter{ResponseWriter: w, note: n}
		defer func() {
			crash := recover()
			if crash != nil && crash != http.ErrAbortHandler {
				n.err = fmt.Errorf("panic: %v\n%s", crash, debug.Stack())
				if n.status == 0 {
					crash = nil
					s.fail(seen, r, n.err)
				}
			}
			s.log(r, n, s.Now().Sub(begun))
			if crash != nil {
				panic(http.ErrAbortHandler) // the answer has begun: cut it off rather than let it look whole
			}
		}()
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		// Not no-referrer: then browsers would send forms from "null", and on
		// plain HTTP, where they send no Sec-Fetch-Site, nothing else tells
		// them from forged ones.
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		h.Set("X-Request-Id", n.id)
		if err := s.access.host(r); err != nil {
			s.fail(seen, r, err)
			return
		}
		if err := forged.Check(r); err != nil {
			s.fail(seen, r, fmt.Errorf("%w: it was sent from another site", errForbidden))
			return
		}
		inside.ServeHTTP(seen, r)
	})
}

func (s *Server) log(r *http.Request, n *note, took time.Duration) {
	level := slog.LevelInfo
	attributes := []slog.Attr{
		slog.String("request", n.id), slog.String("method", r.Method), slog.String("route", n.route),
		slog.Int("status", n.status), slog.Duration("took", took),
	}
	switch {
	case n.err == nil:
	case n.status >= http.StatusInternalServerError, n.status < http.StatusBadRequest: // or it failed halfway
		level = slog.LevelError
		attributes = append(attributes, slog.String("error", n.err.Error()))
	default: // its words may be those of the request
		attributes = append(attributes, slog.String("refused", n.told))
	}
	s.Logger.LogAttrs(r.Context(), level, "request", attributes...)
}

// statusWriter notes the status of the answer.
type statusWriter struct {
	http.ResponseWriter
	note *note
}

func (w *statusWriter) WriteHeader(status int) {
	if w.note.status == 0 {
		w.note.status = status
	}
	w.ResponseWriter.WriteHeader(status)
}

func (w *statusWriter) Write(b []byte) (int, error) {
	if w.note.status == 0 {
		w.note.status = http.StatusOK
	}
	return w.ResponseWriter.Write(b)
}

// Unwrap lets http.ResponseController reach the connection.
func (w *statusWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }
