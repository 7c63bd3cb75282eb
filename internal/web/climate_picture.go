package web

import (
	"context"
	"fmt"
	"html/template"
	"math"
	"time"

	"velamen/internal/care"
	"velamen/internal/plot"
)

// draw makes the picture of a span of time and says what it shows.
func (s *Server) draw(ctx context.Context, v *climateView, u care.Units, clock care.DayClock, span climateSpan, from, on time.Time, wants care.AirWants) error {
	c := plot.ClimatePicture{ID: "climate", Title: v.Title + ", " + v.When}
	temp := toUnit(u)
	if span.byDay {
		days, err := s.Book.Days(ctx, v.Space, from, on.AddDate(0, 0, 1))
		if err != nil {
			return err
		}
		seasonPicture(&c, days, from, span.days, wants, temp, temperatureName(u))
		v.sayDays(days, wants)
	} else {
		begin, end := clock.Begin(from), clock.Begin(on.AddDate(0, 0, 1))
		hours, err := s.Book.Hours(ctx, v.Space, begin, end)
		if err != nil {
			return err
		}
		hourPicture(&c, hours, clock, from, span.days, wants, temp, temperatureName(u))
		v.sayHours(hours, wants)
	}
	if len(c.Panels) == 0 {
		v.Nothing = "Nothing was measured here in this time."
		if !v.Measured {
			v.Nothing = "Nothing was measured here yet: the plan reckons with the usual climate of the space."
		}
		return nil
	}
	c.Description = "What was measured against what the plants ask for. " + v.Said
	text, err := c.SVG()
	v.Picture = template.HTML(text)
	return err
}

// toUnit turns °C into the grower's degrees.
func toUnit(u care.Units) func(float64) float64 {
	if u.Fahrenheit {
		return func(c float64) float64 { return c*1.8 + 32 }
	}
	return func(c float64) float64 { return c }
}

func temperatureName(u care.Units) string {
	if u.Fahrenheit {
		return "°F"
	}
	return "°C"
}

func same(v float64) float64 { return v }

// series gathers the points of a quantity into runs without gaps.
type series struct {
	runs []plot.ClimateRun
	last float64
	step float64 // distance of neighbours
}

func (g *series) add(x float64, s care.Spread, to func(float64) float64) {
	if !s.Known() {
		return
	}
	if len(g.runs) == 0 || x-g.last > 1.01*g.step {
		g.runs = append(g.runs, plot.ClimateRun{})
	}
	r := &g.runs[len(g.runs)-1]
	r.X, r.Low, r.Value, r.High = append(r.X, x), append(r.Low, to(s.Min)), append(r.Value, to(s.Mean)), append(r.High, to(s.Max))
	g.last = x
}

// open reports whether a band asks for nothing.
func open(low, high float64) bool { return math.IsInf(low, -1) && math.IsInf(high, 1) }

// hourPicture draws hours with the nights shaded.
func hourPicture(c *plot.ClimatePicture, hours []care.ClimateHour, clock care.DayClock, from time.Time, days int, wants care.AirWants, temp func(float64) float64, degrees string) {
	if len(hours) == 0 {
		return
	}
	begin := clock.Begin(from)
	hour := func(at time.Time) float64 { return at.Sub(begin).Hours() }
	c.XMax = hour(clock.Begin(from.AddDate(0, 0, days)))
	temps, rhs, vpds, lights := series{step: 1}, series{step: 1}, series{step: 1}, series{step: 1}
	for i := range hours {
		h := &hours[i]
		x := hour(h.Start) + 0.5
		temps.add(x, h.TempC, temp)
		rhs.add(x, h.RHPercent, same)
		vpds.add(x, h.VPDKPa, same)
		lights.add(x, h.PPFD, same)
	}
	var tempAsked, rhAsked, lightAsked []plot.ClimateAsked
	for d := range days {
		date := from.AddDate(0, 0, d)
		start, end := hour(clock.Begin(date)), hour(clock.Begin(date.AddDate(0, 0, 1)))
		rise, set := clock.LitOn(date)
		lit, dark := math.Max(start, hour(rise)), math.Min(end, hour(set))
		parts := []struct {
			plot.ClimateSpan
			band care.AirBand
			lit  bool
		}{{plot.ClimateSpan{From: start, Until: lit}, wants.Night, false}, {plot.ClimateSpan{From: lit, Until: dark}, wants.Day, true}, {plot.ClimateSpan{From: dark, Until: end}, wants.Night, false}}
		for _, part := range parts {
			if part.Until <= part.From {
				continue
			}
			if !part.lit {
				c.Nights = append(c.Nights, part.ClimateSpan)
			} else if !math.IsInf(wants.MostPPFD, 1) {
				lightAsked = append(lightAsked, plot.ClimateAsked{ClimateSpan: part.ClimateSpan, Low: math.Inf(-1), High: wants.MostPPFD})
			}
			if !open(part.band.LowC, part.band.HighC) {
				tempAsked = append(tempAsked, plot.ClimateAsked{ClimateSpan: part.ClimateSpan, Low: temp(part.band.LowC), High: temp(part.band.HighC)})
			}
			if !open(part.band.LowRH, part.band.HighRH) {
				rhAsked = append(rhAsked, plot.ClimateAsked{ClimateSpan: part.ClimateSpan, Low: part.band.LowRH, High: part.band.HighRH})
			}
		}
		c.Ticks = append(c.Ticks, plot.ClimateTick{X: start})
		if days > 1 {
			c.Ticks = append(c.Ticks, plot.ClimateTick{X: (start + end) / 2, Name: date.Format("Mon 2")})
		}
	}
	if days == 1 {
		for _, h := range []int{0, 6, 12, 18} {
			y, m, d := from.Date()
			at := hour(time.Date(y, m, d, h, 0, 0, 0, clock.Zone))
			c.Ticks = append(c.Ticks, plot.ClimateTick{X: at, Name: fmt.Sprintf("%02d:00", h)})
		}
	}
	none := math.NaN()
	for _, p := range []plot.ClimatePanel{
		{Label: "temperature, " + degrees, Runs: temps.runs, Asked: tempAsked, Floor: none},
		{Label: "humidity, %", Runs: rhs.runs, Asked: rhAsked, Floor: 0},
		{Label: "vapour pressure deficit, kPa", Runs: vpds.runs, Floor: 0},
		{Label: "light, µmol/m²/s", Runs: lights.runs, Asked: lightAsked, Floor: 0},
	} {
		if len(p.Runs) > 0 {
			c.Panels = append(c.Panels, p)
		}
	}
}

