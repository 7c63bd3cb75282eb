package book_test

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/demo"
)

// now is the moment at which every test happens: morning, ten hours east.
var now = time.Date(2026, 11, 24, 8, 30, 0, 0, time.FixedZone("", 10*3600))

// journal keeps entries in memory.
type journal struct {
	mu      sync.Mutex
	entries []care.Entry
}

func (j *journal) Append(_ context.Context, entries []care.Entry) (added []care.Entry, _ error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	for _, e := range entries {
		if !slices.ContainsFunc(j.entries, func(kept care.Entry) bool { return kept.ID == e.ID }) {
			j.entries, added = append(j.entries, e), append(added, e)
		}
	}
	return added, nil
}

func (j *journal) All(context.Context) iter.Seq2[care.Entry, error] {
	j.mu.Lock()
	entries := slices.Clone(j.entries)
	j.mu.Unlock()
	return func(yield func(care.Entry, error) bool) {
		for _, e := range entries {
			if !yield(e, nil) {
				return
			}
		}
	}
}

func (j *journal) OfPlant(_ context.Context, plant string) (list []care.Entry, _ error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	for _, e := range j.entries {
		if e.Plant == plant {
			list = append(list, e)
		}
	}
	return list, nil
}

// diary adds entries to a book one after the other.
type diary struct {
	t       *testing.T
	book    *book.Book
	journal *journal
	made    int
}

