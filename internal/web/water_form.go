package web

import (
	"fmt"
	"math"
	"net/http"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/water"
)

// oneWaterView is the form of one water.
type oneWaterView struct {
	frame
	Action    string
	Name      field
	Known     bool
	Removable bool

	EC, At, Corrected    field
	Hardness, Alkalinity field
	Softened             field
	Ions                 []field
	Sure                 *field // asked when the figures contradict each other
	Says                 *waterLine
}

// analysed are the ions a laboratory reports, in the order of its sheet, and
// what it may report them as.
var analysed = []struct {
	ion     water.Ion
	name    string
	element string  // also as the element
	share   float64 // of it in the ion
	caco3   bool    // also as CaCO3
}{
	{water.Ca, "Calcium", "", 0, true}, {water.Mg, "Magnesium", "", 0, true}, {water.Na, "Sodium", "", 0, false}, {water.K, "Potassium", "", 0, false},
	{water.NH4, "Ammonium", "N", water.NFromNH4, false}, {water.HCO3, "Bicarbonate", "", 0, true}, {water.CO3, "Carbonate", "", 0, true},
	{water.Cl, "Chloride", "", 0, false}, {water.SO4, "Sulphate", "S", water.SFromSO4, false}, {water.NO3, "Nitrate", "N", water.NFromNO3, false},
	{water.H2PO4, "Phosphate, as H₂PO₄", "", 0, false},
}

const mgCaCO3PerMmol = 100.086 // molar mass of calcium carbonate

// ionMeasure is how an ion may be written: by mass, amount or charge, as the
// element, or as the calcium carbonate of the same charge.
func ionMeasure(i int) measure {
	a := analysed[i]
	charge := math.Abs(float64(a.ion.Charge()))
	m := measure{what: a.name + " in a water", unit: "mmol/L", low: 0, high: 100, usual: always("mg/L"), writings: []writing{
		{"mg/L", "mg ppm", 1 / a.ion.GramsPerMole(), 0}, {"mmol/L", "mmol mm", 1, 0}, {"meq/L", "meq mval/l mval", 1 / charge, 0},
	}}
	if a.element != "" {
		m.writings = append(m.writings, writing{"mg/L " + a.element, fold("mg/L " + a.ion.String() + "-" + a.element), 1 / (a.share * a.ion.GramsPerMole()), 0})
	}
	if a.caco3 {
		m.writings = append(m.writings, writing{"mg/L CaCO₃", "mg/lcaco3 caco3", 2 / (charge * mgCaCO3PerMmol), 0})
	}
	if a.ion == water.Ca || a.ion == water.Mg {
		m.writings = append(m.writings, writing{"°dH", "dgh", 0.1783, 0}, writing{"°fH", "", 10 / mgCaCO3PerMmol, 0}, writing{"grains", "gpg grain", 17.118 / mgCaCO3PerMmol, 0})
	}
	return m
}

// hardnessIn and alkalinityIn are the units in which suppliers write them.
var (
	hardnessIn = measure{"the hardness of a water", "mg/L CaCO3", 0, 2000, always("mg/L CaCO₃"), []writing{
		{"mg/L CaCO₃", "mg/lcaco3 mg/l mg ppm caco3", 1, 0}, {"°dH", "dgh", 17.848, 0}, {"°fH", "", 10, 0}, {"°Clark", "eh", 14.254, 0},
		{"grains", "gpg grain gr/gal", 17.118, 0}, {"mmol/L", "mmol", mgCaCO3PerMmol, 0}, {"meq/L", "meq mval", mgCaCO3PerMmol / 2, 0},
	}}
	alkalinityIn = measure{"the alkalinity of a water", "mg/L CaCO3", 0, 2000, always("mg/L CaCO₃"), []writing{
		{"mg/L CaCO₃", "mg/lcaco3 mg/l mg ppm caco3", 1, 0}, {"meq/L", "meq mmol/l mmol mval", 50.043, 0}, {"mg/L HCO₃", "mg/lhco3 hco3", 0.8202, 0},
		{"°dH", "dkh kh", 17.848, 0}, {"°fH", "", 10, 0}, {"grains", "gpg grain", 17.118, 0},
	}}
)

func ionField(i int, u care.Units, ions *water.Ions) field {
	m := ionMeasure(i)
	f := field{Name: "ion." + analysed[i].ion.String(), Label: analysed[i].name, Unit: "mg/L", Mode: "decimal"}
	if ions != nil && ions[analysed[i].ion] > 0 {
		f.Value = m.inUnits(u, ions[analysed[i].ion])
	}
	return f
}

