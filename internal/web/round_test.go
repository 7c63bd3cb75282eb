package web

import (
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// due returns the key of a job of a plant that is due today.
func (b *bench) due(label string, task care.Task) string {
	b.t.Helper()
	day, _, err := b.server.Book.Round(b.t.Context(), b.server.Book.Today())
	if err != nil {
		b.t.Fatal(err)
	}
	for job := range openJobs(day) {
		if job.Label == label && job.Task == task {
			return job.Key
		}
	}
	b.t.Fatalf("no %s is due at %s", task, label)
	return ""
}

// since returns the entries that were kept since some number of them.
func (b *bench) since(n int) []care.Entry {
	b.store.mu.Lock()
	defer b.store.mu.Unlock()
	return slices.Clone(b.store.entries[n:])
}

func (b *bench) kept() int { return len(b.since(0)) }

// answer sends a job's form and fails unless it is taken.
func (b *bench) answer(values url.Values) []care.Entry {
	b.t.Helper()
	before := b.kept()
	if answer := b.post("/round/answer", values); answer.StatusCode != http.StatusSeeOther {
		b.t.Fatalf("%v: %s\n%s", values, answer.Status, body(b.t, answer))
	}
	return b.since(before)
}

func number(x float64) *float64 { return &x }

func TestRoundLeadsThroughTheSpaces(t *testing.T) {
	b := newBench(t, withSample)
	page := b.get("/")
	at := -1
	for _, want := range []string{"Balcony", "C-001", "lavender unifoliate", "Shelf", "P-001", "Terrace"} {
		next := strings.Index(page, want)
		if next <= at {
			t.Fatalf("%q stands at %d, not after %d", want, next, at)
		}
		at = next
	}
	day, _, err := b.server.Book.Round(t.Context(), b.server.Book.Today())
	if err != nil {
		t.Fatal(err)
	}
	// Nothing was done for these plants yet: there is more than one page shows.
	parts := map[string]string{}
	count := 0
	for job := range openJobs(day) {
		count++
		id := `id="` + elementID(job.Key) + `"`
		if strings.Contains(page, id) {
			continue
		}
		path := "/?" + url.Values{"space": {job.Space}}.Encode()
		if parts[path] == "" {
			parts[path] = b.get(path)
			checkPage(t, path, parts[path])
		}
		if !strings.Contains(page, `href="`+path+`"`) || !strings.Contains(parts[path], id) {
			t.Errorf("the page does not lead to job %s", job.Key)
		}
	}
	if forms := strings.Count(page, `class="job"`); forms != mostJobs || count <= forms || len(parts) == 0 {
		t.Errorf("%d forms for %d jobs", forms, count)
	}
	if !strings.Contains(page, shownMinutes(day.Need.Minutes)) || !strings.Contains(page, shownLitres(care.MetricUnits(), day.Need.Litres)) {
		t.Error("the page does not say how much time and water the day needs")
	}
}

func TestAnswersOfEveryTask(t *testing.T) {
	for _, c := range []struct {
		name, label string
		task        care.Task
		sent        url.Values
		want        []care.Entry // kind and detail, but for the job
	}{
		{"flushed", "P-001", care.Flushing, url.Values{"do": {"done"}, "ml": {"640"}}, []care.Entry{
			{Kind: care.FlushDone, Detail: care.Detail{VolumeML: number(640)}}}},
		{"flushed with values", "P-001", care.Flushing, url.Values{"do": {"done"}, "ec": {"0.82 mS/cm"}, "mass": {"0.6 kg"}}, []care.Entry{
			{Kind: care.FlushDone},
			{Kind: care.DrainageRead, Detail: care.Detail{ECmS: number(0.82)}},
			{Kind: care.Weighed, Detail: care.Detail{MassG: number(600)}}}},
		{"fed", "C-001", care.Feeding, url.Values{"do": {"done"}, "ec": {"0.9"}}, []care.Entry{
			{Kind: care.FeedDone, Detail: care.Detail{ECmS: number(0.9)}}}},
		{"no pests", "P-005", care.LookForPests, url.Values{"do": {"done"}, "pest": {""}}, []care.Entry{{Kind: care.PestLook}}},
		{"no pests, though one was chosen", "P-005", care.LookForPests, url.Values{"do": {"done"}, "pest": {"fungus gnat"}}, []care.Entry{{Kind: care.PestLook}}},
		{"pests", "P-005", care.LookForPests, url.Values{"do": {"found"}, "pest": {"citrus mealybug"}, "note": {"two, crown"}}, []care.Entry{
			{Kind: care.PestLook, Detail: care.Detail{Pest: "citrus mealybug", Note: "two, crown"}}}},
		{"reviewed", "P-004", care.Review, url.Values{"do": {"done"}, "stage": {"rooting"}, "note": {"two tips"}}, []care.Entry{
			{Kind: care.Reviewed, Detail: care.Detail{Stage: "rooting", Note: "two tips"}}}},
		{"roots", "C-001", care.MeasureRoots, url.Values{"do": {"done"},
			"root.0": {"A"}, "length.0": {"2.3 cm"}, "tip.0": {"growing"}, "root.1": {"B"}, "length.1": {"8"}, "tip.1": {""}, "root.2": {""}, "length.2": {""}, "tip.2": {""}}, []care.Entry{
			{Kind: care.RootsRead, Detail: care.Detail{Roots: []care.RootReading{{Root: "A", LengthMM: 23, Tip: "growing"}, {Root: "B", LengthMM: 8}}}}}},
		{"a reason", "P-001", care.Flushing, url.Values{"skip": {"still wet"}}, []care.Entry{
			{Kind: care.Skipped, Detail: care.Detail{Reason: "still wet"}}}},
		{"a reason of one's own", "P-001", care.Flushing, url.Values{"do": {"skip"}, "reason": {" at the vet "}}, []care.Entry{
			{Kind: care.Skipped, Detail: care.Detail{Reason: "at the vet"}}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t, withSample)
			key := b.due(c.label, c.task)
			c.sent.Set("job", key)
			c.sent.Set("entry", newID())
			got := b.answer(c.sent)
			if len(got) != len(c.want) {
				t.Fatalf("%d entries, want %d: %+v", len(got), len(c.want), got)
			}
			c.want[0].Detail.Job = key
			for i, e := range got {
				if diff := cmp.Diff(care.Entry{ID: e.ID, At: e.At, Recorded: e.Recorded, Kind: c.want[i].Kind, Plant: b.plant(c.label), Detail: c.want[i].Detail}, e); diff != "" {
					t.Errorf("entry %d (-want +got):\n%s", i, diff)
				}
				if !e.At.Equal(testNow) {
					t.Errorf("entry %d was made at %s", i, e.At)
				}
			}
			if got[0].ID != c.sent.Get("entry") {
				t.Error("the form's own id is not that of its entry")
			}
			if page := b.get("/"); strings.Contains(page, `id="`+elementID(key)+`"`) {
				t.Error("the job is still asked")
			}
		})
	}
}