// seasonPicture draws days, the lit part and the dark part in panels of their
// own.
func seasonPicture(c *plot.ClimatePicture, list []care.ClimateDay, from time.Time, days int, wants care.AirWants, temp func(float64) float64, degrees string) {
	if len(list) == 0 {
		return
	}
	c.XMax = float64(days)
	s := make([]series, 5)
	for i := range s {
		s[i].step = 1
	}
	for i := range list {
		d := &list[i]
		x := d.Date.Sub(from).Hours()/24 + 0.5
		s[0].add(x, d.Lit.TempC, temp)
		s[1].add(x, d.Dark.TempC, temp)
		s[2].add(x, d.Lit.RHPercent, same)
		s[3].add(x, d.Dark.RHPercent, same)
		if d.DLIHours > wholeDayHours {
			s[4].add(x, care.Spread{Min: d.DLIMol, Mean: d.DLIMol, Max: d.DLIMol, Count: 1}, same)
		}
	}
	asked := func(low, high float64) []plot.ClimateAsked {
		if open(low, high) {
			return nil
		}
		return []plot.ClimateAsked{{ClimateSpan: plot.ClimateSpan{From: 0, Until: c.XMax}, Low: low, High: high}}
	}
	for i, p := range []plot.ClimatePanel{
		{Label: "by day, " + degrees, Asked: asked(temp(wants.Day.LowC), temp(wants.Day.HighC)), Floor: math.NaN()},
		{Label: "by night, " + degrees, Asked: asked(temp(wants.Night.LowC), temp(wants.Night.HighC)), Floor: math.NaN()},
		{Label: "humidity by day, %", Asked: asked(wants.Day.LowRH, wants.Day.HighRH), Floor: 0},
		{Label: "humidity by night, %", Asked: asked(wants.Night.LowRH, wants.Night.HighRH), Floor: 0},
		{Label: "light, mol/m² a day", Floor: 0},
	} {
		if p.Runs = s[i].runs; len(p.Runs) > 0 {
			c.Panels = append(c.Panels, p)
		}
	}
	for d := range days {
		date := from.AddDate(0, 0, d)
		if date.Day() == 1 {
			c.Ticks = append(c.Ticks, plot.ClimateTick{X: float64(d)})
		}
		if date.Day() == 15 && (days < 200 || date.Month()%2 == 0) {
			c.Ticks = append(c.Ticks, plot.ClimateTick{X: float64(d), Name: date.Format("Jan")})
		}
	}
}

// wholeDayHours is how much of a day light readings must cover for its sum to be
// shown.
const wholeDayHours = 22

// sayHours says how much of the time was outside what the plants ask for.
func (v *climateView) sayHours(hours []care.ClimateHour, wants care.AirWants) {
	day, night, lit, dark := wants.Outside(hours)
	v.say(day, night, lit, dark, wants)
}

// sayDays is sayHours from the means of days and nights.
func (v *climateView) sayDays(days []care.ClimateDay, wants care.AirWants) {
	suspect, lit, dark, day, night := 0, 0, 0, 0, 0
	beyond := func(s care.Spread, low, high float64) bool { return s.Known() && (s.Mean < low || s.Mean > high) }
	for i := range days {
		d := &days[i]
		suspect += d.Suspect
		if d.Lit.Hours > 0 {
			lit++
			if beyond(d.Lit.TempC, wants.Day.LowC, wants.Day.HighC) || beyond(d.Lit.RHPercent, wants.Day.LowRH, wants.Day.HighRH) {
				day++
			}
		}
		if d.Dark.Hours > 0 {
			dark++
			if beyond(d.Dark.TempC, wants.Night.LowC, wants.Night.HighC) || beyond(d.Dark.RHPercent, wants.Night.LowRH, wants.Night.HighRH) {
				night++
			}
		}
	}
	if suspect > 0 {
		v.Suspect = fmt.Sprintf("%d readings stand alone so far from those before and after them that they were left out of this.", suspect)
	}
	if lit+dark > 0 && wants != care.OpenWants() {
		v.Said = fmt.Sprintf("The mean of %d of %d days and of %d of %d nights lay outside what its plants ask for now.", day, lit, night, dark)
	}
}

func (v *climateView) say(day, night, lit, dark int, wants care.AirWants) {
	switch {
	case lit+dark == 0:
	case wants == care.OpenWants():
		v.Said = "No plant here asks for anything yet."
	default:
		v.Said = fmt.Sprintf("By day %d of %d hours, by night %d of %d lay outside what all of its plants ask for now.", day, lit, night, dark)
	}
}
