package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"velamen/internal/care"
)

func TestSettingsAreKept(t *testing.T) {
	b := newBench(t, withSample)
	values := b.values("/settings", "/settings")
	for name, value := range map[string]string{
		"temperature": "F", "light_unit": "ppfd", "salt": "ppm640", "measures": "in", "minutes": "1.5 h", "litres": "10 gal", "keep_originals": "yes",
	} {
		values.Set(name, value)
	}
	expectSeeOther(t, b.post("/settings", values), "/settings?done=kept")
	s := b.collection().Settings
	if want := (care.Units{Fahrenheit: true, Light: care.PPFD, Salt: care.PPM640, Inches: true}); s.Units != want {
		t.Errorf("units %+v", s.Units)
	}
	if s.MinutesPerDay != 90 || s.LitresPerDay != 37.85411784 || !s.KeepOriginals || !s.SampleDataOnly {
		t.Errorf("kept %+v", s)
	}
	again := b.values("/settings", "/settings")
	if again.Get("temperature") != "F" || again.Get("minutes") != "90" || again.Get("keep_originals") != "yes" || again.Get("salt") != "ppm640" {
		t.Errorf("shown %v", again)
	}
	b.post("/settings", again)
	if after := b.collection().Settings; after != s {
		t.Errorf("keeping what was shown changed %+v to %+v", s, after)
	}
	if !strings.Contains(b.get("/spaces"), "°F") {
		t.Error("the pages do not show the chosen units")
	}
	again.Set("minutes", "")
	again.Del("keep_originals")
	b.post("/settings", again)
	if after := b.collection().Settings; after.MinutesPerDay != 0 || after.KeepOriginals {
		t.Errorf("what was emptied is still %+v", after)
	}
}

func TestWrongSettingsStayTyped(t *testing.T) {
	b := newBench(t, withSample)
	before := b.collection().Settings
	for _, c := range []struct{ path, field, typed, says string }{
		{"/settings", "minutes", "all day", "is not a number"}, {"/settings", "litres", "-5", "cannot be right"},
		{"/settings", "salt", "grains", "is not known"},
		{"/settings/place", "place", "95 S, 10 E", "beyond the pole"}, {"/settings/place", "altitude", "9000 m", "cannot be right"},
		{"/settings/machines", "machine", "", "Give it a name"}, {"/settings/machines", "scope", "everything", "is not one of the choices"},
	} {
		values := url.Values{"machine": {"m"}, "scope": {"read"}}
		values.Set(c.field, c.typed)
		answer := b.post(c.path, values)
		root := checkPage(t, c.path, body(t, answer))
		e, f := root.byID("e-"+c.field), root.byID("f-"+c.field)
		if answer.StatusCode != http.StatusUnprocessableEntity || e == nil || !strings.Contains(e.text, c.says) || f.name == "input" && f.attr["value"] != c.typed {
			t.Errorf("%s %q: %s, %v", c.field, c.typed, answer.Status, e)
		}
	}
	if after := b.collection().Settings; after != before || len(b.secrets.machines) != 0 {
		t.Errorf("something was kept: %+v, %v", after, b.secrets.machines)
	}
}

func TestThePlaceIsChanged(t *testing.T) {
	b := newBench(t, withSample)
	values := b.values("/settings", "/settings/place")
	if values.Get("place") != "37.8 S, 145 E" || values.Get("altitude") != "30 m" {
		t.Errorf("shown %v", values)
	}
	if values.Get("zone") != "Australia/Melbourne" {
		t.Errorf("the sample's time zone is shown as %q", values.Get("zone"))
	}
	values.Set("zone", "Atlantis")
	if answer := b.post("/settings/place", values); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(body(t, answer), "not a time zone") {
		t.Errorf("Atlantis: %s", answer.Status)
	}
	values.Set("zone", "Europe/Berlin")
	values.Set("place", "52.5 N, 13.4 E")
	expectSeeOther(t, b.post("/settings/place", values), "/settings?done=kept")
	if p := b.collection().Place; p.LatitudeDeg.Value != 52.5 || p.LongitudeDeg.Value != 13.4 || p.AltitudeM.Value != 30 || p.Zone != "Europe/Berlin" {
		t.Errorf("kept %+v", p)
	}
}

// export writes a little, then perhaps fails.
func export(failing error) Export {
	return func(_ context.Context, to io.Writer) error {
		_, err := io.WriteString(to, "{}\n")
		return errors.Join(err, failing)
	}
}

func TestTheJournalIsDownloaded(t *testing.T) {
	b := newBench(t, withSample, func(c *Config, _ *bench) { c.Export = export(nil) })
	if !strings.Contains(b.get("/settings"), `href="/settings/export"`) {
		t.Error("no link to the download")
	}
	answer := b.do(httptest.NewRequest(http.MethodGet, "/settings/export", nil))
	if text := body(t, answer); text != "{}\n" || !strings.Contains(answer.Header.Get("Content-Disposition"), "velamen-2026-11-24.json") {
		t.Errorf("%q as %q", text, answer.Header.Get("Content-Disposition"))
	}
}

// A download that fails halfway must not look whole.
func TestABrokenDownloadIsCutOff(t *testing.T) {
	b := newBench(t, withSample, func(c *Config, _ *bench) { c.Export = export(errors.New("the disk is gone")) })
	server := httptest.NewServer(b.server)
	defer server.Close()
	answer, err := server.Client().Get(server.URL + "/settings/export")
	if err == nil {
		_, err = io.ReadAll(answer.Body)
		answer.Body.Close()
	}
	if err == nil {
		t.Error("the download seemed whole")
	}
	server.Close() // waits for the handler to have written its line
	if !strings.Contains(b.log.String(), "the disk is gone") {
		t.Error("the log does not tell")
	}
}
