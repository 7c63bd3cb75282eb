package book_test

import (
	"cmp"
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/store"
	"velamen/internal/store/storetest"
)

// afterAll is after everything in a random journal.
var afterAll = storetest.Start.AddDate(0, 2, 0)

func clock() time.Time { return afterAll }

func opened(t interface {
	Fatal(...any)
	Context() context.Context
}, s book.Store) *book.Book {
	b, err := book.Open(t.Context(), s, culture.Table{}, clock)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// difference compares two collections; an empty list is as good as none.
func difference(want, got *care.Collection) string {
	return gocmp.Diff(want, got, cmpopts.EquateEmpty())
}

func drawJournal(t *rapid.T, most int) []care.Entry {
	return storetest.Journal(func(label string, n int) int { return rapid.IntRange(0, n-1).Draw(t, label) }, rapid.IntRange(1, most).Draw(t, "length"))
}

// However entries arrive, late, out of order, in bursts, twice, a correction
// before what it corrects, the collection in memory is what the whole journal
// says.
func TestTheCollectionIsWhatTheJournalSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		arrive(t, storetest.NewMemory(clock), drawJournal(t, 40))
	})
}

// arrive appends a journal in some order, comparing after each burst.
func arrive(t *rapid.T, s book.Store, list []care.Entry) {
	b := opened(t, s)
	order := rapid.Permutation(list).Draw(t, "order")
	if rapid.Bool().Draw(t, "as they happened") { // as nearly all entries arrive
		slices.SortFunc(order, func(a, b care.Entry) int { return cmp.Or(a.At.Compare(b.At), strings.Compare(a.ID, b.ID)) })
	}
	var arrived []care.Entry
	for len(order) > 0 {
		cut := rapid.IntRange(1, min(len(order), 8)).Draw(t, "burst")
		burst := slices.Clone(order[:cut])
		order = order[cut:]
		if len(arrived) > 0 && rapid.Bool().Draw(t, "one is sent again") {
			burst = append(burst, rapid.SampledFrom(arrived).Draw(t, "again"))
		}
		added, err := b.Append(t.Context(), burst...)
		if err != nil {
			t.Fatal(err)
		}
		if len(added) != cut {
			t.Fatalf("%d entries are new, want %d", len(added), cut)
		}
		arrived = append(arrived, added...)
		want := care.Replay(arrived, afterAll.AddDate(1, 0, 0))
		b.Read(func(got *care.Collection) {
			if diff := difference(want, got); diff != "" {
				t.Fatalf("after %d entries: the book differs from the journal (- journal, + book)\n%s", len(arrived), diff)
			}
		})
	}
	again := opened(t, s)
	var got *care.Collection
	again.Read(func(c *care.Collection) { got = c })
	b.Read(func(c *care.Collection) {
		if diff := difference(got, c); diff != "" {
			t.Fatalf("opened again, the book differs\n%s", diff)
		}
	})
}

// The same through a file.
func TestTheCollectionIsWhatTheFileSays(t *testing.T) {
	s, err := store.Create(t.Context(), filepath.Join(t.TempDir(), "orchids.velamen"), clock)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	b := opened(t, s)
	list := storetest.Fixed(150)
	// Two by two from the end: everything is late and corrections come first.
	slices.Reverse(list)
	for pair := range slices.Chunk(list, 2) {
		if _, err := b.Append(t.Context(), pair...); err != nil {
			t.Fatal(err)
		}
	}
	want := care.Replay(list, afterAll.AddDate(1, 0, 0))
	b.Read(func(got *care.Collection) {
		if diff := difference(want, got); diff != "" {
			t.Error(diff)
		}
	})
}

// The state of any past moment can be worked out, from entries in any order,
// and is that of the effective entries up to then, one after the other.
func TestAnyPastStateCanBeWorkedOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := drawJournal(t, 40)
		until := storetest.Start.Add(time.Duration(rapid.IntRange(-1, 60*11).Draw(t, "until")) * time.Hour)
		want := care.Replay(list, until)
		if diff := difference(want, care.Replay(rapid.Permutation(list).Draw(t, "order"), until)); diff != "" {
			t.Fatalf("the order of the argument counts\n%s", diff)
		}
		step := care.NewCollection()
		for _, e := range plainly(list, until) {
			step.Apply(e)
		}
		if diff := difference(want, step); diff != "" {
			t.Fatalf("one after the other, another state\n%s", diff)
		}
	})
}

// plainly works out the effective entries by the definition, without regard to
// speed: follow each entry to the last word on it.
func plainly(list []care.Entry, until time.Time) (effective []care.Entry) {
	for _, first := range list {
		if first.Corrects != "" {
			continue
		}
		last := first
		for {
			var next *care.Entry
			for i := range list {
				if list[i].Corrects == last.ID && (next == nil || list[i].ID > next.ID) {
					next = &list[i]
				}
			}
			if next == nil {
				break
			}
			last = *next
		}
		if last.Kind != care.Withdrawn && !last.At.After(until) {
			effective = append(effective, last)
		}
	}
	slices.SortFunc(effective, func(a, b care.Entry) int { return cmp.Or(a.At.Compare(b.At), strings.Compare(a.ID, b.ID)) })
	return effective
}

func TestAnInvalidEntryIsRefusedWithItsBurst(t *testing.T) {
	s := storetest.NewMemory(clock)
	b := opened(t, s)
	good := care.Entry{ID: storetest.ID(1), At: storetest.Start, Kind: care.Noted, Plant: storetest.PlantID(1), Detail: care.Detail{Note: "x"}}
	bad := good
	bad.ID, bad.Detail.Note = storetest.ID(2), " "
	_, err := b.Append(t.Context(), good, bad)
	var invalid *book.Invalid
	if !errors.As(err, &invalid) || invalid.Entry != bad.ID || len(invalid.Problems) != 1 {
		t.Errorf("refused with %v", err)
	}
	if n, _ := s.Count(t.Context()); n != 0 {
		t.Errorf("%d entries were kept", n)
	}
}

func TestAConflictChangesNothing(t *testing.T) {
	b := opened(t, storetest.NewMemory(clock))
	plant := care.Entry{ID: storetest.ID(1), At: storetest.Start, Kind: care.PlantSet, Plant: storetest.PlantID(1), Detail: care.Detail{Plant: &care.Plant{Label: "C-1"}}}
	other := plant
	other.Detail.Plant = &care.Plant{Label: "C-2"}
	if _, err := b.Append(t.Context(), plant); err != nil {
		t.Fatal(err)
	}
	var conflict *store.Conflict
	if _, err := b.Append(t.Context(), other); !errors.As(err, &conflict) || conflict.Entry != plant.ID {
		t.Errorf("a conflict gives %v", err)
	}
	b.Read(func(c *care.Collection) {
		if got := c.Plants[plant.Plant].Record.Label; got != "C-1" {
			t.Errorf("the label is %s", got)
		}
	})
}
