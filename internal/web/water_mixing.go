package web

import (
	"net/http"

	"velamen/internal/care"
)

// mixingView is with what and within which limits is mixed.
type mixingView struct {
	frame
	Scale, Jug, Can                            field
	Alkalinity, Calcium, Magnesium             field
	Potassium, Sodium, EC                      field
	Acid, AcidPercent, AcidDensity, AcidLeaves field
	Supplement                                 field
}

var (
	scaleStep  = measure{"what a scale shows to", "g", 0.001, 100, always("g"), massWritings}
	jugStep    = measure{"what water is measured to", "L", 0.001, 10, always("L"), []writing{{"L", "l litre litres", 1, 0}, {"mL", "ml", 0.001, 0}}}
	canSize    = measure{"a can", "L", 0.1, 10_000, dayLitres.usual, dayLitres.writings}
	perN       = measure{"milligrams for each of nitrogen", "mg per mg N", 0, 20, always("per N"), []writing{{"per N", "mg/mg", 1, 0}}}
	mgPerLitre = measure{"milligrams in a litre", "mg/L", 0, 1000, always("mg/L"), []writing{{"mg/L", "mg ppm", 1, 0}}}
	feedECMost = measure{"the EC of a feed", "mS/cm", 0.05, 10, saltUnit, saltWritings}
	density    = measure{"the density of a liquid", "kg/L", 0.8, 2, always("kg/L"), []writing{{"kg/L", "g/ml g/cm3 kg sg", 1, 0}}}
	acidShare  = measure{"the strength of an acid", "%", 0.1, 100, always("%"), percentWritings}
)

func (s *Server) newMixingView(u care.Units, m care.Mixing) *mixingView {
	v := &mixingView{
		Scale:      field{Name: "scale", Label: "My scale shows steps of", Unit: "g", Value: shownIn(scaleStep, u, m.ScaleG), Mode: "decimal", Hint: "0.1 g if left empty."},
		Jug:        field{Name: "jug", Label: "Water is measured to", Unit: "L", Value: shownIn(jugStep, u, m.JugL), Mode: "decimal", Hint: "0.1 L if left empty."},
		Can:        field{Name: "can", Label: "Largest can", Unit: canSize.usual(u), Value: shownIn(canSize, u, m.CanL), Mode: "decimal"},
		Alkalinity: field{Name: "alkalinity", Label: "Alkalinity at most", Unit: "mg/L CaCO₃", Value: shownIn(alkalinityIn, u, m.AlkalinityMost), Mode: "decimal", Hint: "Common practice: 30 to 80 in moss and on mounts, 100 in bark. 80 if left empty."},
		Calcium:    field{Name: "calcium", Label: "Calcium, for each of nitrogen", Value: shownIn(perN, u, m.CalciumPerN), Mode: "decimal", Hint: "At least; 0.4 by common practice."},
		Magnesium:  field{Name: "magnesium", Label: "Magnesium, for each of nitrogen", Value: shownIn(perN, u, m.MagnesiumPerN), Mode: "decimal", Hint: "At least; 0.1 by common practice."},
		Potassium:  field{Name: "potassium", Label: "Potassium, for each of nitrogen", Value: shownIn(perN, u, m.PotassiumPerN), Mode: "decimal", Hint: "At most; no limit if left empty."},
		Sodium:     field{Name: "sodium", Label: "Sodium at most", Unit: "mg/L", Value: shownIn(mgPerLitre, u, m.SodiumMost), Mode: "decimal", Hint: "50 if left empty."},
		EC:         feedECMost.ask("ec", "EC at most", u, m.ECMost),
		Acid:       field{Name: "acid", Label: "Acid against alkalinity", Type: "select", Options: []choice{{Label: "none"}}},

		AcidPercent: field{Name: "acid_percent", Label: "Its strength", Unit: "%", Value: shownIn(acidShare, u, m.AcidPercent), Mode: "decimal", Hint: "Not for citric acid, which is a crystal."},
		AcidDensity: field{Name: "acid_density", Label: "Its density", Unit: "kg/L", Value: shownIn(density, u, m.AcidKgPerL), Mode: "decimal"},
		AcidLeaves:  field{Name: "acid_leaves", Label: "Alkalinity it must leave", Unit: "mg/L CaCO₃", Value: shownIn(alkalinityIn, u, m.AlkalinityLeast), Mode: "decimal", Hint: "40 if left empty; never neutralise to nothing."},
		Supplement:  field{Name: "supplement", Label: "Supplement in every batch", Type: "select", Options: []choice{{Label: "none"}}},
	}
	for _, a := range care.AcidKinds {
		v.Acid.Options = append(v.Acid.Options, choice{string(a), sentence(string(a)), a == m.Acid})
	}
	s.Book.Read(func(c *care.Collection) {
		for _, f := range c.Feeds {
			if f.Supplement {
				v.Supplement.Options = append(v.Supplement.Options, choice{f.Name, f.Name, f.Name == m.Supplement})
			}
		}
	})
	v.Title, v.Here, v.Style = "How you mix", "water", "water.css"
	return v
}

