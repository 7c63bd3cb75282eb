package plot

import (
	"fmt"
	"math"
)

// CoursePicture is a recovery week by week: how much of the usual care the plant
// gets, falling and rising, with the humidity and the rhythm of flushes that go
// with it.
type CoursePicture struct {
	ID                 string // of the picture on its page
	Title, Description string
	Weeks              []CourseWeek
	Today              float64 // day since the repot
}

// CourseWeek is one week of a course.
type CourseWeek struct {
	FromDay, ToDay   int
	Stage            string
	Low, Value, High float64 // share of the usual care, 0 to 1
	DayRH, NightRH   float64 // %
	FlushDays        int     // between two flushes
	Says             string  // told when the week is touched
}

const (
	stageRows     = 3
	factorHeight  = 150.0
	airHeight     = 84.0
	rhythmHeight  = 22.0
	betweenPanels = 30.0
)

// SVG returns the picture, or an error when the weeks cannot be drawn.
func (c CoursePicture) SVG() (string, error) {
	if len(c.Weeks) == 0 {
		return "", fmt.Errorf("plot: a course without weeks")
	}
	lowest := 100.0
	for i, w := range c.Weeks {
		columns := []float64{w.Low, w.Value, w.High, w.DayRH, w.NightRH}
		if err := drawable(fmt.Sprintf("week %d", i), columns); err != nil {
			return "", err
		}
		if w.ToDay < w.FromDay || w.FlushDays < 1 {
			return "", fmt.Errorf("plot: week %d runs from day %d to %d with a flush every %d days", i, w.FromDay, w.ToDay, w.FlushDays)
		}
		lowest = math.Min(lowest, math.Min(w.DayRH, w.NightRH))
	}
	s := &sheet{xMin: float64(c.Weeks[0].FromDay), xMax: float64(c.Weeks[len(c.Weeks)-1].ToDay + 1)}
	stages := sheetLine + 6.0
	factor := panel{s, stages + stageRows*sheetLine + 4, factorHeight, 0, 100}
	air := panel{s, factor.floor() + betweenPanels, airHeight, math.Floor(lowest/20) * 20, 100}
	rhythm := air.floor() + betweenPanels
	axis := rhythm + rhythmHeight
	s.begin("course", c.ID, c.Title, c.Description, axis+38)

	s.text(sheetLeft, sheetLine-2, "small", "start", "share of the usual care, %")
	factor.scale(4)
	c.stages(s, stages, axis)
	c.factor(factor)
	s.text(sheetLeft, air.top-8, "small", "start", "humidity to keep, %")
	air.scale(3)
	c.air(air)
	c.rhythm(s, rhythm)
	c.axis(s, axis)
	s.today(c.Today, factor.top, axis, "today")
	for _, w := range c.Weeks {
		from, to := s.x(float64(w.FromDay)), s.x(float64(w.ToDay+1))
		s.said(from, factor.top, to-from, axis-factor.top, w.Says)
	}
	return s.end(), nil
}

// steps turns weekly figures into a line of steps.
func (c CoursePicture) steps(of func(CourseWeek) float64) (x, y []float64) {
	for _, w := range c.Weeks {
		x = append(x, float64(w.FromDay), float64(w.ToDay+1))
		y = append(y, of(w), of(w))
	}
	return x, y
}

func (c CoursePicture) factor(p panel) {
	x, low := c.steps(func(w CourseWeek) float64 { return 100 * w.Low })
	_, high := c.steps(func(w CourseWeek) float64 { return 100 * w.High })
	_, value := c.steps(func(w CourseWeek) float64 { return 100 * w.Value })
	p.band("growth", x, low, high)
	p.line("growth", x, value)
	for _, w := range c.Weeks {
		if c.Today >= float64(w.FromDay) && c.Today < float64(w.ToDay+1) {
			fmt.Fprintf(&p.b, `<circle class="here" cx="%s" cy="%s" r="5"/>`+"\n", num(p.x(c.Today)), num(p.y(100*w.Value)))
		}
	}
}

// stages draws where each stage begins, its name above. Names stand on three
// lines, so that short stages do not run into each other.
func (c CoursePicture) stages(s *sheet, top, bottom float64) {
	row, before := 0, ""
	for _, w := range c.Weeks {
		if w.Stage == before {
			continue
		}
		x := s.x(float64(w.FromDay))
		y := top + float64(row%stageRows)*sheetLine
		rule(&s.b, x, y, x, bottom, "stage")
		anchor, shift := "start", 4.0
		if x+7.5*float64(len(w.Stage)) > sheetWidth {
			anchor, shift = "end", -4
		}
		s.text(x+shift, y+sheetLine-5, "small halo", anchor, w.Stage)
		row, before = row+1, w.Stage
	}
}

// air draws the humidity by day and by night; their names stand at the start,
// the higher one above.
func (c CoursePicture) air(p panel) {
	x, day := c.steps(func(w CourseWeek) float64 { return w.DayRH })
	_, night := c.steps(func(w CourseWeek) float64 { return w.NightRH })
	p.line("waiting", x, day)
	p.line("plain", x, night)
	above, below := "night", "day"
	if day[0] > night[0] {
		above, below = below, above
	}
	up, down := p.y(math.Max(day[0], night[0])), p.y(math.Min(day[0], night[0]))
	if up-5-sheetLine < p.top {
		// No room above: both stand below, one behind the other.
		p.text(sheetLeft+4, down+sheetLine-3, "small halo", "start", above+", "+below)
		return
	}
	p.text(sheetLeft+4, up-5, "small halo", "start", above)
	p.text(sheetLeft+4, down+sheetLine-3, "small halo", "start", below)
}

// rhythm draws one mark for each flush, and how many days lie between two
// wherever that changes.
func (c CoursePicture) rhythm(s *sheet, top float64) {
	s.text(sheetLeft, top-8, "small", "start", "a flush every … days")
	before, end := 0, 0.0
	for _, w := range c.Weeks {
		if w.FlushDays != before {
			if x := s.x(float64(w.FromDay)) + 2; x >= end {
				words := fmt.Sprint(w.FlushDays)
				s.text(x, top+9, "small strong", "start", words)
				end = x + 8*float64(len(words)) + 4
			}
			before = w.FlushDays
		}
	}
	next := c.Weeks[0].FromDay
	for _, w := range c.Weeks {
		for ; next <= w.ToDay; next += w.FlushDays {
			x := s.x(float64(next))
			rule(&s.b, x, top+13, x, top+rhythmHeight, "mark")
		}
	}
}

// axis draws the weeks since the repot.
func (c CoursePicture) axis(s *sheet, y float64) {
	rule(&s.b, sheetLeft, y, sheetWidth-sheetRight, y, "rule")
	for _, week := range Ticks(s.xMin/7, s.xMax/7, 7) {
		if week == math.Trunc(week) {
			rule(&s.b, s.x(7*week), y, s.x(7*week), y+4, "tick")
			s.text(s.x(7*week), y+17, "small", "middle", trim(week))
		}
	}
	s.text(sheetWidth-sheetRight, y+33, "small", "end", "weeks since the repot")
}
