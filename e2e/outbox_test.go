package e2e

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"velamen/internal/care"
	"velamen/internal/web"
)

// Two phones answer the same job, one of them without reception: both entries
// are kept, and the page says so.
func TestTwoPhonesAnswerOneJob(t *testing.T) {
	h := newHome(t)
	first := newPhone(t)
	second := first.another()
	flush := h.due("P-001", care.Flushing)
	for phone, name := range map[*phone]string{first: "Anna", second: "Ben"} {
		phone.goTo(h.url("/"))
		phone.do(chromedp.SetValue(chromedp.CSS("#who input"), name), chromedp.Click(chromedp.CSS("#who button")))
		phone.says("This device knows who does the round.")
		phone.goTo(h.url("/"))
		phone.readyForNoReception()
	}
	h.stop()
	first.tap(flush, "Flushed")
	first.struck(flush, "not sent yet")
	second.tap(flush, "no water left")
	second.struck(flush, "not sent yet")
	h.start()
	for _, phone := range []*phone{first, second} {
		phone.until(`document.getElementById("outbox").hidden`)
	}
	got := h.entries(care.FlushDone, care.Skipped)
	if len(got) != 2 || got[0].By == got[1].By {
		t.Fatalf("entries: %+v, want one of each phone", got)
	}
	for _, phone := range []*phone{first, second} {
		phone.do(chromedp.Reload())
		phone.says("Also entered by")
		phone.says("Anna")
		phone.says("Ben")
	}
}

// A session ends while the phone is away: the outbox keeps everything and asks
// to sign in.
func TestEndedSessionsKeepTheOutbox(t *testing.T) {
	h := newHome(t, asksForPassphrase)
	p := newPhone(t)
	setPassphrase(t, h, "nine orchids on a sill")
	signIn(p, h.url("/"), "nine orchids on a sill")
	p.readyForNoReception()
	flush := h.due("P-001", care.Flushing)
	setPassphrase(t, h, "ten orchids on a shelf") // ends every session
	p.tap(flush, "Flushed")
	p.says("Sign in to send")
	p.struck(flush, "not sent yet")
	if got := h.entries(care.FlushDone); len(got) != 0 {
		t.Fatalf("kept without being signed in: %+v", got)
	}
	p.do(chromedp.Click(chromedp.CSS("#outbox a")))
	signIn(p, "", "ten orchids on a shelf")
	p.until(`document.getElementById("outbox").hidden && document.getElementById("done").innerText.includes("flushed")`)
	if got := h.entries(care.FlushDone); len(got) != 1 {
		t.Errorf("%d entries, want 1", len(got))
	}
}

// asksForPassphrase makes the server believe that others can reach it.
func asksForPassphrase(h *home) {
	h.shown = "0.0.0.0:80"
	h.prepare = func() {
		if err := h.kept.SetPassphraseHash(h.t.Context(), "none yet"); err != nil {
			h.t.Fatal(err)
		}
	}
}

func setPassphrase(t *testing.T, h *home, phrase string) {
	t.Helper()
	hash, err := web.HashPassphrase(phrase)
	if err != nil {
		t.Fatal(err)
	}
	if err := h.kept.SetPassphraseHash(t.Context(), hash); err != nil {
		t.Fatal(err)
	}
}

func signIn(p *phone, url, phrase string) {
	p.t.Helper()
	if url != "" {
		p.goTo(url)
	}
	p.do(chromedp.WaitVisible(chromedp.CSS("input[type=password]")), chromedp.SendKeys(chromedp.CSS("input[type=password]"), phrase), chromedp.Submit(chromedp.CSS("input[type=password]")))
	p.until(`location.pathname === "/"`)
}

// What the server refuses stays on the phone with the reason, and does not hold
// up the rest.
func TestRefusedEntriesStayWithTheReason(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	bad, good := h.due("P-001", care.Flushing), h.due("C-001", care.Flushing)
	// A phone whose clock is three days ahead.
	back := p.ahead(3)
	p.goTo(h.url("/"))
	p.readyForNoReception()
	h.stop()
	p.tap(bad, "Flushed")
	p.struck(bad, "not sent yet")
	back()
	p.do(chromedp.Reload())
	p.tap(good, "Flushed")
	p.struck(good, "not sent yet")
	h.start()
	p.says("Not taken")
	p.says("lies in the future")
	p.until(`document.getElementById("done").innerText.includes("C-001")`)
	if left := p.waiting(); len(left) != 1 || left[0].Entry.Detail.Job != bad.Key || left[0].Refused == "" {
		t.Fatalf("in the outbox: %+v", left)
	}
	p.do(chromedp.Reload())
	p.says("lies in the future")
	ask[bool](p, `(() => { [...document.querySelectorAll("#outbox button")].find((b) => b.textContent === "Throw away").click(); return true; })()`)
	p.until(`document.getElementById("outbox").hidden`)
	p.until(`!` + formOf(bad) + `.classList.contains("answered")`)
	if got := h.entries(care.FlushDone); len(got) != 1 || got[0].Detail.Job != good.Key {
		t.Errorf("arrived: %+v, want one", got)
	}
}

