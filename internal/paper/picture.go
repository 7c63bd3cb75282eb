package paper

import (
	"fmt"

	"codeberg.org/go-pdf/fpdf"
)

// picture draws the course as a band: the share of the usual care week by week,
// its range in gray.
func (d Sheet) picture(c *column) {
	last := d.lastWeek()
	weeks := d.Course.Weeks[:last+1]
	if len(weeks) < 2 {
		return
	}
	c.room(45 * c.s.scale)
	c.heading("The course: share of the usual care")
	s, p := c.s, c.s.pdf
	height := 26 * s.scale
	left, width := c.x+9, c.width-9
	at := func(week int, share float64) fpdf.PointType {
		return fpdf.PointType{X: left + width*float64(week)/float64(len(weeks)), Y: c.y + 1 + height*(1-share)}
	}
	var band []fpdf.PointType
	for i := range weeks {
		f := weeks[i].Targets.Factor.Value
		band = append(band, at(i, f.High), at(i+1, f.High))
	}
	for i := len(weeks) - 1; i >= 0; i-- {
		f := weeks[i].Targets.Factor.Value
		band = append(band, at(i+1, f.Low), at(i, f.Low))
	}
	p.SetFillColor(215, 215, 215)
	p.Polygon(band, "F")
	for _, share := range []float64{0, 0.5, 1} {
		y := at(0, share).Y
		s.rule(left, y, width)
		s.print(c.x, y+1, fmt.Sprintf("%.0f %%", 100*share), quietStyle)
	}
	p.SetDrawColor(0, 0, 0)
	p.SetLineWidth(0.5)
	for i := range weeks {
		f := weeks[i].Targets.Factor.Value.Value
		a, b := at(i, f), at(i+1, f)
		p.Line(a.X, a.Y, b.X, b.Y)
		if i > 0 {
			before := at(i, weeks[i-1].Targets.Factor.Value.Value)
			p.Line(a.X, before.Y, a.X, a.Y)
		}
	}
	if today := float64(d.Course.Day) / 7; d.Course.Day >= 0 && today <= float64(len(weeks)) {
		x := left + width*today/float64(len(weeks))
		p.SetLineWidth(0.25)
		p.SetDashPattern([]float64{0.8, 0.6}, 0)
		p.Line(x, c.y, x, c.y+1+height)
		p.SetDashPattern(nil, 0)
	}
	c.y += height + 2
	every := 1 + len(weeks)/7
	for i := 0; i < len(weeks); i += every {
		s.print(at(i, 0).X, c.y+0.76*s.line(quietStyle), weeks[i].From.Format("2 Jan"), quietStyle)
	}
	c.y += s.line(quietStyle)
}
