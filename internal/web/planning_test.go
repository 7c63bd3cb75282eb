package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
)

// While a search takes long, the pages that wait for it say how far it has come,
// look again by themselves, and offer to take the best plan so far; that is kept
// until the search is to go on. None of it needs a script.
func TestALongSearchCanBeStopped(t *testing.T) {
	b := limited(t, care.Settings{MinutesPerDay: 45})
	begun, release := make(chan bool), make(chan bool)
	ended := make(chan error)
	go func() {
		first := true
		_, err := b.server.Book.Plan(t.Context(), book.Ask{From: b.server.Book.Today(), Days: book.PlanDays, Watch: func(_, _ int, _ float64) bool {
			if first {
				first = false
				begun <- true
				<-release
			}
			return true
		}})
		ended <- err
	}()
	<-begun
	b.server.Patience = time.Millisecond
	for _, path := range []string{"/round/ahead", "/round/short?minutes=20", "/season", "/"} {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.Header.Set("Sec-Fetch-Mode", "navigate")
		answer := b.do(r)
		page := body(t, answer)
		if answer.StatusCode != http.StatusAccepted || answer.Header.Get("Refresh") == "" || answer.Header.Get("Cache-Control") != "no-store" {
			t.Errorf("%s: %s, looks again after %q", path, answer.Status, answer.Header.Get("Refresh"))
		}
		for _, says := range []string{"Take the best so far", `action="/plan/best"`, `value="` + path + `"`, "<progress"} {
			if !strings.Contains(page, says) {
				t.Errorf("%s does not say %q", path, says)
			}
		}
	}
	for _, back := range []string{"", "https://example.org/", "//example.org/", "/settings", "round"} {
		if answer := b.post("/plan/best", url.Values{"back": {back}}); answer.StatusCode != http.StatusBadRequest {
			t.Errorf("back to %q: %s", back, answer.Status)
		}
	}
	expectSeeOther(t, b.post("/plan/best", url.Values{"back": {"/round/ahead"}}), "/round/ahead")
	release <- true
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	b.server.Patience = time.Hour
	if page := b.get("/round/ahead"); !strings.Contains(page, "The search was stopped") {
		t.Error("nothing is said of the search that was stopped")
	}
	stopped := b.plan()
	for i := range stopped.Days {
		if stopped.Days[i].Minutes > 45+1e-6 {
			t.Errorf("day %d takes %g min of 45", i, stopped.Days[i].Minutes)
		}
	}
	expectSeeOther(t, b.post("/plan/on", url.Values{"back": {"/round/ahead"}}), "/round/ahead")
	if page := b.get("/round/ahead"); strings.Contains(page, "The search was stopped") {
		t.Error("the search did not go on")
	}
	if p := b.plan(); p.Stopped || p.Harm > stopped.Harm+1e-9 {
		t.Errorf("searched to its end a plan costs %g, stopped one of %g", p.Harm, stopped.Harm)
	}
}

// Whatever was noted meanwhile: where a new plan would cost clearly less than the
// mended one, the page says so, and a new plan is made when it is asked for.
func TestANewPlanIsOfferedWhereItIsWorthIt(t *testing.T) {
	b := limited(t, care.Settings{MinutesPerDay: 45})
	if page := b.get("/round/ahead"); strings.Contains(page, "Plan anew") {
		t.Error("a new plan is offered before anything was noted")
	}
	day, _, err := b.server.Book.Round(t.Context(), b.server.Book.Today())
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for job := range openJobs(day) { // everything of today is skipped
		b.note(care.Skipped, job.Plant, care.Detail{Job: job.Key, Reason: "no time"})
		n++
	}
	mended := b.plan()
	anew, worth, err := b.server.Book.Anew(t.Context(), &mended)
	if err != nil || !worth {
		t.Fatalf("%d jobs skipped: mended %g, anew %g, %v", n, mended.Harm, anew, err)
	}
	if page := b.get("/round/ahead"); !strings.Contains(page, "Plan anew") || !strings.Contains(page, shownStress(anew)+" stress days instead of") {
		t.Error("the page does not offer the new plan")
	}
	expectSeeOther(t, b.post("/plan/anew", nil), "/round/ahead?done=anew")
	is := b.plan()
	if is.Harm > anew*1.02+0.1 {
		t.Errorf("the new plan costs %g, said to cost %g", is.Harm, anew)
	}
	if page := b.get("/round/ahead"); strings.Contains(page, "Plan anew") {
		t.Error("a new plan is offered again")
	}
}
