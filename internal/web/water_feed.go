package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/water"
)

// oneFeedView is the form of one feed.
type oneFeedView struct {
	frame
	Action    string
	Name      field
	Known     bool
	Removable bool

	Label, Elemental        field
	Calcium, Magnesium, Sul field
	Nitrate, Ammonium, Urea field
	Density                 field
	Salts                   []saltFields
	Supplement, Dose        field
}

// saltFields ask for one salt of a feed and its parts.
type saltFields struct{ Salt, Parts field }

// saltRows is how many salts one feed may be made of.
const saltRows = 4

// Percentages on a bag; where labels quote oxides, both may be written.
func labelMeasure(element, oxide string, share float64) measure {
	m := measure{"a share of the feed", "%", 0, 100, always("%"), []writing{{"%", "percent " + fold("% "+element), 1, 0}}}
	if oxide != "" {
		m.writings = append(m.writings, writing{"% " + oxide, fold(oxide), share, 0})
	}
	return m
}

var (
	calciumOn   = labelMeasure("Ca", "CaO", water.CaFromCaO)
	magnesiumOn = labelMeasure("Mg", "MgO", water.MgFromMgO)
	sulphurOn   = labelMeasure("S", "SO3", water.SFromSO3)
	nitrogenOn  = labelMeasure("N", "", 0)
	partsOf     = measure{"parts by weight", "", 0, 1000, always(""), []writing{{"", "parts part g", 1, 0}}}
	doseOf      = measure{"a dose for each litre", "", 0, 50, always(""), []writing{{"", "ml/l g/l ml g", 1, 0}}}
)

func (s *Server) newOneFeedView(u care.Units, f care.Feed) *oneFeedView {
	l := f.Label
	percent := func(x float64) string {
		if x == 0 {
			return ""
		}
		return significant(x, 5) + " %"
	}
	v := &oneFeedView{
		Name:       field{Name: "name", Label: "Name", Value: f.Name, Required: true, Hint: "As you call it."},
		Label:      field{Name: "label", Label: "Analysis on the label", Hint: "N-P₂O₅-K₂O in percent, such as 13-3-15."},
		Elemental:  field{Name: "elemental", Label: "P and K on this label are the elements, not P₂O₅ and K₂O", Type: "checkbox"},
		Calcium:    field{Name: "calcium", Label: "Calcium", Unit: "%", Value: percent(l.CaPercent + l.CaOPercent*water.CaFromCaO), Hint: "Or 11 % CaO."},
		Magnesium:  field{Name: "magnesium", Label: "Magnesium", Unit: "%", Value: percent(l.MgPercent + l.MgOPercent*water.MgFromMgO), Hint: "Or 3.3 % MgO."},
		Sul:        field{Name: "sulphur", Label: "Sulphur", Unit: "%", Value: percent(l.SPercent + l.SO3Percent*water.SFromSO3), Hint: "Or % SO3."},
		Nitrate:    field{Name: "nitrate", Label: "Nitrate N", Unit: "%", Value: percent(l.NitratePercent)},
		Ammonium:   field{Name: "ammonium", Label: "Ammonium N", Unit: "%", Value: percent(l.AmmoniumPercent)},
		Urea:       field{Name: "urea", Label: "Urea N", Unit: "%", Value: percent(l.UreaPercent)},
		Density:    field{Name: "density", Label: "Density, if it is a liquid", Unit: "kg/L", Mode: "decimal"},
		Supplement: field{Name: "supplement", Label: "It is a supplement, such as seaweed, and no feed", Type: "checkbox", Checked: f.Supplement},
		Dose:       field{Name: "dose", Label: "Its dose, mL (or g of a powder) in a litre", Mode: "decimal", Value: shownIn(doseOf, u, f.PerLitre)},
	}
	v.Dose.Value = strings.TrimSpace(v.Dose.Value)
	if l.DensityKgPerL > 0 {
		v.Density.Value = significant(l.DensityKgPerL, 4)
	}
	switch {
	case len(f.Salts) > 0 || l == water.Label{}:
	case l.PPercent > 0 || l.KPercent > 0:
		v.Elemental.Checked = true
		v.Label.Value = fmt.Sprintf("%g-%g-%g", l.NPercent, l.PPercent, l.KPercent)
	default:
		v.Label.Value = fmt.Sprintf("%g-%g-%g", l.NPercent, l.P2O5Percent, l.K2OPercent)
	}
	for i := range saltRows {
		row := saltFields{
			Salt:  field{Name: fmt.Sprintf("salt.%d", i), Label: fmt.Sprintf("Salt %d", i+1), Type: "select", Options: []choice{{Label: "none"}}},
			Parts: field{Name: fmt.Sprintf("parts.%d", i), Label: "Parts by weight", Mode: "decimal"},
		}
		chosen := ""
		if i < len(f.Salts) {
			chosen, row.Parts.Value = f.Salts[i].Formula, significant(f.Salts[i].Share, 4)
		}
		for _, one := range water.Salts() {
			row.Salt.Options = append(row.Salt.Options, choice{one.Formula, one.Name + ", " + one.Formula, one.Formula == chosen})
		}
		v.Salts = append(v.Salts, row)
	}
	v.Here, v.Style = "water", "water.css"
	return v
}

