package plot

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// The pictures of a plant are as wide as a phone, so that their words are as
// large there as those around them; a wider screen enlarges them a little. They
// carry no colours: the page gives them through the same classes as those of a
// Chart.
const (
	sheetWidth = 360.0
	sheetLeft  = 38.0
	sheetRight = 8.0
	sheetLine  = 16.0 // height of a line of text
)

// sheet is a picture in the making.
type sheet struct {
	b          strings.Builder
	xMin, xMax float64
}

// begin opens a picture. id keeps the names of several pictures on one page
// apart.
func (s *sheet) begin(kind, id, title, description string, height float64) {
	fmt.Fprintf(&s.b, `<svg xmlns="http://www.w3.org/2000/svg" class="picture %s" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-t %s-d">`+"\n",
		kind, num(sheetWidth), num(height), id, id)
	fmt.Fprintf(&s.b, "<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n", id, html.EscapeString(title), id, html.EscapeString(description))
}

func (s *sheet) end() string {
	s.b.WriteString("</svg>\n")
	return s.b.String()
}

func (s *sheet) x(v float64) float64 {
	v = math.Max(s.xMin, math.Min(s.xMax, v))
	return sheetLeft + (v-s.xMin)/(s.xMax-s.xMin)*(sheetWidth-sheetLeft-sheetRight)
}

func (s *sheet) text(x, y float64, class, anchor, words string) {
	text(&s.b, x, y, class, anchor, words)
}

// panel is a part of a sheet with a vertical axis of its own.
type panel struct {
	*sheet
	top, height float64
	low, high   float64
}

func (p panel) y(v float64) float64 {
	v = math.Max(p.low, math.Min(p.high, v))
	return p.top + p.height - (v-p.low)/(p.high-p.low)*p.height
}

func (p panel) floor() float64 { return p.top + p.height }

// scale draws the vertical axis with about n lines.
func (p panel) scale(n int) {
	for _, tick := range Ticks(p.low, p.high, n) {
		rule(&p.b, sheetLeft, p.y(tick), sheetWidth-sheetRight, p.y(tick), "rule")
		p.text(sheetLeft-5, p.y(tick)+4.5, "small", "end", trim(tick))
	}
}

// across draws a level that matters, with its name.
func (p panel) across(v float64, name string) {
	rule(&p.b, sheetLeft, p.y(v), sheetWidth-sheetRight, p.y(v), "limit")
	at := p.y(v) - 4
	if at < p.top+sheetLine/2 {
		at = p.y(v) + sheetLine - 3
	}
	p.text(sheetWidth-sheetRight-3, at, "small halo", "end", name)
}

// line draws a curve. class is a role, perhaps with more behind it.
func (p panel) line(class string, x, y []float64) {
	p.b.WriteString(`<path class="line ` + class + `" d="`)
	for i := range x {
		p.b.WriteString(move(i) + num(p.x(x[i])) + " " + num(p.y(y[i])))
	}
	p.b.WriteString("\"/>\n")
}

// band fills what lies between two curves.
func (p panel) band(class string, x, low, high []float64) {
	p.b.WriteString(`<path class="band ` + class + `" d="`)
	for i := range x {
		p.b.WriteString(move(i) + num(p.x(x[i])) + " " + num(p.y(high[i])))
	}
	for i := len(x) - 1; i >= 0; i-- {
		p.b.WriteString("L" + num(p.x(x[i])) + " " + num(p.y(low[i])))
	}
	p.b.WriteString("Z\"/>\n")
}

// said is an area that tells something when it is pointed at or touched.
func (s *sheet) said(x, y, width, height float64, words string) {
	fmt.Fprintf(&s.b, `<rect class="said" x="%s" y="%s" width="%s" height="%s"><title>%s</title></rect>`+"\n",
		num(x), num(y), num(width), num(height), html.EscapeString(words))
}

// today draws the present day over panels from top to bottom.
func (s *sheet) today(x, top, bottom float64, word string) {
	if x < s.xMin || x > s.xMax {
		return
	}
	rule(&s.b, s.x(x), top, s.x(x), bottom, "today")
	anchor, shift := "start", 3.0
	if s.x(x) > sheetWidth-60 {
		anchor, shift = "end", -3
	}
	s.text(s.x(x)+shift, top+sheetLine-5, "small strong halo", anchor, word)
}