func TestWrongAnswersKeepWhatWasTyped(t *testing.T) {
	b := newBench(t, withSample)
	for _, c := range []struct {
		name, label string
		task        care.Task
		sent        url.Values
		field       string
		says        string
	}{
		{"salt", "P-001", care.Flushing, url.Values{"do": {"done"}, "ec": {"820"}, "mass": {"600"}}, "ec", "820 cannot be right"},
		{"weight", "P-001", care.Flushing, url.Values{"do": {"done"}, "ec": {"0.8"}, "mass": {"heavy"}}, "mass", "is not a number"},
		{"no pest chosen", "P-005", care.LookForPests, url.Values{"do": {"found"}, "pest": {""}, "note": {"crown"}}, "pest", "Choose what it is"},
		{"unknown pest", "P-005", care.LookForPests, url.Values{"do": {"found"}, "pest": {"dragon"}, "note": {"crown"}}, "pest", "not one of the choices"},
		{"no reason", "P-001", care.Flushing, url.Values{"do": {"skip"}, "reason": {""}}, "reason", "Say why"},
		{"done, and a reason", "P-001", care.Flushing, url.Values{"do": {"done"}, "reason": {"still wet"}}, "reason", "press Skip"},
		{"long reason", "P-001", care.Flushing, url.Values{"do": {"skip"}, "reason": {strings.Repeat("x", 121)}}, "reason", "121 letters"},
		{"unknown stage", "P-004", care.Review, url.Values{"do": {"done"}, "stage": {"flying"}}, "stage", "not one of the choices"},
		{"no root", "C-001", care.MeasureRoots, url.Values{"do": {"done"}, "root.0": {""}, "length.0": {""}}, "length.0", "one length at least"},
		{"no mark", "C-001", care.MeasureRoots, url.Values{"do": {"done"}, "root.0": {""}, "length.0": {"12"}}, "root.0", "Which root"},
		{"twice the same root", "C-001", care.MeasureRoots, url.Values{"do": {"done"}, "root.0": {"A"}, "length.0": {"12"}, "root.1": {"a"}, "length.1": {"13"}}, "root.1", "measured above"},
		{"a third root", "C-001", care.MeasureRoots, url.Values{"do": {"done"}, "root.0": {"A"}, "length.0": {"12"}, "root.1": {"B"}, "length.1": {"13"}, "root.2": {"C"}, "length.2": {"long"}}, "length.2", "is not a number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			before := b.kept()
			c.sent.Set("job", b.due(c.label, c.task))
			answer := b.post("/round/answer", c.sent)
			page := body(t, answer)
			if answer.StatusCode != http.StatusUnprocessableEntity {
				t.Fatalf("%s, want 422\n%s", answer.Status, page)
			}
			if n := b.kept() - before; n != 0 {
				t.Fatalf("%d entries were kept", n)
			}
			message := regexp.MustCompile(`id="e-` + regexp.QuoteMeta(c.field) + `">([^<]*)<`).FindStringSubmatch(page)
			if message == nil || !strings.Contains(message[1], c.says) {
				t.Errorf("beside %s stands %q, want %q", c.field, message, c.says)
			}
			for name, values := range maps.All(c.sent) {
				if typed := values[0]; typed != "" && name != "do" && name != "job" && c.name != "unknown pest" && c.name != "unknown stage" &&
					!strings.Contains(page, `value="`+typed+`"`) {
					t.Errorf("%q in %s is gone", typed, name)
				}
			}
		})
	}
}

