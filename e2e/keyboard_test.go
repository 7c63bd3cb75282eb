package e2e

import (
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"velamen/internal/care"
)

// press presses a key.
func (p *phone) press(key string) {
	p.t.Helper()
	p.do(chromedp.KeyEvent(key))
}

// focus says where the keyboard is, and what keeps people from seeing it.
type focus struct {
	Text   string `json:"text"` // of the element
	Job    string `json:"job"`  // key of the job it belongs to
	Hidden string `json:"hidden"`
}

func (p *phone) focus() focus {
	p.t.Helper()
	return ask[focus](p, `(() => {
		const e = document.activeElement;
		const told = { text: (e.innerText || e.name || "").trim(), job: e.closest("form.job")?.elements.job.value ?? "", hidden: "" };
		if (e === document.body) return { ...told, text: "", hidden: "nowhere" };
		const style = getComputedStyle(e), label = e.closest(".options label"), shown = label ? getComputedStyle(label) : style;
		if (!e.matches(":focus-visible")) told.hidden = "not marked";
		else if (shown.outlineStyle === "none" || parseFloat(shown.outlineWidth) < 2) told.hidden = "no outline";
		const r = e.getBoundingClientRect();
		const under = document.elementFromPoint(r.left + Math.min(r.width, innerWidth) / 2, r.top + r.height / 2);
		if (r.width === 0 || r.bottom <= 0 || r.top >= innerHeight) told.hidden = "off the screen";
		else if (!under || !(e.contains(under) || under.contains(e))) told.hidden = "under " + (under?.outerHTML.slice(0, 80) ?? "nothing");
		return told;
	})()`)
}

// tabTo goes on with the tab key until the focus is where it should be, and
// looks at each stop whether it can be seen.
func (p *phone) tabTo(what string, is func(focus) bool) focus {
	p.t.Helper()
	for range 60 {
		p.press(kb.Tab)
		f := p.focus()
		if f.Hidden != "" {
			p.t.Errorf("on the way to %s the focus cannot be seen at %q: %s", what, f.Text, f.Hidden)
		}
		if is(f) {
			return f
		}
	}
	p.t.Fatalf("the tab key does not come to %s\n%s", what, p.text())
	return focus{}
}

// The day's work is done by keyboard alone: past the screens, to a job, its
// reasons, its values, and on from where one was.
func TestRoundByKeyboard(t *testing.T) {
	h := newHome(t, func(h *home) { h.with = (*home).abroad })
	p := newPhone(t)
	for _, on := range []screen{{390, false}, {1280, true}} {
		p.on(on)
		p.goTo(h.url("/"))
		p.until(`document.getElementById("jobs").dataset.ready === "yes"`)

		p.press(kb.Tab)
		if f := p.focus(); f.Text != "Skip to the page" || f.Hidden != "" {
			t.Fatalf("the first stop is %+v, want the skip link", f)
		}
		p.press(kb.Enter)
		if at := ask[string](p, `document.activeElement.id`); at != "main" {
			t.Fatalf("the skip link leads to %q", at)
		}
		first := p.tabTo("the first answer", func(f focus) bool { return f.Text == "Flushed" })
		job := care.Job{Key: first.Job, Label: first.Text}

		p.tabTo("the reasons", func(f focus) bool { return f.Text == "because" })
		p.press(kb.Enter)
		p.until(`document.querySelector(".why:popover-open") !== null`)
		p.press(kb.Escape)
		p.until(`document.querySelector(".why:popover-open") === null && document.activeElement.textContent === "because"`)

		for range 10 { // back to the answer
			p.do(chromedp.KeyEvent(kb.Tab, chromedp.KeyModifiers(8)))
			if p.focus().Text == "+ values" {
				break
			}
		}
		p.press(kb.Enter)
		p.tabTo("the field", func(f focus) bool { return f.Text == "ec" })
		p.press("300 ppm (500)")
		p.tabTo("the button below the fields", func(f focus) bool { return f.Text == "Flushed, with these" })
		p.press(kb.Enter)
		p.struck(job, "Flushed")
		if f := p.focus(); f.Job != job.Key {
			t.Errorf("%v: having answered, the focus is at %+v, want it at the answer", on, f)
		}
		p.until(`document.getElementById("outbox").hidden`)
		next := p.tabTo("the next answer", func(f focus) bool { return f.Job != "" && f.Job != job.Key })
		if next.Text == "" {
			t.Errorf("%v: the next stop is %+v", on, next)
		}

		for range 10 { // and what was answered can be taken back
			p.do(chromedp.KeyEvent(kb.Tab, chromedp.KeyModifiers(8)))
			if f := p.focus(); f.Job == job.Key && f.Text == "Undo" {
				break
			}
		}
		p.press(kb.Enter)
		p.until(`!` + formOf(job) + `.classList.contains("answered")`)
		if f := p.focus(); f.Job != job.Key || f.Text != "Flushed" || f.Hidden != "" {
			t.Errorf("%v: having taken it back, the focus is at %+v", on, f)
		}
		p.until(`document.getElementById("outbox").hidden`)
	}
	got := h.entries(care.FlushDone, care.DrainageRead)
	if len(got) != 4 || got[0].Detail.Job == "" || *got[1].Detail.ECmS < 0.59 || *got[1].Detail.ECmS > 0.61 {
		t.Errorf("entries: %+v, want two flushes with a drainage of 0.60 mS/cm each", got) // 300 ppm on the 500 scale is 0.6 mS/cm by its definition
	}
}

// Without JavaScript a collection is begun, a plant repotted, something written
// down, a mistake told and mended.
func TestFormsWithoutJavaScript(t *testing.T) {
	h := newHome(t, func(h *home) { h.with = nil })
	p := newPhone(t)
	if _, err := chromedp.Call(p.tab, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	p.goTo(h.url("/"))
	fillIn(map[string]string{"space": "shelf", "kind": "lamp shelf", "water": "rain barrel"}, "Begin")(p)
	p.says("Kept.")
	repot := map[string]string{"label": "P-1", "group": "Phalaenopsis", "roots_kept": "200", "to_kind": "mount", "to_width": "10", "to_length": "20"}
	fillIn(repot, "Keep it")(p)
	p.says("200 cannot be right")
	if kept := ask[string](p, `document.querySelector("[name=to_width]").value`); kept != "10" {
		t.Errorf("what was typed is %q now", kept)
	}
	fillIn(map[string]string{"roots_kept": "60"}, "Show the course first")(p)
	p.says("The course that follows")
	p.presses("Keep it")
	p.says("P-1 is repotted")
	plant := h.id("P-1")
	p.goTo(h.url("/plant/" + plant + "/write/roots"))
	fields := ask[[]string](p, `[...document.querySelectorAll("main form input:not([type=hidden])")].map((e) => e.name)`)
	if len(fields) < 2 {
		t.Fatalf("fields: %v", fields)
	}
	p.types(map[string]string{fields[0]: "A", fields[1]: "1.4 cm"})
	p.presses("Keep")
	p.says("Kept.")
	if got := h.entries(care.RootsRead); len(got) != 1 || len(got[0].Detail.Roots) != 1 || got[0].Detail.Roots[0].LengthMM != 14 {
		t.Errorf("entries: %+v, want a root of 14 mm", got)
	}
	if got := ask[string](p, `document.querySelector(".journal > li").innerText`); got == "" {
		t.Error("the journal is empty")
	}
}
