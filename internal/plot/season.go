package plot

import (
	"fmt"
	"math"
	"time"
)

// SeasonPicture shows the light of spots over the year to come, each in a panel
// of its own on one common scale.
type SeasonPicture struct {
	ID                 string
	Title, Description string
	From               time.Time
	Spots              []SeasonCurve
}

// SeasonCurve is the light of one spot week by week, mol m⁻² day⁻¹; the three
// have the same length.
type SeasonCurve struct {
	Name             string
	Measured         bool // rests on a reading
	Low, Value, High []float64
	Says             []string // of each week
}

const seasonHeight = 92.0

// SVG returns the picture, or an error when a curve cannot be drawn.
func (p SeasonPicture) SVG() (string, error) {
	if len(p.Spots) == 0 {
		return "", fmt.Errorf("plot: a season without a spot")
	}
	most, weeks := 1.0, len(p.Spots[0].Value)
	for _, c := range p.Spots {
		if len(c.Value) != weeks || len(c.Says) != weeks || weeks < 2 {
			return "", fmt.Errorf("plot: %s has %d weeks and %d sentences, expected %d", c.Name, len(c.Value), len(c.Says), weeks)
		}
		if err := drawable(c.Name, c.Low, c.Value, c.High); err != nil {
			return "", err
		}
		for i := range c.Value {
			most = math.Max(most, math.Min(c.High[i], 2*c.Value[i]))
		}
	}
	s := &sheet{xMin: 0, xMax: float64(weeks - 1)}
	const head = 24.0
	step := head + seasonHeight + 12
	s.begin("season", p.ID, p.Title, p.Description, float64(len(p.Spots))*step+26)
	x := make([]float64, weeks)
	for i := range x {
		x[i] = float64(i)
	}
	for i, c := range p.Spots {
		top := float64(i)*step + head
		in := panel{s, top, seasonHeight, 0, most}
		s.text(sheetLeft, top-8, "small strong", "start", c.Name)
		s.text(sheetWidth-sheetRight, top-8, "small", "end", "mol/m²/day")
		in.scale(3)
		role := string(Waiting)
		if c.Measured {
			role = string(Growth)
		}
		in.band(role, x, c.Low, c.High)
		in.line(role, x, c.Value)
		width := (sheetWidth - sheetLeft - sheetRight) / float64(weeks)
		for w, says := range c.Says {
			s.said(in.x(x[w])-width/2, top, width, seasonHeight, says)
		}
	}
	floor := float64(len(p.Spots)-1)*step + head + seasonHeight
	for month := time.Date(p.From.Year(), p.From.Month()+1, 1, 0, 0, 0, 0, p.From.Location()); ; month = month.AddDate(0, 2, 0) {
		week := month.Sub(p.From).Hours() / (7 * 24)
		if week > s.xMax {
			break
		}
		rule(&s.b, s.x(week), floor, s.x(week), floor+4, "tick")
		s.text(s.x(week), floor+17, "small", "middle", month.Format("Jan"))
	}
	return s.end(), nil
}