func (v *oneFeedView) fields() []*field {
	list := []*field{&v.Name, &v.Label, &v.Elemental, &v.Calcium, &v.Magnesium, &v.Sul, &v.Nitrate, &v.Ammonium, &v.Urea, &v.Density, &v.Supplement, &v.Dose}
	for i := range v.Salts {
		list = append(list, &v.Salts[i].Salt, &v.Salts[i].Parts)
	}
	return list
}

func (s *Server) feedOf(r *http.Request) (one care.Feed, err error) {
	err = fmt.Errorf("%w: a feed of this name", errNotFound)
	s.Book.Read(func(c *care.Collection) {
		for _, f := range c.Feeds {
			if strings.EqualFold(f.Name, r.PathValue("name")) {
				one, err = f, nil
			}
		}
	})
	return one, err
}

func (s *Server) showNewFeed(w http.ResponseWriter, r *http.Request) error {
	v := s.newOneFeedView(s.units(), care.Feed{})
	v.Title, v.Action = "A new feed", "/water/feed/new"
	return s.render(w, r, http.StatusOK, "water-feed.html", v)
}

func (s *Server) knownFeedView(one care.Feed) *oneFeedView {
	v := s.newOneFeedView(s.units(), one)
	v.Title, v.Action, v.Known, v.Removable = one.Name, newFeedLine(care.NewCollection(), one).Path, true, true
	s.Book.Read(func(c *care.Collection) {
		v.Removable = !strings.EqualFold(c.Routine.Feed, one.Name)
		for _, p := range c.Plants {
			if p.Record.Routine != nil && strings.EqualFold(p.Record.Routine.Feed, one.Name) {
				v.Removable = false
			}
		}
	})
	return v
}

func (s *Server) showOneFeed(w http.ResponseWriter, r *http.Request) error {
	one, err := s.feedOf(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "water-feed.html", s.knownFeedView(one))
}

func (s *Server) addFeed(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	one := f.feed(s.units())
	one.Name = f.name("name", "Give it a name: jobs and batches go by it.")
	s.Book.Read(func(c *care.Collection) {
		if slices.ContainsFunc(c.Feeds, func(other care.Feed) bool { return strings.EqualFold(other.Name, one.Name) }) {
			f.say("name", "There is a feed called %s already.", one.Name)
		}
	})
	if f.wrong() {
		v := s.newOneFeedView(s.units(), one)
		v.Title, v.Action = "A new feed", "/water/feed/new"
		f.keep(v.fields()...)
		return s.render(w, r, http.StatusUnprocessableEntity, "water-feed.html", v)
	}
	return s.keepFeed(w, r, one)
}

