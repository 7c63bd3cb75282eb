package care

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"velamen/science/basis"
	"velamen/science/water"
)

// Mixing is with what a grower mixes, and within which limits. A quantity without
// a grade was left out; withDefaults fills it in.
type Mixing struct {
	ScaleG basis.Value `json:"scale_g,omitzero"` // what the scale shows to
	JugL   basis.Value `json:"jug_l,omitzero"`   // what water is measured to
	CanL   basis.Value `json:"can_l,omitzero"`   // the largest can; what does not fit is mixed in several

	AlkalinityMost basis.Value `json:"alkalinity_most,omitzero"` // mg/L as CaCO3
	CalciumPerN    basis.Value `json:"calcium_per_n,omitzero"`   // mg for each mg of nitrogen, at least
	MagnesiumPerN  basis.Value `json:"magnesium_per_n,omitzero"`
	PotassiumPerN  basis.Value `json:"potassium_per_n,omitzero"` // at most; none unless given
	SodiumMost     basis.Value `json:"sodium_most,omitzero"`     // mg/L
	ECMost         basis.Value `json:"ec_most,omitzero"`         // mS/cm of the finished feed; besides what the plants' own targets allow

	Acid            AcidKind    `json:"acid,omitempty"` // empty: none is used
	AcidPercent     basis.Value `json:"acid_percent,omitzero"`
	AcidKgPerL      basis.Value `json:"acid_kg_per_l,omitzero"`
	AlkalinityLeast basis.Value `json:"alkalinity_least,omitzero"` // that acid must leave

	Supplement string `json:"supplement,omitempty"` // name of a Feed that goes into every batch
}

// AcidKind is a sort of acid.
type AcidKind string

// The acids, the safest at home first.
const (
	CitricAcid     AcidKind = "citric"
	PhosphoricAcid AcidKind = "phosphoric"
	NitricAcid     AcidKind = "nitric"
	SulphuricAcid  AcidKind = "sulphuric"
)

// AcidKinds lists the acids, the safest at home first.
var AcidKinds = []AcidKind{CitricAcid, PhosphoricAcid, NitricAcid, SulphuricAcid}

// What is mixed with and within where the grower did not say.
var (
	usualScaleG    = basis.Assumed(0.1, 0.01, 1, "g")
	usualJugL      = basis.Assumed(0.1, 0.05, 0.5, "L")
	usualCanL      = basis.Assumed(10, 5, 20, "L")
	alkalinityMost = basis.Value{Value: 80, Low: 30, High: 100, Unit: "mg/L CaCO3", Grade: basis.CommonPractice}
	calciumPerN    = basis.Value{Value: 0.4, Low: 0.3, High: 0.65, Unit: "mg per mg N", Grade: basis.CommonPractice}
	magnesiumPerN  = basis.Value{Value: 0.1, Low: 0.08, High: 0.2, Unit: "mg per mg N", Grade: basis.CommonPractice}
	sodiumMost     = basis.Value{Value: 50, Low: 20, High: 70, Unit: "mg/L", Grade: basis.CommonPractice}
	// batchECOver is how much more than the plants' EC target a can may conduct
	// where its water is not the usual one, share and mS/cm.
	batchECOver, batchECMore = basis.Assumed(0.25, 0.1, 0.5, "share"), basis.Assumed(0.1, 0.05, 0.2, "mS/cm")
	batchSpare               = basis.Assumed(0.05, 0, 0.2, "share") // spilled, left in the can, a pot forgotten
	batchWeaker              = basis.Assumed(0.2, 0.1, 0.3, "share")
	batchStronger            = basis.Assumed(0.1, 0, 0.2, "share")
)

func (m Mixing) withDefaults() Mixing {
	for _, one := range []struct{ v, fallback *basis.Value }{
		{&m.ScaleG, &usualScaleG}, {&m.JugL, &usualJugL}, {&m.CanL, &usualCanL},
		{&m.AlkalinityMost, &alkalinityMost}, {&m.CalciumPerN, &calciumPerN}, {&m.MagnesiumPerN, &magnesiumPerN}, {&m.SodiumMost, &sodiumMost},
		{&m.AlkalinityLeast, &water.SafeAlkalinity},
	} {
		*one.v = orElse(*one.v, *one.fallback)
	}
	return m
}

func (m *Mixing) check(bad func(field, format string, args ...any)) {
	if m == nil {
		return
	}
	for _, one := range []struct {
		field     string
		v         basis.Value
		low, high float64
	}{
		{"scale_g", m.ScaleG, 0.001, 100}, {"jug_l", m.JugL, 0.001, 10}, {"can_l", m.CanL, 0.1, 10_000},
		{"alkalinity_most", m.AlkalinityMost, 0, 500}, {"calcium_per_n", m.CalciumPerN, 0, 5}, {"magnesium_per_n", m.MagnesiumPerN, 0, 5},
		{"potassium_per_n", m.PotassiumPerN, 0.1, 20}, {"sodium_most", m.SodiumMost, 0, 1000}, {"ec_most", m.ECMost, 0.05, 10},
		{"acid_percent", m.AcidPercent, 0.1, 100}, {"acid_kg_per_l", m.AcidKgPerL, 0.9, 1.9}, {"alkalinity_least", m.AlkalinityLeast, 0, 500},
	} {
		if one.v.Grade != 0 && !(one.v.Value >= one.low && one.v.Value <= one.high) {
			bad("detail.mixing."+one.field, "%g is outside %g to %g", one.v.Value, one.low, one.high)
		}
	}
	if m.Acid != "" && !slices.Contains(AcidKinds, m.Acid) {
		bad("detail.mixing.acid", "%q is not one of %v", m.Acid, AcidKinds)
	}
	if _, err := m.acid(); err != nil {
		bad("detail.mixing.acid", "%s", strings.TrimPrefix(err.Error(), "water: "))
	}
}

