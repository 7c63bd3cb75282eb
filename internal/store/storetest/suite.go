package storetest

import (
	"bytes"
	"context"
	"errors"
	"iter"
	"reflect"
	"slices"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
)

// Collection is everything a store keeps.
type Collection interface {
	Append(ctx context.Context, entries []care.Entry) ([]care.Entry, error)
	Restore(ctx context.Context, entries []care.Entry) ([]care.Entry, error)
	All(ctx context.Context) iter.Seq2[care.Entry, error]
	OfPlant(ctx context.Context, plant string) ([]care.Entry, error)
	Select(ctx context.Context, q store.Query) iter.Seq2[care.Entry, error]
	Count(ctx context.Context) (int, error)
	Entry(ctx context.Context, id string) (care.Entry, error)

	PutPhoto(ctx context.Context, p store.Photo, content []byte) (store.Photo, error)
	PhotoInfo(ctx context.Context, hash string) (store.Photo, error)
	Photo(ctx context.Context, hash string) (store.Photo, []byte, error)
	Photos(ctx context.Context) iter.Seq2[store.Photo, error]

	PassphraseHash(ctx context.Context) (string, error)
	SetPassphraseHash(ctx context.Context, hash string) error
	AddMachine(ctx context.Context, name, scope, token string) error
	MachineOf(ctx context.Context, token string) (store.Machine, error)
	Machines(ctx context.Context) ([]store.Machine, error)
	RemoveMachine(ctx context.Context, name string) error
}

// Sessions is what a store keeps of those who are signed in.
type Sessions interface {
	Find(token string) ([]byte, bool, error)
	Commit(token string, data []byte, expiry time.Time) error
	Delete(token string) error
	Clean(ctx context.Context) error
	EndAll(ctx context.Context) error
}

// Clock is a time that tests set.
type Clock struct{ At time.Time }

// Now returns the time.
func (c *Clock) Now() time.Time { return c.At }

// Run checks that a store does what every store does. open returns an empty one
// that reads the time from the clock.
func Run(t *testing.T, open func(t *testing.T, now func() time.Time) (Collection, Sessions)) {
	for _, test := range []struct {
		name string
		run  func(s *suite)
	}{
		{"what is appended reads back", (*suite).readsBack},
		{"the clock stamps what is appended", (*suite).stamps},
		{"the offset of a time is kept", (*suite).keepsZones},
		{"an entry sent twice is added once", (*suite).idempotent},
		{"other content under a known id is a conflict", (*suite).conflicts},
		{"all or nothing", (*suite).allOrNothing},
		{"an ended context adds nothing", (*suite).canceled},
		{"what is handed out cannot change what is kept", (*suite).handsOutCopies},
		{"streams stop when asked", (*suite).stops},
		{"a plant's journal follows corrections", (*suite).followsCorrections},
		{"selection by time, kind and plant", (*suite).selects},
		{"restoring keeps the time of recording", (*suite).restores},
		{"photographs", (*suite).photos},
		{"photographs that cannot be kept", (*suite).refusesPhotos},
		{"sessions", (*suite).sessionsExpire},
		{"passphrase", (*suite).passphrase},
		{"machines", (*suite).machinesComeAndGo},
	} {
		t.Run(test.name, func(t *testing.T) {
			clock := &Clock{At: Start}
			c, sessions := open(t, clock.Now)
			test.run(&suite{T: t, ctx: t.Context(), clock: clock, c: c, sessions: sessions})
		})
	}
}

type suite struct {
	*testing.T
	ctx      context.Context
	clock    *Clock
	c        Collection
	sessions Sessions
}

// must stops the test at an error.
func (s *suite) must(err error) {
	s.Helper()
	if err != nil {
		s.Fatal(err)
	}
}

func (s *suite) append(entries ...care.Entry) []care.Entry {
	s.Helper()
	added, err := s.c.Append(s.ctx, entries)
	s.must(err)
	return added
}