func TestTheSameFormTwiceIsOneEntry(t *testing.T) {
	b := newBench(t, withSample)
	form := url.Values{"job": {b.due("P-001", care.Flushing)}, "entry": {newID()}, "do": {"done"}, "ec": {"0.8"}}
	if got := b.answer(form); len(got) != 2 {
		t.Fatalf("%d entries, want 2", len(got))
	}
	if got := b.answer(form); len(got) != 0 {
		t.Errorf("sent again, %d more entries", len(got))
	}
	// Gone back to and answered otherwise, it is something else.
	form.Del("do")
	form.Set("skip", "still wet")
	if got := b.answer(form); len(got) != 1 || got[0].Kind != care.Skipped || got[0].ID == form.Get("entry") {
		t.Errorf("another answer from the same page: %+v", got)
	}
}

func TestKnownRootsHaveTheirOwnField(t *testing.T) {
	b := newBench(t, withSample)
	plant := b.plant("C-001")
	add := func(at time.Time, roots ...care.RootReading) {
		e := b.server.newEntry(care.RootsRead, plant, care.Detail{Roots: roots})
		e.At = at
		if _, err := b.server.Book.Append(t.Context(), e); err != nil {
			t.Fatal(err)
		}
	}
	add(testNow.AddDate(0, -2, 0), care.RootReading{Root: "cut off at the repot", LengthMM: 90})
	add(testNow.AddDate(0, 0, -8), care.RootReading{Root: "red thread", LengthMM: 12})
	page := b.get("/")
	if !strings.Contains(page, `value="red thread"`) || !strings.Contains(page, "was 12 mm on 16 Nov") {
		t.Error("the root with the red thread is not asked for")
	}
	if strings.Contains(page, "cut off at the repot") {
		t.Error("a root from before the repot is asked for")
	}
}