// add appends an entry and returns its id.
func (d *diary) add(at time.Time, kind care.Kind, plant string, detail care.Detail, change ...func(*care.Entry)) string {
	d.t.Helper()
	d.made++
	e := care.Entry{ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", d.made), At: at, Kind: kind, Plant: plant, Detail: detail}
	for _, f := range change {
		f(&e)
	}
	if _, err := d.book.Append(d.t.Context(), e); err != nil {
		d.t.Fatal(err)
	}
	return e.ID
}

// plantID is the id of a plant of the invented collection in these tests.
func plantID(label string) string {
	return fmt.Sprintf("01900000-0000-7000-9000-%012x", []byte(label))
}

// withPlants opens a book that holds some plants of the invented collection.
func withPlants(t *testing.T, labels ...string) *diary {
	t.Helper()
	tables, err := culture.Load()
	if err != nil {
		t.Fatal(err)
	}
	kept := &journal{}
	b, err := book.Open(t.Context(), kept, tables, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	sample, _, err := casefile.Read(strings.NewReader(demo.CaseFile(b.Today())), demo.FileName, tables)
	if err != nil {
		t.Fatal(err)
	}
	d := &diary{t: t, book: b, journal: kept}
	first := b.Today().AddDate(-1, 0, 0)
	d.add(first, care.PlaceSet, "", care.Detail{Place: &sample.Place})
	for i := range sample.Spaces {
		d.add(first, care.SpaceSet, "", care.Detail{Space: &sample.Spaces[i]})
	}
	for i := range sample.Waters {
		d.add(first, care.WaterSet, "", care.Detail{Water: &sample.Waters[i]})
	}
	for i := range sample.Feeds {
		d.add(first, care.FeedSet, "", care.Detail{Feed: &sample.Feeds[i]})
	}
	d.add(first, care.RoutineSet, "", care.Detail{Routine: &sample.Routine})
	for _, p := range sample.Plants {
		if slices.Contains(labels, p.Label) {
			d.add(first, care.PlantSet, plantID(p.Label), care.Detail{Plant: &p})
			d.add(p.Repot.Date, care.RepotDone, plantID(p.Label), care.Detail{Repot: &p.Repot})
		}
	}
	return d
}

// job returns the job of a task that is due today, or fails.
func (d *diary) job(task care.Task) care.Job {
	d.t.Helper()
	for _, j := range d.jobs(now) {
		if j.Task == task {
			return j
		}
	}
	d.t.Fatalf("no %s is due today", task)
	return care.Job{}
}

func (d *diary) jobs(at time.Time) []care.Job {
	d.t.Helper()
	r, troubles, err := d.book.Round(d.t.Context(), time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, time.UTC))
	if err != nil || len(troubles) > 0 {
		d.t.Fatal(err, troubles)
	}
	var list []care.Job
	for _, stop := range r.Stops {
		list = append(list, stop.Jobs...)
	}
	for _, w := range r.Waits {
		list = append(list, w.Job)
	}
	return list
}

func has(jobs []care.Job, key string) bool {
	return slices.ContainsFunc(jobs, func(j care.Job) bool { return j.Key == key })
}

func TestTwoAnswersToOneJobAreBothThere(t *testing.T) {
	d := withPlants(t, "P-001")
	flush := d.job(care.Flushing)
	first := d.add(now, care.FlushDone, flush.Plant, care.Detail{Job: flush.Key})
	second := d.add(now.Add(time.Minute), care.FlushDone, flush.Plant, care.Detail{Job: flush.Key})
	done, _, err := d.book.Done(t.Context(), d.book.Today())
	if err != nil {
		t.Fatal(err)
	}
	if len(done) != 1 || done[0].Entry.ID != first || len(done[0].Also) != 1 || done[0].Also[0].ID != second {
		t.Errorf("done: %+v, want one that both answered", done)
	}
	if has(d.jobs(now), flush.Key) {
		t.Error("the job is still there")
	}
}

func TestWithdrawnAnswersOpenTheJobAgain(t *testing.T) {
	d := withPlants(t, "P-001")
	flush := d.job(care.Flushing)
	answer := d.add(now, care.FlushDone, flush.Plant, care.Detail{Job: flush.Key})
	d.add(now, care.Withdrawn, flush.Plant, care.Detail{}, func(e *care.Entry) { e.Corrects = answer })
	if done, _, err := d.book.Done(t.Context(), d.book.Today()); err != nil || len(done) != 0 {
		t.Errorf("done: %+v, %v; want nothing", done, err)
	}
	if !has(d.jobs(now), flush.Key) {
		t.Error("the job has not come back")
	}
}

func TestSkippedJobsComeBackTheNextDay(t *testing.T) {
	d := withPlants(t, "P-001")
	flush := d.job(care.Flushing)
	d.add(now, care.Skipped, flush.Plant, care.Detail{Job: flush.Key, Reason: "still wet"})
	if has(d.jobs(now), flush.Key) {
		t.Error("a job that was skipped is asked again on the same day")
	}
	if !has(d.jobs(now.AddDate(0, 0, 1)), flush.Key) {
		t.Error("a job that was skipped is not asked again the next day")
	}
}

func TestTheFeedOfADayStaysAfterItsFlush(t *testing.T) {
	d := withPlants(t, "C-001")
	flush, feed := d.job(care.Flushing), d.job(care.Feeding)
	d.add(now, care.FlushDone, flush.Plant, care.Detail{Job: flush.Key})
	if !has(d.jobs(now), feed.Key) {
		t.Error("the feed went with the flush that comes before it")
	}
	d.add(now.Add(time.Minute), care.FeedDone, feed.Plant, care.Detail{Job: feed.Key})
	if jobs := d.jobs(now); has(jobs, feed.Key) || has(jobs, flush.Key) {
		t.Errorf("after both: %+v", jobs)
	}
}

func TestWhatWasDoneCountsAgainstTheDay(t *testing.T) {
	d := withPlants(t, "P-001", "C-001")
	before, _, err := d.book.Round(t.Context(), d.book.Today())
	if err != nil {
		t.Fatal(err)
	}
	// Enough for everything, to the second.
	d.add(now, care.SettingsSet, "", care.Detail{Settings: &care.Settings{MinutesPerDay: before.Need.Minutes, LitresPerDay: before.Need.Litres}})
	flush := d.job(care.Flushing)
	poured := flush.ML + 500
	d.add(now, care.FlushDone, flush.Plant, care.Detail{Job: flush.Key, VolumeML: &poured})
	after, _, err := d.book.Round(t.Context(), d.book.Today())
	if err != nil {
		t.Fatal(err)
	}
	if got, want := after.Done.Litres, poured/1000; got != want {
		t.Errorf("litres done: %v, want %v", got, want)
	}
	if got, want := after.Done.Minutes, flush.Minutes.Value; got != want {
		t.Errorf("minutes done: %v, want %v", got, want)
	}
	if len(before.Waits) != 0 || len(after.Waits) == 0 {
		t.Errorf("waiting before %d, after %d: half a litre more than planned leaves too little for the rest", len(before.Waits), len(after.Waits))
	}
}

func TestRainSaysForWhomItWasEnough(t *testing.T) {
	d := withPlants(t, "L-001", "E-001", "P-001")
	enough := map[string]float64{}
	for _, label := range []string{"L-001", "E-001"} {
		c, err := d.book.Course(plantID(label), d.book.Today())
		if err != nil {
			t.Fatal(err)
		}
		enough[label] = c.Flush.RainMM
	}
	for _, c := range []struct {
		mm      float64
		flushed []string
		short   []book.Short
	}{
		{0.1, nil, []book.Short{{"E-001", enough["E-001"]}, {"L-001", enough["L-001"]}}},
		{max(enough["L-001"], enough["E-001"]), []string{"E-001", "L-001"}, nil},
	} {
		id := d.add(now, care.RainFell, "", care.Detail{RainMM: &c.mm})
		_, rains, err := d.book.Done(t.Context(), d.book.Today())
		if err != nil || len(rains) != 1 {
			t.Fatalf("%d falls of rain, %v", len(rains), err)
		}
		if diff := cmp.Diff(book.Rained{Rain: rains[0].Rain, Flushed: c.flushed, Short: c.short}, rains[0]); diff != "" || rains[0].Rain.Entry != id {
			t.Errorf("%g mm: %s", c.mm, diff)
		}
		d.add(now, care.Withdrawn, "", care.Detail{}, func(e *care.Entry) { e.Corrects = id })
	}
}

// The morning of one day is still the day before in Greenwich.
func TestDaysAreThoseOfThePlace(t *testing.T) {
	d := withPlants(t, "P-001")
	flush := d.job(care.Flushing)
	d.add(now, care.FlushDone, flush.Plant, care.Detail{Job: flush.Key})
	if done, _, err := d.book.Done(t.Context(), d.book.Today()); err != nil || len(done) != 1 {
		t.Errorf("done today: %d, %v; want 1", len(done), err)
	}
	if done, _, err := d.book.Done(t.Context(), d.book.Today().AddDate(0, 0, -1)); err != nil || len(done) != 0 {
		t.Errorf("done yesterday: %d, %v; want 0", len(done), err)
	}
}
