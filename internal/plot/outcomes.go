package plot

import (
	"fmt"
	"math"
)

// StepsPicture shows shares of plants by the days since the repot that change in
// steps: curves with their bands, and what cannot be known more closely than
// between two looks as shaded steps.
type StepsPicture struct {
	ID                 string
	Title, Description string
	XMax               float64 // days; the axis begins at the repot
	Curves             []StepCurve
	Says               []StepSays
}

// StepCurve is one share. Shares lie from 0 to 1.
type StepCurve struct {
	Name string // written beside it; empty where there is only one
	Role Role
	// Spans are what is known: the share between the days of a span, from the one
	// at its beginning to the one at its end. A span without width is a step.
	Spans []StepSpan
	// Band is the range at single days; between them the last one holds.
	Band []StepBand
}

// StepSpan is a share that changes somewhere between two days.
type StepSpan struct{ From, To, Before, After float64 }

// StepBand is the range of a share from a day on.
type StepBand struct{ Day, Low, High float64 }

// StepSays is what is told of a part of the axis.
type StepSays struct {
	From, To float64
	Says     string
}

const (
	stepsHeight = 190.0
	stepsHead   = 21.0
)

// SVG returns the picture, or an error when it cannot be drawn.
func (p StepsPicture) SVG() (string, error) {
	if !(p.XMax > 0) || len(p.Curves) == 0 {
		return "", fmt.Errorf("plot: %d curves up to day %g", len(p.Curves), p.XMax)
	}
	for _, c := range p.Curves {
		for _, span := range c.Spans {
			if err := drawable(c.Name, []float64{span.From, span.To, span.Before, span.After}); err != nil {
				return "", err
			}
		}
		for _, b := range c.Band {
			if err := drawable(c.Name+", band", []float64{b.Day, b.Low, b.High}); err != nil {
				return "", err
			}
		}
	}
	s := &sheet{xMin: 0, xMax: p.XMax}
	head := stepsHead
	for _, c := range p.Curves {
		if c.Name != "" {
			head += sheetLine
		}
	}
	s.begin("steps", p.ID, p.Title, p.Description, head+stepsHeight+36)
	one := panel{s, head, stepsHeight, 0, 100}
	p.names(s)
	one.scale(5)
	s.text(sheetLeft-5, head-11, "small", "end", "%")
	for _, c := range p.Curves {
		one.stepBand(c, p.XMax)
	}
	for _, c := range p.Curves {
		one.steps(c, p.XMax)
	}
	s.days(one.floor())
	for _, said := range p.Says {
		s.said(s.x(said.From), head, math.Max(2, s.x(said.To)-s.x(said.From)), stepsHeight, said.Says)
	}
	return s.end(), nil
}

// names writes which line is which; lines differ in their dashes too.
func (p StepsPicture) names(s *sheet) {
	y := stepsHead - 2.0
	for _, c := range p.Curves {
		if c.Name == "" {
			continue
		}
		rule(&s.b, sheetLeft, y-4, sheetLeft+26, y-4, "line "+string(c.Role))
		s.text(sheetLeft+32, y, "small", "start", fitting(c.Name, 44))
		y += sheetLine
	}
}

// fitting cuts words that would run out of the picture.
func fitting(words string, most int) string {
	if runes := []rune(words); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return words
}

// days draws the axis under the last panel.
func (s *sheet) days(floor float64) {
	for _, day := range Ticks(s.xMin, s.xMax, 6) {
		rule(&s.b, s.x(day), floor, s.x(day), floor+4, "tick")
		s.text(s.x(day), floor+17, "small", "middle", trim(day))
	}
	s.text(sheetWidth-sheetRight, floor+33, "small", "end", "days since the repot")
}

// stepBand fills the range of a curve in steps.
func (p panel) stepBand(c StepCurve, until float64) {
	if len(c.Band) == 0 {
		return
	}
	var x, low, high []float64
	for i, b := range c.Band {
		next := until
		if i+1 < len(c.Band) {
			next = c.Band[i+1].Day
		}
		if b.Day > until {
			break
		}
		x = append(x, b.Day, math.Min(next, until))
		low, high = append(low, 100*b.Low, 100*b.Low), append(high, 100*b.High, 100*b.High)
	}
	if len(x) > 0 {
		p.band(string(c.Role), x, low, high)
	}
}

