package bundle_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/demo"
	"velamen/internal/store"
	"velamen/internal/store/bundle"
	"velamen/internal/store/intake"
	"velamen/internal/store/storetest"
)

// now is after everything in a random journal.
var now = storetest.Start.AddDate(0, 2, 0)

func clock() time.Time { return now }

func write(t interface {
	Fatal(...any)
	Context() context.Context
}, from bundle.From) []byte {
	var b bytes.Buffer
	if err := bundle.Write(t.Context(), &b, from, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Out of one collection and into another, nothing changes, to the byte.
func TestARoundTripIsTheIdentity(t *testing.T) {
	folder, n := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		first := storetest.NewMemory(func() time.Time { return storetest.Start.Add(1234567 * time.Microsecond) })
		list := storetest.Journal(func(label string, n int) int { return rapid.IntRange(0, n-1).Draw(t, label) }, rapid.IntRange(0, 20).Draw(t, "length"))
		if _, err := first.Append(t.Context(), list); err != nil {
			t.Fatal(err)
		}
		for i := range rapid.IntRange(0, 3).Draw(t, "photographs") {
			p := store.Photo{MediaType: "image/png", Width: i, Original: i%2 == 0}
			if i > 0 {
				p.Taken = storetest.Start.In(time.FixedZone("", 7200))
			}
			if _, err := first.PutPhoto(t.Context(), p, rapid.SliceOfN(rapid.Byte(), 1, 200).Draw(t, "content")); err != nil {
				t.Fatal(err)
			}
		}
		text := write(t, first)
		path := filepath.Join(folder, fmt.Sprint(n))
		second, err := store.Create(t.Context(), path, clock)
		if err != nil {
			t.Fatal(err)
		}
		defer second.Close()
		s, err := bundle.Import(t.Context(), bytes.NewReader(text), second, now, nil)
		if err != nil || s.Added != len(list) || s.Entries != len(list) {
			t.Fatalf("%+v, %v", s, err)
		}
		if diff := cmp.Diff(string(text), string(write(t, second))); diff != "" {
			t.Fatal(diff)
		}
		again, err := bundle.Import(t.Context(), bytes.NewReader(text), second, now, nil)
		if err != nil || again.Added != 0 {
			t.Fatalf("a second time: %+v, %v", again, err)
		}
		if diff := cmp.Diff(string(text), string(write(t, second))); diff != "" {
			t.Fatalf("a second time: %s", diff)
		}
	})
}

// Whatever is wrong with a bundle, nothing of it is kept.
func TestADamagedBundleIsRefusedWhole(t *testing.T) {
	m := storetest.NewMemory(func() time.Time { return storetest.Start })
	note := func(n int, text string) care.Entry {
		return care.Entry{ID: storetest.ID(n), At: storetest.Start, Kind: care.Noted, Plant: storetest.PlantID(1), Detail: care.Detail{Note: text}}
	}
	if _, err := m.Append(t.Context(), []care.Entry{note(1, "first"), note(2, "second")}); err != nil {
		t.Fatal(err)
	}
	if _, err := m.PutPhoto(t.Context(), store.Photo{MediaType: "image/png"}, []byte("a picture")); err != nil {
		t.Fatal(err)
	}
	sound := string(write(t, m))
	replace := func(old, new string) string {
		changed := strings.Replace(sound, old, new, 1)
		if changed == sound {
			t.Fatalf("%q is not in the bundle", old)
		}
		return changed
	}
	for name, text := range map[string]string{
		"nothing":                   "",
		"another kind of file":      `[1, 2]`,
		"a later format":            replace("velamen-bundle-1", "velamen-bundle-2"),
		"an unknown field":          replace(`"kind"`, `"colour":"red","kind"`),
		"an unknown kind":           replace(`"kind":"note"`, `"kind":"poem"`),
		"an entry without its note": replace(`"note":"second"`, `"note":""`),
		"a changed picture":         replace("YSBwaWN0dXJl", "YSBwaWN0dXJm"),
		"another size":              replace(`"bytes":9`, `"bytes":8`),
		"cut off":                   sound[:len(sound)/2],
		"without its last brace":    strings.TrimSuffix(sound, "}\n"),
		"more behind it":            sound + "{}",
		"entries missing":           replace(`"entries"`, `"photographs"`),
		"two of one id":             replace(storetest.ID(2), storetest.ID(1)),
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "orchids.velamen")
			s, err := store.Create(t.Context(), path, clock)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if _, err := bundle.Import(t.Context(), strings.NewReader(text), s, now, nil); err == nil {
				t.Error("it was imported")
			} else {
				t.Log(err)
			}
			if n, err := s.Count(t.Context()); n != 0 || err != nil {
				t.Errorf("%d entries were kept (%v)", n, err)
			}
		})
	}
}

func TestADamagedPhotographStopsAnExport(t *testing.T) {
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	s, err := store.Create(t.Context(), path, clock)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.PutPhoto(t.Context(), store.Photo{MediaType: "image/png"}, []byte("a picture")); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(store.PhotoFolder(path)); err != nil {
		t.Fatal(err)
	}
	if err := bundle.Write(t.Context(), new(bytes.Buffer), s, nil); err == nil {
		t.Error("it was written")
	}
}