// acid makes the acid that is used, nil if none is.
func (m *Mixing) acid() (*water.Acid, error) {
	var a water.Acid
	var err error
	switch m.Acid {
	case "":
		return nil, nil
	case CitricAcid:
		a = water.CitricAcidMonohydrate()
	case PhosphoricAcid:
		a, err = water.PhosphoricAcid(m.AcidPercent.Value, m.AcidKgPerL.Value)
	case NitricAcid:
		a, err = water.NitricAcid(m.AcidPercent.Value, m.AcidKgPerL.Value)
	case SulphuricAcid:
		a, err = water.SulphuricAcid(m.AcidPercent.Value, m.AcidKgPerL.Value)
	default:
		return nil, fmt.Errorf("the acid %q is not known", m.Acid)
	}
	return &a, err
}

// check reports what is wrong with a feed beyond its name. What stands in older
// journals with nothing but a name passes.
func (f *Feed) check(bad func(field, format string, args ...any)) {
	if f == nil {
		return
	}
	if err := f.Label.Check(); err != nil {
		bad("detail.feed.label", "%s", strings.TrimPrefix(err.Error(), "water: "))
	}
	sum := 0.0
	for i, s := range f.Salts {
		if _, err := water.SaltByFormula(s.Formula); err != nil {
			bad(fmt.Sprintf("detail.feed.salts[%d].formula", i), "%q is not a salt that is known", s.Formula)
		}
		if !(s.Share > 0 && s.Share <= 1) {
			bad(fmt.Sprintf("detail.feed.salts[%d].share", i), "%g is outside 0 to 1", s.Share)
		}
		sum += s.Share
	}
	if len(f.Salts) > 0 && math.Abs(sum-1) > 1e-6 {
		bad("detail.feed.salts", "the shares add up to %g, not to 1", sum)
	}
	if v := f.PerLitre; v.Grade != 0 && !(v.Value >= 0 && v.Value <= 50) {
		bad("detail.feed.per_litre", "%g is outside 0 to 50", v.Value)
	}
}

// PerGram returns the ions of a gram of the feed, mmol, and what had to be
// assumed of its label.
func (f *Feed) PerGram() (water.Ions, water.Assumptions, error) {
	if len(f.Salts) == 0 {
		made, err := f.Label.AtGramsPerLitre(1)
		return made.Ions, made.Assumptions, err
	}
	recipe := make([]water.Portion, len(f.Salts))
	for i, s := range f.Salts {
		salt, err := water.SaltByFormula(s.Formula)
		if err != nil {
			return water.Ions{}, 0, err
		}
		recipe[i] = water.Portion{Salt: salt, GramsPerLitre: s.Share}
	}
	ions, err := water.Dissolve(recipe...)
	return ions, 0, err
}

// OfSalts returns the feed that salts make, with the label a bag of them would
// bear.
func OfSalts(name string, salts []SaltShare) (Feed, error) {
	f := Feed{Name: name, Salts: salts}
	c, _, err := f.PerGram()
	if err != nil {
		return f, err
	}
	e := c.Elements() // mg in a gram: a tenth of it is the percentage
	nitrate := water.Ions{water.NO3: c[water.NO3]}
	ammonium := water.Ions{water.NH4: c[water.NH4]}
	urea := water.Ions{water.UreaN: c[water.UreaN]}
	f.Label = water.Label{
		NPercent: e.N / 10, NitratePercent: nitrate.Elements().N / 10, AmmoniumPercent: ammonium.Elements().N / 10, UreaPercent: urea.Elements().N / 10,
		PPercent: e.P / 10, KPercent: e.K / 10, CaPercent: e.Ca / 10, MgPercent: e.Mg / 10, SPercent: e.S / 10,
	}
	return f, nil
}

// gramsPerLitre is the dose of a supplement by mass.
func (f *Feed) gramsPerLitre() float64 {
	if d := f.Label.DensityKgPerL; d > 0 {
		return f.PerLitre.Value * d
	}
	return f.PerLitre.Value
}

// Known returns the ions of the water, how uncertain they are, and whether they
// are an analysis or a guess from conductivity, hardness and alkalinity.
func (w Water) Known() (e water.Estimate, analysed bool, err error) {
	if w.Ions != nil {
		e.Ions, e.Low, e.High = *w.Ions, *w.Ions, *w.Ions
		return e, true, e.Ions.Check()
	}
	e, err = water.EstimateIons(w.ECmS.Value, w.HardnessMgLCaCO3.Value, w.AlkalinityMgLCaCO3.Value)
	return e, false, err
}