// steps draws a curve: level where it is known, and a shaded step across the
// days between which it changes.
func (p panel) steps(c StepCurve, until float64) {
	day, share := 0.0, 0.0
	if len(c.Spans) > 0 {
		share = c.Spans[0].Before
	}
	var x, y []float64
	flush := func() {
		if len(x) > 1 {
			p.line(string(c.Role), x, y)
		}
		x, y = nil, nil
	}
	x, y = append(x, day), append(y, 100*share)
	for _, span := range c.Spans {
		if span.From > until {
			break
		}
		x, y = append(x, span.From), append(y, 100*span.Before)
		if to := math.Min(span.To, until); to > span.From {
			flush()
			p.band(string(c.Role)+" open", []float64{span.From, to}, []float64{100 * math.Min(span.Before, span.After), 100 * math.Min(span.Before, span.After)},
				[]float64{100 * math.Max(span.Before, span.After), 100 * math.Max(span.Before, span.After)})
			if span.To > until {
				return
			}
		}
		x, y = append(x, span.To), append(y, 100*span.After)
		share = span.After
	}
	x, y = append(x, until), append(y, 100*share)
	flush()
}

// StackPicture shows how plants ended by the days since the repot, as areas that
// lie on one another and fill the whole.
type StackPicture struct {
	ID                 string
	Title, Description string
	XMax               float64
	Days               []float64 // from which on the shares hold, rising, the first 0
	Parts              []StackPart
	Says               []StepSays
}

// StackPart is one ending; Shares are from 0 to 1, one for each of the days.
type StackPart struct {
	Name   string
	Class  string // growth, waiting, plain or rest
	Shares []float64
}

// SVG returns the picture, or an error when it cannot be drawn.
func (p StackPicture) SVG() (string, error) {
	if !(p.XMax > 0) || len(p.Days) == 0 || len(p.Parts) == 0 {
		return "", fmt.Errorf("plot: %d parts on %d days up to day %g", len(p.Parts), len(p.Days), p.XMax)
	}
	for _, part := range p.Parts {
		if err := drawable(part.Name, p.Days, part.Shares); err != nil {
			return "", err
		}
	}
	s := &sheet{xMin: 0, xMax: p.XMax}
	head := stepsHead + sheetLine
	s.begin("stack", p.ID, p.Title, p.Description, head+stepsHeight+36)
	one := panel{s, head, stepsHeight, 0, 100}
	at := sheetLeft
	for _, part := range p.Parts {
		fmt.Fprintf(&s.b, `<rect class="part %s" x="%s" y="%s" width="12" height="12"/>`+"\n", part.Class, num(at), num(stepsHead-11))
		s.text(at+17, stepsHead, "small", "start", part.Name)
		at += 17 + 7*float64(len([]rune(part.Name))) + 14
	}
	s.text(sheetLeft-5, head-11, "small", "end", "%")
	base := make([]float64, len(p.Days))
	for _, part := range p.Parts {
		var x, low, high []float64
		for i, day := range p.Days {
			next := p.XMax
			if i+1 < len(p.Days) {
				next = math.Min(p.XMax, p.Days[i+1])
			}
			if day >= p.XMax {
				break
			}
			x = append(x, day, next)
			low, high = append(low, 100*base[i], 100*base[i]), append(high, 100*(base[i]+part.Shares[i]), 100*(base[i]+part.Shares[i]))
			base[i] += part.Shares[i]
		}
		p.part(one, part.Class, x, low, high)
	}
	one.scale(5)
	s.days(one.floor())
	for _, said := range p.Says {
		s.said(s.x(said.From), head, math.Max(2, s.x(said.To)-s.x(said.From)), stepsHeight, said.Says)
	}
	return s.end(), nil
}

func (p StackPicture) part(on panel, class string, x, low, high []float64) {
	if len(x) == 0 {
		return
	}
	on.band("part "+class, x, low, high)
}