var undoForm = regexp.MustCompile(`(?s)<form method="post" action="/round/undo"[^>]*>(.*?)</form>`)
var hiddenField = regexp.MustCompile(`type="hidden" name="([^"]+)" value="([^"]*)"`)

// undoForms returns what the page's forms for undoing send.
func undoForms(page string) (list []url.Values) {
	for _, form := range undoForm.FindAllStringSubmatch(page, -1) {
		values := url.Values{}
		for _, one := range hiddenField.FindAllStringSubmatch(form[1], -1) {
			values.Add(one[1], one[2])
		}
		list = append(list, values)
	}
	return list
}

func TestUndoWithdrawsWhatWasEnteredTogether(t *testing.T) {
	b := newBench(t, withSample)
	key := b.due("P-001", care.Flushing)
	made := b.answer(url.Values{"job": {key}, "do": {"done"}, "ec": {"0.8"}, "mass": {"600"}})
	page := b.get("/")
	if !strings.Contains(page, "flushed, drainage at 0.80 mS/cm, weighs 600 g") {
		t.Error("what was done is not told")
	}
	forms := undoForms(page)
	if len(forms) != 1 || len(forms[0]["entry"]) != len(made) {
		t.Fatalf("forms to undo: %v, want one for %d entries", forms, len(made))
	}
	before := b.kept()
	if answer := b.post("/round/undo", forms[0]); answer.StatusCode != http.StatusSeeOther {
		t.Fatal(answer.Status)
	}
	for _, e := range b.since(before) {
		if e.Kind != care.Withdrawn || e.Plant != b.plant("P-001") {
			t.Errorf("undone by %+v", e)
		}
	}
	page = b.get("/")
	if !strings.Contains(page, `id="`+elementID(key)+`"`) || len(undoForms(page)) != 0 {
		t.Error("the job has not come back")
	}
}

func TestTwoAnswersAreBothTold(t *testing.T) {
	b := newBench(t, withSample)
	key := b.due("P-001", care.Flushing)
	post := func(by string) {
		b.cookies = nil
		b.post("/round/by", url.Values{"by": {by}})
		b.answer(url.Values{"job": {key}, "entry": {newID()}, "do": {"done"}})
	}
	post("Anna")
	post("Ben & Co")
	page := b.get("/")
	if !strings.Contains(page, "08:30, Anna") || !strings.Contains(page, "Also entered by Ben &amp; Co at 08:30: flushed.") {
		t.Errorf("the two answers are not both told:\n%s", page[strings.Index(page, `id="done"`):])
	}
	// Either can be undone without the other.
	forms := undoForms(page)
	if len(forms) != 2 {
		t.Fatalf("%d forms to undo, want 2", len(forms))
	}
	b.post("/round/undo", forms[1])
	if page = b.get("/"); strings.Contains(page, "Also entered") || !strings.Contains(page, "08:30, Anna") {
		t.Error("undoing the second answer did not leave the first")
	}
}

