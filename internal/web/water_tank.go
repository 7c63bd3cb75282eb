package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// tankView is the form of the tank or barrel of one water.
type tankView struct {
	frame
	Action string
	Water  string
	Holds  field
	Filled field

	Area, Runoff, FirstMM                  field
	Rated, RatedBar, Pressure, Warmth      field
	Recovery, Hours, Source, MembraneSince field
}

// How a tank is filled.
const (
	byHand = "by hand"
	byRoof = "roof"
	byUnit = "reverse osmosis"
)

var (
	roofArea   = measure{"a roof", "m²", 0, 1e5, always("m²"), []writing{{"m²", "m2 sqm", 1, 0}, {"sq ft", "sqft ft2", 0.09290304, 0}}}
	runoff     = measure{"the share that reaches the barrel", "share", 0, 1, always("%"), shareWritings}
	ratedFlow  = measure{"what a unit is rated at", "L/day", 1, 1e6, always("L/day"), []writing{{"L/day", "l lpd", 1, 0}, {"gal/day", "gpd gal", 3.785411784, 0}}}
	pressureIn = measure{"the pressure before a membrane", "bar", 0.5, 80, always("bar"), []writing{{"bar", "", 1, 0}, {"psi", "", 0.0689475729, 0}, {"kPa", "", 0.01, 0}}}
	percentOf  = measure{"the share that becomes permeate", "%", 1, 100, always("%"), percentWritings}
	hoursADay  = measure{"hours a day", "h", 0, 24, always("h"), []writing{{"h", "hr hrs hour hours", 1, 0}}}
)

func (s *Server) newTankView(u care.Units, one care.Water, t care.Tank) *tankView {
	v := &tankView{
		Action: "/water/tank/" + url.PathEscape(one.Name), Water: one.Name,
		Holds:  field{Name: "holds", Label: "It holds", Unit: dayLitres.usual(u), Value: shownIn(tankLitres, u, t.HoldsL), Mode: "decimal"},
		Filled: field{Name: "filled", Label: "How it is filled", Type: "select"},
		Area:   field{Name: "area", Label: "Roof, seen from above", Unit: "m²", Mode: "decimal"},
		Runoff: field{Name: "runoff", Label: "Of the rain that reaches the barrel", Unit: "%", Mode: "decimal", Hint: "80 % is usual."},

		FirstMM: field{Name: "first", Label: "Let away first, of each fall", Unit: rainDepth.usual(u), Mode: "decimal", Hint: "It carries the dirt."},
		Rated:   field{Name: "rated", Label: "Rated output", Unit: "L/day", Mode: "decimal"}, RatedBar: field{Name: "rated_bar", Label: "Rated at", Unit: "bar", Mode: "decimal", Hint: "Usually 4.1 bar, 60 psi."},
		Pressure:      field{Name: "pressure", Label: "Pressure before the membrane", Unit: "bar", Mode: "decimal"},
		Warmth:        field{Name: "warmth", Label: "Water temperature now", Unit: airTemperature.usual(u), Mode: "decimal"},
		Recovery:      field{Name: "recovery", Label: "Of the water that becomes permeate", Unit: "%", Mode: "decimal", Hint: "Household units 20 to 35 %."},
		Hours:         field{Name: "hours", Label: "It runs, a day", Unit: "h", Mode: "decimal", Hint: "24 if it stops by itself when the tank is full."},
		Source:        field{Name: "source", Label: "Fed by", Type: "select", Options: []choice{{Label: "not said"}}},
		MembraneSince: field{Name: "since", Label: "Membrane in use since", Type: "date"},
	}
	filled := byHand
	if t.Roof != nil {
		filled = byRoof
		v.Area.Value, v.Runoff.Value, v.FirstMM.Value = shownIn(roofArea, u, t.Roof.AreaM2), shownIn(runoff, u, t.Roof.RunoffShare), shownIn(rainDepth, u, t.Roof.FirstMM)
	}
	unit := care.OsmosisUnit{}
	if t.Unit != nil {
		filled, unit = byUnit, *t.Unit
		v.Rated.Value, v.RatedBar.Value, v.Pressure.Value = shownIn(ratedFlow, u, unit.RatedLPerDay), shownIn(pressureIn, u, unit.RatedBar), shownIn(pressureIn, u, unit.PressureBar)
		v.Warmth.Value, v.Recovery.Value, v.Hours.Value = shownIn(airTemperature, u, unit.WaterC), shownIn(percentOf, u, unit.RecoveryPercent), shownIn(hoursADay, u, unit.HoursPerDay)
		if !unit.MembraneSince.IsZero() {
			v.MembraneSince.Value = unit.MembraneSince.Format(time.DateOnly)
		}
	}
	for _, one := range []string{byHand, byRoof, byUnit} {
		v.Filled.Options = append(v.Filled.Options, choice{one, sentence(one), one == filled})
	}
	s.Book.Read(func(c *care.Collection) {
		for _, w := range c.Waters {
			if !strings.EqualFold(w.Name, one.Name) {
				v.Source.Options = append(v.Source.Options, choice{w.Name, w.Name, strings.EqualFold(w.Name, unit.Source)})
			}
		}
	})
	v.Title, v.Here, v.Style = "Tank of "+one.Name, "water", "water.css"
	return v
}

