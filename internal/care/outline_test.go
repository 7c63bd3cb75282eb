package care_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/care"
)

// The outline of a course, taken once and on any day, gives on every other day
// what the whole course gives that is worked out for that day.
func TestAnOutlineHoldsOnEveryDay(t *testing.T) {
	tasks := map[care.Task]int{}
	rapid.Check(t, func(t *rapid.T) {
		s := randomSketch(t)
		switch rapid.IntRange(0, 5).Draw(t, "thirst") { // lest too few be watered or wetted often
		case 0:
			s.to = homeSketch{mount: rapid.SampledFrom(mountKeys).Draw(t, "bare mount"), size: [2]float64{6, 9}}
		case 1:
			s.to = homeSketch{material: rapid.SampledFrom(containerKeys).Draw(t, "small pot of"), potCm: 5, medium: mediumKeys[:1]}
			s.areaCm2, s.roots, s.leavesKept = 2000, 1, 1
		}
		kase := s.read(t)
		plant := kase.Plants[0]
		repot := plant.Repot.Date
		taken := s.on(t, rapid.IntRange(-10, 380).Draw(t, "the outline's day"))
		outline := taken.Outline()
		state, rains := randomRecovery(t, plant)
		units := rapid.SampledFrom([]care.Units{{}, {Fahrenheit: true, Inches: true, Salt: care.PPM700}}).Draw(t, "units")
		for range 6 {
			// Half of the days are early ones, when there is most to do.
			days := rapid.OneOf(rapid.IntRange(0, 41), rapid.IntRange(-10, 380)).Draw(t, "day")
			on := repot.AddDate(0, 0, days)
			whole, err := care.NewCourse(kase, plant, tables, on)
			if err != nil {
				t.Fatal(err)
			}
			outdoors := rapid.Bool().Draw(t, "outdoors")
			want, got := care.Jobs(state, &whole, rains, outdoors, on, units), outline.Jobs(state, rains, outdoors, on, units)
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("jobs on day %d (- course, + outline)\n%s\n%s", days, diff, s.toml())
			}
			for _, job := range got {
				tasks[job.Task]++
			}
			if stage, intensive := outline.Stage(on); stage != whole.Stage || intensive != whole.Intensive {
				t.Fatalf("day %d: %s, intensive %v; the course says %s, %v", days, stage, intensive, whole.Stage, whole.Intensive)
			}
			if got, want := outline.RainMM(on), whole.Flush.RainMM; got != want {
				t.Fatalf("day %d: %v mm of rain flush, the course says %v", days, got, want)
			}
			n, u := whole.Now, whole.Usual
			climate := care.Climate{DayC: n.DayHeatCapC.Value.Value, NightC: u.NightC.Value, DayRHPercent: n.DayRHPercent.Value.Value, NightRHPercent: n.NightRHPercent.Value.Value, LightPPFD: n.LightPPFD.Value.Value}
			if got := outline.Wanted(on); got != climate {
				t.Fatalf("day %d wants %+v, the course %+v", days, got, climate)
			}
			usual := care.Climate{DayC: u.DayC.Value, NightC: u.NightC.Value, DayRHPercent: u.DayRHPercent.Value, NightRHPercent: u.NightRHPercent.Value, LightPPFD: u.LightPPFD.Value}
			if outline.Usual != usual || outline.Group != whole.Group || outline.Space != whole.Space || !outline.Repot.Equal(whole.Repot) {
				t.Fatalf("day %d: the outline says %+v", days, outline)
			}
		}
	})
	for _, task := range []care.Task{care.LookForPests, care.MeasureRoots, care.Review, care.Flushing, care.Watering, care.Feeding, care.Misting, care.Photograph} {
		if tasks[task] == 0 {
			t.Errorf("no %s was compared", task)
		}
	}
	t.Logf("compared: %v", tasks)
}

// randomRecovery draws what was done at a plant since its repot, and the rain
// that fell.
func randomRecovery(t *rapid.T, plant care.Plant) (*care.PlantState, []care.Rain) {
	const id = "01900000-0000-7000-9000-000000000001"
	repot := plant.Repot.Date
	made := 0
	entry := func(at time.Time, kind care.Kind, d care.Detail) care.Entry {
		made++
		return care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", made), At: at, Kind: kind, Plant: id, Detail: d}
	}
	list := []care.Entry{
		entry(repot.AddDate(-1, 0, 0), care.PlantSet, care.Detail{Plant: &plant}),
		entry(repot.Add(9*time.Hour), care.RepotDone, care.Detail{Repot: &plant.Repot}),
	}
	kinds := []care.Kind{care.FlushDone, care.WaterGiven, care.FeedDone, care.MistDone, care.PestLook, care.RootsRead, care.Reviewed, care.Photographed, care.Skipped}
	asked := []care.Task{care.Flushing, care.Watering, care.Feeding, care.Misting, care.MeasureRoots, care.Review, care.Photograph, care.LookForPests}
	for range rapid.IntRange(0, 12).Draw(t, "entries") {
		at := repot.Add(time.Duration(rapid.IntRange(10, 380*24).Draw(t, "hour")) * time.Hour)
		d := care.Detail{}
		kind := rapid.SampledFrom(kinds).Draw(t, "kind")
		if kind == care.Skipped || rapid.Bool().Draw(t, "answers") {
			d.Job = fmt.Sprintf("%s/%s/%s", id, rapid.SampledFrom(asked).Draw(t, "task"), at.Format(time.DateOnly))
		}
		list = append(list, entry(at, kind, d))
	}
	for range rapid.IntRange(0, 3).Draw(t, "rains") {
		mm := measured(t, "mm", 0, 60)
		e := entry(repot.Add(time.Duration(rapid.IntRange(10, 380*24).Draw(t, "hour"))*time.Hour), care.RainFell, care.Detail{RainMM: &mm})
		e.Plant = ""
		list = append(list, e)
	}
	c := care.Replay(list, repot.AddDate(5, 0, 0))
	return c.Plants[id], c.Rains
}
