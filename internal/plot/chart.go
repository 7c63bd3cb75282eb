// Package plot draws the pictures of the domain as SVG: the pot as it dries and
// is flushed, and the course as it falls and rises.
//
// A picture is a stack of panels over one common axis. It carries its own
// light and dark colours, a title and a description for those who cannot see
// it, and no script. The same input always gives the same bytes.
package plot

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
)

// Chart is one picture.
type Chart struct {
	Title       string // shown above and read aloud
	Description string // read aloud: what the picture shows, in a sentence
	XLabel      string // "days since the repot"
	XMin, XMax  float64
	XStep       float64 // distance of the ticks; 0 chooses one
	Panels      []Panel
}

// Panel is one set of curves over the common axis.
type Panel struct {
	Label      string // quantity and unit, "water held, % of capacity"
	YMin, YMax float64
	Bands      []Band
	Lines      []Line
	Limits     []Limit
	Marks      []Mark
}

// Role gives a curve its colour by what it means.
type Role string

// The roles: growth is green, waiting is copper, plain is ink.
const (
	Growth  Role = "growth"
	Waiting Role = "waiting"
	Plain   Role = "plain"
)

// Line is one curve; X and Y have the same length.
type Line struct {
	Name string
	Role Role
	X, Y []float64
}

// Band is the area between a low and a high curve.
type Band struct {
	Name      string
	Role      Role
	X         []float64
	Low, High []float64
}

// Limit is a level that matters, drawn across the panel.
type Limit struct {
	Name string
	Y    float64
}

// Mark is a moment that matters, drawn as a tick under the panel's floor.
type Mark struct {
	Name string
	X    float64
}

// The drawing's measures in user units; the picture scales to its place.
const (
	width        = 760.0
	left         = 62.0
	right        = 16.0
	top          = 64.0
	panelHeight  = 190.0
	panelGap     = 46.0
	bottom       = 46.0
	legendOffset = 12.0
	lineHeight   = 16.0
	titleRunes   = 68 // that fit above the picture in a wide font
)

// The colours stand in plain rules, light first: many viewers and converters of
// SVG know neither variables nor media queries and would draw all in black.
const style = `<style>
text{font:14px system-ui,sans-serif;fill:#23211d}
.title{font-size:17px;font-weight:600}
.small{font-size:13px}
.halo{paint-order:stroke;stroke:#faf7f0;stroke-width:4px;stroke-linejoin:round}
.paper{fill:#faf7f0}
.rule{stroke:#d8d1c2;stroke-width:1}
.line{fill:none;stroke-width:2;stroke-linejoin:round}
.growth{stroke:#2f6b45}.waiting{stroke:#a45f2b}.plain{stroke:#23211d}
.band{stroke:none;opacity:.22}
.band.growth{fill:#2f6b45}.band.waiting{fill:#a45f2b}.band.plain{fill:#23211d}
.limit{stroke:#23211d;stroke-width:1;stroke-dasharray:5 4}
.mark{stroke:#a45f2b;stroke-width:2}
@media (prefers-color-scheme:dark){
text{fill:#ece7dc}
.halo{stroke:#1d1c19}
.paper{fill:#1d1c19}
.rule{stroke:#423f38}
.growth{stroke:#7fc497}.waiting{stroke:#dd9a62}.plain{stroke:#ece7dc}
.band{stroke:none}
.band.growth{fill:#7fc497}.band.waiting{fill:#dd9a62}.band.plain{fill:#ece7dc}
.limit{stroke:#ece7dc}
.mark{stroke:#dd9a62}
}
</style>`

