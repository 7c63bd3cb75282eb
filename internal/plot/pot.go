package plot

import (
	"fmt"
	"math"
	"time"
)

// PotPicture shows a pot or mount as it dries and is flushed: the water it holds
// and the salt in it, hour by hour.
type PotPicture struct {
	ID                 string
	Title, Description string
	Start              time.Time // midnight before the first hour
	Ahead              int       // hours that lie behind
	Water, Salt        HourBand  // % of what it holds; in SaltUnit
	SaltUnit           string
	Driest, Saltiest   float64 // the limits, in the same units; no driest one if 0
	Pours              []PourMark
}

// HourBand is an hourly course with its range; the three have the same length.
type HourBand struct{ Value, Low, High []float64 }

// PourMark is one flush, feed or wetting.
type PourMark struct {
	Hour float64 // since the start
	Fed  bool
	Says string
}

const potHeight = 118.0

// SVG returns the picture, or an error when a course cannot be drawn.
func (c PotPicture) SVG() (string, error) {
	hours := len(c.Water.Value)
	if hours < 2 {
		return "", fmt.Errorf("plot: a forecast of %d hours", hours)
	}
	if err := drawable("water", c.Water.Value, c.Water.Low, c.Water.High, c.Salt.Value, c.Salt.Low, c.Salt.High); err != nil {
		return "", err
	}
	s := &sheet{xMin: 0, xMax: float64(hours)}
	most := c.Saltiest
	for _, v := range c.Salt.Value {
		most = math.Max(most, v)
	}
	water := panel{s, 26, potHeight, 0, 100}
	salt := panel{s, water.floor() + 48, potHeight, 0, 1.15 * most}
	s.begin("pot", c.ID, c.Title, c.Description, salt.floor()+26)
	s.today(float64(c.Ahead), water.top, salt.floor(), "today")
	s.text(sheetLeft, water.top-10, "small", "start", "water, % of what it holds")
	water.scale(4)
	c.days(s, water, false)
	c.course(water, c.Water, "growth")
	if c.Driest > 0 {
		water.across(c.Driest, "roots too dry")
	}
	s.text(sheetLeft, salt.top-10, "small halo", "start", "salt in the pore water, "+c.SaltUnit)
	salt.scale(4)
	c.days(s, salt, true)
	c.course(salt, c.Salt, "waiting")
	salt.across(c.Saltiest, "flush whatever the day")
	for _, p := range c.Pours {
		if p.Hour >= 0 && p.Hour <= s.xMax {
			c.pour(s, p, water.floor())
		}
	}
	return s.end(), nil
}

// course draws one course, thinned to what a screen can show: the ends of every
// third hour and each hour before a jump.
func (c PotPicture) course(p panel, b HourBand, class string) {
	var x, low, value, high []float64
	n := len(b.Value)
	span := p.high - p.low
	for h := range n {
		jump := h+1 < n && math.Abs(b.Value[h+1]-b.Value[h]) > span/50 || h > 0 && math.Abs(b.Value[h]-b.Value[h-1]) > span/50
		if h%3 == 0 || h == n-1 || jump {
			x, low, value, high = append(x, float64(h+1)), append(low, b.Low[h]), append(value, b.Value[h]), append(high, b.High[h])
		}
	}
	p.band(class, x, low, high)
	p.line(class, x, value)
}

// days draws midnights, with as many dates as fit.
func (c PotPicture) days(s *sheet, p panel, dates bool) {
	const room = 46.0 // of a date, px
	days := int(s.xMax / 24)
	perDay := (sheetWidth - sheetLeft - sheetRight) / math.Max(1, float64(days))
	every := max(1, int(math.Ceil(room/perDay)))
	for d := 0; d <= days; d++ {
		x := s.x(24 * float64(d))
		if perDay > 5 {
			rule(&s.b, x, p.floor(), x, p.floor()+3, "tick")
		}
		if dates && d%every == 0 && x+20 < sheetWidth {
			s.text(x, p.floor()+17, "small", "middle", c.Start.AddDate(0, 0, d).Format("2 Jan"))
		}
	}
}

// pour draws a drop that falls onto the pot; one that carries feed is filled.
func (c PotPicture) pour(s *sheet, m PourMark, floor float64) {
	class := "pour"
	if m.Fed {
		class = "pour fed"
	}
	x, y := s.x(m.Hour), floor+5
	fmt.Fprintf(&s.b, `<path class="%s" d="M%s %sl3.5 6a4 4 0 1 1 -7 0Z"/>`+"\n", class, num(x), num(y))
	s.said(x-7, floor-2, 14, 22, m.Says)
}
