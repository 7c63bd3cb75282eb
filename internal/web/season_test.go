package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

// The season names its candidates, why, what their recoveries ask for, who is
// better left alone, and the weekend's materials; a day can be set and freed, and
// what cannot be is refused.
func TestSeason(t *testing.T) {
	b := newBench(t, func(c *Config, _ *bench) { c.Sample = sampleCase })
	expectSeeOther(t, b.post("/start/sample", nil), "/?done=sample")
	today := b.server.Book.Today()
	page := b.get("/season")
	for _, says := range []string{"To repot", "S-101", "it cannot wait", "The medium is", "at the bench, then", "in bloom or in spike since", "labels", "blades"} {
		if !strings.Contains(page, says) {
			t.Errorf("the page does not say %q", says)
		}
	}
	made, err := b.server.Book.Season(t.Context(), today, nil)
	if err != nil || len(made.Repots) == 0 || made.Shorted {
		t.Fatalf("%+v, %v", made, err)
	}
	// The load of the plan fits into its weeks.
	for i, w := range made.Weeks {
		if over := w.Minutes - w.MinutesLimit; over > 1e-6 && w.NewMinutes > 1e-6 {
			t.Errorf("week %d needs %g min of %g with %g of new recoveries", i, w.Minutes, w.MinutesLimit, w.NewMinutes)
		}
	}
	bloom := b.plant("P-102")
	day := func(n int) string { return today.AddDate(0, 0, n).Format(time.DateOnly) }
	for name, values := range map[string]url.Values{
		"yesterday":  {"plant": {bloom}, "on": {day(-1)}},
		"next year":  {"plant": {bloom}, "on": {day(400)}},
		"not a day":  {"plant": {bloom}, "on": {"soon"}},
		"no day yet": {"plant": {bloom}},
	} {
		before := b.kept()
		answer := b.post("/season/date", values)
		if page := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(page, "nothing was kept") || b.kept() != before {
			t.Errorf("%s: %s", name, answer.Status)
		}
	}
	if answer := b.post("/season/date", url.Values{"plant": {"nobody"}, "on": {day(3)}}); answer.StatusCode != http.StatusNotFound {
		t.Errorf("a plant that is not there: %s", answer.Status)
	}
	anchor := "#p" + strings.ReplaceAll(bloom, "-", "")
	expectSeeOther(t, b.post("/season/date", url.Values{"plant": {bloom}, "on": {day(3)}}), "/season?done=kept"+anchor)
	if page := b.get("/season"); !strings.Contains(page, "set all the same: in bloom") && !strings.Contains(page, "Set all the same: in bloom") {
		t.Error("a plant in bloom is set, and nothing is said of it")
	}
	expectSeeOther(t, b.post("/season/date", url.Values{"plant": {bloom}, "do": {"free"}}), "/season?done=kept"+anchor)
	if page := b.get("/season"); strings.Contains(strings.ToLower(page), "set all the same") {
		t.Error("a day that was freed is still set")
	}
}
