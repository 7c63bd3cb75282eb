package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

// inUnits makes the sample collection show everything in other units.
func inUnits(words string) func(*Config, *bench) {
	return func(c *Config, b *bench) {
		withSample(c, b)
		filled := &Server{Config: *c}
		u, err := care.MetricUnits().With(words)
		if err != nil {
			b.t.Fatal(err)
		}
		e := filled.newEntry(care.SettingsSet, "", care.Detail{Settings: &care.Settings{Units: u}})
		if _, err := c.Book.Append(b.t.Context(), e); err != nil {
			b.t.Fatal(err)
		}
	}
}

// last returns the newest entry of a plant that has a kind.
func (b *bench) last(plant string, kind care.Kind) care.Entry {
	b.t.Helper()
	entries, err := b.server.Book.Journal(b.t.Context(), plant)
	if err != nil {
		b.t.Fatal(err)
	}
	var found care.Entry
	for _, e := range care.Effective(entries, farAhead) {
		if e.Kind == kind {
			found = e
		}
	}
	if found.ID == "" {
		b.t.Fatalf("no entry of kind %s\n%s", kind, b.log)
	}
	return found
}

// count returns how many entries of a kind still count.
func (b *bench) count(plant string, kind care.Kind) int {
	b.t.Helper()
	entries, err := b.server.Book.Journal(b.t.Context(), plant)
	if err != nil {
		b.t.Fatal(err)
	}
	n := 0
	for _, e := range care.Effective(entries, farAhead) {
		if e.Kind == kind {
			n++
		}
	}
	return n
}

// hidden returns the value of a hidden field of a page.
func hidden(t *testing.T, page, name string) string {
	t.Helper()
	m := regexp.MustCompile(`<input type="hidden" name="` + name + `" value="([^"]*)"`).FindStringSubmatch(page)
	if m == nil {
		t.Fatalf("no hidden field %s", name)
	}
	return m[1]
}

// accepted fails unless a form was taken.
func (b *bench) accepted(answer *http.Response) string {
	b.t.Helper()
	if answer.StatusCode != http.StatusSeeOther {
		b.t.Fatalf("%s\n%s\n%s", answer.Status, errorsIn(body(b.t, answer)), b.log)
	}
	return answer.Header.Get("Location")
}

// errorsIn returns the messages beside the fields of a page.
func errorsIn(page string) string {
	var list []string
	for _, m := range regexp.MustCompile(`(?s)<p class="(?:error"[^>]*|warning" role="alert")>(.*?)</p>`).FindAllStringSubmatch(page, -1) {
		list = append(list, strings.TrimSpace(m[1]))
	}
	return strings.Join(list, "\n")
}

func TestEverySamplePlantHasItsPage(t *testing.T) {
	b := newBench(t, withSample)
	var ids []string
	b.server.Book.Read(func(c *care.Collection) {
		for id := range c.Plants {
			ids = append(ids, id)
		}
	})
	if len(ids) < 40 {
		t.Fatalf("only %d plants", len(ids))
	}
	for _, id := range ids {
		page := b.get("/plant/" + id)
		for _, want := range []string{`class="advice"`, `class="picture course"`, `class="picture pot"`, "Aim for now", "Write down", "because"} {
			if !strings.Contains(page, want) {
				t.Errorf("the page of %s lacks %q", id, want)
			}
		}
		if strings.Contains(page, "No course can be worked out") || strings.Contains(page, "style=") {
			t.Errorf("the page of %s has no course, or a style of its own", id)
		}
	}
}

func TestAPlantPageSpeaksTheGrowersUnits(t *testing.T) {
	b := newBench(t, inUnits("F,lx,ppm500,in"))
	page := b.get("/plant/" + b.plant("C-003"))
	for _, want := range []string{" °F", " lx", " ppm (500)", " fl oz", " in"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not show %q", want)
		}
	}
	for _, never := range []string{" °C", " mS/cm", " mL"} {
		if strings.Contains(page, never) {
			t.Errorf("the page shows %q, which this grower does not read", never)
		}
	}
}

