package plot

import (
	"fmt"
	"math"
	"slices"
)

// ClimatePicture shows the measured climate of a space against what its plants
// ask for: hour by hour with the nights shaded, or day by day over a season.
type ClimatePicture struct {
	ID                 string
	Title, Description string
	XMax               float64 // the axis runs from 0, in hours or in days
	Nights             []ClimateSpan
	Ticks              []ClimateTick
	Panels             []ClimatePanel
	Now                float64 // where measured ends and foreseen begins; drawn where it lies on the axis
}

// ClimateSpan is a part of the axis.
type ClimateSpan struct{ From, Until float64 }

// ClimateTick is a name below the axis.
type ClimateTick struct {
	X    float64
	Name string // empty: only a mark
}

// ClimatePanel is one quantity.
type ClimatePanel struct {
	Label string
	// Runs are measured without a gap.
	Runs []ClimateRun
	// Foreseen is what a forecast tells: broken lines, so that it is told from what
	// was measured without colour too.
	Foreseen []ClimateRun
	// Asked is what the plants ask for, in the order of the axis.
	Asked []ClimateAsked
	// FromZero lets the axis begin at zero.
	FromZero bool
}

// ClimateRun is a course with its range; all have the same length.
type ClimateRun struct{ X, Low, Value, High []float64 }

// ClimateAsked is what is asked for over a part of the axis: a band that suits
// all, and a wider one that suits some. A side that is open is infinite; where
// nothing suits all, Low lies above High.
type ClimateAsked struct {
	ClimateSpan
	Low, High         float64
	SomeLow, SomeHigh float64
}

const climateHeight = 92.0

// SVG returns the picture, or an error when a course cannot be drawn.
func (c ClimatePicture) SVG() (string, error) {
	if !(c.XMax > 0) || len(c.Panels) == 0 {
		return "", fmt.Errorf("plot: a climate over %g with %d panels", c.XMax, len(c.Panels))
	}
	for _, p := range c.Panels {
		for _, r := range slices.Concat(p.Runs, p.Foreseen) {
			if err := drawable(p.Label, r.X, r.Low, r.Value, r.High); err != nil {
				return "", err
			}
		}
	}
	s := &sheet{xMin: 0, xMax: c.XMax}
	const gap = 38.0
	s.begin("climate", c.ID, c.Title, c.Description, 22+float64(len(c.Panels))*(climateHeight+gap))
	top := 22.0
	for i, one := range c.Panels {
		low, high := one.axis()
		p := panel{s, top, climateHeight, low, high}
		for _, night := range c.Nights {
			from, until := s.x(night.From), s.x(night.Until)
			fmt.Fprintf(&s.b, `<rect class="night" x="%s" y="%s" width="%s" height="%s"/>`+"\n", num(from), num(p.top), num(until-from), num(p.height))
		}
		s.text(sheetLeft, p.top-8, "small", "start", one.Label)
		p.scale(4)
		one.asked(p)
		for _, r := range one.Runs {
			one.run(p, r)
		}
		for _, r := range one.Foreseen {
			one.foreseen(p, r)
		}
		if c.Now > 0 && c.Now < c.XMax {
			rule(&s.b, s.x(c.Now), p.top, s.x(c.Now), p.floor(), "today")
			if i == 0 {
				s.text(s.x(c.Now)+5, p.top+11, "small halo", "start", "now")
			}
		}
		for _, tick := range c.Ticks {
			rule(&s.b, s.x(tick.X), p.floor(), s.x(tick.X), p.floor()+3, "tick")
			if tick.Name != "" && i == len(c.Panels)-1 {
				s.text(s.x(tick.X), p.floor()+16, "small", "middle", tick.Name)
			}
		}
		top += climateHeight + gap
	}
	return s.end(), nil
}

