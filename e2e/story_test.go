package e2e

import (
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

// Somebody begins with nothing: a place, a space and a water are described, two
// plants added and repotted, their courses shown; days later a flush is due, is
// done where there is no reception, and stands in the plant's journal.
func TestFromNothingToTheJournal(t *testing.T) {
	h := newHome(t, func(h *home) { h.with = nil })
	p := newPhone(t)

	p.goTo(h.url("/"))
	p.says("A first place")
	fillIn(map[string]string{
		"place": "37.8 S, 145 E", "space": "kitchen sill", "kind": "windowsill", "day": "24 °C", "night": "17", "day_humidity": "50", "night_humidity": "60",
		"water": "rain barrel", "water_ec": "30 µS/cm",
	}, "Begin")(p)
	p.says("Kept.")

	p.goTo(h.url("/collection"))
	p.says("No plant is here yet.")
	p.presses("Add the first")
	fillIn(map[string]string{
		"label": "PH-1", "name": "from the market", "group": "Phalaenopsis", "space": "kitchen sill", "leaves": "5", "leaf_length": "22 cm", "leaf_width": "8",
	}, "Keep, then write its repot down")(p)
	p.says("Added.")
	p.says("Repot PH-1")
	repot := map[string]string{"work": "repotted", "roots_kept": "55", "root_tips": "2", "to_kind": "pot", "to_size": "12 cm", "to_medium0": "medium bark", "to_parts0": "7", "to_medium1": "medium perlite", "to_parts1": "3", "soaked": "12"}
	fillIn(repot, "Show the course first")(p)
	p.says("The course that follows")
	if n := len(h.entries(care.RepotDone)); n != 0 {
		t.Fatalf("%d repots are kept before anybody said so", n)
	}
	p.presses("Keep it")
	p.says("PH-1 is repotted")
	p.until(`document.querySelector("figure svg path, figure svg polyline") !== null && document.querySelectorAll("table tbody tr").length > 5`)

	p.presses("The next plant")
	repot["label"], repot["name"], repot["group"] = "CA-1", "a division from the club", "Cattleya"
	fillIn(repot, "Keep it")(p)
	p.says("CA-1 is repotted")
	if got := h.entries(care.RepotDone); len(got) != 2 || got[0].Plant == got[1].Plant {
		t.Fatalf("repots: %+v, want one of each plant", got)
	}

	flush, days := firstFlush(t, h, "PH-1")
	p.ahead(days)
	p.goTo(h.url("/"))
	p.says("PH-1")
	p.readyForNoReception()
	h.stop()
	p.tap(flush, "Flushed")
	p.struck(flush, "not sent yet")
	p.says("kept on this device until there is reception")
	if ask[string](p, `document.querySelector(".when time").dateTime`) != h.now().Format(time.DateOnly) {
		t.Error("the round is of another day")
	}

	h.start()
	p.until(`document.getElementById("outbox").hidden && document.getElementById("done").innerText.includes("flushed")`)
	p.goTo(h.url("/plant/" + flush.Plant))
	journal := ask[string](p, `document.querySelector(".journal > li").innerText`)
	for _, part := range []string{"Flush", h.now().Format("Mon 2 Jan 2006")} {
		if !strings.Contains(journal, part) {
			t.Errorf("the journal begins with %q, without %q", journal, part)
		}
	}
	if got := h.entries(care.FlushDone); len(got) != 1 || got[0].Plant != flush.Plant || got[0].Detail.Job != flush.Key {
		t.Errorf("entries: %+v, want one flush for the job", got)
	}
}

// firstFlush lets days pass until a plant is to be flushed.
func firstFlush(t *testing.T, h *home, label string) (job care.Job, days int) {
	t.Helper()
	for days = 1; days <= 14; days++ {
		h.ahead.Store(int64(time.Duration(days) * 24 * time.Hour))
		day, _, err := h.book.Round(t.Context(), h.book.Today())
		if err != nil {
			t.Fatal(err)
		}
		for _, job := range jobsOf(day) {
			if job.Label == label && job.Task == care.Flushing {
				return job, days
			}
		}
	}
	t.Fatalf("%s is not flushed within a fortnight of its repot", label)
	return care.Job{}, 0
}

// What was typed for one plant and not kept comes back for that plant alone, and
// not after it arrived.
func TestDraftsStayWithTheirPlant(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	form := func(label string) string { return h.url("/repot?plant=" + h.id(label)) }
	value := func() string { return ask[string](p, `document.querySelector("[name=roots_kept]").value`) }

	p.goTo(form("P-003"))
	p.types(map[string]string{"roots_kept": "37"})
	p.goTo(form("P-001"))
	if got := value(); got != "" {
		t.Errorf("what was typed for P-003 stands in the form of P-001: %q", got)
	}
	p.goTo(form("P-003"))
	p.says("What you had typed here is back.")
	if got := value(); got != "37" {
		t.Errorf("what was typed is %q now, was 37", got)
	}
	fillIn(map[string]string{"to_kind": "pot", "to_size": "10"}, "Keep it")(p)
	p.says("P-003 is repotted")
	p.goTo(form("P-003"))
	if got := value(); got != "" {
		t.Errorf("%q is asked to be sent again", got)
	}

	// Without reception nothing was kept, so it stays.
	p.goTo(h.url("/plant/" + h.id("P-002") + "/write/weigh"))
	p.types(map[string]string{"mass": "612"})
	h.stop()
	ask[bool](p, `(() => { document.querySelector("main form button").click(); return true; })()`)
	p.until(`!document.querySelector("[name=mass]")`)
	h.start()
	p.goTo(h.url("/plant/" + h.id("P-002")))
	p.goTo(h.url("/plant/" + h.id("P-002") + "/write/weigh"))
	p.says("What you had typed here is back.")
	p.presses("Keep")
	p.says("612 g")
	if got := h.entries(care.Weighed); len(got) != 1 {
		t.Errorf("%d weights, want 1", len(got))
	}
}
