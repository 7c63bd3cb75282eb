package care_test

import (
	"fmt"
	"maps"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/care"
)

// Over a recovery in which some of the jobs are answered each day, in any of the
// ways there are, the state of the plant asks for what it would ask for if it
// remembered every answer; and what it remembers does not grow.
func TestForgottenAnswersAreNotAskedForAgain(t *testing.T) {
	const id = "01900000-0000-7000-9000-000000000001"
	mount := ordinary()
	mount.to = homeSketch{mount: "cork", size: [2]float64{12, 20}}
	dry := ordinary()
	dry.waterEvery, dry.to.material = 1, "clay"
	courses := map[string]care.Course{"pot": ordinary().on(t, 0), "mount": mount.on(t, 0), "dry": dry.on(t, 0)}
	forgotten := 0
	rapid.Check(t, func(t *rapid.T) {
		course := courses[rapid.SampledFrom([]string{"pot", "mount", "dry"}).Draw(t, "home")]
		outline := course.Outline()
		repot := course.Repot
		c := care.NewCollection()
		all := map[string]care.Answer{}
		made := 0
		apply := func(at time.Time, kind care.Kind, d care.Detail) {
			made++
			e := care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", made), At: at, Kind: kind, Plant: id, Detail: d}
			c.Apply(e)
			if d.Job != "" {
				all[d.Job] = c.Plants[id].Done[d.Job]
			}
		}
		apply(repot.AddDate(0, -1, 0), care.PlantSet, care.Detail{Plant: &care.Plant{Label: "T-1"}})
		apply(repot.Add(8*time.Hour), care.RepotDone, care.Detail{Repot: &care.Repot{Date: repot}})
		zone := time.FixedZone("", rapid.IntRange(-11, 12).Draw(t, "zone")*3600)
		for days := range 200 {
			on := repot.AddDate(0, 0, days)
			state := c.Plants[id]
			whole := state.Clone()
			whole.Done = maps.Clone(all)
			jobs := outline.Jobs(whole, nil, false, on, care.Units{})
			if diff := cmp.Diff(jobs, outline.Jobs(state, nil, false, on, care.Units{})); diff != "" {
				t.Fatalf("day %d (- every answer remembered, + some forgotten)\n%s", days, diff)
			}
			forgotten += len(all) - len(state.Done)
			if tasks, days := 8, 16; len(state.Done) > tasks*days {
				t.Fatalf("day %d: %d answers are remembered", days, len(state.Done))
			}
			if rapid.IntRange(0, 3).Draw(t, "away") == 0 {
				continue
			}
			for i, job := range jobs {
				at := time.Date(on.Year(), on.Month(), on.Day(), 9, i, 0, 0, zone)
				mL := 100.0
				switch rapid.IntRange(0, 5).Draw(t, "answer") {
				case 0: // left for another day
				case 1:
					apply(at, care.Skipped, care.Detail{Job: job.Key, Reason: "no time"})
				case 2:
					apply(at, care.Noted, care.Detail{Job: job.Key, Note: "let go"})
				default:
					apply(at, job.Task.Answers(), care.Detail{Job: job.Key, VolumeML: &mL})
				}
			}
			minutes, millilitres := c.Plants[id].Spent(on, nil)
			whole = c.Plants[id].Clone()
			whole.Done = all
			if m, mL := whole.Spent(on, nil); math.Abs(m-minutes) > 1e-9 || mL != millilitres { // minutes add up in any order
				t.Fatalf("day %d: %v min and %v mL were spent, or %v and %v", days, minutes, millilitres, m, mL)
			}
		}
	})
	if forgotten == 0 {
		t.Error("nothing was ever forgotten")
	}
}

// Entries applied to a clone leave alone what it was cloned from.
func TestACloneIsOnItsOwn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sketch := ordinary()
		plant := sketch.read(t).Plants[0]
		state, _ := randomRecovery(t, plant)
		before := state.Clone()
		if diff := cmp.Diff(state, before); diff != "" {
			t.Fatalf("a clone differs\n%s", diff)
		}
		c := care.NewCollection()
		c.Plants[state.ID] = state.Clone()
		for i, kind := range []care.Kind{care.RepotDone, care.RootsRead, care.FlushDone, care.PestLook, care.PlantSet, care.Skipped} {
			c.Apply(care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8000-9%011d", i), At: plant.Repot.Date.AddDate(2, 0, 0), Kind: kind, Plant: state.ID, Detail: care.Detail{
				Plant: &care.Plant{Label: "other"}, Repot: &care.Repot{Work: care.Divided}, Pest: "thrips",
				Roots: []care.RootReading{{Root: "a", LengthMM: 5}}, Job: state.ID + "/flush/2026-11-01",
			}})
		}
		if diff := cmp.Diff(before, state); diff != "" {
			t.Fatalf("it changed with its clone\n%s", diff)
		}
	})
}
