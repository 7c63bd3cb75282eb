package plan_test

import (
	"math"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/basis"
)

// daily is a plant that is to be flushed every day, and what a day's waiting
// costs it: more with every further one.
func daily(label string, days int, wait *care.Delay) plan.Plant {
	p := plan.Plant{ID: label, Label: label, Space: "bench"}
	for day := range days {
		p.Coming = append(p.Coming, care.Coming{Task: care.Flushing, Due: day, First: day, Latest: day, Last: day, ML: 100, Wait: wait, LeftOut: wait.After(1)})
	}
	return p
}

// worsening is a delay of which every day costs more than the one before.
func worsening() *care.Delay {
	return care.NewDelay(basis.Assumed(0.1, 0.05, 0.2, "stress days"), func(days int) float64 { return 0.1 * math.Pow(float64(days), 2) })
}

// Where every other flush has to be left out, none of two like plants goes
// without water for days on end: the second day in a row costs more than the
// first, and the plan reckons with it.
func TestNoPlantIsLeftOutForDays(t *testing.T) {
	const days = 12
	wait := worsening()
	if !(wait.After(2) > 3*wait.After(1)) {
		t.Fatalf("one day costs %g, two cost %g: no case for this test", wait.After(1), wait.After(2))
	}
	s := plan.Situation{From: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC), Pace: care.WorkPace{}, Minutes: make([]float64, days)}
	for day := range s.Minutes {
		s.Minutes[day] = plan.SpaceMinutes.Value + s.Pace.Minutes(care.Flushing).Value
	}
	plants := []plan.Plant{daily("A", days, wait), daily("B", days, wait)}
	d, err := plan.NewDraft(plants, s)
	if err != nil {
		t.Fatal(err)
	}
	made := d.Make(plan.Search{Steps: plan.Steps(d.Items()), Random: 1})
	out := map[int][]bool{0: make([]bool, days), 1: make([]bool, days)}
	sum := 0.0
	for _, m := range made.Missed {
		out[m.Plant][m.Coming] = true
		sum += m.Cost
	}
	longest := 0
	for _, missed := range out {
		run := 0
		for _, v := range missed {
			if run++; !v {
				run = 0
			}
			longest = max(longest, run)
		}
	}
	if longest > 2 {
		t.Errorf("a plant goes without water for %d days on end: %v", longest, out)
	}
	if len(made.Missed) != days {
		t.Errorf("%d flushes are missed, want %d", len(made.Missed), days)
	}
	if math.Abs(sum-made.Harm) > 1e-9 {
		t.Errorf("what is missed costs %g, the plan says %g", sum, made.Harm)
	}
	// All days of one plant would cost what so many days of waiting cost.
	if worst := wait.After(days); made.Harm > worst/2 {
		t.Errorf("the plan costs %g, leaving one plant dry %g", made.Harm, worst)
	}
}

// The first days of a plan are the plan of those days.
func TestFirstDays(t *testing.T) {
	const days = 12
	s := plan.Situation{From: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC), Pace: care.WorkPace{}, Minutes: make([]float64, days)}
	d, err := plan.NewDraft([]plan.Plant{daily("A", days, worsening())}, s)
	if err != nil {
		t.Fatal(err)
	}
	made := d.Make(plan.Search{Steps: 10, Random: 1})
	first := made.First(5)
	if len(made.Missed) != days || len(first.Missed) != 5 || len(first.Days) != 5 || !(first.Harm < made.Harm) {
		t.Errorf("%d of %d days, %d of %d missed, harm %g of %g", len(first.Days), len(made.Days), len(first.Missed), len(made.Missed), first.Harm, made.Harm)
	}
}