func (s *suite) collect(all iter.Seq2[care.Entry, error]) []care.Entry {
	s.Helper()
	var list []care.Entry
	for e, err := range all {
		s.must(err)
		list = append(list, e)
	}
	return list
}

func (s *suite) same(got, want any) {
	s.Helper()
	if !reflect.DeepEqual(got, want) {
		s.Errorf("got\n%+v\nwant\n%+v", got, want)
	}
}

func note(n int, plant, text string) care.Entry {
	return care.Entry{ID: ID(n), At: Start.Add(time.Duration(n) * time.Hour), Kind: care.Noted, Plant: plant, Detail: care.Detail{Note: text}}
}

func (s *suite) readsBack() {
	want := Fixed(60)
	added := s.append(want...)
	all := s.collect(s.c.All(s.ctx))
	s.same(all, added)
	if len(all) != len(want) {
		s.Fatalf("%d entries come back of %d", len(all), len(want))
	}
	for i, got := range all {
		if same, err := store.SameContent(got, want[i]); err != nil || !same {
			s.Errorf("entry %d comes back as %+v, was %+v (%v)", i, got, want[i], err)
		}
		one, err := s.c.Entry(s.ctx, want[i].ID)
		s.must(err)
		s.same(one, got)
	}
	n, err := s.c.Count(s.ctx)
	s.must(err)
	s.same(n, len(want))
	if _, err := s.c.Entry(s.ctx, ID(999)); !errors.Is(err, store.ErrNotFound) {
		s.Errorf("an entry that is not there: %v", err)
	}
}

func (s *suite) stamps() {
	s.clock.At = time.Date(2026, 6, 2, 7, 8, 9, 123_456_789, time.FixedZone("", 7200))
	e := note(1, PlantID(1), "a")
	e.Recorded = Start // what a caller claims does not count
	added := s.append(e)
	if want := time.Date(2026, 6, 2, 5, 8, 9, 123_456_000, time.UTC); !added[0].Recorded.Equal(want) {
		s.Errorf("recorded %v, want %v", added[0].Recorded, want)
	}
}

func (s *suite) keepsZones() {
	// Early on the 3rd in Melbourne is late on the 2nd in UTC.
	at := time.Date(2026, 6, 3, 7, 30, 0, 1500, time.FixedZone("", 10*3600))
	e := note(1, PlantID(1), "early")
	e.At = at
	s.append(e)
	got := s.collect(s.c.All(s.ctx))[0].At
	if _, offset := got.Zone(); !got.Equal(at.Truncate(time.Microsecond)) || got.Day() != 3 || offset != 10*3600 {
		s.Errorf("comes back as %v, was %v", got, at)
	}
}

func (s *suite) idempotent() {
	a, b := note(1, PlantID(1), "a"), note(2, PlantID(1), "b")
	s.same(len(s.append(a, a)), 1)
	s.clock.At = s.clock.At.Add(time.Hour)
	added := s.append(a, b)
	if len(added) != 1 || added[0].ID != b.ID {
		s.Errorf("added %v, want the second entry alone", added)
	}
	if added := s.append(a, b); len(added) != 0 {
		s.Errorf("sent again, %v were added", added)
	}
	s.same(len(s.append()), 0)
	if all := s.collect(s.c.All(s.ctx)); len(all) != 2 || !all[0].Recorded.Equal(Start) {
		s.Errorf("the journal is %v", all)
	}
}

