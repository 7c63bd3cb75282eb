package e2e

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/google/uuid"

	"velamen/internal/care"
)

func newID(t *testing.T) string {
	t.Helper()
	id, err := uuid.NewV7()
	if err != nil {
		t.Fatal(err)
	}
	return id.String()
}

// patience is how long a page may take to become what it should: the machine
// may be busy with other things.
const patience = 2 * time.Minute

// chromium returns the path of the browser.
func chromium(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatal("there is no Chromium to test with")
	}
	t.Skip("there is no Chromium to test with")
	return ""
}

// phone is a browser with what it keeps, which outlasts its being closed.
type phone struct {
	t       *testing.T
	profile string
	flags   map[string]string
	tab     context.Context
	stop    func()
}

func newPhone(t *testing.T, change ...func(*phone)) *phone {
	t.Helper()
	p := &phone{t: t, profile: t.TempDir(), flags: map[string]string{}}
	for _, f := range change {
		f(p)
	}
	p.open()
	t.Cleanup(func() { p.stop() })
	return p
}

// open starts the browser.
func (p *phone) open() {
	p.t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(chromium(p.t)), chromedp.UserDataDir(p.profile), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	for name, value := range p.flags {
		options = append(options, chromedp.Flag(name, value))
	}
	browser, stopBrowser := chromedp.NewExecAllocator(context.Background(), options...)
	tab, stopTab := chromedp.NewContext(browser)
	p.tab = tab
	p.stop = func() {
		stopTab()
		stopBrowser()
		p.stop = func() {}
	}
	p.first()
}

// first starts the tab: it lives as long as the context of its first step.
func (p *phone) first() {
	p.t.Helper()
	if err := chromedp.Do(p.tab, chromedp.EmulateViewport(390, 844)); err != nil {
		p.t.Fatal(err)
	}
}

// die ends the browser as an empty battery does.
func (p *phone) die() {
	p.t.Helper()
	process := chromedp.FromContext(p.tab).Browser.Process()
	if process == nil {
		p.t.Fatal("the browser has no process")
	}
	if err := process.Kill(); err != nil {
		p.t.Fatal(err)
	}
	p.stop()
}

// close ends the browser as people do.
func (p *phone) close() {
	p.t.Helper()
	patient, stop := context.WithTimeout(p.tab, patience)
	defer stop()
	if err := chromedp.Cancel(patient); err != nil {
		p.t.Fatal(err)
	}
	p.stop()
}

// another returns a browser with nothing in common with the first but the
// process.
func (p *phone) another() *phone {
	p.t.Helper()
	tab, stop := chromedp.NewContext(p.tab, chromedp.WithNewBrowserContext())
	other := &phone{t: p.t, tab: tab, stop: stop}
	other.first()
	p.t.Cleanup(stop)
	return other
}

func (p *phone) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.tab, patience)
	defer stop()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.t.Fatalf("%v\n%s", err, p.text())
	}
}

// goTo opens a page.
func (p *phone) goTo(url string) {
	p.t.Helper()
	p.do(chromedp.Navigate(url))
}

// ask evaluates an expression on the page; it may be a promise.
func ask[T any](p *phone, expression string) T {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.tab, patience)
	defer stop()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		p.t.Fatalf("%s: %v", expression, err)
	}
	return value
}

// until waits for an expression to be true. The page may be reloaded meanwhile.
func (p *phone) until(expression string) {
	p.t.Helper()
	var last error
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		ctx, stop := context.WithTimeout(p.tab, patience)
		value, err := chromedp.Run(ctx, chromedp.Evaluate[bool](expression, chromedp.EvalAwaitPromise))
		stop()
		if last = err; err == nil && value {
			return
		}
	}
	p.t.Fatalf("never true: %s (%v)\n%s", expression, last, p.text())
}

