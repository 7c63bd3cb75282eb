package web

import (
	"context"
	"io"
	"iter"
	"log/slog"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2/memstore"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/demo"
	"velamen/internal/store"
)

// testNow is the moment at which every test happens.
var testNow = time.Date(2026, 11, 24, 8, 30, 0, 0, time.UTC)

// fakeStore keeps a journal in memory, as book.Store asks.
type fakeStore struct {
	mu      sync.Mutex
	entries []care.Entry
	failing error
}

func (f *fakeStore) Append(_ context.Context, entries []care.Entry) ([]care.Entry, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.failing != nil {
		return nil, f.failing
	}
	var added []care.Entry
	for _, e := range entries {
		same := func(other care.Entry) bool { return other.ID == e.ID }
		if i := slices.IndexFunc(f.entries, same); i >= 0 {
			kept := f.entries[i]
			kept.Recorded = e.Recorded
			if !reflect.DeepEqual(kept, e) {
				return nil, &store.Conflict{Entry: e.ID}
			}
			continue
		}
		if !slices.ContainsFunc(added, same) {
			added = append(added, e)
		}
	}
	f.entries = append(f.entries, added...)
	return added, nil
}

func (f *fakeStore) All(context.Context) iter.Seq2[care.Entry, error] {
	f.mu.Lock()
	defer f.mu.Unlock()
	entries := slices.Clone(f.entries)
	return func(yield func(care.Entry, error) bool) {
		for _, e := range entries {
			if !yield(e, nil) {
				return
			}
		}
	}
}

func (f *fakeStore) OfPlant(_ context.Context, plant string) ([]care.Entry, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	var list []care.Entry
	for _, e := range f.entries {
		if e.Plant == plant {
			list = append(list, e)
		}
	}
	return list, nil
}

// fakeSecrets keeps a passphrase and tokens in memory.
type fakeSecrets struct {
	hash     string
	machines map[string]store.Machine // by token
	links    []store.Link
}

func (f *fakeSecrets) AddLink(_ context.Context, l store.Link) error {
	l.Made = testNow
	f.links = append(f.links, l)
	return nil
}

func (f *fakeSecrets) LinkOf(_ context.Context, id string) (store.Link, error) {
	for _, l := range f.links {
		if l.ID == id {
			return l, nil
		}
	}
	return store.Link{}, store.ErrNotFound
}

func (f *fakeSecrets) Links(context.Context) ([]store.Link, error) { return f.links, nil }

func (f *fakeSecrets) RemoveLink(_ context.Context, id string) error {
	f.links = slices.DeleteFunc(f.links, func(l store.Link) bool { return l.ID == id })
	return nil
}

func (f *fakeSecrets) PassphraseHash(context.Context) (string, error) {
	if f.hash == "" {
		return "", store.ErrNotFound
	}
	return f.hash, nil
}

func (f *fakeSecrets) AddMachine(_ context.Context, name, scope, token string) error {
	for _, m := range f.machines {
		if m.Name == name {
			return store.ErrExists
		}
	}
	f.machines[token] = store.Machine{Name: name, Scope: scope, Made: testNow}
	return nil
}

func (f *fakeSecrets) MachineOf(_ context.Context, token string) (store.Machine, error) {
	m, ok := f.machines[token]
	if !ok {
		return m, store.ErrNotFound
	}
	return m, nil
}

func (f *fakeSecrets) Machines(context.Context) ([]store.Machine, error) {
	return slices.SortedFunc(maps.Values(f.machines), func(a, b store.Machine) int { return strings.Compare(a.Name, b.Name) }), nil
}

func (f *fakeSecrets) RemoveMachine(_ context.Context, name string) error {
	maps.DeleteFunc(f.machines, func(_ string, m store.Machine) bool { return m.Name == name })
	return nil
}

// bench is a server with everything behind it, for one test.
type bench struct {
	t       *testing.T
	server  *Server
	store   *fakeStore
	secrets *fakeSecrets
	log     *strings.Builder
	cookies []*http.Cookie
}

// newBench returns a server with an empty collection that only this machine
// reaches. change may set it up differently.
func newBench(t *testing.T, change ...func(*Config, *bench)) *bench {
	t.Helper()
	b := &bench{t: t, store: &fakeStore{}, secrets: &fakeSecrets{machines: map[string]store.Machine{}}, log: &strings.Builder{}}
	tables, err := culture.Load()
	if err != nil {
		t.Fatal(err)
	}
	now := func() time.Time { return testNow }
	kept, err := book.Open(t.Context(), b.store, tables, now)
	if err != nil {
		t.Fatal(err)
	}
	c := Config{
		Journal: b.store,
		Book:    kept, Sessions: memstore.NewWithCleanupInterval(0), Secrets: b.secrets,
		Logger: slog.New(slog.NewTextHandler(b.log, nil)), Now: now, Address: "127.0.0.1:8080", Patience: time.Hour,
	}
	for _, f := range change {
		f(&c, b)
	}
	if b.server, err = New(c); err != nil {
		t.Fatal(err)
	}
	b.server.slack = time.Hour
	return b
}

// withSample puts the invented collection into the book.
func withSample(c *Config, b *bench) {
	c.Sample = sampleCase
	filled := &Server{Config: *c}
	if err := filled.loadSample(b.t.Context()); err != nil {
		b.t.Fatal(err)
	}
}

// sampleCase reads the invented collection.
func sampleCase(today time.Time) (care.Case, care.Units, error) {
	tables, err := culture.Load()
	if err != nil {
		return care.Case{}, care.Units{}, err
	}
	return casefile.Read(strings.NewReader(demo.CaseFile(today)), demo.FileName, tables)
}

// plant returns the id of the plant with a label.
func (b *bench) plant(label string) string {
	b.t.Helper()
	var id string
	b.server.Book.Read(func(c *care.Collection) {
		p, err := c.ByLabel(label)
		if err != nil {
			b.t.Fatal(err)
		}
		id = p.ID
	})
	return id
}

// do sends a request, with the cookies of those before it.
func (b *bench) do(r *http.Request) *http.Response {
	b.t.Helper()
	if r.Host == "example.com" {
		r.Host = "127.0.0.1:8080"
	}
	for _, c := range b.cookies {
		r.AddCookie(c)
	}
	w := httptest.NewRecorder()
	b.server.ServeHTTP(w, r)
	answer := w.Result()
	for _, c := range answer.Cookies() {
		b.cookies = slices.DeleteFunc(b.cookies, func(old *http.Cookie) bool { return old.Name == c.Name })
		if c.MaxAge >= 0 {
			b.cookies = append(b.cookies, c)
		}
	}
	return answer
}

// get returns a page, which must be there.
func (b *bench) get(path string) string {
	b.t.Helper()
	answer := b.do(httptest.NewRequest(http.MethodGet, path, nil))
	text := body(b.t, answer)
	if answer.StatusCode != http.StatusOK {
		b.t.Fatalf("GET %s: %s\n%s\n%s", path, answer.Status, text, b.log)
	}
	return text
}

// post sends a form as a browser without JavaScript does.
func (b *bench) post(path string, values url.Values) *http.Response {
	b.t.Helper()
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return b.do(r)
}

func body(t *testing.T, answer *http.Response) string {
	t.Helper()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