func (s *suite) conflicts() {
	a := note(1, PlantID(1), "a")
	s.append(a)
	for name, change := range map[string]func(*care.Entry){
		"time":     func(e *care.Entry) { e.At = e.At.Add(time.Microsecond) },
		"offset":   func(e *care.Entry) { e.At = e.At.In(time.FixedZone("", 3600)) },
		"kind":     func(e *care.Entry) { e.Kind = care.Reviewed },
		"plant":    func(e *care.Entry) { e.Plant = PlantID(2) },
		"corrects": func(e *care.Entry) { e.Corrects = ID(7) },
		"by":       func(e *care.Entry) { e.By = "B. Grower" },
		"detail":   func(e *care.Entry) { e.Detail.Note = "b" },
	} {
		other := a
		change(&other)
		_, err := s.c.Append(s.ctx, []care.Entry{other})
		var conflict *store.Conflict
		if !errors.As(err, &conflict) || conflict.Entry != a.ID {
			s.Errorf("another %s under the same id: %v", name, err)
		}
	}
	s.same(len(s.collect(s.c.All(s.ctx))), 1)
}

func (s *suite) allOrNothing() {
	s.append(note(1, PlantID(1), "a"))
	var conflict *store.Conflict
	if _, err := s.c.Append(s.ctx, []care.Entry{note(2, PlantID(1), "b"), note(1, PlantID(1), "other")}); !errors.As(err, &conflict) {
		s.Errorf("a conflict gives %v", err)
	}
	if _, err := s.c.Append(s.ctx, []care.Entry{note(3, PlantID(1), "c"), note(3, PlantID(1), "other")}); !errors.As(err, &conflict) {
		s.Errorf("a conflict within one call gives %v", err)
	}
	s.same(len(s.collect(s.c.All(s.ctx))), 1)
}

func (s *suite) canceled() {
	ctx, cancel := context.WithCancel(s.ctx)
	cancel()
	if _, err := s.c.Append(ctx, []care.Entry{note(1, PlantID(1), "a")}); !errors.Is(err, context.Canceled) {
		s.Errorf("an ended context gives %v", err)
	}
	s.same(len(s.collect(s.c.All(s.ctx))), 0)
}

func (s *suite) handsOutCopies() {
	s.append(care.Entry{ID: ID(1), At: Start, Kind: care.SpaceSet, Detail: care.Detail{Space: &care.Space{Name: "bench"}}})
	s.collect(s.c.All(s.ctx))[0].Detail.Space.Name = "changed"
	s.same(s.collect(s.c.All(s.ctx))[0].Detail.Space.Name, "bench")
}

func (s *suite) stops() {
	s.append(Fixed(20)...)
	n := 0
	for _, err := range s.c.All(s.ctx) {
		s.must(err)
		if n++; n == 3 {
			break
		}
	}
	s.append(note(999, PlantID(1), "after")) // nothing is left open
}

func (s *suite) followsCorrections() {
	of := func(n int, plant, corrects string) care.Entry {
		e := note(n, plant, "x")
		e.Corrects = corrects
		return e
	}
	p, q := PlantID(1), PlantID(2)
	withdrawal := care.Entry{ID: ID(5), At: Start, Kind: care.Withdrawn, Corrects: ID(4)}
	s.append(
		of(1, p, ""),
		of(2, q, ""), of(3, p, ID(2)), // written on the wrong plant, then moved
		of(4, p, ""), withdrawal, // withdrawn without naming the plant
		of(6, q, ""),
		of(7, p, ID(99)), // corrects what has not arrived
		of(8, q, ID(98)), // the same, of the other plant
		care.Entry{ID: ID(9), At: Start, Kind: care.RainFell, Detail: care.Detail{RainMM: new(3.0)}},
	)
	ids := func(plant string) []string {
		list, err := s.c.OfPlant(s.ctx, plant)
		s.must(err)
		var ids []string
		for _, e := range list {
			ids = append(ids, e.ID)
		}
		return ids
	}
	s.same(ids(p), []string{ID(1), ID(2), ID(3), ID(4), ID(5), ID(7)})
	s.same(ids(q), []string{ID(2), ID(3), ID(6), ID(8)})
	s.same(ids(""), []string{ID(4), ID(5), ID(9)})
	s.same(ids(PlantID(3)), []string(nil))
}

