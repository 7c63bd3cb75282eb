package book_test

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/basis"
	"velamen/science/course"
)

// residents are plants of all three spaces, in pots and on mounts.
var residents = []string{"P-001", "C-001", "L-001", "E-001"}

// Whatever changes, what the book remembers is what it would work out afresh:
// the round is that of the whole courses of the day, and lists and what was done
// are those of a book that was opened only now.
func TestWhatIsRememberedHolds(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		d := withPlants(t, residents...)
		for range rapid.IntRange(1, 4).Draw(r, "changes") {
			d.change(r)
			d.compare(r, d.book.Today())
		}
		d.compare(r, d.book.Today().AddDate(0, 0, rapid.IntRange(1, book.PlanDays-1).Draw(r, "ahead")))
	})
}

// change adds an entry of one of the kinds that rounds and lists rest on.
func (d *diary) change(r *rapid.T) {
	plant := plantID(rapid.SampledFrom(residents).Draw(r, "plant"))
	at := now.Add(-time.Duration(rapid.IntRange(0, 20*24*60).Draw(r, "minutes ago")) * time.Minute)
	var collection care.Collection
	d.book.Read(func(c *care.Collection) { collection = *c })
	record := collection.Plants[plant].Record
	space := rapid.SampledFrom(append(slices.Clone(collection.Spaces), care.Space{Name: "attic", Kind: care.Terrace})).Draw(r, "space")
	number := func(label string, low, high int) *float64 {
		return new(float64(rapid.IntRange(low, high).Draw(r, label)))
	}
	switch rapid.SampledFrom([]string{"flush", "feed", "roots", "note", "pest", "move", "repot", "record", "lost", "rain", "weigh", "look", "space", "settings", "routine", "withdraw", "sign", "counts", "review"}).Draw(r, "change") {
	case "flush":
		detail := care.Detail{VolumeML: number("mL", 1, 900)}
		round, _, err := d.book.Round(d.t.Context(), d.book.Today())
		if err != nil {
			r.Fatal(err)
		}
		if len(round.Stops) > 0 && rapid.Bool().Draw(r, "answers") {
			job := rapid.SampledFrom(round.Stops[0].Jobs).Draw(r, "job")
			plant, detail.Job, at = job.Plant, job.Key, now
		}
		d.add(at, care.FlushDone, plant, detail)
	case "feed":
		d.add(at, care.FeedDone, plant, care.Detail{})
	case "roots":
		d.add(at, care.RootsRead, plant, care.Detail{Roots: []care.RootReading{{Root: "a", LengthMM: *number("mm", 1, 90)}}})
	case "sign":
		d.add(at, care.SignSeen, plant, care.Detail{Sign: rapid.SampledFrom(care.SeenSigns).Draw(r, "sign")})
	case "counts":
		d.add(at, care.Counted, plant, care.Detail{Wrinkle: new(rapid.IntRange(0, 3).Draw(r, "wrinkle"))})
	case "review":
		d.add(at, care.Reviewed, plant, care.Detail{Stage: rapid.SampledFrom([]course.Stage{course.Rooting, course.SteppingUp, course.Established}).Draw(r, "stage")})
	case "weigh":
		d.add(at, care.Weighed, plant, care.Detail{MassG: number("g", 200, 900)})
	case "look":
		d.add(at, care.WetnessSeen, plant, care.Detail{Wet: rapid.SampledFrom(care.Wetnesses).Draw(r, "wet")})
	case "note":
		d.add(at, care.Noted, plant, care.Detail{Note: "x"})
	case "pest":
		d.add(at, care.PestLook, plant, care.Detail{Pest: rapid.SampledFrom([]string{"", "thrips", "fungus gnat"}).Draw(r, "pest")})
	case "move":
		d.add(at, care.Moved, plant, care.Detail{ToSpace: space.Name})
	case "repot":
		repot := record.Repot
		repot.Date, repot.RootsKept.Value = time.Time{}, *number("roots kept", 1, 9)/10
		d.add(at, care.RepotDone, plant, care.Detail{Repot: &repot})
	case "record":
		record.Group = rapid.SampledFrom([]string{"cattleya-standard", "no such group"}).Draw(r, "group")
		d.add(at, care.PlantSet, plant, care.Detail{Plant: &record})
	case "lost":
		d.add(at, care.PlantLost, plant, care.Detail{})
	case "rain":
		d.add(now, care.RainFell, "", care.Detail{RainMM: number("mm of rain", 0, 60)})
	case "space":
		space.DayC = basis.Exactly(*number("day", 15, 30), "°C", basis.Given, "")
		d.add(at, care.SpaceSet, "", care.Detail{Space: &space})
	case "settings":
		d.add(at, care.SettingsSet, "", care.Detail{Settings: &care.Settings{Units: care.Units{Inches: !collection.Settings.Units.Inches}, MinutesPerDay: *number("minutes", 0, 9)}})
	case "routine":
		routine := collection.Routine
		routine.FeedEveryDays.Value = *number("feed every", 1, 20)
		d.add(at, care.RoutineSet, "", care.Detail{Routine: &routine})
	case "withdraw":
		taken := d.add(at, care.FlushDone, plant, care.Detail{})
		d.add(now, care.Withdrawn, plant, care.Detail{}, func(e *care.Entry) { e.Corrects = taken })
	}
}