func TestPlantsThatAreNotThere(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-003")
	for _, path := range []string{
		"/plant/0190b5c2-7d3e-7000-8000-0123456789ab", "/plant/nonsense/record", "/plant/" + id + "/write/nonsense",
		"/plant/" + id + "/entry/nonsense", "/repot?plant=nonsense", "/repot?plant=" + id + "&change=nonsense", "/plant/" + id + "/measure/nonsense",
	} {
		if answer := b.do(httptest.NewRequest(http.MethodGet, path, nil)); answer.StatusCode != http.StatusNotFound {
			t.Errorf("GET %s: %s, want 404", path, answer.Status)
		}
	}
}

// Every form is taken with what a grower would type, and ends up in the journal.
func TestEveryFormIsTaken(t *testing.T) {
	typed := map[string]struct {
		values url.Values
		check  func(care.Detail) bool
	}{
		"flush":      {url.Values{"volume": {"0.4 L"}, "water": {"rain barrel"}}, func(d care.Detail) bool { return *d.VolumeML == 400 && d.WaterName == "rain barrel" }},
		"feed":       {url.Values{"volume": {"150"}, "ec": {"650 µS/cm"}, "product": {"nitrate feed"}}, func(d care.Detail) bool { return *d.VolumeML == 150 && *d.ECmS == 0.65 }},
		"water":      {url.Values{"volume": {"120"}}, func(d care.Detail) bool { return *d.VolumeML == 120 }},
		"mist":       {url.Values{}, func(d care.Detail) bool { return d.VolumeML == nil }},
		"supplement": {url.Values{"product": {"kelp"}}, func(d care.Detail) bool { return d.Product == "kelp" }},
		"wetness":    {url.Values{"wet": {"dry on top"}}, func(d care.Detail) bool { return d.Wet == care.LooksDryOnto }},
		"weigh":      {url.Values{"mass": {"612,5"}}, func(d care.Detail) bool { return *d.MassG == 612.5 }},
		"drainage":   {url.Values{"ec": {"0.31"}}, func(d care.Detail) bool { return *d.ECmS == 0.31 }},
		"roots": {url.Values{"way": {"1"}, "mark0": {"A"}, "length0": {"12"}, "tip0": {"growing"}, "mark1": {"B"}, "length1": {"3.1 cm"}, "tip1": {""}}, func(d care.Detail) bool {
			return len(d.Roots) == 2 && d.Roots[0] == care.RootReading{Root: "A", LengthMM: 12, Tip: "growing", HowMM: 0.5} && d.Roots[1].LengthMM == 31
		}},
		"counts": {url.Values{"leaves": {"7"}, "wrinkle": {"2"}}, func(d care.Detail) bool { return *d.Leaves == 7 && *d.Wrinkle == 2 && d.Pseudobulbs == nil }},
		"pests":  {url.Values{"pest": {"citrus mealybug"}}, func(d care.Detail) bool { return d.Pest == "citrus mealybug" }},
		"sign":   {url.Values{"sign": {"new root tip"}}, func(d care.Detail) bool { return d.Sign == care.NewRootTip }},
		"treatment": {url.Values{"product": {"soap"}, "pest": {"citrus mealybug"}, "note": {"leaf axils only"}}, func(d care.Detail) bool {
			return d.Product == "soap" && d.Pest == "citrus mealybug" && d.Note == "leaf axils only"
		}},
		"blade":  {url.Values{"blade": {"red scissors"}}, func(d care.Detail) bool { return d.Blade == "red scissors" }},
		"move":   {url.Values{"space": {"shelf"}}, func(d care.Detail) bool { return d.ToSpace == "shelf" }},
		"spike":  {url.Values{"spike": {"cut"}}, func(d care.Detail) bool { return d.Spike == "cut" }},
		"review": {url.Values{"stage": {"rooting"}}, func(d care.Detail) bool { return d.Stage == "rooting" }},
		"note":   {url.Values{"note": {"new nub"}}, func(d care.Detail) bool { return d.Note == "new nub" }},
		"lost":   {url.Values{"note": {"crown rot"}}, func(d care.Detail) bool { return d.Note == "crown rot" }},
		"left":   {url.Values{}, func(d care.Detail) bool { return true }},
	}
	for _, form := range entryForms {
		one, ok := typed[form.slug]
		if !ok {
			if !form.multipart {
				t.Errorf("nothing is typed into %s", form.slug)
			}
			continue
		}
		t.Run(form.slug, func(t *testing.T) {
			b := newBench(t, withSample)
			id := b.plant("C-003")
			path := "/plant/" + id + "/write/" + form.slug
			page := b.get(path)
			one.values.Set("entry", hidden(t, page, "entry"))
			one.values.Set("when", "2026-11-24T07:15")
			before := b.count(id, form.kind)
			if to := b.accepted(b.post(path, one.values)); !strings.HasPrefix(to, "/plant/"+id+"?done=kept") {
				t.Errorf("led to %s", to)
			}
			e := b.last(id, form.kind)
			if !one.check(e.Detail) {
				t.Errorf("kept %+v", e.Detail)
			}
			if want := time.Date(2026, 11, 24, 7, 15, 0, 0, time.UTC); !e.At.Equal(want) {
				t.Errorf("at %s, want %s", e.At, want)
			}
			b.accepted(b.post(path, one.values)) // the thumb was too quick
			if n := b.count(id, form.kind); n != before+1 {
				t.Errorf("sent twice, %d entries more", n-before)
			}
			b.get("/plant/" + id) // it can be shown
			b.get("/plant/" + id + "/entry/" + e.ID)
		})
	}
}

