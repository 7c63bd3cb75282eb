package book_test

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
)

func labels(list []book.Listed) (out []string) {
	for _, l := range list {
		out = append(out, l.Label)
	}
	return out
}

func TestFind(t *testing.T) {
	d := withPlants(t, "P-001", "P-003", "P-004", "C-001", "L-001", "T-001")
	d.add(now, care.PlantLost, plantID("T-001"), care.Detail{})
	record := care.Plant{Label: "P-010", Name: "never repotted", Group: "Phalaenopsis", Space: "attic"}
	d.add(now, care.PlantSet, plantID("P-010"), care.Detail{Plant: &record})
	for _, c := range []struct {
		name  string
		query book.Query
		want  []string
	}{
		{"everything that lives here", book.Query{}, []string{"C-001", "L-001", "P-001", "P-003", "P-004", "P-010"}},
		{"part of a label", book.Query{Text: "p-00"}, []string{"P-001", "P-003", "P-004"}},
		{"words of several fields", book.Query{Text: "SHELF bellina"}, []string{"P-004"}},
		{"nothing", book.Query{Text: "unicorn"}, nil},
		{"a space", book.Query{Space: "Terrace"}, []string{"L-001"}},
		{"a group", book.Query{Group: "Phalaenopsis"}, []string{"P-001", "P-003", "P-010"}},
		{"settling", book.Query{Standing: book.Settling}, []string{"C-001", "P-001"}},
		{"rooting", book.Query{Standing: book.Rooting}, []string{"P-003"}},
		{"later", book.Query{Standing: book.Later}, []string{"L-001", "P-004"}},
		{"usual care", book.Query{Standing: book.Usual}, []string{"P-010"}},
		{"ended", book.Query{Standing: book.Ended}, []string{"T-001"}},
		{"latest repot first, never last", book.Query{Order: book.ByRepot}, []string{"P-001", "C-001", "P-003", "P-004", "L-001", "P-010"}},
		{"in walking order", book.Query{Order: book.BySpace}, []string{"C-001", "P-001", "P-003", "P-004", "L-001", "P-010"}},
		{"by name", book.Query{Order: book.ByName, Standing: book.Later}, []string{"L-001", "P-004"}},
		{"longest quiet first", book.Query{Order: book.ByQuiet}, []string{"L-001", "P-004", "P-003", "C-001", "P-001", "P-010"}},
		{"a part", book.Query{From: 1, To: 3}, []string{"L-001", "P-001"}},
		{"beyond the end", book.Query{From: 100, To: 150}, nil},
	} {
		found, err := d.book.Find(t.Context(), c.query, d.book.Today())
		if err != nil {
			t.Fatal(err)
		}
		if got := labels(found.Plants); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	found, err := d.book.Find(t.Context(), book.Query{Text: "p-", Standing: book.Settling, To: 1}, d.book.Today())
	if err != nil {
		t.Fatal(err)
	}
	if found.Total != 1 || found.Collection != 6 || found.Counts[book.Rooting] != 1 || found.Counts[book.Usual] != 1 {
		t.Errorf("%+v", found)
	}
	if !slices.Equal(found.Spaces, []string{"balcony", "shelf", "terrace", "attic"}) {
		t.Errorf("spaces %v", found.Spaces)
	}
}

// A search says what the course says, once it was worked out, and agrees with
// it about intensive care.
func TestFindKnowsCoursesAtHand(t *testing.T) {
	d := withPlants(t, "P-001", "P-005", "C-002")
	find := func(s book.Standing) book.Found {
		f, err := d.book.Find(t.Context(), book.Query{Standing: s}, d.book.Today())
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	for _, l := range find("").Plants {
		if l.Known {
			t.Errorf("the course of %s was worked out for a list", l.Label)
		}
	}
	var want []string
	for _, label := range []string{"C-002", "P-001", "P-005"} {
		c, err := d.book.Course(plantID(label), d.book.Today())
		if err != nil {
			t.Fatal(err)
		}
		if c.Intensive {
			want = append(want, label)
		}
	}
	if len(want) == 0 || len(want) == 3 {
		t.Fatalf("intensive care for %v: the test cannot tell", want)
	}
	if got := labels(find(book.Intensive).Plants); !slices.Equal(got, want) {
		t.Errorf("intensive care: %v, want %v", got, want)
	}
	for _, l := range find("").Plants {
		if !l.Known || l.Intensive != slices.Contains(want, l.Label) {
			t.Errorf("%+v", l)
		}
	}
}

func TestLabelsAreCounted(t *testing.T) {
	for _, c := range []struct{ x, y string }{{"P-2", "P-10"}, {"P-009", "P-10"}, {"a1", "B1"}, {"P", "P-1"}, {"7", "A"}, {"P-10a", "P-10b"}, {"P-1", "P-01a"}} {
		if book.CompareLabels(c.x, c.y) >= 0 || book.CompareLabels(c.y, c.x) <= 0 {
			t.Errorf("%s does not come before %s", c.x, c.y)
		}
	}
}

func TestLabelsHaveOneOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		label := rapid.StringMatching(`[A-Ca-c0-2\-é]{0,6}`)
		x, y, z := label.Draw(t, "x"), label.Draw(t, "y"), label.Draw(t, "z")
		if book.CompareLabels(x, y) != -book.CompareLabels(y, x) {
			t.Errorf("%q and %q follow each other", x, y)
		}
		if book.CompareLabels(x, y) <= 0 && book.CompareLabels(y, z) <= 0 && book.CompareLabels(x, z) > 0 {
			t.Errorf("%q ≤ %q ≤ %q, but not the ends", x, y, z)
		}
	})
}

// BenchmarkFind searches 10,000 plants for the first page.
func BenchmarkFind(b *testing.B) {
	tables, err := culture.Load()
	if err != nil {
		b.Fatal(err)
	}
	kept := &journal{}
	for i := range 10_000 {
		id := fmt.Sprintf("01900000-0000-7000-9000-%012d", i)
		at := now.AddDate(0, 0, -i%500-1)
		record := care.Plant{Label: fmt.Sprintf("P-%d", i), Name: fmt.Sprintf("hybrid %d", i*7919%1000), Group: "Phalaenopsis", Space: []string{"shelf", "balcony"}[i%2]}
		kept.entries = append(kept.entries,
			care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", 2*i), At: at, Kind: care.PlantSet, Plant: id, Detail: care.Detail{Plant: &record}},
			care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", 2*i+1), At: at, Kind: care.RepotDone, Plant: id, Detail: care.Detail{Repot: &care.Repot{Date: at}}})
	}
	all, err := book.Open(context.Background(), kept, tables, func() time.Time { return now })
	if err != nil {
		b.Fatal(err)
	}
	for _, q := range []book.Query{{To: 50}, {Text: "hybrid 3", Space: "shelf", Order: book.ByRepot, To: 50}} {
		b.Run(string(q.Order)+q.Text, func(b *testing.B) {
			for b.Loop() {
				if _, err := all.Find(context.Background(), q, all.Today()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
