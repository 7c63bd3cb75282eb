package plot_test

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"velamen/internal/plot"
)

func TestSeasonsAreDrawn(t *testing.T) {
	curve := func(name string, n int) plot.SeasonCurve {
		c := plot.SeasonCurve{Name: name, Measured: name == "sill & shelf"}
		for i := range n {
			v := 5 + float64(i%7)
			c.Low, c.Value, c.High, c.Says = append(c.Low, v-1), append(c.Value, v), append(c.High, v+2), append(c.Says, "a <week>")
		}
		return c
	}
	p := plot.SeasonPicture{ID: "s", Title: "Light", Description: "A year", From: time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC), Spots: []plot.SeasonCurve{curve("sill & shelf", 53), curve("floor", 53)}}
	svg, err := p.SVG()
	if err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"sill &amp; shelf", "line growth", "line waiting", "Dec", "a &lt;week&gt;"} {
		if !strings.Contains(svg, want) {
			t.Errorf("the picture has no %q", want)
		}
	}
	p.Spots[1].Says = nil
	if _, err := p.SVG(); err == nil {
		t.Error("a curve without sentences was drawn")
	}
	if _, err := (plot.SeasonPicture{}).SVG(); err == nil {
		t.Error("a season without spots was drawn")
	}
}
