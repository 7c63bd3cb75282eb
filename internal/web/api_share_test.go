package web

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"velamen/internal/care"
	"velamen/internal/store"
)

const writingToken = "vlm_writes-writes-writes-writes"

func withWritingToken(t *testing.T, options ...func(*Config, *bench)) *bench {
	t.Helper()
	b := newBench(t, append(options, withSample, reachable)...)
	b.secrets.machines[writingToken] = store.Machine{Name: "a program", Scope: string(writeScope)}
	return b
}

// operationNamed finds an operation by its id.
func operationNamed(id string) operation {
	return operations()[slices.IndexFunc(operations(), func(o operation) bool { return o.id == id })]
}

// A program's picture goes the way of the form's: freed of what tells where it was
// taken, read back under its hash, and refused in words where it is none.
func TestAProgramTakesAPhotograph(t *testing.T) {
	b := withWritingToken(t, withPhotos)
	o, plant := operationNamed("addPhotograph"), b.plant("C-003")
	path, entry := "/api/plants/"+plant+"/photographs", newID()
	body := fmt.Sprintf(`{"entry":%q,"note":"north side","by":"a camera","picture":%q}`, entry, base64.StdEncoding.EncodeToString(jpegOf(t, 600, 400, 90)))
	for range 2 { // the second time it is there already
		x := b.ask(o, path, body, writingToken)
		var taken photographTaken
		if err := json.Unmarshal(x.Body, &taken); err != nil || x.Status != http.StatusOK || taken.Entry != entry {
			t.Fatalf("%d %s", x.Status, x.Body)
		}
		e := b.last(plant, care.Photographed)
		if e.ID != entry || e.Detail.Photo != taken.Photo || e.Detail.Note != "north side" || e.By != "a camera" {
			t.Errorf("kept %+v", e)
		}
		r := httptest.NewRequest(http.MethodGet, taken.Path, nil)
		r.Header.Set("Authorization", "Bearer "+writingToken)
		if answer := b.do(r); answer.StatusCode != http.StatusOK || answer.Header.Get("Content-Type") != "image/jpeg" {
			t.Errorf("read back: %s", answer.Status)
		}
	}
	if n := b.count(plant, care.Photographed); n != 1 {
		t.Errorf("%d photographs were kept", n)
	}
	before := b.kept()
	for what, c := range map[string]struct {
		path, body string
		status     int
		says       string
	}{
		"no picture":       {path, `{"picture":"aGVsbG8="}`, http.StatusUnprocessableEntity, `"field":"picture"`},
		"no base64":        {path, `{"picture":"???"}`, http.StatusBadRequest, "base64"},
		"nothing":          {path, `{}`, http.StatusUnprocessableEntity, `"field":"picture"`},
		"of no plant":      {"/api/plants/" + newID() + "/photographs", body, http.StatusNotFound, "no such plant"},
		"a form's field":   {path, `{"picture":"","original":"x"}`, http.StatusBadRequest, "original"},
		"an id of no kind": {path, strings.Replace(body, entry, "x", 1), http.StatusUnprocessableEntity, `"field":"id"`},
	} {
		if x := b.ask(o, c.path, c.body, writingToken); x.Status != c.status || !strings.Contains(string(x.Body), c.says) {
			t.Errorf("%s: %d %s", what, x.Status, x.Body)
		}
	}
	if b.kept() != before {
		t.Error("what was refused is in the journal")
	}
}

// Links that a program makes are those of the page, but shorter, without calendars,
// and taken back there as well; the list tells no address.
func TestAProgramHandsOutLinks(t *testing.T) {
	b := withWritingToken(t)
	makes, ends, lists := operationNamed("makeLink"), operationNamed("endLink"), operationNamed("listLinks")
	x := b.ask(makes, "/api/links", `{"for":"Ida","what":"round:shelf","may":"read","until":"2026-12-01"}`, writingToken)
	var made linkMade
	if err := json.Unmarshal(x.Body, &made); err != nil || x.Status != http.StatusOK || made.For != "Ida" || made.Until != "2026-12-01" {
		t.Fatalf("%d %s", x.Status, x.Body)
	}
	to, err := url.Parse(made.Address)
	if err != nil || b.at(to.Path) != http.StatusOK {
		t.Fatalf("%s leads nowhere: %v", made.Address, err)
	}
	_, token, _ := strings.Cut(to.Path, "/s/")
	if x := b.ask(lists, "/api/links", "", writingToken); !strings.Contains(string(x.Body), made.ID) || strings.Contains(string(x.Body), token) {
		t.Errorf("the list: %s", x.Body)
	}
	links := len(b.secrets.links)
	for what, c := range map[string]struct{ body, field string }{
		"for nobody":     {`{"for":"","what":"round","may":"read","until":"2026-12-01"}`, "for"},
		"of nothing":     {`{"for":"Ida","what":"round:moon","may":"read","until":"2026-12-01"}`, "what"},
		"a calendar":     {`{"for":"Ida","what":"calendar","may":"read","until":"2026-12-01"}`, "what"},
		"to do all":      {`{"for":"Ida","what":"round","may":"write","until":"2026-12-01"}`, "may"},
		"for months":     {`{"for":"Ida","what":"round","may":"read","until":"2027-02-01"}`, "until"},
		"of yesterday":   {`{"for":"Ida","what":"round","may":"read","until":"2026-11-01"}`, "until"},
		"of no such day": {`{"for":"Ida","what":"round","may":"read","until":"soon"}`, "until"},
	} {
		if x := b.ask(makes, "/api/links", c.body, writingToken); x.Status != http.StatusUnprocessableEntity || !strings.Contains(string(x.Body), `"field":"`+c.field+`"`) {
			t.Errorf("%s: %d %s", what, x.Status, x.Body)
		}
	}
	if len(b.secrets.links) != links {
		t.Error("what was refused is handed out")
	}
	for range 2 {
		if x := b.ask(ends, "/api/links/end", `{"id":"`+made.ID+`"}`, writingToken); x.Status != http.StatusOK {
			t.Errorf("taken back: %d %s", x.Status, x.Body)
		}
	}
	if status := b.at(to.Path); status == http.StatusOK {
		t.Error("it still opens the round")
	}
}
