package care_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/internal/care"
)

// What is due on the first day of a plan is what the round of that day asks for.
func TestAheadBeginsWithTheJobsOfTheDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSketch(t)
		plant := s.read(t).Plants[0]
		whole := s.on(t, 0)
		o := whole.Outline()
		p, rains := randomRecovery(t, plant)
		outdoors := rapid.Bool().Draw(t, "outdoors")
		for range 6 {
			on := plant.Repot.Date.AddDate(0, 0, rapid.IntRange(0, 200).Draw(t, "day"))
			rains := slices.DeleteFunc(slices.Clone(rains), func(r care.Rain) bool { return !r.At.Before(on.AddDate(0, 0, 1)) })
			flush := false
			jobs, coming := map[string]bool{}, map[string]bool{}
			for _, j := range o.Jobs(p, rains, outdoors, on, care.Units{}) {
				jobs[j.Key] = true
				flush = flush || j.Task == care.Flushing
			}
			for _, c := range o.Ahead(p, care.Horizon{From: on, Days: 14, Rains: rains, Outdoors: outdoors}) {
				if c.First > c.Last || c.Last < 0 || c.First < 0 || !(c.LeftOut > 0) || c.Latest < c.Due {
					t.Fatalf("window %+v", c)
				}
				if c.Due > 0 || c.First > 0 {
					continue
				}
				for _, j := range o.JobsOf(p, &c, on, on, care.Units{}) {
					coming[j.Key] = true
				}
			}
			for key := range jobs {
				// A flush that was put off takes its feed along.
				if !coming[key] && (flush || care.TaskOf(key) != care.Feeding) {
					t.Errorf("%s: the round asks for %s, the plan does not", on.Format(time.DateOnly), key)
				}
			}
			for key := range coming {
				if !jobs[key] {
					t.Errorf("%s: the plan asks for %s, the round does not", on.Format(time.DateOnly), key)
				}
			}
		}
	})
}

// Waiting longer never costs less, and windows of one chain do not overlap.
func TestWaitingCosts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSketch(t)
		plant := s.read(t).Plants[0]
		whole := s.on(t, 0)
		o := whole.Outline()
		p, _ := randomRecovery(t, plant)
		closed := make([]bool, 30)
		for d := range rapid.IntRange(0, 15).Draw(t, "days away") {
			closed[6+d] = true
		}
		last := map[care.Task]int{}
		from := o.Repot.AddDate(0, 0, rapid.IntRange(0, 100).Draw(t, "day"))
		for _, c := range o.Ahead(p, care.Horizon{From: from, Days: 30, Closed: closed}) {
			before := 0.0
			for k := 1; k < 40; k++ {
				after := c.Wait.After(k)
				if after <= before || math.IsNaN(after) || math.IsInf(after, 0) {
					t.Fatalf("%s: %d days of waiting cost %g, %d cost %g", c.Task, k-1, before, k, after)
				}
				before = after
			}
			if c.Before || c.Task == care.LookForPests || c.Task == care.Review {
				continue
			}
			if end, met := last[c.Task]; met && c.First <= end {
				t.Fatalf("%s: window from day %d overlaps the one to day %d", c.Task, c.First, end)
			}
			last[c.Task] = c.Last
		}
	})
}