func (v *tankView) fields() []*field {
	return []*field{&v.Holds, &v.Filled, &v.Area, &v.Runoff, &v.FirstMM, &v.Rated, &v.RatedBar, &v.Pressure, &v.Warmth, &v.Recovery, &v.Hours, &v.Source, &v.MembraneSince}
}

func (s *Server) tankOf(name string) (t care.Tank) {
	s.Book.Read(func(c *care.Collection) {
		for _, one := range c.Tanks {
			if strings.EqualFold(one.Water, name) {
				t = one
			}
		}
	})
	return t
}

func (s *Server) showTank(w http.ResponseWriter, r *http.Request) error {
	one, err := s.waterOf(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "water-tank.html", s.newTankView(s.units(), one, s.tankOf(one.Name)))
}

func (s *Server) changeTank(w http.ResponseWriter, r *http.Request) error {
	one, err := s.waterOf(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	u := s.units()
	t := f.tank(u, s.tankOf(one.Name))
	t.Water = one.Name
	if f.wrong() {
		v := s.newTankView(u, one, t)
		f.keep(v.fields()...)
		return s.render(w, r, http.StatusUnprocessableEntity, "water-tank.html", v)
	}
	if _, err := s.Book.Append(r.Context(), s.newEntry(care.TankSet, "", care.Detail{Tank: &t})); err != nil {
		return err
	}
	return seeOther(w, r, "/water?done=kept")
}

// tank reads the form of a tank.
func (f *form) tank(u care.Units, kept care.Tank) care.Tank {
	t := care.Tank{HoldsL: f.like("holds", tankLitres, u, kept.HoldsL)}
	roof, unit := care.Roof{}, care.OsmosisUnit{}
	if kept.Roof != nil {
		roof = *kept.Roof
	}
	if kept.Unit != nil {
		unit = *kept.Unit
	}
	need := func(v basis.Value, name, missing string) basis.Value {
		if v.Grade == 0 {
			f.say(name, "%s", missing)
		}
		return v
	}
	switch f.text("filled") {
	case byRoof:
		t.Roof = &care.Roof{
			AreaM2:      need(f.like("area", roofArea, u, roof.AreaM2), "area", "How large is the roof? Without that no rain can be reckoned."),
			RunoffShare: f.like("runoff", runoff, u, roof.RunoffShare), FirstMM: f.like("first", rainDepth, u, roof.FirstMM),
		}
	case byUnit:
		t.Unit = &care.OsmosisUnit{
			RatedLPerDay: need(f.like("rated", ratedFlow, u, unit.RatedLPerDay), "rated", "What is it rated at? It stands on the membrane."),
			RatedBar:     f.like("rated_bar", pressureIn, u, unit.RatedBar), PressureBar: f.like("pressure", pressureIn, u, unit.PressureBar),
			WaterC: f.like("warmth", airTemperature, u, unit.WaterC), RecoveryPercent: f.like("recovery", percentOf, u, unit.RecoveryPercent),
			HoursPerDay: f.like("hours", hoursADay, u, unit.HoursPerDay), Source: f.short("source"),
		}
		if text := f.text("since"); text != "" {
			since, err := time.Parse(time.DateOnly, text)
			if err != nil {
				f.say("since", "%q is not a date.", text)
			}
			t.Unit.MembraneSince = since
		}
	case byHand, "":
	default:
		f.say("filled", "%s", fmt.Sprintf("%q is not one of the choices.", f.text("filled")))
	}
	return t
}
