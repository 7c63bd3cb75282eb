package plot_test

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"velamen/internal/plot"
)

func example() plot.Chart {
	days := []float64{0, 1, 2, 3, 4, 5}
	return plot.Chart{
		Title: "Pot <A&B>", Description: "Water falls between two flushes.", XLabel: "days", XMin: 0, XMax: 5,
		Panels: []plot.Panel{{
			Label: "water held, % of capacity", YMin: 0, YMax: 100,
			Bands:  []plot.Band{{Name: "range", Role: plot.Growth, X: days, Low: []float64{60, 45, 35, 60, 45, 35}, High: []float64{90, 80, 70, 90, 80, 70}}},
			Lines:  []plot.Line{{Name: "water", Role: plot.Growth, X: days, Y: []float64{80, 65, 50, 80, 65, 50}}},
			Limits: []plot.Limit{{Name: "roots dry", Y: 25}},
			Marks:  []plot.Mark{{Name: "flush, 300 mL", X: 0}, {Name: "flush, 300 mL", X: 3}},
		}},
	}
}

func TestSVGIsWellFormedAndSpeaks(t *testing.T) {
	svg, err := example().SVG()
	if err != nil {
		t.Fatal(err)
	}
	decoder := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
	}
	for _, want := range []string{`role="img"`, "<title id=\"t\">Pot &lt;A&amp;B&gt;</title>", "Water falls between two flushes.", "roots dry", "flush, 300 mL", "prefers-color-scheme:dark"} {
		if !strings.Contains(svg, want) {
			t.Errorf("picture lacks %q", want)
		}
	}
	again, _ := example().SVG()
	if again != svg {
		t.Error("the same chart gave different bytes")
	}
}

func TestUndrawableChartsAreRefused(t *testing.T) {
	for name, spoil := range map[string]func(*plot.Chart){
		"empty axis":      func(c *plot.Chart) { c.XMax = c.XMin },
		"no panel":        func(c *plot.Chart) { c.Panels = nil },
		"empty panel":     func(c *plot.Chart) { c.Panels[0].YMax = 0 },
		"lengths differ":  func(c *plot.Chart) { c.Panels[0].Lines[0].Y = []float64{1} },
		"not a number":    func(c *plot.Chart) { c.Panels[0].Lines[0].Y[2] = math.NaN() },
		"infinite band":   func(c *plot.Chart) { c.Panels[0].Bands[0].High[1] = math.Inf(1) },
		"no value at all": func(c *plot.Chart) { c.Panels[0].Lines[0] = plot.Line{Name: "x"} },
	} {
		c := example()
		spoil(&c)
		if svg, err := c.SVG(); err == nil || svg != "" {
			t.Errorf("%s: drawn without an error", name)
		}
	}
}

// Viewers without variables and media queries draw what the plain rules say.
func TestColoursStandInPlainRules(t *testing.T) {
	svg, err := example().SVG()
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(svg, "var(") {
		t.Error("a colour is a variable, which many viewers draw black")
	}
	light, _, found := strings.Cut(svg, "@media")
	for _, rule := range []string{"text{", ".paper{fill:#", ".growth{stroke:#", ".mark{stroke:#"} {
		if !found || !strings.Contains(light, rule) {
			t.Errorf("no plain rule %q before the dark colours", rule)
		}
	}
}

func TestNamesOfCloseLimitsStandApart(t *testing.T) {
	c := example()
	c.Panels[0].Limits = []plot.Limit{{Name: "first", Y: 25}, {Name: "second", Y: 27}}
	svg, err := c.SVG()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`text-anchor="end">first<`, `text-anchor="start">second<`} {
		if !strings.Contains(svg, want) {
			t.Errorf("picture lacks %q", want)
		}
	}
}

func TestLongTitlesAreCutButReadInFull(t *testing.T) {
	c := example()
	c.Title = strings.Repeat("bark ", 30)
	svg, err := c.SVG()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(svg, "…</text>") || !strings.Contains(svg, ">"+c.Title+"</title>") {
		t.Error("a long title is not cut, or not read in full")
	}
}

func TestTicksAreRoundAndInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1000, 1000).Draw(t, "low")
		high := low + rapid.Float64Range(0.01, 5000).Draw(t, "span")
		ticks := plot.Ticks(low, high, 5)
		if len(ticks) < 2 || len(ticks) > 7 {
			t.Fatalf("%d ticks from %v to %v", len(ticks), low, high)
		}
		for _, tick := range ticks {
			if tick == 0 && math.Signbit(tick) {
				t.Fatalf("a tick is minus zero from %v to %v", low, high)
			}
			if tick < low-1e-6 || tick > high+1e-6 {
				t.Fatalf("tick %v outside %v to %v", tick, low, high)
			}
		}
	})
}
