package e2e

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// With -shots every page is drawn in every state, for people to look at:
//
//	go test ./e2e -run TestPictures -shots /tmp/pages
var shots = flag.String("shots", "", "folder into which pictures of all pages go")

// screen is how large a page is shown, and in which light.
type screen struct {
	width int64
	dark  bool
}

func (s screen) String() string {
	light := "light"
	if s.dark {
		light = "dark"
	}
	return fmt.Sprintf("%d-%s", s.width, light)
}

var screens = []screen{{390, false}, {390, true}, {1280, false}, {1280, true}}

// on shows the pages on another screen.
func (p *phone) on(s screen) {
	p.t.Helper()
	scheme := "light"
	if s.dark {
		scheme = "dark"
	}
	p.do(chromedp.EmulateViewport(s.width, 844))
	if _, err := chromedp.Call(p.tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	}); err != nil {
		p.t.Fatal(err)
	}
	p.until(fmt.Sprintf(`innerWidth === %d && matchMedia("(prefers-color-scheme: %s)").matches`, s.width, scheme))
}

func TestPictures(t *testing.T) {
	if *shots == "" {
		t.Skip("no folder for pictures was named with -shots")
	}
	if err := os.MkdirAll(*shots, 0o755); err != nil {
		t.Fatal(err)
	}
	visit(t, func(t *testing.T, p *phone, name string) {
		for _, on := range screens {
			p.on(on)
			p.draw(filepath.Join(*shots, fmt.Sprintf("%s_%v.png", name, on)))
		}
	})
}

// draw makes a picture of the whole page.
func (p *phone) draw(path string) {
	p.t.Helper()
	height := ask[float64](p, `document.documentElement.scrollHeight`)
	width := ask[float64](p, `innerWidth`)
	beyond := true
	answer, err := chromedp.Call(p.tab, page.CaptureScreenshot, page.CaptureScreenshotParams{
		CaptureBeyondViewport: &beyond, Clip: &page.Viewport{Width: width, Height: min(height, 9000), Scale: 1},
	})
	if err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(path, answer.Data, 0o644); err != nil {
		p.t.Fatal(err)
	}
}
