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

// What is laid out ahead are the rounds of those days, however far ahead they are
// asked for; and whoever does the rounds day by day does nothing before or after
// its time, and what was laid out in the first fortnight on its day or the day
// beside it.
func TestComingWorkIsThatOfTheRoundsToCome(t *testing.T) {
	d := withPlants(t, "P-001", "C-001", "U-001", "M-001")
	const days = 20
	coming, err := d.book.Coming(t.Context(), d.book.Today(), days)
	if err != nil || len(coming) != days {
		t.Fatal(err, len(coming))
	}
	for i, day := range coming {
		round, _, err := d.book.Round(t.Context(), day.On)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := keysOf(day.Round), keysOf(round); !slices.Equal(got, want) {
			t.Fatalf("day %d is laid out as %v, its round is %v", i, got, want)
		}
	}
	laid, done := map[string][]int{}, map[string][]int{}
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
		for _, stop := range day.Round.Stops {
			for _, job := range stop.Jobs {
				of := job.Label + " " + string(job.Task)
				laid[of] = append(laid[of], i)
			}
		}
		for _, stop := range round.Stops {
			for _, job := range stop.Jobs {
				if day.On.Before(job.Earliest) || day.On.After(job.Latest) && i > 0 { // on the first day much is overdue
					t.Errorf("%s on day %d, its window is %s to %s", job.Key, i, job.Earliest.Format(time.DateOnly), job.Latest.Format(time.DateOnly))
				}
				of := job.Label + " " + string(job.Task)
				done[of] = append(done[of], i)
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
	for of, on := range laid {
		for k, day := range on {
			if day >= book.PlanDays {
				break // planned anew before its time comes, within its window
			}
			if k >= len(done[of]) || max(day-done[of][k], done[of][k]-day) > 1 {
				t.Errorf("%s: laid out for days %d, done on %d", of, on, done[of])
				break
			}
		}
	}
}

// Looks for pests that follow from a look to come are laid out too, one at a time:
// mites that were found are looked for again and again in the days of the plan.
func TestLooksThatFollowAreLaidOut(t *testing.T) {
	d := withPlants(t, "P-001")
	looks := func() (days []int) {
		p, err := d.book.Plan(t.Context(), book.Ask{From: d.book.Today(), Days: book.PlanDays})
		if err != nil {
			t.Fatal(err)
		}
		for day := range p.Days {
			for _, one := range p.Days[day].Items {
				if _, c := p.Of(one.Plant, one.Coming); c.Task == care.LookForPests {
					if day < c.First || day > c.Last {
						t.Errorf("planned for day %d, its window is %d to %d", day, c.First, c.Last)
					}
					days = append(days, day)
				}
			}
		}
		return days
	}
	d.add(now, care.PestLook, plantID("P-001"), care.Detail{Pest: "two-spotted mite"})
	if days := looks(); len(days) < 2 || !slices.IsSorted(days) {
		t.Errorf("mites are looked for on days %d", days)
	}
}
