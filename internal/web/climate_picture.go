package web

import (
	"context"
	"fmt"
	"html/template"
	"math"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/plot"
)

// draw makes the picture of a span of time and says what it shows.
func (s *Server) draw(ctx context.Context, v *climateView, u care.Units, clock care.DayClock, span climateSpan, from, on time.Time, wants wantedAir, ahead foretold) error {
	c := plot.ClimatePicture{ID: "climate", Title: v.Title + ", " + v.When}
	temp := toUnit(u)
	c.Now = s.Now().Sub(clock.Begin(from)).Hours()
	if span.byDay {
		days, err := s.Book.Days(ctx, v.Space, from, on.AddDate(0, 0, 1))
		if err != nil {
			return err
		}
		c.Now /= 24
		told := ahead.daysIn(from, on)
		v.Foretold = len(told) > 0
		seasonPicture(&c, days, told, from, span.days, wants, temp, temperatureName(u))
		v.sayDays(days)
		if span.days <= countedDays {
			hours, err := s.Book.Hours(ctx, v.Space, clock.Begin(from), clock.Begin(on.AddDate(0, 0, 1)))
			if err != nil {
				return err
			}
			v.sayHours(hours, wants)
		}
	} else {
		begin, end := clock.Begin(from), clock.Begin(on.AddDate(0, 0, 1))
		hours, err := s.Book.Hours(ctx, v.Space, begin, end)
		if err != nil {
			return err
		}
		told := ahead.hoursIn(begin, end)
		v.Foretold = len(told) > 0
		hourPicture(&c, hours, told, clock, from, span.days, wants, temp, temperatureName(u))
		v.sayHours(hours, wants)
	}
	if len(c.Panels) == 0 {
		v.Nothing = "Nothing was measured here in this time."
		if !v.Measured {
			v.Nothing = "Nothing was measured here yet: the plan reckons with the usual climate of the space."
		}
		return nil
	}
	if !v.Foretold {
		c.Now = 0
	}
	c.Description = "What was measured against what the plants ask for. " + v.Said
	text, err := c.SVG()
	v.Picture = template.HTML(text)
	return err
}

// countedDays is over how many days hours are counted against what is asked for
// now: what plants ask for moves on within a season, so that a year would be held
// to a week of it.
const countedDays = 92

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

// wantedAir is what the plants of a space ask for: each of them, all together, and
// at least one.
type wantedAir struct {
	each      []care.AirWants
	all, some care.AirWants
}

func newWantedAir(plants []wantingPlant) wantedAir {
	a := wantedAir{all: care.OpenWants(), some: care.OpenWants()}
	for i, p := range plants {
		a.each = append(a.each, p.wants)
		a.all = a.all.Both(p.wants)
		if i == 0 {
			a.some = p.wants
		}
		a.some = a.some.Either(p.wants)
	}
	return a
}

// over makes a band of what is asked for; it reports false when nothing is.
func over(span plot.ClimateSpan, low, high, someLow, someHigh float64, to func(float64) float64) (plot.ClimateAsked, bool) {
	if math.IsInf(low, -1) && math.IsInf(high, 1) {
		return plot.ClimateAsked{}, false
	}
	return plot.ClimateAsked{ClimateSpan: span, Low: to(low), High: to(high), SomeLow: to(someLow), SomeHigh: to(someHigh)}, true
}

