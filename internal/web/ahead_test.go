package web

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/basis"
)

// limited is a bench whose days allow something.
func limited(t *testing.T, settings care.Settings) *bench {
	t.Helper()
	b := newBench(t, withSample)
	settings.SampleDataOnly = true
	b.note(care.SettingsSet, "", care.Detail{Settings: &settings})
	return b
}

// note adds an entry behind the pages' back.
func (b *bench) note(kind care.Kind, plant string, d care.Detail) {
	b.t.Helper()
	if _, err := b.server.Book.Append(b.t.Context(), care.Entry{ID: newID(), At: b.server.Now(), Kind: kind, Plant: plant, Detail: d}); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) plan() book.Plan {
	b.t.Helper()
	p, err := b.server.Book.Plan(b.t.Context(), book.Ask{From: b.server.Book.Today(), Days: book.PlanDays})
	if err != nil {
		b.t.Fatal(err)
	}
	return p
}

// The days ahead say what each needs of what it allows, what that costs, and what
// would mend it.
func TestTheDaysAheadSayWhatRunsShort(t *testing.T) {
	b := limited(t, care.Settings{MinutesPerDay: 30})
	p := b.plan()
	page := b.get("/round/ahead")
	if len(p.Missed) == 0 || len(p.Fixes) == 0 {
		t.Fatalf("%d missed, %d fixes: no shortfall to tell of", len(p.Missed), len(p.Fixes))
	}
	for i := range p.Days {
		if p.Days[i].Minutes > 30+1e-6 {
			t.Errorf("day %d is planned with %g min of 30", i, p.Days[i].Minutes)
		}
	}
	for _, says := range []string{"of 30 min", "What would mend it", p.Fixes[0].Says(p.From), fmt.Sprintf("%.1f stress days", p.Harm)} {
		if !strings.Contains(page, says) {
			t.Errorf("the page does not say %q", says)
		}
	}
	if page := limited(t, care.Settings{MinutesPerDay: 600}).get("/round/ahead"); !strings.Contains(page, "Everything is done on time") {
		t.Error("with ten hours a day something is still late")
	}
}

// A day without time has no jobs, and is no reason to show nothing.
func TestADayOffHasNoJobs(t *testing.T) {
	off := dayOffAfter(testNow.Weekday())
	b := limited(t, care.Settings{MinutesPerDay: 60, Weekdays: off})
	p := b.plan()
	for i := range p.Days {
		if d := &p.Days[i]; off[d.On.Weekday()].Given && len(d.Items) > 0 {
			t.Errorf("%s allows no time and has %d jobs", d.On.Weekday(), len(d.Items))
		}
	}
	for _, path := range []string{"/", "/round/ahead", "/round/short?minutes=10"} {
		if answer := b.answerOf(path); answer.StatusCode != http.StatusOK {
			t.Errorf("%s: %s", path, answer.Status)
		}
	}
}

// dayOffAfter is a day off on the next day of the week.
func dayOffAfter(today time.Weekday) (w care.Weekdays) {
	w[(today+1)%7] = care.WeekdayMinutes{Given: true}
	return w
}

// The short round fits into the minutes there are; more minutes never harm more;
// what is no number of minutes is refused with what was typed.
func TestTheShortRound(t *testing.T) {
	b := limited(t, care.Settings{MinutesPerDay: 120})
	before := -1.0
	for _, minutes := range []string{"1", "5", "20", "60"} {
		page := b.get("/round/short?minutes=" + minutes)
		if !strings.Contains(page, "You have "+minutes+" min") {
			t.Errorf("%s minutes: the page does not say them", minutes)
		}
		var m float64
		fmt.Sscan(minutes, &m)
		p, err := b.server.Book.Plan(t.Context(), book.Ask{From: b.server.Book.Today(), Days: book.PlanDays, Minutes: &m})
		if err != nil {
			t.Fatal(err)
		}
		if day := p.Round(0); day.Fits.Minutes > m+1e-6 {
			t.Errorf("%s minutes: the round takes %g", minutes, day.Fits.Minutes)
		}
		if before >= 0 && p.Harm > before+1e-6 {
			t.Errorf("%s minutes cost %g stress days, fewer cost %g", minutes, p.Harm, before)
		}
		before = p.Harm
	}
	for _, wrong := range []string{"0", "-3", "lots", "NaN", "1e9"} {
		answer := b.answerOf("/round/short?minutes=" + wrong)
		if page := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(page, `value="`+wrong+`"`) {
			t.Errorf("%s minutes: %s", wrong, answer.Status)
		}
	}
}

