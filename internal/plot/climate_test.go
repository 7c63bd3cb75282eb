package plot_test

import (
	"math"
	"strings"
	"testing"

	"velamen/internal/plot"
)

func flat(from, n int, value, spread float64) (r plot.ClimateRun) {
	for i := range n {
		r.X, r.Low, r.Value, r.High = append(r.X, float64(from+i)), append(r.Low, value-spread), append(r.Value, value), append(r.High, value+spread)
	}
	return r
}

// What is foreseen is told from what was measured by broken lines, without its
// colour; what suits nobody is drawn apart, and the time now stands between them.
func TestForecastsAreDrawnApart(t *testing.T) {
	dip := flat(24, 24, 15, 0)
	dip.Low[6], dip.Value[6], dip.High[6] = 5, 5, 5
	asked := plot.ClimateAsked{ClimateSpan: plot.ClimateSpan{From: 0, Until: 48}, Low: 12, High: 20, SomeLow: 10, SomeHigh: math.Inf(1)}
	c := plot.ClimatePicture{ID: "c", Title: "t", XMax: 48, Now: 24, Panels: []plot.ClimatePanel{
		{Label: "temperature", Runs: []plot.ClimateRun{flat(0, 24, 16, 1)}, Foreseen: []plot.ClimateRun{dip}, Asked: []plot.ClimateAsked{asked}},
		{Label: "by day", Foreseen: []plot.ClimateRun{flat(24, 5, 9, 2), flat(40, 1, 9, 2)}},
	}}
	text, err := c.SVG()
	if err != nil {
		t.Fatal(err)
	}
	for what, n := range map[string]int{
		`"line plain"`:                1, // measured
		`"band plain"`:                1,
		`"line plain foreseen"`:       3, // before and after the dip, and the second panel
		`"line waiting foreseen"`:     1, // the dip, of one hour
		`"line plain foreseen range"`: 2,
		`"point open"`:                1,
		`class="today"`:               2,
		`>now<`:                       1,
	} {
		if got := strings.Count(text, what); got != n {
			t.Errorf("%s stands there %d times, want %d", what, got, n)
		}
	}
	c.Now = 0
	if text, _ := c.SVG(); strings.Contains(text, "now") {
		t.Error("a picture without a forecast tells of now")
	}
	c.Panels[1].Foreseen[0].Value[2] = math.NaN()
	if _, err := c.SVG(); err == nil {
		t.Error("a course that is no number was drawn")
	}
}