func (s *suite) selects() {
	all := s.append(Fixed(80)...)
	byTime := slices.SortedStableFunc(slices.Values(all), func(a, b care.Entry) int {
		if c := a.At.Compare(b.At); c != 0 {
			return c
		}
		return bytes.Compare([]byte(a.ID), []byte(b.ID))
	})
	from, until := byTime[20].At, byTime[60].At
	for _, q := range []store.Query{
		{}, {From: from}, {Until: until}, {From: from, Until: until}, {Kinds: []care.Kind{care.RainFell, care.Noted}},
		{Plant: PlantID(1)}, {Plant: PlantID(2), From: from, Kinds: []care.Kind{care.FlushDone, care.RepotDone}}, {From: until, Until: from},
	} {
		var want []care.Entry
		for _, e := range byTime {
			if (q.From.IsZero() || !e.At.Before(q.From)) && (q.Until.IsZero() || e.At.Before(q.Until)) &&
				(q.Plant == "" || e.Plant == q.Plant) && (len(q.Kinds) == 0 || slices.Contains(q.Kinds, e.Kind)) {
				want = append(want, e)
			}
		}
		s.same(s.collect(s.c.Select(s.ctx, q)), want)
	}
}

func (s *suite) restores() {
	e := note(1, PlantID(1), "a")
	e.Recorded = Start.Add(-time.Hour)
	added, err := s.c.Restore(s.ctx, []care.Entry{e, note(2, PlantID(1), "b")})
	s.must(err)
	if !added[0].Recorded.Equal(e.Recorded) || !added[1].Recorded.Equal(Start) {
		s.Errorf("recorded %v and %v", added[0].Recorded, added[1].Recorded)
	}
	e.Recorded = Start
	if again, err := s.c.Restore(s.ctx, []care.Entry{e}); err != nil || len(again) != 0 {
		s.Errorf("restored again: %v, %v", again, err)
	}
}

func (s *suite) photos() {
	content := []byte("a picture, as far as the store can tell")
	taken := time.Date(2026, 5, 30, 8, 0, 0, 0, time.FixedZone("", 7200))
	p, err := s.c.PutPhoto(s.ctx, store.Photo{MediaType: "image/jpeg", Width: 40, Height: 30, Taken: taken, Original: true}, content)
	s.must(err)
	if p.Hash != store.HashOf(content) || p.Bytes != len(content) || !p.Recorded.Equal(Start) || !p.Taken.Equal(taken) || p.Width != 40 || p.Height != 30 || !p.Original {
		s.Errorf("kept as %+v", p)
	}
	s.clock.At = s.clock.At.Add(time.Hour)
	again, err := s.c.PutPhoto(s.ctx, store.Photo{MediaType: "image/jpeg"}, content)
	s.must(err)
	s.same(again, p)
	got, back, err := s.c.Photo(s.ctx, p.Hash)
	s.must(err)
	s.same(got, p)
	s.same(back, content)
	second, err := s.c.PutPhoto(s.ctx, store.Photo{MediaType: "image/png"}, []byte("another"))
	s.must(err)
	var hashes []string
	for p, err := range s.c.Photos(s.ctx) {
		s.must(err)
		hashes = append(hashes, p.Hash)
	}
	want := []string{p.Hash, second.Hash}
	slices.Sort(want)
	s.same(hashes, want)
	if _, _, err := s.c.Photo(s.ctx, store.HashOf(nil)); !errors.Is(err, store.ErrNotFound) {
		s.Errorf("a picture that is not there: %v", err)
	}
}

func (s *suite) refusesPhotos() {
	for name, p := range map[string]store.Photo{
		"an unknown format": {MediaType: "image/svg+xml"},
		"another hash":      {MediaType: "image/png", Hash: store.HashOf([]byte("another"))},
		"a negative width":  {MediaType: "image/png", Width: -1},
	} {
		if _, err := s.c.PutPhoto(s.ctx, p, []byte("content")); err == nil {
			s.Errorf("%s was kept", name)
		}
	}
	for name, content := range map[string][]byte{"nothing": nil, "too much": make([]byte, store.MaxPhotoBytes+1)} {
		if _, err := s.c.PutPhoto(s.ctx, store.Photo{MediaType: "image/png"}, content); err == nil {
			s.Errorf("%s was kept", name)
		}
	}
}