func TestRainIsEnteredOnceForAllOutdoors(t *testing.T) {
	b := newBench(t, withSample)
	before := b.kept()
	answer := b.post("/round/rain", url.Values{"mm": {"a lot"}, "entry": {newID()}})
	if page := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(page, `value="a lot"`) || !strings.Contains(page, "is not a number") || !strings.Contains(page, "<details open>") {
		t.Errorf("%s: what was typed is not shown with what is wrong", answer.Status)
	}
	form := url.Values{"mm": {"3 cm"}, "entry": {newID()}}
	if answer := b.post("/round/rain", form); answer.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a unit that no gauge has: %s", answer.Status)
	}
	form.Set("mm", "30")
	for range 2 {
		if answer := b.post("/round/rain", form); answer.StatusCode != http.StatusSeeOther {
			t.Fatal(answer.Status)
		}
	}
	made := b.since(before)
	if len(made) != 1 || made[0].Kind != care.RainFell || *made[0].Detail.RainMM != 30 || made[0].Plant != "" {
		t.Fatalf("entries: %+v, want one fall of 30 mm", made)
	}
	page := b.get("/")
	fell := page[strings.Index(page, `class="fell"`):]
	if !strings.Contains(fell, "30 mm") || !strings.Contains(fell, "Counts as a flush for") || !strings.Contains(fell, "L-001") {
		t.Errorf("the rain's work is not told:\n%.600s", fell)
	}
	day, _, err := b.server.Book.Round(t.Context(), b.server.Book.Today())
	if err != nil {
		t.Fatal(err)
	}
	enough, short := 0, fell[strings.Index(fell, "Too little"):]
	for job := range openJobs(day) {
		if job.Space == "terrace" && job.Task == care.Flushing && !strings.Contains(short, job.Label) {
			t.Errorf("%s is still to be flushed", job.Label)
		}
		if job.Space == "terrace" {
			enough++
		}
	}
	if enough == 0 {
		t.Error("the rain answered more than flushes")
	}
	b.post("/round/undo", undoForms(page)[0])
	b.due("L-001", care.Flushing)
}

func TestPreviewTakesNoEntries(t *testing.T) {
	b := newBench(t, withSample)
	page := b.get("/?date=2026-11-25")
	if strings.Contains(page, "<form") || strings.Contains(page, "<script") {
		t.Error("a day to come can be entered")
	}
	if !strings.Contains(page, "Wednesday 25 November") || !strings.Contains(page, "<strong>Flush</strong>") {
		t.Error("the day to come is not shown")
	}
	for _, date := range []string{"tomorrow", "2026-11-23", "2027-11-24", "2026-02-30"} {
		if answer := b.do(httptest.NewRequest(http.MethodGet, "/?date="+date, nil)); answer.StatusCode != http.StatusBadRequest {
			t.Errorf("%s: %s, want 400", date, answer.Status)
		}
	}
}

func TestWhatDoesNotFitWaitsWithItsCost(t *testing.T) {
	b := newBench(t, withSample, func(_ *Config, b *bench) {
		e := care.Entry{ID: newID(), At: testNow, Kind: care.SettingsSet, Detail: care.Detail{Settings: &care.Settings{MinutesPerDay: 20, LitresPerDay: 2}}}
		b.store.entries = append(b.store.entries, e)
	})
	if err := b.server.Book.Reload(t.Context()); err != nil {
		t.Fatal(err)
	}
	day, _, err := b.server.Book.Round(t.Context(), b.server.Book.Today())
	if err != nil {
		t.Fatal(err)
	}
	page := b.get("/")
	if len(day.Waits) == 0 || !strings.Contains(page, "of 20 min") || !strings.Contains(page, "of 2 L") || !strings.Contains(page, "If it waits: "+day.Waits[len(day.Waits)-1].Cost) {
		t.Errorf("%d jobs wait, and the page does not say at what cost", len(day.Waits))
	}
}

func TestNothingToDoIsSaid(t *testing.T) {
	b := newBench(t, withSample)
	b.server.Book.Read(func(c *care.Collection) {
		for id := range c.Plants {
			b.store.entries = append(b.store.entries, care.Entry{ID: newID(), At: testNow, Kind: care.PlantLeft, Plant: id})
		}
	})
	if err := b.server.Book.Reload(t.Context()); err != nil {
		t.Fatal(err)
	}
	if page := b.get("/"); !strings.Contains(page, "Nothing is due today") && !strings.Contains(page, "Everything is done") {
		t.Error("an empty round says nothing")
	}
}