// What is wrong is said beside its field, what was typed stays, and nothing is
// kept.
func TestSlipsStayInTheForm(t *testing.T) {
	for _, c := range []struct {
		form   string
		values url.Values
		says   string
	}{
		{"weigh", url.Values{"mass": {"heavy"}}, "is not a number"},
		{"weigh", url.Values{"mass": {""}}, "what the scale shows"},
		{"weigh", url.Values{"mass": {"900 kg"}}, "cannot be right"},
		{"drainage", url.Values{"ec": {"300 ppm"}}, "ppm in three ways"},
		{"flush", url.Values{"volume": {"3 apples"}}, "does not fit here"},
		{"flush", url.Values{"when": {"2031-01-01T08:00"}}, "lies in the future"},
		{"flush", url.Values{"when": {"yesterday"}}, "is no date with a time"},
		{"roots", url.Values{"mark0": {"A"}, "length0": {""}}, "long is it"},
		{"roots", url.Values{"mark0": {""}, "length0": {"12"}}, "Which root?"},
		{"roots", url.Values{"mark0": {"A"}, "length0": {"12"}, "mark1": {"A"}, "length1": {"13"}}, "stands here twice"},
		{"roots", url.Values{"mark0": {"A"}, "length0": {"9 m"}}, "does not fit here"},
		{"counts", url.Values{}, "Count at least one thing"},
		{"counts", url.Values{"leaves": {"-1"}}, "is not a count"},
		{"counts", url.Values{"wrinkle": {"4"}}, "is not a count"},
		{"pests", url.Values{"pest": {"dragon"}}, "dragon"},
		{"move", url.Values{"space": {"moon"}}, "is not one of the spaces"},
		{"spike", url.Values{}, "Choose one of the two"},
		{"note", url.Values{"note": {"  "}}, "missing"},
		{"treatment", url.Values{"product": {""}}, "Write down what it was"},
	} {
		b := newBench(t, withSample)
		id := b.plant("C-003")
		before := len(b.store.entries)
		answer := b.post("/plant/"+id+"/write/"+c.form, c.values)
		page := body(t, answer)
		if answer.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s %v: %s, want 422", c.form, c.values, answer.Status)
			continue
		}
		if !strings.Contains(errorsIn(page), c.says) {
			t.Errorf("%s %v: says %q, want %q", c.form, c.values, errorsIn(page), c.says)
		}
		for name, list := range c.values {
			if text := strings.TrimSpace(list[0]); text != "" && c.form != "pests" && c.form != "move" && name != "wrinkle" && !strings.Contains(page, `value="`+text+`"`) {
				t.Errorf("%s: what was typed into %s is gone", c.form, name)
			}
		}
		if len(b.store.entries) != before {
			t.Errorf("%s %v: something was kept all the same", c.form, c.values)
		}
	}
}