func (s *suite) sessionsExpire() {
	expiry := Start.Add(time.Hour)
	s.must(s.sessions.Commit("one", []byte("first"), expiry))
	s.must(s.sessions.Commit("one", []byte("second"), expiry))
	s.must(s.sessions.Commit("two", []byte("other"), Start.Add(2*time.Hour)))
	find := func(token, want string, wantFound bool) {
		s.Helper()
		data, found, err := s.sessions.Find(token)
		s.must(err)
		if found != wantFound || string(data) != want {
			s.Errorf("session %s: %q, %v", token, data, found)
		}
	}
	find("one", "second", true)
	find("unknown", "", false)
	s.clock.At = expiry
	find("one", "", false)
	s.must(s.sessions.Clean(s.ctx))
	s.clock.At = Start
	find("one", "", false) // gone, not merely hidden
	find("two", "other", true)
	s.must(s.sessions.Delete("two"))
	s.must(s.sessions.Delete("two"))
	find("two", "", false)
	s.must(s.sessions.Commit("three", []byte("x"), expiry))
	s.must(s.sessions.EndAll(s.ctx))
	find("three", "", false)
}

func (s *suite) passphrase() {
	if _, err := s.c.PassphraseHash(s.ctx); !errors.Is(err, store.ErrNotFound) {
		s.Errorf("no passphrase yet: %v", err)
	}
	s.must(s.c.SetPassphraseHash(s.ctx, "first"))
	s.must(s.sessions.Commit("one", []byte("x"), Start.Add(time.Hour)))
	s.must(s.c.SetPassphraseHash(s.ctx, "second"))
	hash, err := s.c.PassphraseHash(s.ctx)
	s.must(err)
	s.same(hash, "second")
	if _, found, _ := s.sessions.Find("one"); found {
		s.Error("a session outlived its passphrase")
	}
	s.must(s.c.SetPassphraseHash(s.ctx, ""))
	if _, err := s.c.PassphraseHash(s.ctx); !errors.Is(err, store.ErrNotFound) {
		s.Errorf("the passphrase was removed: %v", err)
	}
}

func (s *suite) machinesComeAndGo() {
	const token, other = "0123456789abcdefghijklmnop", "another-token-of-enough-letters"
	s.must(s.c.AddMachine(s.ctx, "greenhouse logger", "readings", token))
	for _, taken := range [][2]string{{"greenhouse logger", other}, {"another", token}} {
		if err := s.c.AddMachine(s.ctx, taken[0], "readings", taken[1]); !errors.Is(err, store.ErrExists) {
			s.Errorf("taken: %v", err)
		}
	}
	s.must(s.c.AddMachine(s.ctx, "balcony logger", "readings", other))
	m, err := s.c.MachineOf(s.ctx, token)
	s.must(err)
	s.same(m, store.Machine{Name: "greenhouse logger", Scope: "readings", Made: Start})
	machines, err := s.c.Machines(s.ctx)
	s.must(err)
	if len(machines) != 2 || machines[0].Name != "balcony logger" {
		s.Errorf("machines: %v", machines)
	}
	s.must(s.c.RemoveMachine(s.ctx, "greenhouse logger"))
	if _, err := s.c.MachineOf(s.ctx, token); !errors.Is(err, store.ErrNotFound) {
		s.Errorf("a machine that was removed: %v", err)
	}
	if err := s.c.RemoveMachine(s.ctx, "greenhouse logger"); !errors.Is(err, store.ErrNotFound) {
		s.Errorf("removed twice: %v", err)
	}
}
