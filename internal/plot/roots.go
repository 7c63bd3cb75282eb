package plot

import (
	"fmt"
	"math"
)

// RootsPicture shows the lengths of marked roots, each in a panel of its own,
// with the trend they follow and its band.
type RootsPicture struct {
	ID                 string
	Title, Description string
	Unit               string
	XMin, XMax         float64 // days since the repot
	Today              float64
	Roots              []RootCurve
}

// RootCurve is one root. Lengths are in the picture's unit.
type RootCurve struct {
	Name string // its mark and what it says
	Role Role
	Read []RootPoint

	// The trend, from the first reading that belongs to the present stretch of
	// growth to some days ahead. All four have the same length, or are empty.
	X, Low, Middle, High []float64
}

// RootPoint is one reading.
type RootPoint struct {
	X, Length, Error float64 // standard error
	Asked            bool    // set aside until the grower has answered
	Says             string
}

const rootHeight = 96.0

// SVG returns the picture, or an error when a curve cannot be drawn.
func (r RootsPicture) SVG() (string, error) {
	if !(r.XMax > r.XMin) || len(r.Roots) == 0 {
		return "", fmt.Errorf("plot: %d roots from day %g to %g", len(r.Roots), r.XMin, r.XMax)
	}
	for _, root := range r.Roots {
		for _, p := range root.Read {
			if err := drawable(root.Name, []float64{p.X}, []float64{p.Length}, []float64{p.Error}); err != nil {
				return "", err
			}
		}
		if len(root.X) > 0 {
			if err := drawable(root.Name+", trend", root.X, root.Low, root.Middle, root.High); err != nil {
				return "", err
			}
		}
	}
	s := &sheet{xMin: r.XMin, xMax: r.XMax}
	const head = 24.0
	step := head + rootHeight + 14
	height := float64(len(r.Roots))*step + 34
	s.begin("roots", r.ID, r.Title, r.Description, height)
	for i, root := range r.Roots {
		r.root(s, root, float64(i)*step+head)
	}
	floor := float64(len(r.Roots)-1)*step + head + rootHeight
	for _, day := range Ticks(s.xMin, s.xMax, 6) {
		rule(&s.b, s.x(day), floor, s.x(day), floor+4, "tick")
		s.text(s.x(day), floor+17, "small", "middle", trim(day))
	}
	s.text(sheetWidth-sheetRight, floor+33, "small", "end", "days since the repot")
	return s.end(), nil
}

func (r RootsPicture) root(s *sheet, root RootCurve, top float64) {
	low, high := math.Inf(1), math.Inf(-1)
	reach := func(from, to float64) { low, high = math.Min(low, from), math.Max(high, to) }
	for _, p := range root.Read {
		reach(p.Length-2*p.Error, p.Length+2*p.Error)
	}
	for i := range root.X {
		reach(root.Middle[i], root.Middle[i])
		reach(math.Max(root.Low[i], low-0.3*(high-low)), math.Min(root.High[i], high+0.3*(high-low)))
	}
	if !(high > low) {
		low, high = 0, 1
	}
	pad := 0.08 * (high - low)
	p := panel{s, top, rootHeight, math.Max(0, low-pad), high + pad}
	s.text(sheetLeft, top-8, "small strong", "start", root.Name)
	s.text(sheetWidth-sheetRight, top-8, "small", "end", r.Unit)
	p.scale(3)
	if len(root.X) > 0 {
		p.band(string(root.Role), root.X, root.Low, root.High)
		p.line(string(root.Role), root.X, root.Middle)
	}
	s.today(r.Today, top, p.floor(), "")
	for _, one := range root.Read {
		x, y := p.x(one.X), p.y(one.Length)
		rule(&s.b, x, p.y(one.Length-one.Error), x, p.y(one.Length+one.Error), "error")
		class := "point"
		if one.Asked {
			class = "point asked"
			s.text(x+7, y+5, "small strong halo", "start", "?")
		}
		fmt.Fprintf(&s.b, `<circle class="%s" cx="%s" cy="%s" r="4"/>`+"\n", class, num(x), num(y))
	}
	for _, one := range root.Read {
		s.said(p.x(one.X)-12, top, 24, rootHeight, one.Says)
	}
}
