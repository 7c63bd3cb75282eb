package e2e

import (
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"velamen/internal/care"
)

// compare returns how two entries differ. Factors may be multiplied in another
// order: twelve digits have to agree.
func compare(want, got care.Entry) string {
	return cmp.Diff(want, got, cmpopts.EquateApprox(1e-12, 0))
}

// The modules read what is typed as the server does.
func TestModulesReadQuantitiesAsTheServerDoes(t *testing.T) {
	text, err := os.ReadFile("../internal/web/testdata/typed.json")
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		Field string  `json:"field"`
		Typed string  `json:"typed"`
		Value float64 `json:"value"`
		Wrong bool    `json:"wrong"`
	}
	if err := json.Unmarshal(text, &list); err != nil {
		t.Fatal(err)
	}
	h := newHome(t)
	p := newPhone(t)
	p.goTo(h.url("/"))
	for _, c := range list {
		got := ask[struct {
			Value   float64 `json:"value"`
			Message string  `json:"message"`
		}](p, fmt.Sprintf(`(async () => {
			const module = document.querySelector("script[type=module]").src.replace(/[^/]*$/, "round-measure.js");
			const { read } = await import(module);
			const measures = JSON.parse(document.getElementById("jobs").dataset.measures);
			try { return { value: read(%q, measures[%q]), message: "" }; } catch (problem) { return { value: 0, message: problem.message }; }
		})()`, c.Typed, c.Field))
		if (got.Message != "") != c.Wrong || math.Abs(got.Value-c.Value) > 1e-12*math.Max(1, c.Value) {
			t.Errorf("%s %q: %+v, want %v, wrong %v", c.Field, c.Typed, got, c.Value, c.Wrong)
		}
	}
}