// text is what the page says, for messages.
func (p *phone) text() string {
	ctx, stop := context.WithTimeout(p.tab, 5*time.Second)
	defer stop()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`location.href + "\n" + document.body.innerText.slice(0, 1500)`))
	if err != nil {
		return err.Error()
	}
	return text
}

// says waits for a text on the page.
func (p *phone) says(text string) {
	p.t.Helper()
	p.until(`document.body.innerText.includes(` + strconv.Quote(text) + `)`)
}

// formOf is the form of a job, as an expression.
func formOf(job care.Job) string {
	return fmt.Sprintf(`[...document.querySelectorAll("form.job")].find((f) => f.elements.job.value === %q)`, job.Key)
}

// tap presses a button of a job, opening what hides it.
func (p *phone) tap(job care.Job, button string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`Boolean(%s)`, formOf(job)))
	pressed := ask[bool](p, fmt.Sprintf(`(() => {
		const button = [...%s.querySelectorAll("button")].find((b) => b.textContent.trim() === %q);
		button?.closest("details")?.setAttribute("open", "");
		button?.click();
		return Boolean(button);
	})()`, formOf(job), button))
	if !pressed {
		p.t.Fatalf("%s %s has no button %q", job.Label, job.Task, button)
	}
}

// enter types into a field of a job, which is unfolded first: nothing takes the
// place of what is open.
func (p *phone) enter(job care.Job, field, text string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`Boolean(%s)`, formOf(job)))
	ask[bool](p, fmt.Sprintf(`(() => {
		const found = %s.elements[%q];
		(found.closest ? found : found[0]).closest("details")?.setAttribute("open", "");
		found.value = %q;
		return true;
	})()`, formOf(job), field, text))
}

// struck waits until a job shows that it was answered.
func (p *phone) struck(job care.Job, text string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`%s?.classList.contains("answered") && %[1]s.querySelector(".state").innerText.includes(%q)`, formOf(job), text))
}

// waiting is what is in the phone's outbox.
func (p *phone) waiting() (list []struct {
	ID      string     `json:"id"`
	Entry   care.Entry `json:"entry"`
	Refused string     `json:"refused"`
}) {
	p.t.Helper()
	text := ask[string](p, `new Promise((resolve, reject) => {
		const request = indexedDB.open("velamen");
		request.onerror = () => reject(request.error);
		request.onsuccess = () => {
			const all = request.result.transaction("outbox").objectStore("outbox").getAll();
			all.onsuccess = () => { request.result.close(); resolve(JSON.stringify(all.result)); };
		};
	})`)
	if err := json.Unmarshal([]byte(text), &list); err != nil {
		p.t.Fatalf("%v in %s", err, text)
	}
	return list
}

// ready waits until a tap counts without reception.
func (p *phone) ready() {
	p.t.Helper()
	p.until(`document.getElementById("jobs")?.dataset.ready === "yes"`)
}

// readyForNoReception waits until the service worker is there and has the round.
func (p *phone) readyForNoReception() {
	p.t.Helper()
	p.ready()
	p.until(`navigator.serviceWorker.getRegistration().then((r) => Boolean(r?.active) && caches.open("velamen-pages").then((c) => c.match("/"))).then(Boolean)`)
}

// ahead sets the clock of the pages some days ahead, from the next page on.
func (p *phone) ahead(days int) (back func()) {
	p.t.Helper()
	script, err := chromedp.Call(p.tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
		Source: fmt.Sprintf(`{ const Real = Date; const ahead = %d * 86400000; globalThis.Date = class extends Real { constructor(...a) { a.length ? super(...a) : super(Real.now() + ahead); } static now() { return Real.now() + ahead; } }; }`, days),
	})
	if err != nil {
		p.t.Fatal(err)
	}
	return func() {
		p.t.Helper()
		if _, err := chromedp.Call(p.tab, page.RemoveScriptToEvaluateOnNewDocument, page.RemoveScriptToEvaluateOnNewDocumentParams(script)); err != nil {
			p.t.Fatal(err)
		}
	}
}
