package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/water"
)

// tankLine is one tank or barrel with what it will hold.
type tankLine struct {
	Water, Path string
	Is          string
	Stock       figureView
	Known       bool
	Comes       figureView
	HasComes    bool
	Reject      string
	Warnings    []string
	Ahead       string
	Reading     field
}

func newTankLine(u care.Units, c *care.Collection, s care.Supply, takesL float64, today time.Time) tankLine {
	l := tankLine{Water: s.Water, Path: "/water/tank/" + waterPath(s.Water)[len("/water/named/"):]}
	var tank care.Tank
	for _, t := range c.Tanks {
		if strings.EqualFold(t.Water, s.Water) {
			tank = t
		}
	}
	holds := ""
	if s.HoldsL > 0 {
		holds = " of " + shownLitres(u, s.HoldsL)
	}
	switch {
	case tank.Unit != nil:
		l.Is = "A tank" + holds + ", filled by reverse osmosis"
	case tank.Roof != nil:
		l.Is = "A barrel" + holds + " under a roof"
	default:
		l.Is = "A tank" + holds
	}
	l.Reading = field{Name: "litres", Label: "What is in it now", Unit: dayLitres.usual(u), Mode: "decimal"}
	litres := func(name string, v basis.Value, b *care.Because) figureView {
		span := shownLitres(u, v.Low) + " to " + shownLitres(u, v.High)
		if shownLitres(u, v.Low) == shownLitres(u, v.High) {
			span = ""
		}
		return figureView{Name: name, Shown: shownLitres(u, v.Value), Range: span, Grade: v.Grade.String(), Why: newBecause(u, b, v.Grade, span)}
	}
	if l.Known = s.Stock.Grade != 0; l.Known {
		read, _ := c.StockOf(s.Water)
		l.Stock = litres("There is", s.Stock, &care.Because{
			Rule:   "what was last read, what came in since, less what was poured and mixed",
			Inputs: []care.Input{{Name: "read on " + read.At.Format("2 January"), Value: basis.Exactly(*read.Reading.Litres, "L", basis.Measured, "")}},
		})
	}
	if tank.Unit != nil && s.InflowL[0].Grade != 0 {
		l.HasComes = true
		l.Comes = litres("Made in a day", s.InflowL[0], s.Because)
		l.Reject = fmt.Sprintf("%s go down the drain for each litre: fine for the garden.", shownLitres(u, s.RejectL))
	}
	l.Warnings = append(l.Warnings, s.Warnings...)
	if l.Known {
		l.Ahead = ahead(u, &s, takesL, today, &l.Warnings)
	}
	return l
}

// ahead says for how long a stock lasts if every day takes what today does.
func ahead(u care.Units, s *care.Supply, takesL float64, today time.Time, warn *[]string) string {
	if takesL <= 0 {
		return "Nothing is taken of it today."
	}
	use := make([]float64, aheadDays)
	for i := range use {
		use[i] = takesL
	}
	spilled := 0.0
	for _, d := range s.Ahead(today, use) {
		spilled += d.SpillL
		if d.ShortL > 0 {
			when := "on " + dated(d.On)
			if d.On.Equal(today) {
				when = "today"
			}
			*warn = append(*warn, fmt.Sprintf("If every day takes %s as today, it is %s short %s.", shownLitres(u, takesL), shownLitres(u, d.ShortL), when))
			return ""
		}
	}
	text := fmt.Sprintf("It lasts %d days and more if every day takes %s as today.", aheadDays, shownLitres(u, takesL))
	if spilled > 0.5 {
		text += " " + shownLitres(u, spilled) + " would run over."
	}
	return text
}

// membraneLine is what a reverse-osmosis unit does, and the form to read it.
type membraneLine struct {
	Water    string
	Says     []string
	Warnings []string
	Source   field
	Permeate field
	Jug      field
	Warmth   field
}

func membraneLines(u care.Units, c *care.Collection) (list []membraneLine) {
	for _, t := range c.Tanks {
		if t.Unit == nil {
			continue
		}
		l := membraneLine{
			Water:    t.Water,
			Source:   field{Name: "source", Label: "EC before the membrane", Unit: sourceEC.usual(u), Mode: "decimal"},
			Permeate: field{Name: "permeate", Label: "EC behind it", Unit: sourceEC.usual(u), Mode: "decimal"},
			Jug:      field{Name: "jug", Label: "Litres an hour, by jug and watch", Unit: "L/h", Mode: "decimal", Hint: "May stay empty."},
			Warmth:   field{Name: "warmth", Label: "Temperature of the water", Unit: airTemperature.usual(u), Mode: "decimal", Hint: "May stay empty."},
		}
		for _, m := range slices.Backward(c.Membranes) {
			if m.Water != "" && !strings.EqualFold(m.Water, t.Water) {
				continue
			}
			percent, err := water.RejectionPercent(m.Reading.SourceECmS, m.Reading.PermeateECmS)
			if err != nil {
				continue
			}
			l.Says = append(l.Says, fmt.Sprintf("On %s it held back %.1f %% of the salt.", m.At.Format("2 January 2006"), percent))
			if percent < water.ROReplaceBelowPercent.Value {
				l.Warnings = append(l.Warnings, fmt.Sprintf("Below %.0f %% a membrane is spent (common practice): read it again after ten minutes of running, then replace it.", water.ROReplaceBelowPercent.Value))
			}
			break
		}
		list = append(list, l)
	}
	return list
}

// keepStock takes how much there is of a water or a feed.
func (s *Server) keepStock(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	u := s.units()
	d := care.StockReading{Water: f.short("water"), What: f.short("what")}
	switch {
	case d.Water != "":
		d.Litres = f.stock("litres", tankLitres, u)
	case d.What != "":
		d.Grams = f.stock("left", stockMass, u)
	}
	for _, message := range f.errors {
		return fmt.Errorf("%w: %s", errBadRequest, message)
	}
	e := s.newEntry(care.StockRead, "", care.Detail{Stock: &d})
	e.By = byOf(r)
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, "/water?done=kept")
}

// What a stock may be.
var (
	tankLitres = measure{"what a tank holds", "L", 0, 1e6, dayLitres.usual, dayLitres.writings}
	stockMass  = measure{"what is left of a feed", "g", 0, 1e7, potMass.usual, massWritings}
)

// stock reads a quantity that has to be there.
func (f *form) stock(name string, m measure, u care.Units) *float64 {
	if f.required(name, "Say how much there is.") == "" {
		return nil
	}
	return f.number(name, m, u)
}

// keepMembrane takes what a unit was seen to do.
func (s *Server) keepMembrane(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	u := s.units()
	source, permeate := f.stock("source", sourceEC, u), f.stock("permeate", sourceEC, u)
	d := care.Detail{WaterName: f.short("water"), Membrane: &care.MembraneReading{
		LPerHour: f.number("jug", perHour, u), WaterC: f.number("warmth", airTemperature, u),
	}}
	for _, message := range f.errors {
		return fmt.Errorf("%w: %s", errBadRequest, message)
	}
	d.Membrane.SourceECmS, d.Membrane.PermeateECmS = *source, *permeate
	e := s.newEntry(care.MembraneRead, "", d)
	e.By = byOf(r)
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, "/water?done=kept")
}

var perHour = measure{"what a unit makes in an hour", "L/h", 0.01, 1e5, always("L/h"), []writing{{"L/h", "l lph litres/h", 1, 0}, {"gal/h", "gph", 3.785411784, 0}}}