// What was undone before it could be sent never leaves the phone; what was sent
// is withdrawn.
func TestUndoBeforeAndAfterSending(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	first, second := h.due("P-001", care.Flushing), h.due("C-001", care.Flushing)
	undo := func(job care.Job) {
		t.Helper()
		ask[bool](p, `(() => { `+formOf(job)+`.querySelector(".state button").click(); return true; })()`)
		p.until(`!` + formOf(job) + `.classList.contains("answered")`)
	}
	p.goTo(h.url("/"))
	p.readyForNoReception()
	p.tap(second, "Flushed")
	p.until(`document.getElementById("done").innerText.includes("C-001")`)
	undo(second)
	p.until(`!document.getElementById("done").innerText.includes("C-001")`)
	if got := h.entries(care.Withdrawn); len(got) != 1 || got[0].Plant != second.Plant {
		t.Fatalf("withdrawn: %+v, want one at %s", got, second.Label)
	}
	h.stop()
	// An attempt to send may have been under way, so that nobody can know
	// whether it arrived: then both are sent.
	p.tap(first, "Flushed")
	p.struck(first, "not sent yet")
	undo(first)
	h.start()
	p.until(`document.getElementById("outbox").hidden`)
	h.due("P-001", care.Flushing)
	h.due("C-001", care.Flushing)
}

// On plain HTTP on a home network there is no service worker; the outbox works
// all the same.
func TestOutboxOnPlainHTTP(t *testing.T) {
	h := newHome(t, asksForPassphrase)
	setPassphrase(t, h, "nine orchids on a sill")
	p := newPhone(t, func(p *phone) { p.flags["host-resolver-rules"] = "MAP greenhouse.test 127.0.0.1" })
	at := strings.Replace(h.url("/"), "127.0.0.1", "greenhouse.test", 1)
	signIn(p, at, "nine orchids on a sill")
	if ask[bool](p, "isSecureContext") {
		t.Fatal("this is no plain HTTP")
	}
	flush := h.due("P-001", care.Flushing)
	p.ready()
	h.stop()
	p.tap(flush, "Flushed")
	p.struck(flush, "not sent yet")
	p.says("kept on this device until there is reception")
	h.start()
	p.until(`document.getElementById("outbox").hidden && document.getElementById("done").innerText.includes("flushed")`)
	if got := h.entries(care.FlushDone); len(got) != 1 {
		t.Errorf("%d entries, want 1", len(got))
	}
}

// An entry carries the time of the place with its offset, which decides the day
// it was done on.
func TestEntriesKeepThePlacesTime(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	for zone, offset := range map[string]int{"Australia/Adelaide": 10*3600 + 1800, "America/St_Johns": -(3*3600 + 1800)} {
		// In a week without a change of clocks near either.
		if _, err := chromedp.Call(p.tab, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: zone}); err != nil {
			t.Fatal(err)
		}
		p.goTo(h.url("/"))
		at := ask[string](p, `(async () => {
			const { localTime } = await import(document.querySelector("script[type=module]").src.replace(/[^/]*$/, "outbox-id.js"));
			return localTime(new Date("2026-11-24T20:45:30Z"));
		})()`)
		got, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		if _, east := got.Zone(); east != offset || !got.Equal(time.Date(2026, 11, 24, 20, 45, 30, 0, time.UTC)) {
			t.Errorf("%s: %s, want %d s east of UTC", zone, at, offset)
		}
	}
}

