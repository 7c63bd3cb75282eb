package web

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
)

// element is one element of a page as it was sent.
type element struct {
	name     string
	attr     map[string]string
	text     string // of itself and everything inside
	children []*element
	parent   *element
}

// parsePage reads a page into a tree. Unbalanced tags are an error: the pages
// are written so that both kinds of parser read them.
func parsePage(t *testing.T, page string) *element {
	t.Helper()
	in := xml.NewDecoder(strings.NewReader(page))
	in.Strict, in.AutoClose, in.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	root := &element{}
	here := root
	for {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("the page is not well formed: %v\n%s", err, page)
		}
		switch token := token.(type) {
		case xml.StartElement:
			e := &element{name: token.Name.Local, attr: map[string]string{}, parent: here}
			for _, a := range token.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			here.children = append(here.children, e)
			here = e
		case xml.EndElement:
			if here.name != token.Name.Local {
				t.Fatalf("</%s> closes <%s>", token.Name.Local, here.name)
			}
			here = here.parent
		case xml.CharData:
			for e := here; e != nil; e = e.parent {
				e.text += string(token)
			}
		}
	}
	if here != root {
		t.Fatalf("<%s> is never closed", here.name)
	}
	return root
}

// all returns the elements with a name, in order.
func (e *element) all(name string) []*element {
	var list []*element
	for _, c := range e.children {
		if c.name == name {
			list = append(list, c)
		}
		list = append(list, c.all(name)...)
	}
	return list
}

// byID returns the element with an id, or nil.
func (e *element) byID(id string) *element {
	for _, c := range e.children {
		if c.attr["id"] == id {
			return c
		}
		if found := c.byID(id); found != nil {
			return found
		}
	}
	return nil
}

func (e *element) inside(name string) bool {
	for p := e.parent; p != nil; p = p.parent {
		if p.name == name {
			return true
		}
	}
	return false
}

func (e *element) walk(f func(*element)) {
	for _, c := range e.children {
		f(c)
		c.walk(f)
	}
}

// checkPage reports what is wrong with a page for those who cannot see it, have
// no JavaScript, or keep a strict policy.
func checkPage(t *testing.T, path, page string) *element {
	t.Helper()
	root := parsePage(t, page)
	for _, fault := range faultsOf(root) {
		t.Errorf("%s: %s", path, fault)
	}
	return root
}

func faultsOf(root *element) []string {
	var faults []string
	bad := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	if n := len(root.all("h1")); n != 1 {
		bad("%d headings of the first rank", n)
	}
	if n := len(root.all("main")); n != 1 {
		bad("%d main parts", n)
	}
	if title := root.all("title"); len(title) == 0 || strings.TrimSpace(title[0].text) == "" {
		bad("no title")
	}
	ids := map[string]int{}
	root.walk(func(e *element) {
		if id := e.attr["id"]; id != "" {
			ids[id]++
		}
	})
	for id, n := range ids {
		if n > 1 {
			bad("id %q is given %d times", id, n)
		}
	}
	root.walk(func(e *element) {
		for name := range e.attr {
			if name == "style" || strings.HasPrefix(name, "on") {
				bad("<%s> has an inline %s, which the policy blocks", e.name, name)
			}
		}
		for _, name := range []string{"aria-describedby", "aria-labelledby", "for"} {
			for id := range strings.FieldsSeq(e.attr[name]) {
				if ids[id] == 0 {
					bad("<%s %s> points at %q, which is not there", e.name, name, id)
				}
			}
		}
		checkElement(root, e, bad)
	})
	return faults
}

func checkElement(root, e *element, bad func(string, ...any)) {
	switch e.name {
	case "style":
		bad("an inline style sheet, which the policy blocks")
	case "script":
		if e.attr["src"] == "" || strings.TrimSpace(e.text) != "" {
			bad("an inline script, which the policy blocks")
		}
	case "img":
		if _, ok := e.attr["alt"]; !ok {
			bad("the picture %s has no text in its place", e.attr["src"])
		}
	case "a", "button", "summary":
		if strings.TrimSpace(e.text) == "" && e.attr["aria-label"] == "" {
			bad("a <%s> without text", e.name)
		}
	case "form":
		if !slices.Contains([]string{"get", "post"}, e.attr["method"]) || !strings.HasPrefix(e.attr["action"], "/") {
			bad("a form with method %q and action %q", e.attr["method"], e.attr["action"])
		}
		if len(e.all("button")) == 0 {
			bad("the form to %s cannot be sent without JavaScript", e.attr["action"])
		}
	case "input", "select", "textarea":
		if e.attr["type"] == "hidden" || e.inside("label") || e.attr["aria-label"] != "" {
			return
		}
		labelled := slices.ContainsFunc(root.all("label"), func(l *element) bool { return e.attr["id"] != "" && l.attr["for"] == e.attr["id"] })
		if !labelled {
			bad("the field %s has no label", e.attr["name"])
		}
	}
}

// The check must be able to fail.
func TestPageCheckSeesFaults(t *testing.T) {
	page := func(body string) *element {
		return parsePage(t, "<html><head><title>x</title></head><body><main><h1>x</h1>"+body+"</main></body></html>")
	}
	if faults := faultsOf(page("<p>nothing wrong</p>")); len(faults) > 0 {
		t.Fatalf("faults in a good page: %v", faults)
	}
	for _, c := range []struct{ fault, body string }{
		{"inline style", `<p style="color:red">x</p>`},
		{"handler", `<button onclick="x()">x</button>`},
		{"inline script", `<script>x()</script>`},
		{"style element", `<style>p{}</style>`},
		{"unlabelled field", `<form method="post" action="/x"><input name="a"><button>x</button></form>`},
		{"form without button", `<form method="post" action="/x"></form>`},
		{"form to elsewhere", `<form method="post" action="https://example.org"><button>x</button></form>`},
		{"two of one id", `<p id="a"></p><p id="a"></p>`},
		{"dangling description", `<p aria-describedby="nothing"></p>`},
		{"picture without text", `<img src="/x">`},
		{"empty link", `<a href="/x"></a>`},
		{"second heading", `<h1>y</h1>`},
	} {
		if len(faultsOf(page(c.body))) == 0 {
			t.Errorf("%s: no fault was seen", c.fault)
		}
	}
}
