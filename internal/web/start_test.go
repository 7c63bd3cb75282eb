package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/google/uuid"

	"velamen/internal/care"
)

// collection returns a copy of what the journal says now.
func (b *bench) collection() (c care.Collection) {
	b.server.Book.Read(func(now *care.Collection) { c = *now })
	return c
}

func TestTheFirstPlace(t *testing.T) {
	b := newBench(t)
	values := b.values("/start", "/start")
	for name, value := range map[string]string{
		"place": "37.8 S, 145 E", "altitude": "100 ft", "space": "shelf", "kind": "lamp shelf", "day": "77", "night": "18 C",
		"day_humidity": "55", "water": "rain barrel", "water_ec": "15", "temperature": "F", "salt": "ppm500", "light_unit": "lx",
	} {
		values.Set(name, value)
	}
	expectSeeOther(t, b.post("/start", values), "/repot?done=begun")
	c := b.collection()
	if c.Place.LatitudeDeg.Value != -37.8 || c.Place.LongitudeDeg.Value != 145 || c.Place.AltitudeM.Value != 30.48 {
		t.Errorf("the place is %+v", c.Place)
	}
	if len(c.Spaces) != 1 || c.Spaces[0].Name != "shelf" || c.Spaces[0].Kind != care.LampShelf || c.Spaces[0].DayC.Value != 25 || c.Spaces[0].NightC.Value != 18 || c.Spaces[0].NightRHPercent.Grade != 0 {
		t.Errorf("the space is %+v", c.Spaces)
	}
	if len(c.Waters) != 1 || c.Waters[0].ECmS.Value != 0.03 {
		t.Errorf("the water is %+v", c.Waters)
	}
	if want := (care.Units{Fahrenheit: true, Light: care.Lux, Salt: care.PPM500}); c.Settings.Units != want {
		t.Errorf("the units are %+v", c.Settings.Units)
	}
	expectSeeOther(t, b.do(httptest.NewRequest(http.MethodGet, "/start", nil)), "/")
	before := len(b.store.entries)
	expectSeeOther(t, b.post("/start", values), "/")
	if len(b.store.entries) != before {
		t.Error("the first place was taken twice")
	}
}

// A name is all that is needed.
func TestTheLeastToStartWith(t *testing.T) {
	b := newBench(t)
	expectSeeOther(t, b.post("/start", url.Values{"space": {"sill"}}), "/repot?done=begun")
	if c := b.collection(); len(c.Spaces) != 1 || len(c.Waters) != 0 || c.Place != (care.Place{}) {
		t.Errorf("kept %+v", c)
	}
}

func TestAWrongStartKeepsWhatWasTyped(t *testing.T) {
	b := newBench(t)
	answer := b.post("/start", url.Values{"place": {"down under"}, "space": {""}, "day": {"28"}, "water_ec": {"0.03"}, "temperature": {"F"}})
	root := checkPage(t, "/start", body(t, answer))
	if answer.StatusCode != http.StatusUnprocessableEntity {
		t.Fatal(answer.Status)
	}
	for id, says := range map[string]string{"e-place": "37.8 S, 145 E", "e-space": "Give it a name", "e-water": "Give it a name"} {
		if e := root.byID(id); e == nil || !strings.Contains(e.text, says) {
			t.Errorf("%s is %v", id, e)
		}
	}
	if place, day := root.byID("f-place"), root.byID("f-day"); place.attr["value"] != "down under" || day.attr["value"] != "28" {
		t.Error("what was typed is gone")
	}
	if v := formValues(root.all("form")[0]); v.Get("temperature") != "F" {
		t.Errorf("the chosen unit is gone: %v", v)
	}
	if len(b.store.entries) != 0 {
		t.Error("something was kept")
	}
}

func TestTheSampleComesAndGoes(t *testing.T) {
	b := newBench(t, func(c *Config, _ *bench) { c.Sample = sampleCase })
	expectSeeOther(t, b.post("/start/sample", nil), "/?done=sample")
	c := b.collection()
	if len(c.Plants) < 30 || len(c.Spaces) != 3 || !c.Settings.SampleDataOnly {
		t.Fatalf("%d plants in %d spaces, flagged %v", len(c.Plants), len(c.Spaces), c.Settings.SampleDataOnly)
	}
	for id, p := range c.Plants {
		if _, err := b.server.Book.Course(id, b.server.Book.Today()); err != nil {
			t.Errorf("%s: %v", p.Record.Label, err)
		}
	}
	// Its round is an ordinary day's: some is due, nothing has been due for weeks.
	round, troubles, err := b.server.Book.Round(t.Context(), b.server.Book.Today())
	if err != nil || len(troubles) > 0 {
		t.Fatal(err, troubles)
	}
	jobs := 0
	for _, stop := range round.Stops {
		for _, job := range stop.Jobs {
			jobs++
			if job.Due.Before(b.server.Book.Today().AddDate(0, 0, -7)) {
				t.Errorf("%s of %s has been due since %s", job.Task, job.Label, job.Due.Format("2 January"))
			}
		}
	}
	if round.Limits.Minutes != sampleMinutes || len(round.Waits) == 0 {
		t.Errorf("limits %+v, %d jobs wait", round.Limits, len(round.Waits))
	}
	if jobs < len(c.Plants)/2 || jobs > 3*len(c.Plants) {
		t.Errorf("%d jobs for %d plants are no ordinary day", jobs, len(c.Plants))
	}
	if answer := b.post("/start/sample", nil); answer.StatusCode != http.StatusForbidden {
		t.Errorf("a second sample: %s", answer.Status)
	}
	// A plant of the grower's own on the sample's shelf, and something noted
	// about a sample plant.
	own, kept := uuid.Must(uuid.NewV7()).String(), len(b.store.entries)
	b.sendEntries(
		fmt.Sprintf(`{"id":%q,"at":"2026-11-20T08:00:00Z","kind":"plant","plant":%q,"detail":{"plant":{"label":"X-1","group":"Cattleya","space":"shelf"}}}`, uuid.Must(uuid.NewV7()), own),
		fmt.Sprintf(`{"id":%q,"at":"2026-11-20T08:00:00Z","kind":"note","plant":%q,"detail":{"note":"looks well"}}`, uuid.Must(uuid.NewV7()), b.plant("P-001")),
	)
	expectSeeOther(t, b.post("/settings/sample/remove", nil), "/settings?done=cleared")
	c = b.collection()
	if len(c.Plants) != 1 || c.Plants[own] == nil {
		t.Errorf("%d plants are left", len(c.Plants))
	}
	if len(c.Spaces) != 1 || c.Spaces[0].Name != "shelf" || len(c.Waters) == 0 {
		t.Errorf("left are the spaces %v and %d waters: the own plant's space has to stay", c.Spaces, len(c.Waters))
	}
	if c.Settings.SampleDataOnly || c.Settings.MinutesPerDay != 0 {
		t.Errorf("the sample's settings are still there: %+v", c.Settings)
	}
	if len(b.store.entries) <= kept {
		t.Error("entries were taken out of the journal")
	}
	// What is worked out afresh from the journal is the same.
	if err := b.server.Book.Reload(t.Context()); err != nil {
		t.Fatal(err)
	}
	if again := b.collection(); len(again.Plants) != 1 || len(again.Spaces) != 1 {
		t.Errorf("after reading the journal again: %d plants, %d spaces", len(again.Plants), len(again.Spaces))
	}
}