// The forms and the modules make the same entries of the same answers.
func TestFormsAndModulesAgree(t *testing.T) {
	type answer struct {
		label  string
		task   care.Task
		button string // as it is called
		sent   url.Values
	}
	answers := []answer{
		{"P-001", care.Flushing, "Flushed", url.Values{"do": {"done"}}},
		{"P-002", care.Flushing, "Flushed, with these", url.Values{"do": {"done"}, "ec": {"820 µS"}, "mass": {"0.6 kg"}}},
		{"P-003", care.Flushing, "still wet", url.Values{"skip": {"still wet"}}},
		{"C-001", care.Feeding, "Fed, with this", url.Values{"do": {"done"}, "ec": {"0,9"}}},
		{"C-002", care.Flushing, "Skip", url.Values{"do": {"skip"}, "reason": {"at the “vet”"}}},
		{"C-001", care.MeasureRoots, "Keep these lengths", url.Values{"do": {"done"}, "root.0": {"A"}, "length.0": {"2.3 cm"}, "tip.0": {"growing"}, "root.1": {"red"}, "length.1": {"8"}, "tip.1": {""}}},
		{"P-005", care.LookForPests, "None seen", url.Values{"do": {"done"}}},
		{"O-002", care.LookForPests, "Found this", url.Values{"do": {"found"}, "pest": {"brown soft scale"}, "note": {"two, crown"}}},
		{"P-004", care.Review, "Reviewed, with this", url.Values{"do": {"done"}, "stage": {"rooting"}, "note": {"two tips"}}},
		{"C-004", care.Misting, "Misted", url.Values{"do": {"done"}}},
	}
	h := newHome(t)
	p := newPhone(t)
	p.goTo(h.url("/"))
	p.ready()
	var plain, quick [][]care.Entry
	for _, a := range answers {
		job := h.due(a.label, a.task)
		a.sent.Set("job", job.Key)
		if job.ML > 0 {
			a.sent.Set("ml", ask[string](p, formOf(job)+`.elements.ml.value`))
		}
		before := len(h.entries(care.Kinds...))
		reply, err := http.PostForm(h.url("/round/answer"), a.sent)
		if err != nil {
			t.Fatal(err)
		}
		reply.Body.Close()
		made := h.entries(care.Kinds...)[before:]
		if reply.StatusCode >= 400 || len(made) == 0 {
			t.Fatalf("%s %s: %s, %d entries", a.label, a.task, reply.Status, len(made))
		}
		plain = append(plain, made)
		for _, e := range made { // so that the job is asked again
			if _, err := h.book.Append(t.Context(), care.Entry{ID: newID(t), At: e.At, Kind: care.Withdrawn, Plant: e.Plant, Corrects: e.ID}); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, a := range answers {
		job := h.due(a.label, a.task)
		before := len(h.entries(care.Kinds...))
		for name, values := range a.sent {
			if name != "do" && name != "job" && name != "ml" && name != "skip" {
				p.enter(job, name, values[0])
			}
		}
		p.tap(job, a.button)
		// What was answered is struck, or gone where the round had to change.
		p.until(formOf(job) + `?.classList.contains("answered") ?? true`)
		p.until(`document.getElementById("outbox").hidden`)
		quick = append(quick, h.entries(care.Kinds...)[before:])
	}
	for i, a := range answers {
		if len(plain[i]) != len(quick[i]) {
			t.Errorf("%s %s: %d entries by form, %d by module", a.label, a.task, len(plain[i]), len(quick[i]))
			continue
		}
		for j, want := range plain[i] {
			got := quick[i][j]
			want.ID, want.At, want.Recorded = got.ID, got.At, got.Recorded
			if diff := compare(want, got); diff != "" {
				t.Errorf("%s %s (-form +module):\n%s", a.label, a.task, diff)
			}
		}
	}
}

// A browser whose outbox does not open still takes answers while there is
// reception: as plain forms.
func TestAnswersWithoutAnOutbox(t *testing.T) {
	for name, stub := range map[string]string{
		"hangs":   `indexedDB.open = () => ({});`,
		"refuses": `indexedDB.open = () => { throw new DOMException("not here", "SecurityError"); };`,
	} {
		t.Run(name, func(t *testing.T) {
			h := newHome(t)
			p := newPhone(t)
			if _, err := chromedp.Call(p.tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: stub}); err != nil {
				t.Fatal(err)
			}
			flush := h.due("P-001", care.Flushing)
			p.goTo(h.url("/"))
			p.tap(flush, "Flushed")
			p.says("Done today")
			if got := h.entries(care.FlushDone); len(got) != 1 || got[0].Detail.Job != flush.Key {
				t.Errorf("entries: %+v, want one", got)
			}
		})
	}
}