// compare fails where the book says something else than a plain look at its
// collection.
func (d *diary) compare(r *rapid.T, on time.Time) {
	round, troubles, err := d.book.Round(d.t.Context(), on)
	if err != nil {
		r.Fatal(err)
	}
	anew, err := book.Open(d.t.Context(), d.journal, d.book.Tables(), d.book.Now)
	if err != nil {
		r.Fatal(err)
	}
	want, in, err := anew.Round(d.t.Context(), on)
	if err != nil {
		r.Fatal(err)
	}
	if diff := cmp.Diff(want, round); diff != "" || len(in) != len(troubles) {
		r.Fatalf("round of %s (- opened anew, + remembered), %d plants without a course, want %d\n%s", on.Format(time.DateOnly), len(troubles), len(in), diff)
	}
	if on.Equal(d.book.Today()) {
		d.comparePlainly(r, round, len(troubles))
	}
	for range 3 {
		order := rapid.SampledFrom(append(book.Orders, "")).Draw(r, "order")
		q := book.Query{Order: order, Standing: rapid.SampledFrom(append(book.Standings, "")).Draw(r, "standing")}
		was, err := d.book.Find(d.t.Context(), q, on)
		if err != nil {
			r.Fatal(err)
		}
		is, err := anew.Find(d.t.Context(), q, on)
		if err != nil {
			r.Fatal(err)
		}
		// What is known of courses differs: the other book has worked out none.
		known := cmpopts.IgnoreFields(book.Listed{}, "Stage", "Intensive", "Known", "Verdict", "Emergency")
		if diff := cmp.Diff(is, was, known, cmpopts.EquateEmpty()); diff != "" {
			r.Fatalf("list by %q of %q (- opened anew, + remembered)\n%s", order, q.Standing, diff)
		}
		for _, one := range was.Plants {
			c, err := d.book.Course(one.ID, on)
			if one.Known && (err != nil || one.Stage != c.Stage || one.Intensive != c.Intensive || on.Equal(d.book.Today()) && one.Verdict != c.Verdict.Standing) {
				r.Fatalf("%s is listed as %s, %v; its course says %s, %v, %v", one.Label, one.Stage, one.Intensive, c.Stage, c.Intensive, err)
			}
		}
	}
	if diff := cmp.Diff(anew.Outcomes(), d.book.Outcomes()); diff != "" {
		r.Fatalf("outcomes (- opened anew, + remembered)\n%s", diff)
	}
	done, rained, err := d.book.Done(d.t.Context(), on)
	if err != nil {
		r.Fatal(err)
	}
	doneAnew, rainedAnew, err := anew.Done(d.t.Context(), on)
	if err != nil {
		r.Fatal(err)
	}
	if diff := cmp.Diff(doneAnew, done) + cmp.Diff(rainedAnew, rained); diff != "" {
		r.Fatalf("done on %s (- opened anew, + remembered)\n%s", on.Format(time.DateOnly), diff)
	}
}

