package e2e

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/demo"
	"velamen/internal/plan"
	"velamen/internal/store"
	"velamen/internal/store/bundle"
	"velamen/internal/web"
)

// home is a machine that serves a collection and can lose its power.
type home struct {
	t       *testing.T
	path    string
	address string // the same for every start
	shown   string // what the server believes to listen on; other than this machine it asks for a passphrase
	around  func(http.Handler) http.Handler
	prepare func()            // before the pages are made
	with    func(*home)       // what it holds at first; nil for nothing
	config  func(*web.Config) // what the pages are made of otherwise than usual
	ahead   atomic.Int64      // by how many nanoseconds the clock is ahead

	kept   *store.Store
	book   *book.Book
	pages  *web.Server
	server *http.Server
	ended  chan struct{}
}

// newHome starts a server whose collection is kept in a file: the invented one,
// unless a change says otherwise.
func newHome(t *testing.T, change ...func(*home)) *home {
	t.Helper()
	h := &home{t: t, path: filepath.Join(t.TempDir(), "collection.velamen"), address: "127.0.0.1:0"}
	h.around = func(next http.Handler) http.Handler { return next }
	h.with = (*home).fill
	for _, f := range change {
		f(h)
	}
	kept, err := store.Create(t.Context(), h.path, h.now)
	if err != nil {
		t.Fatal(err)
	}
	if err := kept.Close(); err != nil {
		t.Fatal(err)
	}
	h.start()
	t.Cleanup(h.stop)
	if h.with != nil {
		h.with(h)
	}
	return h
}

// now is the time at the machine.
func (h *home) now() time.Time { return time.Now().Add(time.Duration(h.ahead.Load())) }

// start turns the server on.
func (h *home) start() {
	h.t.Helper()
	var err error
	if h.kept, err = store.Open(h.t.Context(), h.path, h.now); err != nil {
		h.t.Fatal(err)
	}
	tables, err := culture.Load()
	if err != nil {
		h.t.Fatal(err)
	}
	if h.book, err = book.Open(h.t.Context(), h.kept, tables, h.now); err != nil {
		h.t.Fatal(err)
	}
	listener, err := net.Listen("tcp", h.address)
	if err != nil {
		h.t.Fatal(err)
	}
	h.address = listener.Addr().String()
	shown := h.shown
	if shown == "" {
		shown = h.address
	}
	if h.prepare != nil {
		h.prepare()
		h.prepare = nil
	}
	config := web.Config{
		Book: h.book, Journal: h.kept, Sessions: h.kept.Sessions(), Secrets: h.kept, Photos: h.kept, Readings: h.kept, Sample: sample,
		Logger: slog.New(slog.NewTextHandler(io.Discard, nil)), Now: h.now, Address: shown, Patience: time.Hour,
		Export: func(ctx context.Context, to io.Writer) error { return bundle.Write(ctx, to, h.kept, nil) },
	}
	if h.config != nil {
		h.config(&config)
	}
	h.pages, err = web.New(config)
	if err != nil {
		h.t.Fatal(err)
	}
	h.server = &http.Server{Handler: h.around(h.pages), ReadHeaderTimeout: 5 * time.Second}
	h.ended = make(chan struct{})
	go func() {
		defer close(h.ended)
		_ = h.server.Serve(listener) // always ends with an error
	}()
}

// stop cuts the server off: connections under way break, new ones are refused.
func (h *home) stop() {
	h.t.Helper()
	if h.server == nil {
		return
	}
	err := errors.Join(h.server.Close(), h.kept.Close())
	<-h.ended
	h.server = nil
	if err != nil {
		h.t.Error(err)
	}
}

func (h *home) url(path string) string { return "http://" + h.address + path }

// sample reads the invented collection.
func sample(today time.Time) (care.Case, care.Units, error) {
	tables, err := culture.Load()
	if err != nil {
		return care.Case{}, care.Units{}, err
	}
	return casefile.Read(strings.NewReader(demo.CaseFile(today)), demo.FileName, tables)
}

// fill puts the invented collection into the book.
func (h *home) fill() {
	h.t.Helper()
	all, units, err := sample(h.book.Today())
	if err != nil {
		h.t.Fatal(err)
	}
	h.put(all, units)
}

// put puts a case into the book.
func (h *home) put(all care.Case, units care.Units) {
	h.t.Helper()
	first := h.book.Today().AddDate(-1, 0, 0)
	var list []care.Entry
	add := func(at time.Time, kind care.Kind, plant string, d care.Detail) {
		list = append(list, care.Entry{ID: newID(h.t), At: at, Recorded: at, Kind: kind, Plant: plant, Detail: d})
	}
	add(first, care.SettingsSet, "", care.Detail{Settings: &care.Settings{Units: units}})
	add(first, care.PlaceSet, "", care.Detail{Place: &all.Place})
	for i := range all.Spaces {
		add(first, care.SpaceSet, "", care.Detail{Space: &all.Spaces[i]})
	}
	for i := range all.Waters {
		add(first, care.WaterSet, "", care.Detail{Water: &all.Waters[i]})
	}
	for i := range all.Feeds {
		add(first, care.FeedSet, "", care.Detail{Feed: &all.Feeds[i]})
	}
	add(first, care.RoutineSet, "", care.Detail{Routine: &all.Routine})
	for _, p := range all.Plants {
		id, repot := newID(h.t), p.Repot
		p.Repot = care.Repot{}
		add(repot.Date.AddDate(0, 0, -1), care.PlantSet, id, care.Detail{Plant: &p})
		add(repot.Date, care.RepotDone, id, care.Detail{Repot: &repot})
	}
	if _, err := h.book.Append(h.t.Context(), list...); err != nil {
		h.t.Fatal(err)
	}
}

// entries returns what the file holds of some kinds, in the order of recording.
func (h *home) entries(kinds ...care.Kind) (list []care.Entry) {
	h.t.Helper()
	for e, err := range h.kept.All(context.Background()) {
		if err != nil {
			h.t.Fatal(err)
		}
		for _, kind := range kinds {
			if e.Kind == kind {
				list = append(list, e)
			}
		}
	}
	return list
}

// due returns a job of a plant that is due today.
func (h *home) due(label string, task care.Task) care.Job {
	h.t.Helper()
	day, _, err := h.book.Round(context.Background(), h.book.Today())
	if err != nil {
		h.t.Fatal(err)
	}
	for _, job := range jobsOf(day) {
		if job.Label == label && job.Task == task {
			return job
		}
	}
	h.t.Fatalf("no %s is due at %s", task, label)
	return care.Job{}
}

func jobsOf(day plan.Round) (list []care.Job) {
	for _, stop := range day.Stops {
		list = append(list, stop.Jobs...)
	}
	for _, w := range day.Waits {
		list = append(list, w.Job)
	}
	return list
}

// once lets a fault happen one time.
type once struct {
	mu   sync.Mutex
	done bool
}

func (o *once) happens() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	first := !o.done
	o.done = true
	return first
}
