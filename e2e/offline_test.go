package e2e

import (
	"net/http"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"velamen/internal/care"
)

// A round is done without reception; the page is reloaded, the browser closed,
// its battery dies, the server comes back: every entry arrives once.
func TestRoundWithoutReception(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	flush, other, look := h.due("P-001", care.Flushing), h.due("C-001", care.Flushing), h.due("P-005", care.LookForPests)
	p.goTo(h.url("/"))
	p.readyForNoReception()
	h.stop()

	p.enter(flush, "ec", "0.8")
	p.enter(flush, "mass", "612")
	p.tap(flush, "Flushed, with these")
	p.struck(flush, "not sent yet")
	p.tap(other, "still wet")
	p.struck(other, "skipped: still wet")
	p.says("kept on this device until there is reception")

	p.do(chromedp.Reload())
	p.says("No reception: showing the round of")
	p.struck(flush, "Flushed")
	p.struck(other, "skipped: still wet")

	p.close()
	p.open()
	p.goTo(h.url("/"))
	p.says("No reception: showing the round of")
	p.struck(flush, "not sent yet")
	p.tap(look, "None seen")
	p.struck(look, "None seen")
	left := p.waiting()
	if len(left) != 5 {
		t.Fatalf("%d entries wait, want 5: %+v", len(left), left)
	}

	p.die()
	p.open()
	p.goTo(h.url("/"))
	p.struck(look, "not sent yet")

	h.start()
	back := time.Now()
	p.until(`document.getElementById("outbox").hidden`)
	if left := p.waiting(); len(left) != 0 {
		t.Fatalf("still waiting: %+v", left)
	}
	p.says("drainage at 0.80 mS/cm, weighs 612 g")
	p.until(`!document.querySelector(".kept[data-kept]")`)
	p.do(chromedp.Reload())
	p.says("Done today")

	got := h.entries(care.FlushDone, care.DrainageRead, care.Weighed, care.Skipped, care.PestLook)
	if len(got) != len(left) {
		t.Fatalf("%d entries arrived, want %d: %+v", len(got), len(left), got)
	}
	for _, want := range left {
		found := 0
		for _, e := range got {
			if e.ID != want.ID {
				continue
			}
			found++
			if !e.At.Equal(want.Entry.At) || e.At.After(back) || e.Kind != want.Entry.Kind || e.Plant != want.Entry.Plant || e.Detail.Job != want.Entry.Detail.Job {
				t.Errorf("arrived as %+v, was made as %+v", e, want.Entry)
			}
		}
		if found != 1 {
			t.Errorf("%s %s arrived %d times", want.Entry.Kind, want.ID, found)
		}
	}
}

// The server takes an entry, but its answer is lost on the way.
func TestLostAnswersMakeNoDoubles(t *testing.T) {
	var fault once
	h := newHome(t, func(h *home) {
		h.around = func(next http.Handler) http.Handler {
			return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				if r.URL.Path == "/entries" && fault.happens() {
					next.ServeHTTP(discarding{http.Header{}}, r)
					panic(http.ErrAbortHandler)
				}
				next.ServeHTTP(w, r)
			})
		}
	})
	p := newPhone(t)
	flush := h.due("P-001", care.Flushing)
	p.goTo(h.url("/"))
	p.tap(flush, "Flushed")
	p.until(`document.getElementById("done").innerText.includes("flushed")`)
	p.until(`document.getElementById("outbox").hidden`)
	if got := h.entries(care.FlushDone); len(got) != 1 {
		t.Errorf("%d entries, want 1", len(got))
	}
	if !fault.done {
		t.Error("no answer was lost")
	}
}

// discarding is an answer that never arrives.
type discarding struct{ header http.Header }

func (d discarding) Header() http.Header         { return d.header }
func (d discarding) Write(b []byte) (int, error) { return len(b), nil }
func (d discarding) WriteHeader(int)             {}

// What was answered and sent is not asked again by a page that was kept before.
func TestKeptPagesKnowWhatWasSent(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	flush := h.due("P-001", care.Flushing)
	p.goTo(h.url("/"))
	p.readyForNoReception()
	p.tap(flush, "Flushed")
	p.until(`document.getElementById("done").innerText.includes("flushed")`)
	h.stop()
	p.do(chromedp.Reload())
	p.says("No reception: showing the round of")
	p.until(`!(` + formOf(flush) + `) || ` + formOf(flush) + `.classList.contains("answered")`)
	p.until(`document.getElementById("done").innerText.includes("flushed")`)
}

// Plants that the round leads to can be opened without reception; a page that
// was never seen says that it was not kept.
func TestPlantsOfTheRoundOpenWithoutReception(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	plant := h.due("P-001", care.Flushing).Plant
	p.goTo(h.url("/"))
	p.until(`caches.open("velamen-pages").then((c) => c.match("/plant/` + plant + `")).then(Boolean)`)
	h.stop()
	p.goTo(h.url("/plant/" + plant))
	p.says("No reception: showing the page of")
	p.goTo(h.url("/settings"))
	p.says("Not kept for times without reception")
}

// A slow server is not waited for when there is a page to show.
func TestSlowAnswersGiveWayToWhatWasKept(t *testing.T) {
	slow := make(chan struct{})
	var stuck atomic.Bool
	h := newHome(t, func(h *home) {
		h.around = func(next http.Handler) http.Handler {
			return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				if stuck.Load() && r.URL.Path == "/" {
					<-slow
				}
				next.ServeHTTP(w, r)
			})
		}
	})
	defer close(slow)
	p := newPhone(t)
	p.goTo(h.url("/"))
	p.readyForNoReception()
	stuck.Store(true)
	p.goTo(h.url("/")) // the server would not answer before the test ends
	p.says("No reception: showing the round of")
}