// Without JavaScript every answer is a plain form.
func TestRoundWithoutJavaScript(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	flush := h.due("P-001", care.Flushing)
	if _, err := chromedp.Call(p.tab, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	p.goTo(h.url("/"))
	p.tap(flush, "Flushed")
	p.until(`!(` + formOf(flush) + `) && location.hash !== ""`)
	p.says("Done today")
	if got := h.entries(care.FlushDone); len(got) != 1 || got[0].Detail.Job != flush.Key {
		t.Errorf("entries: %+v", got)
	}
}

// Mistakes are told beside the field, with what was typed still there.
func TestMistakesAreToldBesideTheField(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	flush := h.due("P-001", care.Flushing)
	p.goTo(h.url("/"))
	p.enter(flush, "ec", "820")
	p.tap(flush, "Flushed, with these")
	p.until(`document.activeElement.name === "ec" && document.activeElement.value === "820" && document.activeElement.getAttribute("aria-invalid") === "true"`)
	p.says("820 cannot be right: the EC of drainage is between 0 mS/cm and 50 mS/cm.")
	if left := p.waiting(); len(left) != 0 {
		t.Errorf("in the outbox: %+v", left)
	}
	p.enter(flush, "ec", "820 µS")
	p.tap(flush, "Flushed, with these")
	p.until(formOf(flush) + `.classList.contains("answered")`)
}

// Wet thumbs: everything that is pressed is large enough, and nothing makes the
// page wider than the screen.
func TestTargetsAreLargeEnough(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	for _, path := range []string{"/", "/?date=" + h.book.Today().AddDate(0, 0, 1).Format("2006-01-02"), "/collection"} {
		for _, width := range []int64{390, 1280} {
			p.do(chromedp.EmulateViewport(width, 844))
			p.goTo(h.url(path))
			ask[bool](p, `(() => { document.querySelectorAll("details").forEach((d) => { d.open = true; }); return true; })()`)
			small := ask[[]string](p, `[...document.querySelectorAll("main button, main summary, main select, main input:not([type=hidden], [type=checkbox]), main .button, label:has([type=checkbox])")]
				.filter((e) => e.offsetParent !== null && !e.closest("[popover]")).map((e) => [e, e.getBoundingClientRect()])
				.filter(([, r]) => r.height < 47.5 || r.width < 44).map(([e, r]) => e.outerHTML.slice(0, 90) + " " + r.width + "×" + r.height)`)
			if len(small) > 0 {
				t.Errorf("%s at %d px: too small to hit: %d such as %s", path, width, len(small), strings.Join(small[:min(4, len(small))], "\n"))
			}
			if wide := ask[int](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
				t.Errorf("%s at %d px: %d px too wide", path, width, wide)
			}
		}
	}
}

// The round of forty plants, with everything it needs, fits a poor connection:
// 150 kB is what the pages were designed to.
func TestWeightOfTheRound(t *testing.T) {
	h := newHome(t)
	fetch := func(path string) (sent, text int, content string) {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, h.url(path), nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Accept-Encoding", "gzip")
		answer, err := http.DefaultTransport.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		raw, err := io.ReadAll(answer.Body)
		if err != nil || answer.StatusCode != http.StatusOK {
			t.Fatal(path, answer.Status, err)
		}
		content = string(raw)
		if answer.Header.Get("Content-Encoding") == "gzip" {
			in, err := gzip.NewReader(strings.NewReader(content))
			if err != nil {
				t.Fatal(err)
			}
			unpacked, err := io.ReadAll(in)
			if err != nil {
				t.Fatal(err)
			}
			content = string(unpacked)
		}
		return len(raw), len(content), content
	}
	sent, text, html := fetch("/")
	t.Logf("round with %d jobs: %d bytes sent, %d unpacked", strings.Count(html, `class="job"`), sent, text)
	total := sent
	_, _, worker := fetch("/service-worker.js")
	for _, path := range regexp.MustCompile(`"(/static/[^"]*/(?:[a-z]+\.css|icon\.svg|modules/(?:round|outbox|offline)[^"]*))"`).FindAllStringSubmatch(worker, -1) {
		bytes, _, _ := fetch(path[1])
		total += bytes
	}
	t.Logf("with style sheets and modules: %d bytes sent", total)
	if total > 150_000 {
		t.Errorf("%d bytes, more than 150 kB", total)
	}
}

// Ids made on a phone are UUIDs of version 7 in the order in which they are
// made, many in one millisecond included: of two corrections the later wins.
func TestIDsComeInOrder(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	p.goTo(h.url("/"))
	ids := ask[[]string](p, `(async () => {
		const { newID } = await import(document.querySelector("script[type=module]").src.replace(/[^/]*$/, "outbox-id.js"));
		return Array.from({ length: 10000 }, () => newID());
	})()`)
	form := regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)
	for i, id := range ids {
		if !form.MatchString(id) {
			t.Fatalf("%q is no UUID of version 7", id)
		}
		if i > 0 && id <= ids[i-1] {
			t.Fatalf("%s follows %s", id, ids[i-1])
		}
	}
}

// The modules record each task as the kind of entry that the domain asks for.
// A photograph needs its picture and is taken elsewhere.
func TestModulesKnowEveryTask(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	p.goTo(h.url("/"))
	for _, task := range []care.Task{care.LookForPests, care.MeasureRoots, care.Review, care.Flushing, care.Watering, care.Feeding, care.Misting} {
		kind := ask[string](p, fmt.Sprintf(`(async () => {
			const { entriesOf } = await import(document.querySelector("script[type=module]").src.replace(/[^/]*$/, "round-entry.js"));
			const form = document.createElement("form");
			form.innerHTML = '<input name="job"><input name="root.0" value="A"><input name="length.0" value="12"><button name="do" value="done">Done</button>';
			form.elements.job.value = "plant/" + %q + "/2026-11-24";
			document.body.append(form);
			const measures = JSON.parse(document.getElementById("jobs").dataset.measures);
			try { return entriesOf(form, form.querySelector("button"), { measures, by: "" }).entries[0].kind; } finally { form.remove(); }
		})()`, task))
		if care.Kind(kind) != task.Answers() {
			t.Errorf("%s is recorded as %q, want %q", task, kind, task.Answers())
		}
	}
}
