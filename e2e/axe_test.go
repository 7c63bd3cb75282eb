package e2e

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"velamen/internal/care"
)

// axe is the text of the accessibility checker.
func axe(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("node_modules/axe-core/axe.min.js")
	if err == nil {
		return string(text)
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("there is no axe-core to test with; npm ci in e2e fetches it: %v", err)
	}
	t.Skip("there is no axe-core to test with; npm ci in e2e fetches it")
	return ""
}

// finding is one rule that a page breaks, with the elements that break it.
type finding struct {
	Rule  string   `json:"rule"`
	Help  string   `json:"help"`
	Nodes []string `json:"nodes"`
}

func (f finding) String() string {
	return fmt.Sprintf("%s (%s), %d times:\n\t%s", f.Rule, f.Help, len(f.Nodes), strings.Join(f.Nodes[:min(3, len(f.Nodes))], "\n\t"))
}

// check returns what axe-core finds wrong with the page on show. In the dark
// only the colours differ.
func (p *phone) check(on screen) []finding {
	p.t.Helper()
	options := `{ resultTypes: ["violations"] }`
	if on.dark {
		options = `{ resultTypes: ["violations"], runOnly: ["color-contrast"] }`
	}
	return ask[[]finding](p, `axe.run(document, `+options+`).then((found) => found.violations.map((v) => ({
		rule: v.id, help: v.help,
		nodes: v.nodes.map((n) => n.target.join(" ") + "  " + n.html.slice(0, 160) + "  " + n.failureSummary.replace(/\s+/g, " ").slice(0, 240)),
	})))`)
}

// Every page in every state keeps the rules for people who hear pages, use a
// keyboard or see little, on phones and wide screens, in the light and in the
// dark. Everything that opens is opened. Nothing makes a page wider than the
// screen.
func TestAccessibility(t *testing.T) {
	checker := axe(t)
	visit(t, func(t *testing.T, p *phone, _ string) { p.inspect(t, checker) })
}

// inspect checks the page on show on all screens.
func (p *phone) inspect(t *testing.T, checker string) {
	t.Helper()
	ask[bool](p, `(() => { document.querySelectorAll("details").forEach((d) => { d.open = true; }); return true; })()`)
	ask[bool](p, checker+"; true")
	for _, on := range screens {
		p.on(on)
		for _, f := range p.check(on) {
			t.Errorf("%v: %v", on, f)
		}
		if wide := ask[int](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
			t.Errorf("%v: %d px too wide", on, wide)
		}
	}
}

// The same without reception: answers that wait, a page that was kept, one that
// was not; and afterwards what was done.
func TestAccessibilityWithoutReception(t *testing.T) {
	checker := axe(t)
	h := newHome(t, func(h *home) { h.with = (*home).abroad })
	p := newPhone(t)
	flush, feed := h.due("C-001", care.Flushing), h.due("C-001", care.Feeding)
	p.goTo(h.url("/"))
	p.readyForNoReception()
	h.stop()
	p.tap(flush, "Flushed")
	p.struck(flush, "not sent yet")
	p.do(chromedp.Reload())
	p.says("No reception: showing the round of")
	p.tap(feed, "not growing")
	p.says("2 entries are kept on this device")
	p.inspect(t, checker)
	p.goTo(h.url("/settings"))
	p.says("Not kept for times without reception")
	p.inspect(t, checker)
	h.start()
	p.goTo(h.url("/"))
	p.until(`document.getElementById("outbox").hidden && document.getElementById("done").innerText.includes("flushed")`)
	p.inspect(t, checker)
}

// The checker finds what is wrong: a field nobody names, words as pale as the
// paper in either light, a page wider than the screen.
func TestCheckerFindsWhatIsWrong(t *testing.T) {
	checker := axe(t)
	h := newHome(t)
	p := newPhone(t)
	p.goTo(h.url("/certificate"))
	ask[bool](p, checker+"; true")
	for _, on := range screens {
		p.on(on)
		if found := p.check(on); len(found) > 0 {
			t.Fatalf("before anything is wrong: %v", found)
		}
	}
	inPage(`
		const pale = document.createElement("p");
		pale.textContent = "Hardly to be read";
		pale.style.color = "color-mix(in srgb, currentcolor 15%, var(--paper))";
		document.querySelector("main").append(pale, document.createElement("input"));`)(p)
	for _, on := range screens {
		p.on(on)
		var rules []string
		for _, f := range p.check(on) {
			rules = append(rules, f.Rule)
		}
		want := []string{"color-contrast", "label"}
		if on.dark {
			want = want[:1]
		}
		if slices.Sort(rules); !slices.Equal(rules, want) {
			t.Errorf("%v: found %v, want %v", on, rules, want)
		}
	}
}