// SVG returns the picture, or an error when a curve is not drawable: lengths
// that differ, values that are not finite, or an empty axis.
func (c Chart) SVG() (string, error) {
	if err := c.check(); err != nil {
		return "", err
	}
	height := top + float64(len(c.Panels))*(panelHeight+panelGap) - panelGap + bottom
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-labelledby="t d">`+"\n",
		num(width), num(height), num(width), num(height))
	fmt.Fprintf(&b, "<title id=\"t\">%s</title>\n<desc id=\"d\">%s</desc>\n%s\n", html.EscapeString(c.Title), html.EscapeString(c.Description), style)
	fmt.Fprintf(&b, `<rect class="paper" width="%s" height="%s"/>`+"\n", num(width), num(height))
	text(&b, left, 24, "title", "start", shortened(c.Title))
	for i, p := range c.Panels {
		c.panel(&b, p, top+float64(i)*(panelHeight+panelGap), i == len(c.Panels)-1)
	}
	b.WriteString("</svg>\n")
	return b.String(), nil
}

func (c Chart) check() error {
	if !(c.XMax > c.XMin) {
		return fmt.Errorf("plot: horizontal axis from %g to %g is empty", c.XMin, c.XMax)
	}
	if len(c.Panels) == 0 {
		return fmt.Errorf("plot: no panel to draw")
	}
	for _, p := range c.Panels {
		if !(p.YMax > p.YMin) {
			return fmt.Errorf("plot: panel %q from %g to %g is empty", p.Label, p.YMin, p.YMax)
		}
		for _, l := range p.Lines {
			if err := drawable(p.Label+", "+l.Name, l.X, l.Y); err != nil {
				return err
			}
		}
		for _, band := range p.Bands {
			if err := drawable(p.Label+", "+band.Name, band.X, band.Low, band.High); err != nil {
				return err
			}
		}
	}
	return nil
}

func drawable(name string, columns ...[]float64) error {
	for _, column := range columns {
		if len(column) != len(columns[0]) || len(column) == 0 {
			return fmt.Errorf("plot: %s has columns of %d and %d values", name, len(columns[0]), len(column))
		}
		for i, v := range column {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("plot: %s, value %d is %g", name, i, v)
			}
		}
	}
	return nil
}

func (c Chart) x(v float64) float64 {
	return left + (v-c.XMin)/(c.XMax-c.XMin)*(width-left-right)
}

func (c Chart) panel(b *strings.Builder, p Panel, yTop float64, last bool) {
	y := func(v float64) float64 {
		v = math.Max(p.YMin, math.Min(p.YMax, v))
		return yTop + panelHeight - (v-p.YMin)/(p.YMax-p.YMin)*panelHeight
	}
	text(b, left, yTop-legendOffset, "small", "start", p.Label)
	legend(b, p, yTop-legendOffset)
	for _, tick := range Ticks(p.YMin, p.YMax, 5) {
		rule(b, left, y(tick), width-right, y(tick), "rule")
		text(b, left-8, y(tick)+5, "small", "end", trim(tick))
	}
	step := Ticks(c.XMin, c.XMax, 8)
	if c.XStep > 0 {
		step = multiples(c.XMin, c.XMax, c.XStep)
	}
	for _, tick := range step {
		rule(b, c.x(tick), yTop, c.x(tick), yTop+panelHeight, "rule")
		if last {
			text(b, c.x(tick), yTop+panelHeight+20, "small", "middle", trim(tick))
		}
	}
	if last {
		text(b, left+(width-left-right)/2, yTop+panelHeight+40, "small", "middle", c.XLabel)
	}
	for _, band := range p.Bands {
		b.WriteString(`<path class="band ` + string(band.Role) + `" d="`)
		for i := range band.X {
			b.WriteString(move(i) + num(c.x(band.X[i])) + " " + num(y(band.High[i])))
		}
		for i := len(band.X) - 1; i >= 0; i-- {
			b.WriteString("L" + num(c.x(band.X[i])) + " " + num(y(band.Low[i])))
		}
		b.WriteString("Z\"/>\n")
	}
	for i, limit := range p.Limits {
		rule(b, left, y(limit.Y), width-right, y(limit.Y), "limit")
		// Names of limits close to one another stand at opposite ends.
		if i%2 == 1 && math.Abs(y(limit.Y)-y(p.Limits[i-1].Y)) < lineHeight {
			text(b, left+4, y(limit.Y)-5, "small halo", "start", limit.Name)
			continue
		}
		text(b, width-right-4, y(limit.Y)-5, "small halo", "end", limit.Name)
	}
	for _, l := range p.Lines {
		b.WriteString(`<path class="line ` + string(l.Role) + `" d="`)
		for i := range l.X {
			b.WriteString(move(i) + num(c.x(l.X[i])) + " " + num(y(l.Y[i])))
		}
		b.WriteString("\"/>\n")
	}
	for _, m := range p.Marks {
		fmt.Fprintf(b, `<line class="mark" x1="%s" y1="%s" x2="%s" y2="%s"><title>%s</title></line>`+"\n",
			num(c.x(m.X)), num(yTop+panelHeight), num(c.x(m.X)), num(yTop+panelHeight+8), html.EscapeString(m.Name))
	}
}

// legend names the curves of a panel that has more than one.
func legend(b *strings.Builder, p Panel, y float64) {
	if len(p.Lines)+len(p.Bands) < 2 {
		return
	}
	at := width - right
	write := func(name string, role Role) {
		if name == "" {
			return
		}
		text(b, at, y, "small", "end", name)
		at -= 7.2*float64(len([]rune(name))) + 10
		rule(b, at-18, y-5, at, y-5, "line "+string(role))
		at -= 34
	}
	for i := len(p.Lines) - 1; i >= 0; i-- {
		write(p.Lines[i].Name, p.Lines[i].Role)
	}
	for i := len(p.Bands) - 1; i >= 0; i-- {
		write(p.Bands[i].Name, p.Bands[i].Role)
	}
}

func rule(b *strings.Builder, x1, y1, x2, y2 float64, class string) {
	fmt.Fprintf(b, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`+"\n", class, num(x1), num(y1), num(x2), num(y2))
}

func text(b *strings.Builder, x, y float64, class, anchor, s string) {
	fmt.Fprintf(b, `<text class="%s" x="%s" y="%s" text-anchor="%s">%s</text>`+"\n", class, num(x), num(y), anchor, html.EscapeString(s))
}

// shortened cuts a title that would run out of the picture; the full one is
// read aloud.
func shortened(title string) string {
	if runes := []rune(title); len(runes) > titleRunes {
		return string(runes[:titleRunes-1]) + "…"
	}
	return title
}

func move(i int) string {
	if i == 0 {
		return "M"
	}
	return "L"
}

// num writes a coordinate; a tenth of a user unit is finer than any screen.
func num(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// trim writes a tick's value without needless zeros.
func trim(v float64) string { return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64) }

// Ticks returns about n round values from low to high: multiples of 1, 2 or 5
// times a power of ten.
func Ticks(low, high float64, n int) []float64 {
	raw := (high - low) / float64(n)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	step := 10 * power
	for _, m := range []float64{1, 2, 5} {
		if raw <= m*power*1.0000001 {
			step = m * power
			break
		}
	}
	return multiples(low, high, step)
}

func multiples(low, high, step float64) []float64 {
	var ticks []float64
	// Adding zero turns a negative zero into zero.
	for i := math.Ceil(low/step-1e-9) + 0; i*step <= high+step*1e-9; i++ {
		ticks = append(ticks, i*step)
	}
	return ticks
}
