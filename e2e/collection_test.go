package e2e

import (
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"velamen/internal/care"
)

// Three plants are ticked, what would be written is shown, and it is written
// once, though the button is pressed in a hurry.
func TestWritingForMany(t *testing.T) {
	h := newHome(t)
	p := newPhone(t)
	p.goTo(h.url("/collection?q=C-00"))
	ask[bool](p, `(() => { [...document.querySelectorAll("[name=plant]")].slice(0, 3).forEach((box) => box.click()); return true; })()`)
	p.until(`!document.getElementById("ticked").hidden && document.getElementById("ticked").innerText.includes("3 plants")`)
	// Only the questions that belong to the choice are asked.
	hidden := `document.querySelector("[name=to_space]").offsetParent === null`
	p.until(hidden)
	p.do(chromedp.SetValue(chromedp.CSS("[name=act]"), "move"))
	ask[bool](p, `document.querySelector("[name=act]").dispatchEvent(new Event("change", { bubbles: true }))`)
	p.until(`!(` + hidden + `)`)
	p.do(chromedp.SetValue(chromedp.CSS("[name=to_space]"), "terrace"), chromedp.Submit(chromedp.CSS("[name=act]")))
	p.says("Write this down?")
	p.says("moved to terrace")
	if got := h.entries(care.Moved); len(got) != 0 {
		t.Fatalf("written before it was confirmed: %+v", got)
	}
	ask[bool](p, `(() => { const form = document.querySelector("main form"); fetch(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)) }).then(() => form.requestSubmit()); return true; })()`)
	p.says("Kept.")
	if got := h.entries(care.Moved); len(got) != 3 {
		t.Errorf("%d entries, want 3", len(got))
	}
	if search := ask[string](p, `document.querySelector("[name=q]").value`); search != "C-00" {
		t.Errorf("what was looked for is gone: %q", search)
	}
}

// A label's code is read with the camera and opens the plant. The camera and
// what reads codes are stood in for: browsers differ in them.
func TestScanningALabel(t *testing.T) {
	h := newHome(t)
	p := newPhone(t, func(p *phone) {
		p.flags["use-fake-device-for-media-stream"] = ""
		p.flags["use-fake-ui-for-media-stream"] = ""
	})
	if _, err := chromedp.Call(p.tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
		Source: `globalThis.BarcodeDetector = class { async detect() { return [{ rawValue: "https://elsewhere.test/p/P-001" }]; } };`,
	}); err != nil {
		t.Fatal(err)
	}
	p.goTo(h.url("/collection"))
	p.until(`!document.getElementById("scan").hidden`)
	p.do(chromedp.Click(chromedp.CSS("#scan")))
	plant := h.due("P-001", care.Flushing).Plant
	p.until(`location.pathname === "/plant/` + plant + `"`)
}
