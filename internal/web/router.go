package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"
)

// handler answers a request or says why it cannot. Having returned an error, it
// has not written anything.
type handler func(s *Server, w http.ResponseWriter, r *http.Request) error

// router registers the screens' routes.
type router struct {
	server *Server
	mux    *http.ServeMux
}

// route is how a path may be used.
type route struct {
	method, path string
	open         bool // without being signed in
	people       bool // not with a token
	machines     bool // changes made with a token
	sensors      bool // also with a token for readings only
	harmless     bool // it changes nothing, whatever its method: a token that reads covers it
	bytes        int64
	limit        time.Duration
	handle       handler
}

// option changes a route from what is usual.
type option func(*route)

// usualBytes is enough for every form that holds no picture.
const usualBytes = 64 << 10

// usualTime is how long an answer may take to work out.
const usualTime = 30 * time.Second

// anyone lets a route be used without being signed in.
func anyone(r *route) { r.open = true }

// peopleOnly keeps machines with a token from reading a page.
func peopleOnly(r *route) { r.people = true }

// machinesToo lets machines with a writing token make a change.
func machinesToo(r *route) { r.machines = true }

// sensorsToo lets machines with a writing token make a change, and those that
// may only send readings.
func sensorsToo(r *route) { r.machines, r.sensors = true, true }

// changesNothing lets a token that reads use a route whose question is too long
// for an address.
func changesNothing(r *route) { r.machines, r.harmless = true, true }

// upTo lets a route take a longer body.
func upTo(bytes int64) option { return func(r *route) { r.bytes = bytes } }

// lasting gives a route longer than usual.
func lasting(limit time.Duration) option { return func(r *route) { r.limit = limit } }

// get registers what a path shows. It must change nothing.
func (on *router) get(path string, h handler, options ...option) {
	on.add(http.MethodGet, path, h, options)
}

// post registers what is done with what was sent to a path.
func (on *router) post(path string, h handler, options ...option) {
	on.add(http.MethodPost, path, h, options)
}

func (on *router) add(method, path string, h handler, options []option) {
	r := route{method: method, path: path, bytes: usualBytes, limit: usualTime, handle: h}
	for _, change := range options {
		change(&r)
	}
	on.server.routes = append(on.server.routes, r)
	on.mux.Handle(r.pattern(), on.server.serve(r))
}

// pattern is the route as http.ServeMux reads it.
func (r route) pattern() string { return strings.TrimSpace(r.method + " " + r.path) }

// serve wraps a route's handler: who may use it, how much it takes, how long it
// lasts, and what its error becomes.
func (s *Server) serve(rt route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx, stop := context.WithTimeout(r.Context(), rt.limit+s.slack)
		defer stop()
		noteRoute(r, rt.pattern())
		if rt.limit > usualTime {
			// Where the connection has no deadline of its own there is none to move.
			if err := http.NewResponseController(w).SetWriteDeadline(time.Now().Add(rt.limit)); err != nil && !errors.Is(err, http.ErrNotSupported) {
				s.fail(w, r, err)
				return
			}
		}
		r = r.WithContext(ctx)
		if r.ContentLength > rt.bytes {
			s.fail(w, r, &http.MaxBytesError{Limit: rt.bytes})
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, rt.bytes)
		if !rt.open {
			if err := s.access.allow(r, rt); err != nil {
				s.fail(w, r, err)
				return
			}
		}
		if err := rt.handle(s, w, r); err != nil {
			s.fail(w, r, err)
		}
	})
}

// seeOther sends the browser on after a form was taken, so that going back or
// reloading does not send it again.
func seeOther(w http.ResponseWriter, r *http.Request, path string) error {
	http.Redirect(w, r, path, http.StatusSeeOther)
	return nil
}

func notThere(r *http.Request) error {
	return fmt.Errorf("%w: %s", errNotFound, r.URL.Path)
}