func (s *Server) newOneWaterView(u care.Units, w care.Water) *oneWaterView {
	v := &oneWaterView{
		Name:       field{Name: "name", Label: "Name", Value: w.Name, Required: true, Hint: "mains, rain barrel, well"},
		EC:         sourceEC.ask("ec", "EC", u, w.ECmS),
		At:         field{Name: "at", Label: "Water temperature when read", Unit: airTemperature.usual(u), Mode: "decimal", Hint: "Only for a meter that does not correct for it."},
		Corrected:  field{Name: "uncorrected", Label: "My meter does not correct for temperature", Type: "checkbox"},
		Hardness:   field{Name: "hardness", Label: "Hardness", Unit: "mg/L CaCO₃", Value: shownIn(hardnessIn, u, w.HardnessMgLCaCO3), Hint: "Or °dH, °fH, grains, mmol/L."},
		Alkalinity: field{Name: "alkalinity", Label: "Alkalinity", Unit: "mg/L CaCO₃", Value: shownIn(alkalinityIn, u, w.AlkalinityMgLCaCO3), Hint: "Carbonate hardness; or meq/L, mg/L HCO₃, °dH."},
		Softened:   field{Name: "softened", Label: "It comes out of an ion-exchange softener", Type: "checkbox", Checked: w.SoftenedByIonExchange},
	}
	v.EC.Hint = "Write the unit your meter shows: mS/cm, µS/cm, ppm (500), ppm (640) or ppm (700)."
	v.Hardness.Mode, v.Alkalinity.Mode = "text", "text"
	for i := range analysed {
		v.Ions = append(v.Ions, ionField(i, u, w.Ions))
	}
	v.Here, v.Style = "water", "water.css"
	return v
}

func shownIn(m measure, u care.Units, v basis.Value) string {
	if v.Grade == 0 {
		return ""
	}
	return m.inUnits(u, v.Value)
}

func (v *oneWaterView) fields() []*field {
	list := []*field{&v.Name, &v.EC, &v.At, &v.Corrected, &v.Hardness, &v.Alkalinity, &v.Softened}
	for i := range v.Ions {
		list = append(list, &v.Ions[i])
	}
	return list
}

// waterOf returns the water a path names.
func (s *Server) waterOf(r *http.Request) (one care.Water, err error) {
	err = fmt.Errorf("%w: a water of this name", errNotFound)
	s.Book.Read(func(c *care.Collection) {
		for _, w := range c.Waters {
			if strings.EqualFold(w.Name, r.PathValue("name")) {
				one, err = w, nil
			}
		}
	})
	return one, err
}

func (s *Server) showNewWater(w http.ResponseWriter, r *http.Request) error {
	v := s.newOneWaterView(s.units(), care.Water{})
	v.Title, v.Action = "A new water", "/water/new"
	return s.render(w, r, http.StatusOK, "water-one.html", v)
}

func (s *Server) knownWaterView(one care.Water) *oneWaterView {
	u := s.units()
	v := s.newOneWaterView(u, one)
	v.Title, v.Action, v.Known = one.Name, waterPath(one.Name), true
	var tanks []care.Tank
	s.Book.Read(func(c *care.Collection) {
		tanks = c.Tanks
		v.Removable = !strings.EqualFold(c.Routine.Water, one.Name)
		for _, p := range c.Plants {
			if p.Record.Routine != nil && strings.EqualFold(p.Record.Routine.Water, one.Name) {
				v.Removable = false
			}
		}
	})
	says := newWaterLine(u, one, tanks)
	v.Says = &says
	return v
}

func (s *Server) showOneWater(w http.ResponseWriter, r *http.Request) error {
	one, err := s.waterOf(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "water-one.html", s.knownWaterView(one))
}

func (s *Server) addWater(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	u := s.units()
	one := f.water(u, care.Water{})
	one.Name = f.name("name", "Give it a name: jobs and batches go by it.")
	s.Book.Read(func(c *care.Collection) {
		if slices.ContainsFunc(c.Waters, func(w care.Water) bool { return strings.EqualFold(w.Name, one.Name) }) {
			f.say("name", "There is a water called %s already.", one.Name)
		}
	})
	if f.wrong() {
		v := s.newOneWaterView(u, one)
		v.Title, v.Action = "A new water", "/water/new"
		return s.waterAgain(w, r, f, v)
	}
	return s.keepWater(w, r, one)
}