func TestOtherUnitsAreRead(t *testing.T) {
	b := newBench(t, inUnits("F,fc,ppm500,in"))
	id := b.plant("C-003")
	for form, c := range map[string]struct {
		values url.Values
		kind   care.Kind
		got    func(care.Detail) float64
		want   float64
	}{
		// A fluid ounce is 29.5735 mL and an ounce 28.3495 g (NIST Handbook 44,
		// Appendix C, from memory); 25.4 mm are an inch by definition.
		"weigh":    {url.Values{"mass": {"20"}}, care.Weighed, func(d care.Detail) float64 { return *d.MassG }, 566.99},
		"flush":    {url.Values{"volume": {"10"}}, care.FlushDone, func(d care.Detail) float64 { return *d.VolumeML }, 295.735},
		"drainage": {url.Values{"ec": {"150"}}, care.DrainageRead, func(d care.Detail) float64 { return *d.ECmS }, 0.3},
		"roots":    {url.Values{"way": {"1"}, "mark0": {"A"}, "length0": {"0.5"}}, care.RootsRead, func(d care.Detail) float64 { return d.Roots[0].LengthMM }, 12.7},
	} {
		b.accepted(b.post("/plant/"+id+"/write/"+form, c.values))
		if got := c.got(b.last(id, c.kind).Detail); got < c.want*0.9999 || got > c.want*1.0001 {
			t.Errorf("%s: kept %v, want %v", form, got, c.want)
		}
	}
}

func TestCorrectionsStandAboveWhatTheyCorrect(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-003")
	b.accepted(b.post("/plant/"+id+"/write/weigh", url.Values{"mass": {"61.2"}}))
	old := b.last(id, care.Weighed)
	path := "/plant/" + id + "/entry/" + old.ID
	page := b.get(path)
	if !strings.Contains(page, `value="61 g"`) {
		t.Errorf("the form does not show what was kept")
	}
	b.accepted(b.post(path, url.Values{"mass": {"612"}, "when": {old.At.Format(whenLayout)}}))
	now := b.last(id, care.Weighed)
	if now.Corrects != old.ID || *now.Detail.MassG != 612 || !now.At.Equal(old.At) {
		t.Errorf("kept %+v as the correction of %s", now, old.ID)
	}
	if n := b.count(id, care.Weighed); n != 1 {
		t.Errorf("%d weighings count, want one", n)
	}
	page = b.get("/plant/" + id + "?journal")
	if !strings.Contains(page, "612 g") || !strings.Contains(page, "What it said before") || !strings.Contains(page, "61 g") {
		t.Error("the journal does not show both")
	}
	if answer := b.do(httptest.NewRequest(http.MethodGet, path, nil)); answer.StatusCode != http.StatusNotFound {
		t.Errorf("what was corrected can be changed again: %s", answer.Status)
	}
	b.accepted(b.post("/plant/"+id+"/entry/"+now.ID+"/withdraw", nil))
	if n := b.count(id, care.Weighed); n != 0 {
		t.Errorf("withdrawn, %d weighings count", n)
	}
	if page = b.get("/plant/" + id + "?journal"); !strings.Contains(page, "withdrawn") {
		t.Error("the journal does not show what was withdrawn")
	}
}

