package bundle_test

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/store"
	"velamen/internal/store/bundle"
	"velamen/internal/store/storetest"
)

// What sensors measured goes out with a collection and comes back the same, to
// the byte, also in a second go.
func TestReadingsGoWithTheBundle(t *testing.T) {
	first, second := newStore(t), newStore(t)
	defer first.Close()
	defer second.Close()
	rapid.Check(t, func(r *rapid.T) { // one store gathers more and more, the other follows
		n := rapid.IntRange(1, 40).Draw(r, "readings")
		list := make([]care.Reading, n)
		for i := range list {
			q := rapid.SampledFrom(care.Quantities).Draw(r, "quantity")
			low, high, _ := q.Range()
			list[i] = care.Reading{
				Space: rapid.SampledFrom([]string{"shelf", "=bench"}).Draw(r, "space"), Source: rapid.SampledFrom([]string{"a", "b, taken back"}).Draw(r, "source"), Quantity: q,
				At:    now.Add(-time.Duration(rapid.IntRange(0, 1e7).Draw(r, "seconds ago")) * time.Second).UTC().Truncate(time.Second),
				Value: float64(rapid.IntRange(int(10*low), int(10*high)).Draw(r, "value")) / 10,
			}
		}
		if _, err := first.KeepReadings(t.Context(), list); err != nil {
			r.Fatal(err)
		}
		text := write(t, first)
		for again := range 2 {
			s, err := bundle.Import(t.Context(), bytes.NewReader(text), second, now, nil)
			if err != nil || s.Kept.Added+s.Kept.Doubled != s.Readings || again == 1 && s.Kept.Added > 0 {
				r.Fatalf("%+v, %v", s, err)
			}
			if diff := cmp.Diff(string(text), string(write(t, second))); diff != "" {
				r.Fatal(diff)
			}
		}
	})
}

// Readings that cannot be are refused with the whole bundle.
func TestReadingsThatCannotBeAreRefused(t *testing.T) {
	for text, says := range map[string]string{
		`{"space":"shelf","source":"a","quantity":"temperature","at":[1780000000],"value":[90]}`:                  "outside",
		`{"space":"shelf","source":"a","quantity":"temperature","at":[1780000000,1780000060],"value":[20]}`:       "2 times and 1 values",
		`{"space":"shelf","source":"a","quantity":"wind","at":[1780000000],"value":[20]}`:                         "not a quantity",
		`{"space":"shelf","source":"a","quantity":"temperature","at":[-5],"value":[20]}`:                          "no time in seconds",
		`{"space":"","source":"a","quantity":"temperature","at":[1780000000],"value":[20]}`:                       "space of the temperature is missing",
		`{"space":"shelf","source":"a","quantity":"temperature","at":[9223372036854775807],"value":[20]}`:         "no time in seconds",
		`{"space":"shelf","source":"a","quantity":"temperature","at":[1780000000],"value":[20],"colour":"green"}`: "unknown field",
	} {
		s := newStore(t)
		whole := `{"format": "velamen-bundle-1", "entries": [], "photographs": [], "readings": [` + text + `]}`
		_, err := bundle.Import(t.Context(), strings.NewReader(whole), s, now, nil)
		sensors, _ := s.Sensors(t.Context())
		if err == nil || !strings.Contains(err.Error(), says) || len(sensors) > 0 {
			t.Errorf("%s: %v, %v; want an error with %q", text, err, sensors, says)
		}
		s.Close()
	}
	if _, err := bundle.Import(t.Context(), strings.NewReader(`{"format": "velamen-bundle-1", "entries": [], "photographs": [], "readings": [{"space":"s","source":"a","quantity":"light","at":[1780000000],"value":[20]}]}`), storetest.NewMemory(clock), now, nil); err == nil {
		t.Error("a place that keeps no readings took some")
	}
}

func newStore(t *testing.T) *store.Store {
	s, err := store.Create(t.Context(), filepath.Join(t.TempDir(), "orchids.velamen"), clock)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
