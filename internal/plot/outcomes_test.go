package plot_test

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"velamen/internal/plot"
)

func stepsExample() plot.StepsPicture {
	return plot.StepsPicture{ID: "between", Title: "Roots <by day>", Description: "Half by day 21.", XMax: 60,
		Curves: []plot.StepCurve{{Role: plot.Growth, Spans: []plot.StepSpan{{From: 14, To: 21, Before: 0, After: 0.5}, {From: 30, To: 30, Before: 0.5, After: 0.8}},
			Band: []plot.StepBand{{Day: 21, Low: 0.2, High: 0.8}, {Day: 30, Low: 0.5, High: 1}}}},
		Says: []plot.StepSays{{From: 14, To: 21, Says: "by day 21: 50 %"}}}
}

func stackExample() plot.StackPicture {
	return plot.StackPicture{ID: "ends", Title: "How they went", Description: "Most rooted.", XMax: 60, Days: []float64{0, 21, 40}, Parts: []plot.StackPart{
		{Name: "growing root", Class: "growth", Shares: []float64{0, 0.5, 0.7}}, {Name: "not yet", Class: "rest", Shares: []float64{1, 0.5, 0.1}}, {Name: "died", Class: "waiting", Shares: []float64{0, 0, 0.2}},
	}}
}

// Pictures of outcomes are well formed, say what they show, and keep within their
// frame; what cannot be drawn is an error.
func TestPicturesOfOutcomes(t *testing.T) {
	steps, err := stepsExample().SVG()
	if err != nil {
		t.Fatal(err)
	}
	stack, err := stackExample().SVG()
	if err != nil {
		t.Fatal(err)
	}
	for _, svg := range []string{steps, stack} {
		for d := xml.NewDecoder(strings.NewReader(svg)); ; {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%v\n%s", err, svg)
			}
		}
		for _, want := range []string{`role="img"`, "<title", "<desc", "days since the repot"} {
			if !strings.Contains(svg, want) {
				t.Errorf("the picture lacks %q", want)
			}
		}
	}
	// One shaded step, and a level line on either side of it.
	if n := strings.Count(steps, `class="band growth open"`); n != 1 {
		t.Errorf("%d shaded steps, want one", n)
	}
	if n := strings.Count(stack, `class="band part `); n != 3 {
		t.Errorf("%d areas, want three", n)
	}
	wrong := stepsExample()
	wrong.Curves[0].Spans[0].After = math.NaN()
	if _, err := wrong.SVG(); err == nil {
		t.Error("a share that is no number is drawn")
	}
	short := stackExample()
	short.Parts[0].Shares = short.Parts[0].Shares[:1]
	if _, err := short.SVG(); err == nil {
		t.Error("shares that are too few are drawn")
	}
	if _, err := (plot.StepsPicture{XMax: 9}).SVG(); err == nil {
		t.Error("a picture of nothing is drawn")
	}
}
