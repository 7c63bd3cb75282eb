package store_test

import (
	"fmt"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/store"
	"velamen/internal/store/storetest"
	"velamen/science/basis"
)

// anyTime draws times of all zones to the nanosecond.
var anyTime = rapid.Custom(func(t *rapid.T) time.Time {
	zone := time.FixedZone("", 60*rapid.IntRange(-14*60, 14*60).Draw(t, "zone"))
	micros := rapid.Int64Range(time.Date(1, 1, 3, 0, 0, 0, 0, time.UTC).UnixMicro(), time.Date(9998, 12, 28, 0, 0, 0, 0, time.UTC).UnixMicro()).Draw(t, "at")
	return time.UnixMicro(micros).Add(time.Duration(rapid.IntRange(0, 999).Draw(t, "ns"))).In(zone)
})

// anyDetail draws details with any field filled, whatever it may be: a field
// that is added later is covered without a change here.
var anyDetail = rapid.MakeCustom[care.Detail](rapid.MakeConfig{Types: map[reflect.Type]*rapid.Generator[any]{
	reflect.TypeFor[time.Time](): anyTime.AsAny(),
	reflect.TypeFor[basis.Grade](): rapid.Custom(func(t *rapid.T) basis.Grade {
		return basis.Grade(rapid.IntRange(0, int(basis.Measured)).Draw(t, "grade"))
	}).AsAny(),
}})

// Every field of an entry comes back as it was, however unlikely its content:
// nothing that can be written down is lost in JSON or SQL.
func TestAnyEntryComesBackExactly(t *testing.T) {
	s := create(t, filepath.Join(t.TempDir(), "orchids.velamen"), atStart)
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		e := care.Entry{
			ID: storetest.ID(n), At: anyTime.Draw(t, "time"), Kind: care.Kind(rapid.String().Draw(t, "kind")),
			Plant: rapid.String().Draw(t, "plant"), Corrects: rapid.String().Draw(t, "corrects"), By: rapid.String().Draw(t, "by"),
			Detail: anyDetail.Draw(t, "detail"),
		}
		added, err := s.Append(t.Context(), []care.Entry{e})
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.Entry(t.Context(), e.ID)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(added, []care.Entry{got}) {
			t.Fatalf("Append returned what does not read back:\n%s", cmp.Diff(added[0], got))
		}
		// Against the entry as it was drawn, by another way than the store's:
		// field by field, with times compared as instants and calendar days.
		if diff := cmp.Diff(e, got, withoutStamp, asInstants, emptyIsNone); diff != "" {
			t.Fatal(diff)
		}
		_, drawn := e.At.Zone()
		if _, kept := got.At.Zone(); drawn != kept {
			t.Fatalf("offset %d became %d", drawn, kept)
		}
	})
}

var (
	withoutStamp = cmp.FilterPath(func(p cmp.Path) bool { return p.String() == "Recorded" }, cmp.Ignore())
	// A microsecond apart at most, and for times within the detail not at all.
	asInstants  = cmp.Comparer(func(a, b time.Time) bool { return a.Truncate(time.Microsecond).Equal(b.Truncate(time.Microsecond)) })
	emptyIsNone = cmp.FilterValues(func(a, b any) bool { return isEmpty(a) && isEmpty(b) }, cmp.Ignore())
)

// isEmpty reports an empty slice or map: JSON leaves both out.
func isEmpty(x any) bool {
	v := reflect.ValueOf(x)
	return v.IsValid() && (v.Kind() == reflect.Slice || v.Kind() == reflect.Map) && v.Len() == 0
}

func TestCanonicalFormIsStable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := care.Entry{ID: storetest.ID(1), At: anyTime.Draw(t, "time"), Kind: care.Noted, By: string(rapid.SliceOf(rapid.Byte()).Draw(t, "by")), Detail: anyDetail.Draw(t, "detail")}
		once, err := store.Canonical(e)
		if err != nil {
			t.Fatal(err)
		}
		twice, err := store.Canonical(once)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(once, twice) {
			t.Fatal(cmp.Diff(once, twice))
		}
		if same, err := store.SameContent(e, once); err != nil || !same {
			t.Fatalf("an entry and its canonical form differ (%v)", err)
		}
	})
}

// SQLite and the store in memory agree on any journal, however it is cut up and
// repeated on its way.
func TestSQLiteAndMemoryAgree(t *testing.T) {
	folder, n := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		s, err := store.Create(t.Context(), filepath.Join(folder, fmt.Sprint(n)), atStart)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		m := storetest.NewMemory(atStart)
		list := storetest.Journal(func(label string, n int) int { return rapid.IntRange(0, n-1).Draw(t, label) }, rapid.IntRange(0, 25).Draw(t, "length"))
		order := rapid.Permutation(list).Draw(t, "order")
		for len(order) > 0 {
			cut := rapid.IntRange(1, len(order)).Draw(t, "cut")
			back := rapid.IntRange(0, 2).Draw(t, "sent again")
			sent := append(order[:cut:cut], order[:min(back, cut)]...)
			x, errX := s.Append(t.Context(), sent)
			y, errY := m.Append(t.Context(), sent)
			if errX != nil || errY != nil {
				t.Fatal(errX, errY)
			}
			if !reflect.DeepEqual(x, y) {
				t.Fatal(cmp.Diff(x, y))
			}
			order = order[cut:]
		}
		for _, plant := range []string{"", storetest.PlantID(0), storetest.PlantID(1), storetest.PlantID(2), storetest.PlantID(3)} {
			x, errX := s.OfPlant(t.Context(), plant)
			y, errY := m.OfPlant(t.Context(), plant)
			if errX != nil || errY != nil || !reflect.DeepEqual(x, y) {
				t.Fatal(plant, errX, errY, cmp.Diff(x, y))
			}
		}
	})
}