// plainCourse is the course of a plant with what its pot taught.
func (d *diary) plainCourse(c *care.Collection, p *care.PlantState, on time.Time) (care.Course, error) {
	var learned *care.Learned
	if p.PotReadings > 0 {
		planned, err := care.NewCourse(c.Case(), p.Record, d.book.Tables(), p.Record.Repot.Date)
		if err != nil {
			return planned, err
		}
		rains := slices.DeleteFunc(slices.Clone(c.Rains), func(r care.Rain) bool {
			return !c.Outdoors(p.Record.Space) || !r.FellOn(p.Record.Space)
		})
		if learned, err = care.Learn(c.Case(), p, d.book.Tables(), &planned, rains, care.Around{}); err != nil {
			return planned, err
		}
	}
	return care.FollowLearnedCourse(c.Case(), p, d.book.Tables(), learned, on, d.book.Today())
}

// comparePlainly fails where a job that a plain look at the whole courses asks
// for is neither in the round nor waits, or the other way round.
func (d *diary) comparePlainly(r *rapid.T, round plan.Round, troubles int) {
	want, in := map[string]bool{}, 0
	d.book.Read(func(c *care.Collection) {
		for _, p := range c.Plants {
			if !p.Recovering(round.On) {
				if p.Ended.IsZero() {
					for _, j := range care.PestJobs(p, d.plainLooks(c, p, round.On), round.On, c.Settings.Units) {
						want[j.Key] = true
					}
				}
				continue
			}
			course, err := d.plainCourse(c, p, round.On)
			if err != nil {
				in++
				continue
			}
			course = course.WithLooks(d.plainLooks(c, p, round.On))
			for _, j := range care.Jobs(p, &course, c.Rains, c.Outdoors(p.Record.Space), round.On, c.Settings.Units) {
				want[j.Key] = true
			}
		}
	})
	got := map[string]bool{}
	for _, stop := range round.Stops {
		for _, j := range stop.Jobs {
			got[j.Key] = true
			if !want[j.Key] && !j.Due.After(round.On) && j.Task != care.Feeding { // which goes with its flush
				r.Fatalf("the round asks for %s, a plain look does not", j.Key)
			}
		}
	}
	for _, w := range round.Waits {
		got[w.Job.Key] = true
	}
	for key := range want {
		if !got[key] && (care.TaskOf(key) != care.Feeding) { // which goes with its flush
			r.Fatalf("a plain look asks for %s, the round does not", key)
		}
	}
	if in != troubles {
		r.Fatalf("%d plants without a course, want %d", troubles, in)
	}
}

// plainLooks are the looks for pests that a plant asks for, worked out afresh.
func (d *diary) plainLooks(c *care.Collection, p *care.PlantState, on time.Time) []care.Mark {
	warmth := func(space string) care.Warmth {
		for _, s := range c.Spaces {
			if strings.EqualFold(s.Name, space) {
				return care.NewWarmth(s, nil, nil)
			}
		}
		return care.NewWarmth(care.Space{}, nil, nil)
	}
	var near []care.Nearby
	all := slices.SortedFunc(maps.Values(c.Plants), func(x, y *care.PlantState) int { return book.CompareLabels(x.Record.Label, y.Record.Label) })
	for _, other := range all {
		if !other.Ended.IsZero() || !strings.EqualFold(other.Record.Space, p.Record.Space) {
			continue
		}
		watches, err := care.PestWatches(other, d.book.Tables(), warmth(other.Record.Space), nil, on)
		if err != nil {
			d.t.Fatal(err)
		}
		for _, w := range watches {
			if !w.General() {
				near = append(near, care.Nearby{Plant: other.ID, Label: other.Record.Label, Animal: w.Animal, Found: w.Found})
			}
		}
	}
	watches, err := care.PestWatches(p, d.book.Tables(), warmth(p.Record.Space), near, on)
	if err != nil {
		d.t.Fatal(err)
	}
	return care.PestLooks(watches, p.Record.Repot.Date)
}

