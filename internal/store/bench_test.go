package store_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/store"
	"velamen/internal/store/storetest"
)

func BenchmarkAppend(b *testing.B) {
	for _, burst := range []int{1, 100} {
		b.Run(fmt.Sprintf("entries=%d", burst), func(b *testing.B) {
			s := create(b, filepath.Join(b.TempDir(), "orchids.velamen"), atStart)
			list := make([]care.Entry, burst)
			next := 0
			for b.Loop() {
				for i := range list {
					list[i] = noteOf(next)
					next++
				}
				if _, err := s.Append(b.Context(), list); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// large makes a collection of so many entries of so many plants, in bursts.
func large(b *testing.B, entries, plants int) *store.Store {
	b.Helper()
	s := create(b, filepath.Join(b.TempDir(), "orchids.velamen"), atStart)
	const burst = 10_000
	list := make([]care.Entry, 0, burst)
	for e := range storetest.Large(entries, plants) {
		if list = append(list, e); len(list) < burst {
			continue
		}
		if _, err := s.Append(b.Context(), list); err != nil {
			b.Fatal(err)
		}
		list = list[:0]
	}
	if _, err := s.Append(b.Context(), list); err != nil {
		b.Fatal(err)
	}
	return s
}

func BenchmarkRead(b *testing.B) {
	const entries = 100_000
	s := large(b, entries, 1000)
	b.Run("all", func(b *testing.B) {
		for b.Loop() {
			n := 0
			for _, err := range s.All(b.Context()) {
				if err != nil {
					b.Fatal(err)
				}
				n++
			}
			if n != entries {
				b.Fatalf("%d entries", n)
			}
		}
	})
	b.Run("plant", func(b *testing.B) {
		for b.Loop() {
			if list, err := s.OfPlant(b.Context(), storetest.PlantID(7)); err != nil || len(list) != entries/1000 {
				b.Fatal(len(list), err)
			}
		}
	})
	var list []care.Entry
	for e := range s.All(b.Context()) {
		list = append(list, e)
	}
	b.Run("replay", func(b *testing.B) {
		for b.Loop() {
			if c := care.Replay(list, storetest.Start.AddDate(10, 0, 0)); len(c.Plants) != 1000 {
				b.Fatalf("%d plants", len(c.Plants))
			}
		}
	})
}

// BenchmarkOpenLarge opens a file and works out its collection. The largest,
// a million entries, takes minutes to make: ask for it by
// VELAMEN_LARGE=1000000.
func BenchmarkOpenLarge(b *testing.B) {
	entries := 100_000
	if text := os.Getenv("VELAMEN_LARGE"); text != "" {
		var err error
		if entries, err = strconv.Atoi(text); err != nil {
			b.Fatal(err)
		}
	}
	made := large(b, entries, entries/100)
	tables, err := culture.Load()
	if err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	for b.Loop() {
		s, err := store.OpenReading(b.Context(), made.Path(), atStart)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := book.Open(b.Context(), s, tables, atStart); err != nil {
			b.Fatal(err)
		}
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(entries), "entries")
}