func (s *Server) changeWater(w http.ResponseWriter, r *http.Request) error {
	kept, err := s.waterOf(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	one := f.water(s.units(), kept)
	one.Name = kept.Name
	if f.wrong() {
		v := s.knownWaterView(kept)
		v.Says = nil
		return s.waterAgain(w, r, f, v)
	}
	return s.keepWater(w, r, one)
}

// waterAgain shows the form again with what is wrong.
func (s *Server) waterAgain(w http.ResponseWriter, r *http.Request, f *form, v *oneWaterView) error {
	name := v.Name.Value
	f.keep(v.fields()...)
	if v.Known {
		v.Name.Value = name
	}
	if f.errors["sure"] != "" {
		v.Sure = &field{Name: "sure", Label: "Keep it as it is all the same", Type: "checkbox", Error: f.errors["sure"]}
	}
	return s.render(w, r, http.StatusUnprocessableEntity, "water-one.html", v)
}

func (s *Server) keepWater(w http.ResponseWriter, r *http.Request, one care.Water) error {
	if _, err := s.Book.Append(r.Context(), s.newEntry(care.WaterSet, "", care.Detail{Water: &one})); err != nil {
		return err
	}
	return seeOther(w, r, "/water?done=kept")
}

// surelyNotMS is the number beyond which an EC without a unit was read off a
// meter that shows µS/cm or ppm.
const surelyNotMS = 5

// mostImbalance is the error of the ion balance beyond which an analysis is asked
// about, percent: far beyond the 5 of a good one (Standard Methods 1030 E, from
// memory).
const mostImbalance = 10

// water reads the form of a water, but for its name.
func (f *form) water(u care.Units, kept care.Water) care.Water {
	one := care.Water{SoftenedByIonExchange: f.checked("softened")}
	if number, unit, err := leadingNumber(f.text("ec")); err == nil && unit == "" && number > surelyNotMS && sourceEC.usual(u) == "mS/cm" {
		f.say("ec", "%g mS/cm would be sea water. Is it µS/cm, or ppm? Write its unit: meters make ppm in three ways, as ppm (500), ppm (640) and ppm (700).", number)
	} else {
		one.ECmS = f.quantity("ec", sourceEC, u, kept.ECmS)
	}
	f.correct(&one.ECmS, u)
	one.HardnessMgLCaCO3 = f.like("hardness", hardnessIn, u, kept.HardnessMgLCaCO3)
	one.AlkalinityMgLCaCO3 = f.like("alkalinity", alkalinityIn, u, kept.AlkalinityMgLCaCO3)
	var ions water.Ions
	for i, a := range analysed {
		name := "ion." + a.ion.String()
		switch text := f.text(name); {
		case text == "":
		case kept.Ions != nil && text == ionField(i, u, kept.Ions).Value:
			ions[a.ion] = kept.Ions[a.ion]
		default:
			v, err := ionMeasure(i).read(text, u)
			if err != nil {
				f.say(name, "%s.", sentence(err.Error()))
			}
			ions[a.ion] = v.Value
		}
	}
	if ions != (water.Ions{}) {
		one.Ions = &ions
	}
	if !f.wrong() && !f.checked("sure") {
		f.doubt(one)
	}
	return one
}

// like reads a quantity whose field shows what was kept in a unit of its own.
func (f *form) like(name string, m measure, u care.Units, kept basis.Value) basis.Value {
	if kept.Grade != 0 && f.text(name) == m.inUnits(u, kept.Value) {
		return kept
	}
	return f.quantity(name, m, u, basis.Value{})
}

// correct brings the reading of a meter that does not correct for temperature to
// 25 °C.
func (f *form) correct(ec *basis.Value, u care.Units) {
	if !f.checked("uncorrected") || ec.Grade == 0 {
		return
	}
	at := f.number("at", airTemperature, u)
	if at == nil {
		f.say("at", "How warm was the water? Without that the reading cannot be brought to 25 °C.")
		return
	}
	at25, err := water.EC25NaturalWater(ec.Value, *at)
	if err != nil {
		f.say("at", "%s.", sentence(strings.TrimPrefix(err.Error(), "water: ")))
		return
	}
	ec.Value, ec.Low, ec.High = at25, at25, at25
}

// doubt asks about figures that cannot all be right.
func (f *form) doubt(one care.Water) {
	known, hasIons, err := one.Known()
	if err != nil {
		f.say("sure", "%s.", sentence(strings.TrimPrefix(err.Error(), "water: ")))
		return
	}
	if known.Contradictory && one.ECmS.Grade != 0 {
		f.say("sure", "Water so hard or alkaline conducts at least %.2f mS/cm. Is the EC in ppm or another unit, or the hardness in degrees?", known.ECFromHardnessMS)
	}
	if !hasIons {
		return
	}
	b := known.Ions.ChargeBalance()
	if math.Abs(b.ErrorPercent) > mostImbalance {
		f.say("sure", "Cations carry %.2f and anions %.2f meq/L, %+.0f %% apart: an ion is missing, or a figure or its unit is wrong (nitrate as N? alkalinity as CaCO₃?).", b.CationsMeqL, b.AnionsMeqL, b.ErrorPercent)
	}
	if ec, err := known.Ions.ECmS(); err == nil && one.ECmS.Grade != 0 && math.Abs(ec/math.Max(one.ECmS.Value, 1e-3)-1) > 0.2 {
		f.say("sure", "These ions conduct %.2f mS/cm, and the meter reads %.2f. Is one of them in another unit?", ec, one.ECmS.Value)
	}
}

// removeWater withdraws a water that nothing names.
func (s *Server) removeWater(w http.ResponseWriter, r *http.Request) error {
	one, err := s.waterOf(r)
	if err != nil {
		return err
	}
	if !s.knownWaterView(one).Removable {
		return fmt.Errorf("%w: plants are watered with %s; name another water for them first", errForbidden, one.Name)
	}
	if err := s.withdrawAll(r.Context(), func(e care.Entry) bool {
		return e.Kind == care.WaterSet && strings.EqualFold(e.Detail.Water.Name, one.Name) || e.Kind == care.TankSet && strings.EqualFold(e.Detail.Tank.Water, one.Name)
	}); err != nil {
		return err
	}
	return seeOther(w, r, "/water?done=withdrawn")
}
