package book_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/plan"
)

func keysOf(r plan.Round) (keys []string) {
	for _, stop := range r.Stops {
		for _, job := range stop.Jobs {
			keys = append(keys, job.Key)
		}
	}
	return keys
}

// What comes is what the rounds of those days ask for once everything before was
// done: doing it, day by day, finds the same jobs.
func TestComingWorkIsThatOfTheRoundsToCome(t *testing.T) {
	d := withPlants(t, "P-001", "C-001", "U-001", "M-001")
	const days = 20
	coming, err := d.book.Coming(t.Context(), d.book.Today(), days)
	if err != nil || len(coming) != days {
		t.Fatal(err, len(coming))
	}
	jobs := 0
	for i, day := range coming {
		at := day.On.Add(12 * time.Hour)
		then, err := book.Open(t.Context(), d.journal, d.book.Tables(), func() time.Time { return at })
		if err != nil {
			t.Fatal(err)
		}
		round, _, err := then.Round(t.Context(), day.On)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := keysOf(day.Round), keysOf(round); !slices.Equal(got, want) {
			t.Fatalf("day %d: %v, want %v", i, got, want)
		}
		for _, stop := range round.Stops {
			for _, job := range stop.Jobs {
				jobs++
				e := care.Entry{ID: fmt.Sprintf("01900000-0000-7000-a000-%012d", jobs), At: at, Kind: job.Task.Answers(), Plant: job.Plant, Detail: care.Detail{Job: job.Key}}
				if _, err := d.journal.Append(t.Context(), []care.Entry{e}); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	if jobs < 2*days {
		t.Errorf("only %d jobs were met", jobs)
	}
}