// hourPicture draws hours with the nights shaded.
func hourPicture(c *plot.ClimatePicture, hours, told []care.ClimateHour, clock care.DayClock, from time.Time, days int, wants wantedAir, temp func(float64) float64, degrees string) {
	if len(hours)+len(told) == 0 {
		return
	}
	begin := clock.Begin(from)
	hour := func(at time.Time) float64 { return at.Sub(begin).Hours() }
	c.XMax = hour(clock.Begin(from.AddDate(0, 0, days)))
	gathered := func(hours []care.ClimateHour) (s [4]series) {
		for i := range s {
			s[i].step = 1
		}
		for i := range hours {
			h := &hours[i]
			x := hour(h.Start) + 0.5
			s[0].add(x, h.TempC, temp)
			s[1].add(x, h.RHPercent, same)
			s[2].add(x, h.VPDKPa, same)
			s[3].add(x, h.PPFD, same)
		}
		return s
	}
	measured, foreseen := gathered(hours), gathered(told)
	var tempAsked, rhAsked, lightAsked []plot.ClimateAsked
	for d := range days {
		date := from.AddDate(0, 0, d)
		start, end := hour(clock.Begin(date)), hour(clock.Begin(date.AddDate(0, 0, 1)))
		rise, set := clock.LitOn(date)
		lit, dark := math.Max(start, hour(rise)), math.Min(end, hour(set))
		for _, part := range []struct {
			plot.ClimateSpan
			all, some care.AirBand
			lit       bool
		}{
			{plot.ClimateSpan{From: start, Until: lit}, wants.all.Night, wants.some.Night, false},
			{plot.ClimateSpan{From: lit, Until: dark}, wants.all.Day, wants.some.Day, true},
			{plot.ClimateSpan{From: dark, Until: end}, wants.all.Night, wants.some.Night, false},
		} {
			if part.Until <= part.From {
				continue
			}
			if !part.lit {
				c.Nights = append(c.Nights, part.ClimateSpan)
			} else if band, ok := over(part.ClimateSpan, math.Inf(-1), wants.all.MostPPFD, math.Inf(-1), wants.some.MostPPFD, same); ok {
				lightAsked = append(lightAsked, band)
			}
			if band, ok := over(part.ClimateSpan, part.all.LowC, part.all.HighC, part.some.LowC, part.some.HighC, temp); ok {
				tempAsked = append(tempAsked, band)
			}
			if band, ok := over(part.ClimateSpan, part.all.LowRH, part.all.HighRH, part.some.LowRH, part.some.HighRH, same); ok {
				rhAsked = append(rhAsked, band)
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
	addPanels(c, measured[:], foreseen[:], []plot.ClimatePanel{
		{Label: "temperature, " + degrees, Asked: tempAsked},
		{Label: "humidity, %", Asked: rhAsked},
		{Label: "vapour pressure deficit, kPa", FromZero: true},
		{Label: "light, µmol/m²/s", Asked: lightAsked, FromZero: true},
	})
}

// addPanels adds those panels for which anything was measured or is foreseen.
func addPanels(c *plot.ClimatePicture, measured, foreseen []series, panels []plot.ClimatePanel) {
	for i, p := range panels {
		p.Runs, p.Foreseen = measured[i].runs, foreseen[i].runs
		if len(p.Runs)+len(p.Foreseen) > 0 {
			c.Panels = append(c.Panels, p)
		}
	}
}

// seasonPicture draws days, the lit part and the dark part in panels of their
// own.
func seasonPicture(c *plot.ClimatePicture, list, told []care.ClimateDay, from time.Time, days int, wants wantedAir, temp func(float64) float64, degrees string) {
	if len(list)+len(told) == 0 {
		return
	}
	c.XMax = float64(days)
	gathered := func(list []care.ClimateDay) (s [5]series) {
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
		return s
	}
	measured, foreseen := gathered(list), gathered(told)
	whole := plot.ClimateSpan{From: 0, Until: c.XMax}
	between := func(low, high, someLow, someHigh float64, to func(float64) float64) []plot.ClimateAsked {
		if band, ok := over(whole, low, high, someLow, someHigh, to); ok {
			return []plot.ClimateAsked{band}
		}
		return nil
	}
	all, some := &wants.all, &wants.some
	addPanels(c, measured[:], foreseen[:], []plot.ClimatePanel{
		{Label: "by day, " + degrees, Asked: between(all.Day.LowC, all.Day.HighC, some.Day.LowC, some.Day.HighC, temp)},
		{Label: "by night, " + degrees, Asked: between(all.Night.LowC, all.Night.HighC, some.Night.LowC, some.Night.HighC, temp)},
		{Label: "humidity by day, %", Asked: between(all.Day.LowRH, all.Day.HighRH, some.Day.LowRH, some.Day.HighRH, same)},
		{Label: "humidity by night, %", Asked: between(all.Night.LowRH, all.Night.HighRH, some.Night.LowRH, some.Night.HighRH, same)},
		{Label: "light, mol/m² a day", FromZero: true},
	})
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

// sayHours says how much of the time suited the plants.
func (v *climateView) sayHours(hours []care.ClimateHour, wants wantedAir) {
	lit, dark := care.SuitedBy(wants.each, hours)
	switch {
	case lit.Hours+dark.Hours == 0:
	case len(wants.each) == 0:
		v.Said = "No plant lives here yet that asks for anything."
	case len(wants.each) == 1:
		v.Said = inParts(lit, dark, func(s care.Suited, part string) string {
			return fmt.Sprintf("by %s it had all it asks for in %d of %d hours", part, s.All, s.Hours)
		})
	default:
		v.Said = inParts(lit, dark, func(s care.Suited, part string) string {
			return fmt.Sprintf("by %s %d of %d hours suited all %d plants and %d suited none", part, s.All, s.Hours, len(wants.each), s.None)
		})
	}
}

// inParts says something of the day and the night, as far as they were measured.
func inParts(lit, dark care.Suited, says func(s care.Suited, part string) string) string {
	var parts []string
	for _, one := range []struct {
		care.Suited
		name string
	}{{lit, "day"}, {dark, "night"}} {
		if one.Hours > 0 {
			parts = append(parts, says(one.Suited, one.name))
		}
	}
	return sentence(strings.Join(parts, "; ")) + "."
}

// sayDays says what was left out of the days.
func (v *climateView) sayDays(days []care.ClimateDay) {
	suspect := 0
	for i := range days {
		suspect += days[i].Suspect
	}
	if suspect > 0 {
		v.Suspect = fmt.Sprintf("%d readings stand alone so far from those before and after them that they were left out of this.", suspect)
	}
}