// answerOf gets a page whatever its status.
func (b *bench) answerOf(path string) *http.Response {
	return b.do(httptest.NewRequest(http.MethodGet, path, nil))
}

// An absence is planned for: nothing stands on its days, what can be done before
// leaving is, and what cannot wait is named. Taken back, it is as before.
func TestDaysAwayArePlannedFor(t *testing.T) {
	b := limited(t, care.Settings{MinutesPerDay: 120})
	was := b.plan()
	day := func(n int) string { return b.server.Book.Today().AddDate(0, 0, n).Format(time.DateOnly) }
	for name, values := range map[string]url.Values{
		"no days":         {},
		"the wrong order": {"from": {day(9)}, "to": {day(3)}},
		"long ago":        {"from": {"2001-01-01"}, "to": {day(3)}},
		"not a day":       {"from": {"soon"}, "to": {day(3)}},
		"too long":        {"from": {day(1)}, "to": {day(400)}},
		"no minutes":      {"from": {day(3)}, "to": {day(9)}, "sitter_minutes": {"some"}},
	} {
		before := b.kept()
		if answer := b.post("/away", values); answer.StatusCode != http.StatusUnprocessableEntity || b.kept() != before {
			t.Errorf("%s: %s, %d entries kept", name, answer.Status, b.kept()-before)
		}
	}
	expectSeeOther(t, b.post("/away", url.Values{"from": {day(4)}, "to": {day(10)}}), "/round/ahead?done=kept#away")
	p := b.plan()
	for n := 4; n <= 10; n++ {
		if len(p.Days[n].Items) > 0 {
			t.Errorf("day %d is away and has %d jobs", n, len(p.Days[n].Items))
		}
	}
	count := func(p book.Plan) (n int) {
		for _, one := range p.Days[3].Items {
			if _, c := p.Of(one.Plant, one.Coming); c.Task == care.Flushing {
				n++
			}
		}
		return n
	}
	if count(p) <= count(was) {
		t.Errorf("%d flushes on the last day at home, %d without the absence", count(p), count(was))
	}
	page := b.get("/round/ahead")
	for _, says := range []string{"Nobody looks after the plants", "Before leaving", "These cannot wait that long"} {
		if !strings.Contains(page, says) {
			t.Errorf("the page does not say %q", says)
		}
	}
	// With a sitter there is a list for them, within their minutes.
	var entry string
	b.server.Book.Read(func(c *care.Collection) { entry = c.Aways[0].Entry })
	expectSeeOther(t, b.post("/away/remove", url.Values{"entry": {entry}}), "/round/ahead?done=withdrawn#away")
	if again := b.plan(); !slices.EqualFunc(again.Days, was.Days, func(x, y plan.PlanDay) bool { return slices.Equal(x.Items, y.Items) }) {
		t.Error("an absence that was taken back still shows")
	}
	expectSeeOther(t, b.post("/away", url.Values{"from": {day(4)}, "to": {day(10)}, "sitter": {"Kim"}, "sitter_minutes": {"20"}}), "/round/ahead?done=kept#away")
	p = b.plan()
	jobs := 0
	for n := 4; n <= 10; n++ {
		jobs += len(p.Days[n].Items)
		if p.Days[n].Minutes > 20+1e-6 {
			t.Errorf("the sitter has 20 min on day %d, the list takes %g", n, p.Days[n].Minutes)
		}
	}
	if page := b.get("/round/ahead"); jobs == 0 || !strings.Contains(page, "Kim, 20 min a day") || !strings.Contains(page, "The sitter&#39;s list") && !strings.Contains(page, "The sitter's list") {
		t.Errorf("%d jobs for the sitter, or no list of them", jobs)
	}
}

