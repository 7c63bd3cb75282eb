package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"velamen/internal/care"
)

const hostile = `"'></p><script>alert(1)</script><img src=x onerror=alert(2)>{{.}}`

// hostileEntries say in every text that people may write what a browser would run.
func hostileEntries(b *bench) []care.Entry {
	plant := newID()
	entry := func(kind care.Kind, about string, d care.Detail) care.Entry {
		return care.Entry{ID: newID(), At: testNow, Recorded: testNow, Kind: kind, Plant: about, By: hostile, Detail: d}
	}
	return []care.Entry{
		entry(care.SpaceSet, "", care.Detail{Space: &care.Space{Name: hostile, Kind: care.Windowsill}}),
		entry(care.WaterSet, "", care.Detail{Water: &care.Water{Name: hostile}}),
		entry(care.FeedSet, "", care.Detail{Feed: &care.Feed{Name: hostile}}),
		entry(care.CaseKept, "", care.Detail{Case: &care.CaseText{Name: hostile, File: hostile}}),
		entry(care.PlantSet, plant, care.Detail{Plant: &care.Plant{Label: hostile, Name: hostile, Space: hostile}}),
		entry(care.RepotDone, plant, care.Detail{Note: hostile, Repot: &care.Repot{Work: care.Works[0], Date: testNow.AddDate(0, 0, -20)}}),
		entry(care.Noted, plant, care.Detail{Note: hostile}),
		entry(care.Treated, plant, care.Detail{Product: hostile, Pest: hostile, Note: hostile}),
		entry(care.BladeUsed, plant, care.Detail{Blade: hostile[:40], Note: hostile}),
		entry(care.BladeCleaned, "", care.Detail{Blade: hostile[:40], How: care.BladeCares[0], Note: hostile}),
		entry(care.RootsRead, plant, care.Detail{Roots: []care.RootReading{{Root: hostile, LengthMM: 3}}}),
		entry(care.Moved, plant, care.Detail{ToSpace: hostile, ToSpot: hostile}),
		entry(care.Skipped, plant, care.Detail{Job: plant + "/flush/2026-11-24", Reason: hostile}),
		entry(care.FlushDone, plant, care.Detail{WaterName: hostile, Note: hostile}),
		entry(care.Noted, b.plant("C-001"), care.Detail{Note: hostile}),
	}
}

// Script in every text that the journal can hold stays text on every page.
func TestScriptInTextsStaysText(t *testing.T) {
	b := newBench(t, withSample)
	if _, err := b.server.Book.Append(t.Context(), hostileEntries(b)...); err != nil {
		t.Fatal(err)
	}
	var plant string
	b.server.Book.Read(func(c *care.Collection) {
		for _, p := range c.Plants {
			if p.Record.Label == hostile {
				plant = p.ID
			}
		}
	})
	if plant == "" {
		t.Fatal("the plant with the hostile label is not there")
	}
	shown := 0
	for _, rt := range b.server.routes {
		if rt.method != http.MethodGet {
			continue
		}
		for _, space := range []string{"balcony", url.PathEscape(hostile)} {
			r := b.asked(rt, plant)
			if space != "balcony" {
				if !strings.Contains(rt.path, "{name}") && !strings.Contains(rt.path, "{label}") {
					continue
				}
				r = httptest.NewRequest(http.MethodGet, strings.NewReplacer("{name}", space, "{label}", space, "{id}", plant).Replace(rt.path), nil)
			}
			answer := b.do(r)
			text := body(t, answer)
			if !strings.HasPrefix(answer.Header.Get("Content-Type"), "text/html") {
				continue
			}
			if strings.Contains(text, "alert(1)") {
				shown++
			}
			harmless(t, rt.pattern(), text)
		}
	}
	if shown < 10 {
		t.Errorf("only %d pages show what was written: the test tests little", shown)
	}
}

// harmless reports what a browser would run in a page.
func harmless(t *testing.T, where, text string) {
	t.Helper()
	for _, bad := range []string{"<script>alert", "<img src=x", "</p><script"} {
		if strings.Contains(text, bad) {
			t.Errorf("%s: the page holds %s", where, bad)
		}
	}
	parsePage(t, text).walk(func(e *element) {
		for name, value := range e.attr {
			if strings.HasPrefix(name, "on") || strings.HasPrefix(strings.ToLower(strings.TrimSpace(value)), "javascript:") {
				t.Errorf("%s: <%s %s=%q>", where, e.name, name, value)
			}
		}
		if e.name == "script" && e.attr["src"] == "" || e.name == "style" {
			t.Errorf("%s: script or style stands in the page", where)
		}
	})
}

// What is typed into a form and comes back in it, because something is wrong,
// comes back as text.
func TestScriptInFormsStaysText(t *testing.T) {
	b := newBench(t, withSample)
	plant := b.plant("C-001")
	forms, back := 0, 0
	for _, rt := range b.server.routes {
		if rt.method != http.MethodGet {
			continue
		}
		answer := b.do(b.asked(rt, plant))
		text := body(t, answer)
		if answer.StatusCode != http.StatusOK || !strings.HasPrefix(answer.Header.Get("Content-Type"), "text/html") {
			continue
		}
		for _, f := range parsePage(t, text).all("form") {
			if f.attr["method"] != "post" || f.attr["action"] == "/sign-out" || strings.HasSuffix(f.attr["action"], "/sample/remove") {
				continue
			}
			values := url.Values{}
			for _, name := range []string{"input", "textarea", "select", "button"} {
				for _, e := range f.all(name) {
					if e.attr["name"] != "" {
						values.Set(e.attr["name"], hostile)
					}
				}
			}
			forms++
			path := f.attr["action"]
			if path == "" {
				path = b.asked(rt, plant).URL.Path
			}
			got := b.post(path, values)
			page := body(t, got)
			if got.StatusCode >= 500 {
				t.Errorf("%s with script in every field: %s", path, got.Status)
			}
			if strings.HasPrefix(got.Header.Get("Content-Type"), "text/html") {
				if strings.Contains(page, "alert(1)") {
					back++
				}
				harmless(t, "POST "+path, page)
			}
		}
	}
	if forms < 20 || back < 10 {
		t.Errorf("%d forms, %d of them came back: the test tests little", forms, back)
	}
}
