package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

func TestSpotsAreDescribedReadAndMovedTo(t *testing.T) {
	b := newBench(t, withSample)
	path := "/space/" + url.PathEscape("balcony") + "/spots"
	checkPage(t, path, b.get(path))
	b.accepted(b.post(path, url.Values{"spot": {"rail"}, "faces": {"N"}, "far": {"0.2 m"}, "covers": {"double glass, shade cloth 30 %"}, "places": {"6"}}))
	b.accepted(b.post(path, url.Values{"spot": {"floor"}, "faces": {"N"}, "far": {"1.5"}, "places": {"8"}}))
	page := b.get(path)
	checkPage(t, path, page)
	for _, want := range []string{"rail", "window to N", "room for 6 plants", "Light of a clear day now", "The season ahead", "<svg"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page of the spots does not say %q", want)
		}
	}
	b.accepted(b.post("/space/balcony/light", url.Values{"at": {"rail"}, "level": {"300 µmol"}, "sky": {"clear"}}))
	if page := b.get(path); !strings.Contains(page, "read on") || !strings.Contains(page, "the share is that of the reading") {
		t.Error("the reading of the meter does not show")
	}
	id := b.plant("C-001")
	b.accepted(b.post("/plant/"+id+"/write/move", url.Values{"space": {"balcony, rail"}}))
	b.server.Book.Read(func(c *care.Collection) {
		if r := c.Plants[id].Record; r.Space != "balcony" || r.Spot != "rail" {
			t.Errorf("moved to %s, %s", r.Space, r.Spot)
		}
	})
	for _, page := range []string{"/plant/" + id + "/places", "/placement"} {
		checkPage(t, page, b.get(page))
	}
	if !strings.Contains(b.get("/plant/"+id+"/places"), "it stands here") {
		t.Error("the ranking does not say where the plant stands")
	}
}

func TestSpotsThatAreRefused(t *testing.T) {
	b := newBench(t, withSample)
	b.accepted(b.post("/space/balcony/spots", url.Values{"spot": {"rail"}}))
	for name, c := range map[string]struct {
		path  string
		typed url.Values
		says  string
	}{
		"no name":       {"/space/balcony/spots", url.Values{}, "Give it a name."},
		"covers":        {"/space/balcony/spots", url.Values{"spot": {"rail"}, "covers": {"wool"}}, "wool"},
		"far":           {"/space/balcony/spots", url.Values{"spot": {"rail"}, "far": {"90 m"}}, "10"},
		"no level":      {"/space/balcony/light", url.Values{"at": {"rail"}}, "Write down what the meter shows."},
		"a sum":         {"/space/balcony/light", url.Values{"at": {"rail"}, "level": {"8 mol/day"}}, "the light of a moment"},
		"not a number":  {"/space/balcony/light", url.Values{"at": {"rail"}, "level": {"bright"}}, "bright"},
		"no such space": {"/space/attic/spots", url.Values{"spot": {"x"}}, ""},
	} {
		answer := b.post(c.path, c.typed)
		if want := http.StatusUnprocessableEntity; c.says != "" && answer.StatusCode != want || c.says == "" && answer.StatusCode != http.StatusNotFound {
			t.Errorf("%s: %s", name, answer.Status)
		}
		if c.says != "" && !strings.Contains(body(t, answer), c.says) {
			t.Errorf("%s: the page does not say %q", name, c.says)
		}
	}
}

// What was read off a pot shows on its page: what was learned, and one tap for a
// look.
func TestThePageTellsWhatThePotTaught(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("P-001")
	page := b.get("/plant/" + id)
	if !strings.Contains(page, "What its pot tells") || !strings.Contains(page, `name="wet" value="dry on top"`) {
		t.Error("the page asks for no look")
	}
	at := func(days int) string {
		return b.server.Now().Add(-time.Duration(days) * 24 * time.Hour).Format("2006-01-02T15:04")
	}
	for days, mass := range map[int]string{3: "640", 1: "570"} {
		b.accepted(b.post("/plant/"+id+"/write/weigh", url.Values{"mass": {mass}, "when": {at(days)}}))
	}
	if to := b.accepted(b.post("/plant/"+id+"/write/wetness", url.Values{"wet": {"damp"}})); !strings.HasSuffix(to, "#learned") {
		t.Errorf("led to %s", to)
	}
	page = b.get("/plant/" + id)
	checkPage(t, "/plant/"+id, page)
	for _, want := range []string{"Learned from 2 weighings, 1 look of this pot", "What was expected and what was learned", "Headroom of the roots", "learned from 2 weighings"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q: %.300s", want, page[strings.Index(page, "id=\"learned\""):])
		}
	}
}
