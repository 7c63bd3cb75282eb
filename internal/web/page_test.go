package web

import (
	"testing"

	"github.com/jba/templatecheck"
)

// Every field a template names has to be there in its view.
func TestTemplatesMatchTheirViews(t *testing.T) {
	a, err := loadAssets()
	if err != nil {
		t.Fatal(err)
	}
	pages, err := parsePages(a)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range screens {
		if err := templatecheck.CheckHTML(pages[s.file], s.view); err != nil {
			t.Errorf("%s: %v", s.file, err)
		}
	}
}

// The check above must be able to fail.
func TestWrongFieldsAreSeen(t *testing.T) {
	a, err := loadAssets()
	if err != nil {
		t.Fatal(err)
	}
	pages, err := parsePages(a)
	if err != nil {
		t.Fatal(err)
	}
	if err := templatecheck.CheckHTML(pages["sign-in.html"], &errorView{}); err == nil {
		t.Error("a view without the page's fields passed")
	}
}

func TestEveryScreenOpens(t *testing.T) {
	b := newBench(t, withSample)
	for _, n := range navigation {
		b.get(n.path)
	}
}