// demoEntries returns the invented collection as a journal.
func demoEntries(t *testing.T) ([]care.Entry, intake.Into) {
	t.Helper()
	tables, err := culture.Load()
	if err != nil {
		t.Fatal(err)
	}
	kase, units, err := casefile.Read(strings.NewReader(demo.CaseFile(now)), "demo", tables)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	into := intake.Into{Have: care.NewCollection(), Tables: tables, Now: now, NewID: func() string { n++; return storetest.ID(n) }}
	return intake.Case(kase, units, into).Entries, into
}

// The table of plants reads back as a spreadsheet of plants.
func TestThePlantTableReadsBack(t *testing.T) {
	entries, into := demoEntries(t)
	c := care.Replay(entries, now)
	tables, err := bundle.Tables(entries, c)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := tables[1].Write(&b); err != nil {
		t.Fatal(err)
	}
	s, err := intake.ReadSheet(&b, intake.SheetOptions{}, into)
	if err != nil || s.Problems() != 0 {
		t.Fatal(err, s.Rows)
	}
	back := care.Replay(s.Entries, now)
	if len(back.Plants) != len(c.Plants) {
		t.Fatalf("%d plants come back of %d", len(back.Plants), len(c.Plants))
	}
	told := func(p care.Plant) []any {
		material := ""
		if k := p.Repot.To.Container; k != nil {
			material = k.Material
		}
		return []any{p.Label, p.Name, p.Group, p.Space, p.Leaves, p.LeafLengthCm, p.LeafWidthCm, p.Pseudobulbs, p.Vigour, p.Repot.Date, p.Repot.Work, p.Repot.RootsKept, material, p.Repot.To.Medium}
	}
	for _, p := range c.Plants {
		other, err := back.ByLabel(p.Record.Label)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(told(p.Record), told(other.Record)); diff != "" {
			t.Errorf("%s: %s", p.Record.Label, diff)
		}
	}
}

func TestTablesAreGuardedAndWhole(t *testing.T) {
	entries, _ := demoEntries(t)
	plant := slices.IndexFunc(entries, func(e care.Entry) bool { return e.Kind == care.PlantSet })
	formula := `=HYPERLINK("https://example.org")`
	entries = append(entries, care.Entry{ID: storetest.ID(5000), At: now, Kind: care.Noted, Plant: entries[plant].Plant, By: "@home", Detail: care.Detail{Note: formula}})
	tables, err := bundle.Tables(entries, care.Replay(entries, now))
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(t.TempDir(), "out")
	if err := bundle.WriteFolder(folder, tables, false); err != nil {
		t.Fatal(err)
	}
	if err := bundle.WriteFolder(folder, tables, false); err == nil {
		t.Error("the tables were overwritten")
	}
	if err := bundle.WriteFolder(folder, tables, true); err != nil {
		t.Error(err)
	}
	rows := map[string]int{"journal.csv": len(entries), "plants.csv": 40, "spaces.csv": 3, "waters.csv": 3, "feeds.csv": 1}
	for name, want := range rows {
		f, err := os.Open(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		list, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil || len(list) != want+1 {
			t.Errorf("%s has %d rows, want %d (%v)", name, len(list)-1, want, err)
		}
		for _, row := range list {
			for _, cell := range row {
				if cell != "" && strings.ContainsRune("=+@\t\r", rune(cell[0])) {
					t.Errorf("%s: %q is not guarded", name, cell)
				}
			}
		}
		if name == "journal.csv" {
			last := list[len(list)-1]
			if intake.Unguard(last[8]) != formula || intake.Unguard(last[7]) != "@home" {
				t.Errorf("the last row reads %q", last)
			}
		}
	}
}

func FuzzReadBundle(f *testing.F) {
	m := storetest.NewMemory(clock)
	if _, err := m.Append(f.Context(), storetest.Fixed(12)); err != nil {
		f.Fatal(err)
	}
	if _, err := m.PutPhoto(f.Context(), store.Photo{MediaType: "image/png"}, []byte("a picture")); err != nil {
		f.Fatal(err)
	}
	f.Add(write(f, m))
	f.Add([]byte(`{"format": "velamen-bundle-1", "entries": [], "photographs": []}`))
	f.Add([]byte(`{"format": "velamen-bundle-1", "entries": [{"id":"0190b5c2-0001-7000-8000-000000000001","at":"2026-06-01T06:00:00Z","kind":"rain","detail":{"rain_mm":3}}], "photographs": []}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		m := storetest.NewMemory(clock)
		s, err := bundle.Import(t.Context(), bytes.NewReader(text), m, now, nil)
		if err != nil {
			if n, _ := m.Count(t.Context()); n != 0 {
				t.Fatalf("%d entries of a refused bundle were kept", n)
			}
			return
		}
		// What was taken in comes out again, and that is stable.
		out := write(t, m)
		other := storetest.NewMemory(clock)
		back, err := bundle.Import(t.Context(), bytes.NewReader(out), other, now, nil)
		if err != nil || back.Added != s.Added {
			t.Fatalf("read back: %+v, %v; first %+v", back, err, s)
		}
		if again := write(t, other); !bytes.Equal(out, again) {
			t.Fatal(cmp.Diff(string(out), string(again)))
		}
		for e := range m.All(t.Context()) {
			if problems := e.Check(now); len(problems) > 0 {
				t.Fatalf("an invalid entry came in: %v", problems)
			}
		}
		care.Replay(collect(t, m), now)
	})
}

func collect(t *testing.T, m *storetest.Memory) (list []care.Entry) {
	for e, err := range m.All(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e)
	}
	return list
}