// A space that is described only later takes its place on the walk.
func TestPlantsMoveWithTheirSpace(t *testing.T) {
	d := withPlants(t, "P-001", "C-001")
	d.add(now, care.Moved, plantID("P-001"), care.Detail{ToSpace: "shed"})
	d.add(now, care.Moved, plantID("C-001"), care.Detail{ToSpace: "attic"})
	labels := func() (list []string) {
		found, err := d.book.Find(t.Context(), book.Query{Order: book.BySpace}, d.book.Today())
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range found.Plants {
			list = append(list, p.Label)
		}
		return list
	}
	if diff := cmp.Diff([]string{"C-001", "P-001"}, labels()); diff != "" {
		t.Errorf("in spaces that nobody described: %s", diff)
	}
	d.add(now, care.SpaceSet, "", care.Detail{Space: &care.Space{Name: "shed", Kind: care.Terrace}})
	if diff := cmp.Diff([]string{"P-001", "C-001"}, labels()); diff != "" {
		t.Errorf("when one is described: %s", diff)
	}
}

// A large collection's first round does not wait for all courses; Prepare works
// them out, and the round is whole then.
func TestTheFirstRoundDoesNotWait(t *testing.T) {
	d := withPlants(t, "P-001")
	var record care.Plant
	d.book.Read(func(c *care.Collection) { record = c.Plants[plantID("P-001")].Record })
	const plants = 340
	var entries []care.Entry
	for i := range plants {
		p, repot := record, record.Repot
		p.Label = fmt.Sprintf("N-%03d", i)
		id := fmt.Sprintf("01900000-0000-7000-9000-%012d", i)
		entries = append(entries,
			care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8001-%012d", i), At: now.AddDate(0, -1, 0), Kind: care.PlantSet, Plant: id, Detail: care.Detail{Plant: &p}},
			care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8002-%012d", i), At: now.AddDate(0, -1, 1), Kind: care.RepotDone, Plant: id, Detail: care.Detail{Repot: &repot}})
	}
	if _, err := d.book.Append(t.Context(), entries...); err != nil {
		t.Fatal(err)
	}
	jobs := func(r plan.Round) (n int) {
		for _, stop := range r.Stops {
			n += len(stop.Jobs)
		}
		return n + len(r.Waits)
	}
	today := d.book.Today()
	first, _, err := d.book.Round(t.Context(), today)
	if err != nil {
		t.Fatal(err)
	}
	if pending, of := d.book.Pending(); first.Pending == 0 || first.Pending != pending || of != plants+1 {
		t.Errorf("%d plants are pending in the first round, %d of %d in the book", first.Pending, pending, of)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { d.book.Prepare(ctx); close(ended) }()
	for {
		if pending, _ := d.book.Pending(); pending == 0 {
			break
		}
		select {
		case <-t.Context().Done():
			t.Fatal("Prepare leaves some out")
		case <-time.After(10 * time.Millisecond):
		}
	}
	stop()
	<-ended
	whole, _, err := d.book.Round(t.Context(), today)
	if err != nil {
		t.Fatal(err)
	}
	if whole.Pending != 0 || jobs(first) >= jobs(whole) {
		t.Errorf("%d jobs first, %d in the whole round; %d pending", jobs(first), jobs(whole), whole.Pending)
	}
}

// Several can read and write at once, while courses are worked out ahead.
func TestMayBeUsedFromManySides(t *testing.T) {
	d := withPlants(t, residents...)
	ctx, stop := context.WithCancel(t.Context())
	var all sync.WaitGroup
	all.Go(func() { d.book.Prepare(ctx) })
	var hands sync.WaitGroup
	for hand := range 3 {
		hands.Go(func() {
			for i := range 20 {
				plant := plantID(residents[(hand+i)%len(residents)])
				e := care.Entry{ID: fmt.Sprintf("01900000-0000-7000-800%d-%012d", hand+1, i), At: now, Kind: care.FlushDone, Plant: plant}
				if i%7 == 0 {
					e.Kind, e.Plant, e.Detail = care.RainFell, "", care.Detail{RainMM: new(3.0)}
				}
				if _, err := d.book.Append(t.Context(), e); err != nil {
					t.Error(err)
				}
				if _, _, err := d.book.Round(t.Context(), d.book.Today()); err != nil {
					t.Error(err)
				}
				if _, err := d.book.Find(t.Context(), book.Query{Order: book.ByQuiet}, d.book.Today()); err != nil {
					t.Error(err)
				}
				if _, _, err := d.book.Done(t.Context(), d.book.Today()); err != nil {
					t.Error(err)
				}
				if _, err := d.book.Outlines(t.Context(), []string{plant}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	hands.Wait()
	stop()
	all.Wait()
}