// An untouched field keeps its value to the last digit.
func TestUnchangedFiguresStayExact(t *testing.T) {
	b := newBench(t, inUnits("in"))
	id := b.plant("C-003")
	b.accepted(b.post("/plant/"+id+"/write/weigh", url.Values{"mass": {"612.34 g"}}))
	old := b.last(id, care.Weighed)
	page := b.get("/plant/" + id + "/entry/" + old.ID)
	shown := regexp.MustCompile(`name="mass" type="text" value="([^"]*)"`).FindStringSubmatch(page)
	if shown == nil {
		t.Fatal("no field for the mass")
	}
	b.accepted(b.post("/plant/"+id+"/entry/"+old.ID, url.Values{"mass": {shown[1]}, "note": {"dry"}, "when": {old.At.Format(whenLayout)}}))
	if now := b.last(id, care.Weighed); *now.Detail.MassG != 612.34 || now.Detail.Note != "dry" {
		t.Errorf("kept %v", *now.Detail.MassG)
	}
}

func TestAQuestionedRootIsAskedAndAnswered(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-003")
	for _, one := range [][2]string{{"2026-11-03T09:00", "44"}, {"2026-11-10T09:00", "46"}, {"2026-11-17T09:00", "21"}} {
		b.accepted(b.post("/plant/"+id+"/write/roots", url.Values{"way": {"1"}, "when": {one[0]}, "mark0": {"K"}, "length0": {one[1]}}))
	}
	page := b.get("/plant/" + id)
	if !strings.Contains(page, "Root K, 17 November: 21.0 mm is shorter than before, 46.0 mm on 10 November") {
		t.Fatal("the reading is not asked about")
	}
	e := b.last(id, care.RootsRead)
	path := "/plant/" + id + "/entry/" + e.ID + "/answer"
	if answer := b.post(path, url.Values{"root": {"K"}, "answer": {"eaten by dragons"}}); answer.StatusCode != http.StatusBadRequest {
		t.Errorf("a made-up answer: %s", answer.Status)
	}
	b.accepted(b.post(path, url.Values{"root": {"K"}, "answer": {"broken"}}))
	now := b.last(id, care.RootsRead)
	if now.Detail.Roots[0].Tip != "broken" || now.Corrects != e.ID {
		t.Errorf("kept %+v", now)
	}
	if page = b.get("/plant/" + id); strings.Contains(page, "What happened?") || !strings.Contains(page, "K: tip lost") {
		t.Error("the answer does not show")
	}
}

// The drainage of the day says whether the flush is done.
func TestDrainageTellsWhenAFlushIsDone(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-003")
	for i, c := range []struct{ ec, says string }{
		{"0.42", "catch another"}, {"0.31", "Pour once more"}, {"0.05", "Pour once more"}, {"0.05", "The flush is done"},
	} {
		when := testNow.Add(time.Duration(i-10) * time.Minute).Format(whenLayout)
		b.accepted(b.post("/plant/"+id+"/write/drainage", url.Values{"ec": {c.ec}, "when": {when}}))
		if page := b.get("/plant/" + id); !strings.Contains(page, c.says) {
			t.Errorf("after %s mS/cm the page does not say %q", c.ec, c.says)
		}
	}
}

// The device knows who writes.
func TestEntriesSayWhoWroteThem(t *testing.T) {
	b := newBench(t, withSample)
	b.cookies = append(b.cookies, &http.Cookie{Name: byName, Value: "Ida"})
	id := b.plant("C-003")
	b.accepted(b.post("/plant/"+id+"/write/note", url.Values{"note": {"new nub"}}))
	if e := b.last(id, care.Noted); e.By != "Ida" {
		t.Errorf("written by %q", e.By)
	}
}