// axis is the range of the vertical axis: what was measured and what is asked
// for, with a little room.
func (p *ClimatePanel) axis() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(v float64) {
		if !math.IsInf(v, 0) {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	for _, r := range slices.Concat(p.Runs, p.Foreseen) {
		for i := range r.X {
			take(r.Low[i])
			take(r.High[i])
		}
	}
	for _, a := range p.Asked {
		take(a.SomeLow)
		take(a.SomeHigh)
	}
	if low > high {
		low, high = 0, 1
	}
	room := math.Max(0.06*(high-low), 0.5)
	low, high = low-room, high+room
	if p.FromZero {
		low = 0
	}
	return low, math.Max(high, low+1)
}

// asked fills what the plants ask for, darker where it suits all of them, and
// draws the edges of that.
func (p *ClimatePanel) asked(on panel) {
	for _, a := range p.Asked {
		from, until := on.x(a.From), on.x(a.Until)
		for _, band := range [][2]float64{{a.SomeLow, a.SomeHigh}, {a.Low, a.High}} {
			low, high := math.Max(band[0], on.low), math.Min(band[1], on.high)
			if low < high {
				fmt.Fprintf(&on.b, `<rect class="band growth" x="%s" y="%s" width="%s" height="%s"/>`+"\n",
					num(from), num(on.y(high)), num(until-from), num(on.y(low)-on.y(high)))
			}
		}
		for _, edge := range []float64{a.Low, a.High} {
			if a.Low < a.High && !math.IsInf(edge, 0) {
				rule(&on.b, from, on.y(edge), until, on.y(edge), "edge")
			}
		}
	}
}

// at is what suits some at a place of the axis.
func (p *ClimatePanel) at(x float64) (low, high float64) {
	for _, a := range p.Asked {
		if x >= a.From && x <= a.Until {
			return a.SomeLow, a.SomeHigh
		}
	}
	return math.Inf(-1), math.Inf(1)
}

// run draws a measured course, what suits nobody in the colour of waiting.
func (p *ClimatePanel) run(on panel, r ClimateRun) {
	if len(r.X) == 1 { // a single point has no line
		fmt.Fprintf(&on.b, `<circle class="point" cx="%s" cy="%s" r="2.2"/>`+"\n", num(on.x(r.X[0])), num(on.y(r.Value[0])))
		return
	}
	on.band("plain", r.X, r.Low, r.High)
	on.line("plain", r.X, r.Value)
	_, outside := p.parted(r)
	for _, one := range outside {
		on.line("waiting", one.X, one.Value)
	}
}

// foreseen draws what a forecast tells in broken lines, its range by two finer
// ones where it has any.
func (p *ClimatePanel) foreseen(on panel, r ClimateRun) {
	if len(r.X) == 1 {
		fmt.Fprintf(&on.b, `<circle class="point open" cx="%s" cy="%s" r="2.2"/>`+"\n", num(on.x(r.X[0])), num(on.y(r.Value[0])))
		return
	}
	if !slices.Equal(r.Low, r.High) {
		on.line("plain foreseen range", r.X, r.Low)
		on.line("plain foreseen range", r.X, r.High)
	}
	inside, outside := p.parted(r)
	for _, one := range inside {
		on.line("plain foreseen", one.X, one.Value)
	}
	for _, one := range outside {
		on.line("waiting foreseen", one.X, one.Value)
	}
}

// parted splits a course into what suits some and what suits nobody, half-way
// between two points, so that a single hour shows too.
func (p *ClimatePanel) parted(r ClimateRun) (inside, outside []ClimateRun) {
	to := func(list []ClimateRun, x, y float64) {
		last := &list[len(list)-1]
		last.X, last.Value = append(last.X, x), append(last.Value, y)
	}
	before := false
	for i := range r.X {
		low, high := p.at(r.X[i])
		out := r.Value[i] < low || r.Value[i] > high
		here := &inside
		if out {
			here = &outside
		}
		if i == 0 || out != before {
			*here = append(*here, ClimateRun{})
		}
		if i > 0 && out != before {
			x, y := (r.X[i-1]+r.X[i])/2, (r.Value[i-1]+r.Value[i])/2
			there := inside
			if before {
				there = outside
			}
			to(there, x, y)
			to(*here, x, y)
		}
		to(*here, r.X[i], r.Value[i])
		before = out
	}
	// A course that leaves at its first or comes back at its last point only has
	// no line there.
	alone := func(one ClimateRun) bool { return len(one.X) < 2 }
	return slices.DeleteFunc(inside, alone), slices.DeleteFunc(outside, alone)
}
