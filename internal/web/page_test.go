package web

import (
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/jba/templatecheck"
)

// Every field a template names has to be there in its view.
func TestTemplatesMatchTheirViews(t *testing.T) {
	a, err := loadAssets()
	if err != nil {
		t.Fatal(err)
	}
	pages, err := parsePages(a)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range screens {
		if err := templatecheck.CheckHTML(pages[s.file], s.view); err != nil {
			t.Errorf("%s: %v", s.file, err)
		}
	}
}

// The check above must be able to fail.
func TestWrongFieldsAreSeen(t *testing.T) {
	a, err := loadAssets()
	if err != nil {
		t.Fatal(err)
	}
	pages, err := parsePages(a)
	if err != nil {
		t.Fatal(err)
	}
	if err := templatecheck.CheckHTML(pages["sign-in.html"], &errorView{}); err == nil {
		t.Error("a view without the page's fields passed")
	}
}

// Every page, with the sample collection and in an empty one, reads without
// JavaScript, without sight and under the policy.
func TestPagesAreSound(t *testing.T) {
	full := newBench(t, withSample)
	for _, n := range navigation {
		checkPage(t, n.path, full.get(n.path))
	}
	for _, path := range []string{"/spaces/new", "/space/balcony", "/certificate", "/plant/" + full.plant("P-001")} {
		checkPage(t, path, full.get(path))
	}
	empty := newBench(t, func(c *Config, _ *bench) { c.Sample = sampleCase })
	for _, path := range []string{"/start", "/collection", "/repot", "/spaces", "/settings"} {
		checkPage(t, path, empty.get(path))
	}
	away := empty.do(httptest.NewRequest(http.MethodGet, "/nowhere", nil))
	if away.StatusCode != http.StatusNotFound {
		t.Errorf("a page that is not there: %s", away.Status)
	}
	checkPage(t, "/nowhere", body(t, away))
}

func TestNavigationSaysWhereOneIs(t *testing.T) {
	b := newBench(t, withSample)
	for _, n := range navigation {
		var here []string
		for _, a := range parsePage(t, b.get(n.path)).all("a") {
			if a.attr["aria-current"] == "page" {
				here = append(here, a.text)
			}
		}
		if !slices.Equal(here, []string{n.name}) {
			t.Errorf("%s says it is %v", n.path, here)
		}
	}
}

// What a phone's bar has no room for stands behind More, and the bar says so.
func TestFurtherScreensStandBehindMore(t *testing.T) {
	b := newBench(t, withSample)
	var behind, further []string
	for _, n := range navigation {
		if n.further {
			further = append(further, n.path)
		}
		lit := false
		for _, a := range parsePage(t, b.get(n.path)).all("a") {
			lit = lit || a.attr["href"] == "/more" && a.attr["aria-current"] == "true"
		}
		if lit != n.further {
			t.Errorf("%s: More is lit %v", n.path, lit)
		}
	}
	page := b.get("/more")
	checkPage(t, "/more", page)
	for _, list := range parsePage(t, page).all("ul") {
		if list.attr["class"] != "places-further" {
			continue
		}
		for _, a := range list.all("a") {
			behind = append(behind, a.attr["href"])
		}
	}
	if len(further) == 0 || !slices.Equal(behind, further) {
		t.Errorf("behind More: %v, expected %v", behind, further)
	}
}

// An empty collection opens with the first place, not with an empty round.
func TestEmptyCollectionBeginsAtTheStart(t *testing.T) {
	b := newBench(t)
	answer := b.do(httptest.NewRequest(http.MethodGet, "/", nil))
	if answer.StatusCode != http.StatusSeeOther || answer.Header.Get("Location") != "/start" {
		t.Errorf("got %s to %q", answer.Status, answer.Header.Get("Location"))
	}
}

// A notice is one of ours, whatever the query says.
func TestNoticesAreNotTakenFromTheQuery(t *testing.T) {
	b := newBench(t, withSample)
	if page := b.get("/spaces?done=%3Cb%3Eyou+have+won"); strings.Contains(page, "you have won") {
		t.Error("the query's words are on the page")
	}
	if page := b.get("/spaces?done=kept"); !strings.Contains(page, notices["kept"]) {
		t.Error("the notice is missing")
	}
}

func TestStaticFilesNeverGoStale(t *testing.T) {
	b := newBench(t)
	var sheet string
	for _, l := range parsePage(t, b.get("/start")).all("link") {
		if l.attr["rel"] == "stylesheet" {
			sheet = l.attr["href"]
		}
	}
	answer := b.do(httptest.NewRequest(http.MethodGet, sheet, nil))
	if cache := answer.Header.Get("Cache-Control"); !strings.Contains(cache, "immutable") || answer.StatusCode != http.StatusOK {
		t.Errorf("%s: %s, cached %q", sheet, answer.Status, cache)
	}
	if kind := answer.Header.Get("Content-Type"); kind != "text/css; charset=utf-8" {
		t.Errorf("the style sheet is %q", kind)
	}
	other := b.do(httptest.NewRequest(http.MethodGet, "/static/0000/app.css", nil))
	if cache := other.Header.Get("Cache-Control"); other.StatusCode != http.StatusOK || strings.Contains(cache, "immutable") {
		t.Errorf("a name of another version: %s, cached %q", other.Status, cache)
	}
	for _, path := range []string{"/static/0000/no.css", "/static/0000/..%2fserver.go", "/static/0000/modules/"} {
		if answer := b.do(httptest.NewRequest(http.MethodGet, path, nil)); answer.StatusCode != http.StatusNotFound {
			t.Errorf("%s: %s", path, answer.Status)
		}
	}
}

// An answer that cannot be rendered is a whole error page, not half a page.
func TestFailuresAreWhole(t *testing.T) {
	b := newBench(t, withSample)
	b.store.failing = errors.New("the disk is full at /home/grower/secret")
	answer := b.post("/spaces/new", url.Values{"name": {"shed"}, "kind": {"windowsill"}})
	page := body(t, answer)
	if answer.StatusCode != http.StatusInternalServerError {
		t.Errorf("got %s", answer.Status)
	}
	if strings.Contains(page, "/home/grower") {
		t.Error("the page tells what only the log should")
	}
	if !strings.Contains(b.log.String(), "the disk is full") {
		t.Error("the log does not tell what failed")
	}
	checkPage(t, "error", page)
}

func TestPanicsAreAnswered(t *testing.T) {
	b := newBench(t)
	b.server.handler = b.server.around(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic("a fault") }))
	answer := b.do(httptest.NewRequest(http.MethodGet, "/", nil))
	if answer.StatusCode != http.StatusInternalServerError || !strings.Contains(b.log.String(), "a fault") {
		t.Errorf("got %s\n%s", answer.Status, b.log)
	}
}
