package plan_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/basis"
)

var today = time.Date(2026, 11, 24, 0, 0, 0, 0, time.UTC)

// job is a job at a plant whose label names it.
func job(label, space string, task care.Task, minutes, mL float64, overdue int) care.Job {
	due := today.AddDate(0, 0, -overdue)
	return care.Job{
		Key: label + "/" + string(task) + "/" + due.Format(time.DateOnly), Plant: label, Label: label, Space: space, Task: task,
		Due: due, Latest: due, ML: mL, Minutes: basis.Exactly(minutes, "min", basis.Assumption, ""),
	}
}

func shown(r plan.Round) (list []string) {
	for _, stop := range r.Stops {
		for _, j := range stop.Jobs {
			list = append(list, stop.Space+" "+j.Label+" "+string(j.Task))
		}
	}
	return list
}

func waiting(r plan.Round) (list []string) {
	for _, w := range r.Waits {
		list = append(list, w.Job.Label+" "+string(w.Job.Task))
	}
	return list
}

func TestRoundsAreInWalkingOrder(t *testing.T) {
	jobs := []care.Job{
		job("B", "shelf", care.LookForPests, 3, 0, 0), job("B", "shelf", care.Flushing, 1.5, 500, 0), job("B", "shelf", care.Feeding, 1, 0, 0),
		job("A", "attic", care.Misting, 0.3, 20, 0),
		job("A2", "Shelf", care.Photograph, 1, 0, 0),
		job("C", "balcony", care.Flushing, 1.5, 400, 0),
	}
	r := plan.Make(jobs, []string{"balcony", "shelf"}, today, plan.Limits{}, plan.Limits{})
	want := []string{"balcony C flush", "Shelf A2 photograph", "shelf B pest look", "shelf B flush", "shelf B feed", "attic A mist"}
	if got := shown(r); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if len(r.Waits) != 0 || math.Abs(r.Need.Minutes-8.3) > 1e-9 || math.Abs(r.Need.Litres-0.92) > 1e-9 || r.Need != r.Fits {
		t.Errorf("without limits: %+v", r)
	}
}

func TestWhatHarmsLeastWaits(t *testing.T) {
	jobs := []care.Job{
		job("A", "shelf", care.Photograph, 1, 0, 0), job("A", "shelf", care.Flushing, 2, 500, 0), job("A", "shelf", care.Feeding, 1, 0, 0),
		job("B", "shelf", care.Flushing, 2, 500, 3), job("C", "shelf", care.Misting, 1, 50, 0),
	}
	for _, c := range []struct {
		name         string
		limits, done plan.Limits
		waits        []string // the least harmful first
	}{
		{"no limits", plan.Limits{}, plan.Limits{}, nil},
		{"just enough", plan.Limits{Minutes: 7, Litres: 1.05}, plan.Limits{}, nil},
		{"a minute short", plan.Limits{Minutes: 6}, plan.Limits{}, []string{"A photograph"}},
		{"a minute gone already", plan.Limits{Minutes: 7}, plan.Limits{Minutes: 1}, []string{"A photograph"}},
		{"less water: the more overdue flush is done, and the feed waits with the other", plan.Limits{Litres: 0.6}, plan.Limits{}, []string{"A feed", "A flush"}},
		{"water gone already", plan.Limits{Litres: 1.05}, plan.Limits{Litres: 0.5}, []string{"A feed", "A flush"}},
		{"more done than allowed", plan.Limits{Minutes: 7}, plan.Limits{Minutes: 9}, []string{"A photograph", "A feed", "A flush", "B flush", "C mist"}},
	} {
		r := plan.Make(jobs, nil, today, c.limits, c.done)
		if got := waiting(r); !slices.Equal(got, c.waits) {
			t.Errorf("%s: %q wait, want %q", c.name, got, c.waits)
		}
		for _, w := range r.Waits {
			if w.Cost == "" {
				t.Errorf("%s: %s waits at no stated cost", c.name, w.Job.Key)
			}
		}
	}
}

// Every job is either done today or waits; sums add up; limits hold.
func TestRoundsBalance(t *testing.T) {
	tasks := []care.Task{care.LookForPests, care.MeasureRoots, care.Review, care.Flushing, care.Watering, care.Feeding, care.Misting, care.Photograph}
	rapid.Check(t, func(t *rapid.T) {
		var jobs []care.Job
		for i := range rapid.IntRange(0, 40).Draw(t, "jobs") {
			jobs = append(jobs, job(fmt.Sprint("P-", i/3), rapid.SampledFrom([]string{"shelf", "balcony", "attic"}).Draw(t, "space"),
				tasks[i%len(tasks)], rapid.Float64Range(0, 5).Draw(t, "minutes"), rapid.Float64Range(0, 2000).Draw(t, "mL"), i))
		}
		limits := plan.Limits{Minutes: rapid.Float64Range(0, 60).Draw(t, "limit, minutes"), Litres: rapid.Float64Range(0, 20).Draw(t, "limit, litres")}
		done := plan.Limits{Minutes: rapid.Float64Range(0, 30).Draw(t, "done, minutes"), Litres: rapid.Float64Range(0, 10).Draw(t, "done, litres")}
		r := plan.Make(jobs, []string{"shelf", "balcony"}, today, limits, done)
		if n := len(shown(r)) + len(r.Waits); n != len(jobs) {
			t.Fatalf("%d jobs became %d", len(jobs), n)
		}
		var minutes, litres float64
		for _, stop := range r.Stops {
			minutes, litres = minutes+stop.Minutes, litres+stop.Litres
		}
		// Sums of forty terms in another order.
		const rounding = 1e-9
		if math.Abs(minutes-r.Fits.Minutes) > rounding || math.Abs(litres-r.Fits.Litres) > rounding {
			t.Errorf("stops take %v min and %v L, the round %+v", minutes, litres, r.Fits)
		}
		for _, w := range r.Waits {
			minutes, litres = minutes+w.Job.Minutes.Value, litres+w.Job.ML/1000
		}
		if math.Abs(minutes-r.Need.Minutes) > rounding || math.Abs(litres-r.Need.Litres) > rounding {
			t.Errorf("all jobs take %v min and %v L, needed are %+v", minutes, litres, r.Need)
		}
		if len(shown(r)) > 0 && (limits.Minutes > 0 && done.Minutes+r.Fits.Minutes > limits.Minutes+rounding && r.Fits.Minutes > 0 ||
			limits.Litres > 0 && done.Litres+r.Fits.Litres > limits.Litres+rounding && r.Fits.Litres > 0) {
			t.Errorf("%+v done and %+v to do, more than %+v", done, r.Fits, limits)
		}
	})
}
