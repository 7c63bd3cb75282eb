package casefile

import (
	"fmt"
	"strings"

	"velamen/internal/care"
	"velamen/science/water"
)

// feedFields are the keys of [[feed]]: what is printed on the bag. A nutrient
// is a share of the mass, as the element or as the oxide that labels quote.
var feedFields = fields[care.Feed]{
	{"name", func(f *file, v *node, feed *care.Feed) { f.text(v, &feed.Name) }},
	{"label", readLabel},
	content("nitrogen", "N", "", func(l *water.Label) (*float64, *float64) { return &l.NPercent, nil }),
	content("nitrate", "N", "", func(l *water.Label) (*float64, *float64) { return &l.NitratePercent, nil }),
	content("ammonium", "N", "", func(l *water.Label) (*float64, *float64) { return &l.AmmoniumPercent, nil }),
	content("urea", "N", "", func(l *water.Label) (*float64, *float64) { return &l.UreaPercent, nil }),
	content("phosphorus", "P", "P2O5", func(l *water.Label) (*float64, *float64) { return &l.PPercent, &l.P2O5Percent }),
	content("potassium", "K", "K2O", func(l *water.Label) (*float64, *float64) { return &l.KPercent, &l.K2OPercent }),
	content("calcium", "Ca", "CaO", func(l *water.Label) (*float64, *float64) { return &l.CaPercent, &l.CaOPercent }),
	content("magnesium", "Mg", "MgO", func(l *water.Label) (*float64, *float64) { return &l.MgPercent, &l.MgOPercent }),
	content("sulphur", "S", "SO3", func(l *water.Label) (*float64, *float64) { return &l.SPercent, &l.SO3Percent }),
	content("sulfur", "S", "SO3", func(l *water.Label) (*float64, *float64) { return &l.SPercent, &l.SO3Percent }),
	{"density", func(f *file, v *node, feed *care.Feed) {
		if r, ok := f.reading(v, &feedDensity); ok {
			feed.Label.DensityKgPerL = r.value
		}
	}},
}

func (f *file) readFeed(table *node, feed *care.Feed) {
	before := len(f.found) + f.more
	feedFields.read(f, table, feed)
	f.define(aFeed, table, feed.Name)
	if len(f.found)+f.more > before {
		return // what could not be read would make the label look wrong
	}
	at := table
	if label := table.entry("label"); label != nil {
		at = label
	}
	switch err := feed.Label.Check(); {
	case feed.Label == water.Label{}:
		f.missing(table, `the feed has no analysis; write what its bag says, as in label = "13-3-15"`)
	case err != nil:
		f.say(at.at, at, "%s", trimSubject(err))
	}
}

// readLabel reads the three figures of a label: nitrogen, phosphorus as P2O5
// and potassium as K2O. Others may follow with their symbol: "13-3-15-8Ca-2Mg".
func readLabel(f *file, v *node, feed *care.Feed) {
	wanted := expected("the analysis of three figures", `"13-3-15"`)
	var text string
	if !f.text(v, &text) {
		return
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("-–+:", r) })
	if len(parts) < 3 || len(parts) > 6 {
		f.say(v.at, v, "found %s; %s", excerpt(text), wanted)
		return
	}
	l := &feed.Label
	places := []*float64{&l.NPercent, &l.P2O5Percent, &l.K2OPercent}
	bySymbol := map[string]*float64{
		"ca": &l.CaPercent, "cao": &l.CaOPercent, "mg": &l.MgPercent, "mgo": &l.MgOPercent, "s": &l.SPercent, "so3": &l.SO3Percent,
	}
	for i, part := range parts {
		number, rest, err := readNumber(part)
		symbol := foldUnit(strings.Replace(rest, "%", "", 1))
		place := bySymbol[symbol]
		if i < len(places) && symbol == "" {
			place = places[i]
		}
		if err != nil || place == nil {
			f.say(v.at, v, "found %s; %s", excerpt(text), wanted)
			return
		}
		if !f.free(v, *place != 0) {
			return
		}
		*place = number.value
	}
}

// content makes the field of one nutrient. Where labels quote phosphorus and
// potassium, a bare percentage may mean either the element or the oxide.
func content(key, element, oxide string, places func(*water.Label) (asElement, asOxide *float64)) field[care.Feed] {
	share := func(units ...unit) quantity {
		return quantity{
			kind:    &kind{name: "a percentage", unit: "%", units: units},
			subject: "a share of the feed", low: 0, high: 100,
		}
	}
	m := measure{asked: "a share of the feed's mass", example: `"8 %"`}
	elementUnit := unit{symbol: "% " + element, also: []string{"%"}, factor: 1}
	if oxide != "" {
		m.example = fmt.Sprintf(`"8 %% %s" or "8 %% %s"`, element, oxide)
	}
	if element == "P" || element == "K" {
		elementUnit.also = nil
	}
	m.any = append(m.any, share(elementUnit))
	if elementUnit.also == nil {
		m.any[0].vague = map[string]string{"%": fmt.Sprintf(`of what? Write "8 %% %s" or "8 %% %s", as the label does`, oxide, element)}
	}
	if oxide != "" {
		m.any = append(m.any, share(unit{symbol: "% " + oxide, factor: 1}))
	}
	return field[care.Feed]{key, func(f *file, v *node, feed *care.Feed) {
		asElement, asOxide := places(&feed.Label)
		r, ok := f.reading(v, &m)
		if !ok {
			return
		}
		into := asElement
		if r.quantity != &m.any[0] {
			into = asOxide
		}
		if f.free(v, *asElement != 0 || asOxide != nil && *asOxide != 0) {
			*into = r.value
		}
	}}
}