// Whatever is noted moves only what it changes: of what is still to be done at
// other plants, nearly everything stays on the day for which it was planned in the
// morning, and no more gives way altogether than there is new work that takes its
// place.
func TestThePlanStaysWhenSomethingIsNoted(t *testing.T) {
	b := limited(t, care.Settings{MinutesPerDay: 45})
	type thing struct {
		plant string
		task  care.Task
		due   time.Time
	}
	days := func() map[thing]time.Time {
		p := b.plan()
		on := map[thing]time.Time{}
		for i := range p.Days {
			for _, one := range p.Days[i].Items {
				plant, c := p.Of(one.Plant, one.Coming)
				on[thing{plant.ID, c.Task, p.From.AddDate(0, 0, c.Due)}] = p.Days[i].On
			}
		}
		return on
	}
	day, _, err := b.server.Book.Round(t.Context(), b.server.Book.Today())
	if err != nil {
		t.Fatal(err)
	}
	open := map[care.Task][]care.Job{}
	for job := range openJobs(day) {
		open[job.Task] = append(open[job.Task], job)
	}
	next := func(task care.Task) care.Job {
		if len(open[task]) == 0 {
			t.Fatalf("no %s is open", task)
		}
		job := open[task][0]
		open[task] = open[task][1:]
		return job
	}
	forecast := care.Foreseen{Space: "balcony", Start: testNow.Truncate(time.Hour)}
	for hour := range 48 {
		forecast.TempC = append(forecast.TempC, 20+float64(hour%5))
		forecast.RHPercent = append(forecast.RHPercent, 55)
	}
	flush, skipped, clean, found := next(care.Flushing), next(care.Flushing), next(care.LookForPests), next(care.LookForPests)
	repot := care.Repot{Work: care.Repotted, RootsKept: basis.Exactly(0.6, "share", basis.Given, "")}
	b.server.Book.Read(func(c *care.Collection) { repot.To = c.Plants[flush.Plant].Record.Repot.To })
	added := care.Plant{Label: "N-001", Group: "cattleya-standard", Space: flush.Space}
	fresh := newID()
	before := days()
	const hardly, few = 0.005, 0.03 // few: new work takes the place of some
	for _, entry := range []struct {
		says, plant string
		kind        care.Kind
		detail      care.Detail
		most        float64
	}{
		{"a flush", flush.Plant, care.FlushDone, care.Detail{Job: flush.Key}, hardly},
		{"a flush skipped", skipped.Plant, care.Skipped, care.Detail{Job: skipped.Key, Reason: "wet"}, hardly},
		{"a look that finds nothing", clean.Plant, care.PestLook, care.Detail{Job: clean.Key}, few}, // the looks that follow from it come sooner
		{"a look that finds mites", found.Plant, care.PestLook, care.Detail{Job: found.Key, Pest: "two-spotted mite"}, few},
		{"a weighing", flush.Plant, care.Weighed, care.Detail{MassG: new(640.0)}, hardly},
		{"a forecast", "", care.ForecastIn, care.Detail{Foreseen: &forecast}, hardly},
		{"rain", "", care.RainFell, care.Detail{RainMM: new(3.0)}, hardly},
		{"a plant", fresh, care.PlantSet, care.Detail{Plant: &added}, hardly},
		{"a repot", fresh, care.RepotDone, care.Detail{Repot: &repot}, few},
	} {
		b.note(entry.kind, entry.plant, entry.detail)
		after := days()
		same, moved, gone, come := 0, 0, 0, 0
		for one := range after {
			if _, was := before[one]; !was {
				come++
			}
		}
		for one, on := range before {
			switch then, still := after[one]; {
			case one.plant == entry.plant: // its own days follow from what was done
			case one.task == care.LookForPests && entry.detail.Pest != "": // others take their place beside a find
			case still && then.Equal(on):
				same++
			case still:
				moved++
			default:
				gone++
			}
		}
		if all := float64(same + moved + gone); float64(moved) > hardly*all || float64(gone) > max(entry.most*all, float64(come)) {
			t.Errorf("%s moves %d of %g things, and %d give way to %d", entry.says, moved, all, gone, come)
		}
		before = after
	}
}