func (s *Server) changeFeed(w http.ResponseWriter, r *http.Request) error {
	kept, err := s.feedOf(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	one := f.feed(s.units())
	one.Name = kept.Name
	if f.wrong() {
		v := s.knownFeedView(kept)
		f.keep(v.fields()...)
		v.Name.Value = kept.Name
		return s.render(w, r, http.StatusUnprocessableEntity, "water-feed.html", v)
	}
	return s.keepFeed(w, r, one)
}

func (s *Server) keepFeed(w http.ResponseWriter, r *http.Request, one care.Feed) error {
	if _, err := s.Book.Append(r.Context(), s.newEntry(care.FeedSet, "", care.Detail{Feed: &one})); err != nil {
		return err
	}
	return seeOther(w, r, "/water?done=kept")
}

// feed reads the form of a feed, but for its name.
func (f *form) feed(u care.Units) care.Feed {
	one := care.Feed{Supplement: f.checked("supplement"), PerLitre: f.quantity("dose", doseOf, u, basis.Value{})}
	if one.Supplement && one.PerLitre.Grade == 0 {
		f.say("dose", "How much of it goes into a litre? Without a dose its salts cannot be counted.")
	}
	var salts []care.SaltShare
	sum := 0.0
	for i := range saltRows {
		formula := f.text(fmt.Sprintf("salt.%d", i))
		if formula == "" {
			continue
		}
		name := fmt.Sprintf("parts.%d", i)
		parts := f.quantity(name, partsOf, u, basis.Value{})
		if parts.Grade == 0 {
			parts = basis.Exactly(1, "", basis.Given, "")
		}
		if parts.Value == 0 {
			f.say(name, "A salt of no parts is not in it.")
			continue
		}
		salts = append(salts, care.SaltShare{Formula: formula, Share: parts.Value})
		sum += parts.Value
	}
	label := f.label(u)
	switch {
	case len(salts) > 0 && label != (water.Label{}):
		f.say("label", "Give what the label says, or the salts it is made of, but not both.")
	case len(salts) > 0:
		for i := range salts {
			salts[i].Share /= sum
		}
		made, err := care.OfSalts("", salts)
		if err != nil {
			f.say("salt.0", "%s.", sentence(strings.TrimPrefix(err.Error(), "water: ")))
		}
		one.Salts, one.Label = made.Salts, made.Label
	case label == (water.Label{}):
		f.say("label", "What does the bag say? Without its analysis nothing can be mixed.")
	default:
		if err := label.Check(); err != nil {
			f.say("label", "%s.", sentence(strings.TrimPrefix(err.Error(), "water: ")))
		}
		one.Label = label
	}
	return one
}

// label reads what is printed on a bag.
func (f *form) label(u care.Units) (l water.Label) {
	for _, one := range []struct {
		name string
		m    measure
		into *float64
	}{
		{"calcium", calciumOn, &l.CaPercent}, {"magnesium", magnesiumOn, &l.MgPercent}, {"sulphur", sulphurOn, &l.SPercent},
		{"nitrate", nitrogenOn, &l.NitratePercent}, {"ammonium", nitrogenOn, &l.AmmoniumPercent}, {"urea", nitrogenOn, &l.UreaPercent},
	} {
		*one.into = f.quantity(one.name, one.m, u, basis.Value{}).Value
	}
	if text := f.text("label"); text != "" {
		var npk [3]float64
		parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("-–+:", r) })
		wrong := len(parts) != len(npk)
		for i := 0; !wrong && i < len(npk); i++ {
			number, rest, err := leadingNumber(parts[i])
			npk[i], wrong = number, err != nil || strings.Trim(rest, " %") != ""
		}
		if wrong {
			f.say("label", "%q is not an analysis; write the three figures as 13-3-15.", text)
		}
		l.NPercent = npk[0]
		if f.checked("elemental") {
			l.PPercent, l.KPercent = npk[1], npk[2]
		} else {
			l.P2O5Percent, l.K2OPercent = npk[1], npk[2]
		}
	}
	if l != (water.Label{}) {
		l.DensityKgPerL = f.quantity("density", density, u, basis.Value{}).Value
	}
	return l
}

func (s *Server) removeFeed(w http.ResponseWriter, r *http.Request) error {
	one, err := s.feedOf(r)
	if err != nil {
		return err
	}
	if !s.knownFeedView(one).Removable {
		return fmt.Errorf("%w: plants are fed with %s; name another feed for them first", errForbidden, one.Name)
	}
	if err := s.withdrawAll(r.Context(), func(e care.Entry) bool {
		return e.Kind == care.FeedSet && strings.EqualFold(e.Detail.Feed.Name, one.Name)
	}); err != nil {
		return err
	}
	return seeOther(w, r, "/water?done=withdrawn")
}