func (v *mixingView) fields() []*field {
	return []*field{&v.Scale, &v.Jug, &v.Can, &v.Alkalinity, &v.Calcium, &v.Magnesium, &v.Potassium, &v.Sodium, &v.EC, &v.Acid, &v.AcidPercent, &v.AcidDensity, &v.AcidLeaves, &v.Supplement}
}

func (s *Server) mixing() (m care.Mixing) {
	s.Book.Read(func(c *care.Collection) { m = c.Mixing })
	return m
}

func (s *Server) showMixing(w http.ResponseWriter, r *http.Request) error {
	return s.render(w, r, http.StatusOK, "water-mixing.html", s.newMixingView(s.units(), s.mixing()))
}

func (s *Server) changeMixing(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	u, kept := s.units(), s.mixing()
	m := care.Mixing{
		ScaleG: f.like("scale", scaleStep, u, kept.ScaleG), JugL: f.like("jug", jugStep, u, kept.JugL), CanL: f.like("can", canSize, u, kept.CanL),
		AlkalinityMost: f.like("alkalinity", alkalinityIn, u, kept.AlkalinityMost), CalciumPerN: f.like("calcium", perN, u, kept.CalciumPerN),
		MagnesiumPerN: f.like("magnesium", perN, u, kept.MagnesiumPerN), PotassiumPerN: f.like("potassium", perN, u, kept.PotassiumPerN),
		SodiumMost: f.like("sodium", mgPerLitre, u, kept.SodiumMost), ECMost: f.quantity("ec", feedECMost, u, kept.ECMost),
		Acid: one(f, "acid", care.AcidKinds), AcidPercent: f.like("acid_percent", acidShare, u, kept.AcidPercent), AcidKgPerL: f.like("acid_density", density, u, kept.AcidKgPerL),
		AlkalinityLeast: f.like("acid_leaves", alkalinityIn, u, kept.AlkalinityLeast), Supplement: f.short("supplement"),
	}
	if m.Acid != "" && m.Acid != care.CitricAcid {
		if m.AcidPercent.Grade == 0 {
			f.say("acid_percent", "How strong is it? It stands on the bottle.")
		}
		if m.AcidKgPerL.Grade == 0 {
			f.say("acid_density", "How dense is it? Its safety sheet says so.")
		}
	}
	if f.wrong() {
		v := s.newMixingView(u, m)
		f.keep(v.fields()...)
		return s.render(w, r, http.StatusUnprocessableEntity, "water-mixing.html", v)
	}
	if _, err := s.Book.Append(r.Context(), s.newEntry(care.MixingSet, "", care.Detail{Mixing: &m})); err != nil {
		return err
	}
	return seeOther(w, r, "/water?done=kept")
}