func TestTheSampleAloneLeavesNothing(t *testing.T) {
	b := newBench(t, withSample)
	expectSeeOther(t, b.post("/settings/sample/remove", nil), "/start?done=cleared")
	c := b.collection()
	if len(c.Plants)+len(c.Spaces)+len(c.Waters)+len(c.Feeds) != 0 || c.Place != (care.Place{}) {
		t.Errorf("left: %d plants, %d spaces, %d waters, %d feeds, %+v", len(c.Plants), len(c.Spaces), len(c.Waters), len(c.Feeds), c.Place)
	}
	expectSeeOther(t, b.post("/start/sample", nil), "/?done=sample")
}

// sendEntries sends entries as a program does and returns the answer.
func (b *bench) sendEntries(entries ...string) *http.Response {
	r := httptest.NewRequest(http.MethodPost, "/entries", strings.NewReader(`{"entries":[`+strings.Join(entries, ",")+`]}`))
	r.Header.Set("Content-Type", "application/json")
	return b.do(r)
}

func TestEntriesMayBeSentTwice(t *testing.T) {
	b := newBench(t, withSample)
	id := uuid.Must(uuid.NewV7()).String()
	rain := func(mm int) string {
		return fmt.Sprintf(`{"id":%q,"at":"2026-11-24T07:00:00Z","kind":"rain","detail":{"rain_mm":%d}}`, id, mm)
	}
	var first, second entriesTaken
	for _, into := range []*entriesTaken{&first, &second} {
		answer := b.sendEntries(rain(4))
		if answer.StatusCode != http.StatusOK {
			t.Fatal(answer.Status, body(t, answer))
		}
		if err := json.NewDecoder(answer.Body).Decode(into); err != nil {
			t.Fatal(err)
		}
	}
	if len(first.Added) != 1 || len(second.Added) != 0 || len(second.Taken) != 1 || second.Taken[0] != id {
		t.Errorf("first %+v, then %+v", first, second)
	}
	if n := len(b.collection().Rains); n != 1 {
		t.Errorf("it rained %d times", n)
	}
	other := b.sendEntries(rain(5))
	if other.StatusCode != http.StatusConflict {
		t.Errorf("the same id with another amount: %s", other.Status)
	}
}

func TestRefusedEntriesSayWhy(t *testing.T) {
	b := newBench(t, withSample)
	before := len(b.store.entries)
	good := fmt.Sprintf(`{"id":%q,"at":"2026-11-24T07:00:00Z","kind":"rain","detail":{"rain_mm":4}}`, uuid.Must(uuid.NewV7()))
	for sent, want := range map[string]struct {
		status int
		says   string
	}{
		`{"id":"1","kind":"rain"}`: {422, `"field":"id"`},
		fmt.Sprintf(`{"id":%q,"at":"2026-12-24T07:00:00Z","kind":"rain","detail":{"rain_mm":4}}`, uuid.Must(uuid.NewV7())): {422, "lies in the future"},
		`{"id":1}`:          {400, "entries.id"},
		`{"unheard":"of"}`:  {400, "unheard"},
		`]`:                 {400, ""},
		`{"kind":"drought"`: {400, ""},
	} {
		answer := b.sendEntries(good, sent)
		text := body(t, answer)
		var p problem
		if err := json.Unmarshal([]byte(text), &p); err != nil {
			t.Errorf("%s: %v", sent, err)
		}
		if answer.StatusCode != want.status || p.Status != want.status || p.Title == "" || p.Request == "" || !strings.Contains(text, want.says) {
			t.Errorf("%s: %s %s", sent, answer.Status, text)
		}
	}
	if len(b.store.entries) != before {
		t.Error("a refused list was kept in part")
	}
	r := httptest.NewRequest(http.MethodPost, "/entries", bytes.NewReader([]byte(`{}`)))
	r.Header.Set("Content-Type", "text/plain") // which a form of another site could send
	if answer := b.do(r); answer.StatusCode != http.StatusBadRequest {
		t.Errorf("entries as plain text: %s", answer.Status)
	}
}