func TestPlantsWithoutACourseAreListedWithWhy(t *testing.T) {
	b := newBench(t, withSample)
	plant := b.plant("P-001")
	var record care.Plant
	b.server.Book.Read(func(c *care.Collection) { record = c.Plants[plant].Record })
	record.Group, record.Repot = "no such genus", care.Repot{}
	e := b.server.newEntry(care.PlantSet, plant, care.Detail{Plant: &record})
	if _, err := b.server.Book.Append(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	page := b.get("/")
	at := strings.Index(page, "No course could be made")
	if at < 0 || !strings.Contains(page[at:], "P-001") || !strings.Contains(page[at:], "no such genus") {
		t.Error("the plant in trouble is not listed with why")
	}
}

func TestJobsThatCannotBe(t *testing.T) {
	b := newBench(t, withSample)
	for key, want := range map[string]int{
		"": http.StatusBadRequest, "x": http.StatusBadRequest, b.plant("P-001") + "/dance/2026-11-24": http.StatusBadRequest,
		"01900000-0000-7000-8000-000000000000/flush/2026-11-24": http.StatusNotFound,
	} {
		if answer := b.do(httptest.NewRequest(http.MethodGet, "/round/job?job="+url.QueryEscape(key), nil)); answer.StatusCode != want {
			t.Errorf("GET %q: %s, want %d", key, answer.Status, want)
		}
		if answer := b.post("/round/answer", url.Values{"job": {key}, "do": {"done"}}); answer.StatusCode != want {
			t.Errorf("POST %q: %s, want %d", key, answer.Status, want)
		}
	}
	// A picture is taken on the plant's own page.
	if answer := b.post("/round/answer", url.Values{"job": {b.due("C-003", care.Photograph)}, "do": {"done"}}); answer.StatusCode != http.StatusBadRequest {
		t.Errorf("a photograph without a picture: %s", answer.Status)
	}
}

func TestAnchorsStayOnThePage(t *testing.T) {
	b := newBench(t, withSample)
	for next, want := range map[string]string{"j0badcafe": "/#j0badcafe", "done": "/#done", "": "/#main", "//evil": "/#main", "a b": "/#main"} {
		answer := b.post("/round/answer", url.Values{"job": {b.due("P-001", care.Flushing)}, "skip": {"still wet"}, "next": {next}})
		if got := answer.Header.Get("Location"); got != want {
			t.Errorf("next %q leads to %q, want %q", next, got, want)
		}
		b.post("/round/undo", undoForms(b.get("/"))[0])
	}
}

// A nursery's day is shown part by part; what waits longest at most cost stays
// in sight.
func TestVeryLongRoundsComeInParts(t *testing.T) {
	b := newBench(t, withSample)
	day := plan.Round{On: b.server.Book.Today()}
	job := func(i int) care.Job {
		return care.Job{Key: fmt.Sprintf("%s/mist/%d", b.plant("P-001"), i), Plant: b.plant("P-001"), Label: fmt.Sprint("N-", i), Task: care.Misting}
	}
	for space := range 3 {
		stop := plan.Stop{Space: fmt.Sprint("house ", space)}
		for i := range 300 {
			stop.Jobs = append(stop.Jobs, job(300*space+i))
		}
		day.Stops = append(day.Stops, stop)
	}
	for i := range 100 {
		day.Waits = append(day.Waits, plan.Waiting{Job: job(1000 + i), Cost: fmt.Sprint("cost ", i)})
	}
	shownOf := func(only part) (v roundView, jobs int) {
		m := b.server.newRoundMaker()
		m.part = only
		m.lay(&v, day)
		for _, stop := range v.Stops {
			for _, at := range stop.Plants {
				jobs += len(at.Jobs)
			}
		}
		return v, jobs
	}
	v, shown := shownOf(part{})
	if shown != mostJobs || len(v.Stops) != 1 || v.Stops[0].More != 300-mostJobs {
		t.Errorf("%d jobs in %d spaces", shown, len(v.Stops))
	}
	if len(v.Waits) != mostWaits || v.Waits[mostWaits-1].Job.Cost != "cost 99; left out" || v.WaitsCount != 100 {
		t.Errorf("%d jobs wait of %d, the last at %s", len(v.Waits), v.WaitsCount, v.Waits[len(v.Waits)-1].Job.Cost)
	}
	want := []partView{ // walked last: they are no spaces of the sample
		{"/?space=", "Somewhere", fmt.Sprintf("%d wait", 100-mostWaits)},
		{"/?space=house+0", "House 0", fmt.Sprintf("%d more, %s", 300-mostJobs, shownMinutes(0))},
		{"/?space=house+1", "House 1", fmt.Sprintf("300 more, %s", shownMinutes(0))},
		{"/?space=house+2", "House 2", fmt.Sprintf("300 more, %s", shownMinutes(0))},
	}
	if diff := cmp.Diff(want, v.Rest); diff != "" {
		t.Error(diff)
	}
	v, shown = shownOf(part{true, "house 2"})
	if shown != mostJobs || len(v.Stops) != 1 || v.Stops[0].Space != "House 2" || v.Stops[0].More != 300-mostJobs || v.Stops[0].All != "" || len(v.Waits)+len(v.Rest) != 0 {
		t.Errorf("house 2 alone: %d jobs, %d more, %d wait, rest %v", shown, v.Stops[0].More, len(v.Waits), v.Rest)
	}
	if v, shown = shownOf(part{true, ""}); shown != 0 || len(v.Waits) != mostWaits {
		t.Errorf("what stands nowhere: %d jobs, %d wait", shown, len(v.Waits))
	}
}

// Who answers on the page of one space goes on there.
func TestAnswersLeadBackToTheirPart(t *testing.T) {
	b := newBench(t, withSample)
	page := b.get("/?space=terrace")
	root := checkPage(t, "/?space=terrace", page)
	forms := 0
	for _, form := range root.all("form") {
		if form.attr["class"] != "job" {
			continue
		}
		forms++
		values := url.Values{}
		for _, input := range form.all("input") {
			if input.attr["type"] == "hidden" {
				values.Set(input.attr["name"], input.attr["value"])
			}
		}
		if values.Get("space") != "terrace" {
			t.Fatalf("a form sends %v", values)
		}
		if forms > 1 {
			continue
		}
		values.Set("skip", "no time")
		if got, want := b.post("/round/answer", values).Header.Get("Location"), "/?space=terrace#"+values.Get("next"); got != want {
			t.Errorf("an answer leads to %s, want %s", got, want)
		}
	}
	if forms == 0 || strings.Contains(page, ">Balcony") {
		t.Errorf("%d jobs on the terrace's page", forms)
	}
	if nothing := b.get("/?space=attic"); !strings.Contains(nothing, "Nothing is left to do there") {
		t.Error("a space without jobs does not say so")
	}
}

// The limits of what a phone loads over poor reception: a page of an ordinary
// day of forty plants, and the longest there can be.
func TestRoundsAreLight(t *testing.T) {
	b := newBench(t, func(c *Config, b *bench) { c.Sample = sampleCase })
	if err := b.server.LoadSample(t.Context()); err != nil {
		t.Fatal(err)
	}
	if size := len(b.get("/")); size > 150_000 {
		t.Errorf("the round of the invented collection has %d bytes", size)
	}
	long := newBench(t, withSample) // everything is due
	if size := len(long.get("/")); size > 400_000 {
		t.Errorf("a round of more jobs than a page shows has %d bytes", size)
	}
}
