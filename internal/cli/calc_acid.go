package cli

import (
	"errors"
	"fmt"

	"velamen/science/water"
)

// calcAcid is the acid that takes alkalinity out of a water.
type calcAcid struct {
	Water waterFlags `embed:""`

	Acid     string `required:"" placeholder:"NAME" help:"Which acid: citric, phosphoric, nitric or sulphuric."`
	Strength number `name:"strength-percent" range:"0.1 to 100 %" placeholder:"PERCENT" help:"Grams of acid in 100 g of a bottled acid, 0.1 to 100 %, from its label."`
	Density  number `name:"density-kg-l" range:"0.9 to 1.9 kg/L" placeholder:"KG" help:"Density of a bottled acid, 0.9 to 1.9 kg/L, from its label."`
	Target   number `name:"target-alkalinity-mg-l" required:"" range:"0 to 2000 mg/L CaCO3" placeholder:"MG" help:"Alkalinity to leave in the water, 0 to 2000 mg/L as CaCO3."`
	Litres   number `range:"0.1 to 100000 L" placeholder:"L" help:"Water to treat, 0.1 to 100000 L, for the dose in all."`

	Out calcOutput `embed:""`
}

// Run prints the dose with its cautions, and the water after it.
func (c calcAcid) Run(r *run) error {
	base, whole, err := c.base()
	if err != nil {
		return err
	}
	acid, err := c.acid()
	if err != nil {
		return err
	}
	dose, err := acid.DoseToAlkalinity(base.ions, c.Target.value)
	if err != nil {
		return at("--target-alkalinity-mg-l", err)
	}
	doseSection, err := c.dose(acid, dose, base)
	if err != nil {
		return err
	}
	a := answer{format: "velamen-calc-acid-1", sections: []section{doseSection}}
	if whole {
		treated, err := treatedWater(base, dose)
		if err != nil {
			return err
		}
		a.sections = append(a.sections, treated)
	}
	return c.Out.show(r, a)
}

// base is the water to treat; its alkalinity alone is enough for a dose, but
// not for what the water is like afterwards.
func (c calcAcid) base() (base knownWater, whole bool, err error) {
	if c.Water.Alkalinity.given && !c.Water.EC.given && !c.Water.Hardness.given && !c.Water.analysed() {
		ions, err := water.FromMgPerL(map[water.Ion]float64{water.HCO3: c.Water.Alkalinity.value * bicarbonatePerAlkalinity()})
		return knownWater{ions: ions, about: fmt.Sprintf("a water of alkalinity %g mg/L CaCO3", c.Water.Alkalinity.value)}, false, at("--alkalinity-mg-l", err)
	}
	if !c.Water.analysed() && !c.Water.read() {
		return knownWater{}, false, errors.New("how alkaline is the water? Give --alkalinity-mg-l, alone or with --water-ec-ms and --hardness-mg-l, or an analysis such as --bicarbonate-mg-l")
	}
	base, err = c.Water.water("")
	return base, true, err
}

// bicarbonatePerAlkalinity is the mg of HCO3 for one mg of alkalinity as CaCO3.
func bicarbonatePerAlkalinity() float64 {
	one := water.Ions{water.HCO3: 1}
	return one.MgPerL(water.HCO3) / one.AlkalinityMgCaCO3()
}

// bottledAcids are the acids that come as a solution, with usual strengths.
var bottledAcids = map[string]struct {
	make  func(massPercent, densityKgPerL float64) (water.Acid, error)
	usual string
}{
	"nitric":     {water.NitricAcid, "60 % has 1.37 kg/L"},
	"phosphoric": {water.PhosphoricAcid, "85 % has 1.69 kg/L"},
	"sulphuric":  {water.SulphuricAcid, "35 % has 1.26 kg/L, 93 % has 1.835"},
}

func (c calcAcid) acid() (water.Acid, error) {
	if c.Acid == "citric" {
		if c.Strength.given || c.Density.given {
			return water.Acid{}, errors.New("--strength-percent and --density-kg-l are of a bottled acid; citric acid is weighed as crystals")
		}
		return water.CitricAcidMonohydrate(), nil
	}
	kind, known := bottledAcids[c.Acid]
	switch {
	case !known:
		return water.Acid{}, fmt.Errorf("--acid: %q is not known; citric, phosphoric, nitric or sulphuric is allowed", c.Acid)
	case !c.Strength.given || !c.Density.given:
		return water.Acid{}, fmt.Errorf("--acid %s needs --strength-percent and --density-kg-l from its bottle; %s", c.Acid, kind.usual)
	}
	acid, err := kind.make(c.Strength.value, c.Density.value)
	return acid, at("--strength-percent, --density-kg-l", err)
}

// acidCautions are printed with every dose they belong to.
var acidCautions = []struct {
	belongs water.Cautions
	text    string
}{
	{water.AcidIntoWater, "Pour acid into water, never water into acid, and stir."},
	{water.GlovesAndGoggles, "Wear gloves and goggles, and air the place."},
	{water.OxidiserFumes, "Nitric acid oxidises and gives off harmful fumes: keep it from anything that burns, and prefer citric or phosphoric acid at home."},
	{water.LittleBufferLeft, "Less alkalinity is left than keeps the pH steady: the pH may fall freely. Leave more, and measure."},
}

// noBleach holds for every acid.
const noBleach = "Never bring acid together with bleach: chlorine gas comes off."

// dose is how much acid, what it adds, and what to beware of.
func (c calcAcid) dose(acid water.Acid, dose water.AcidDose, base knownWater) (section, error) {
	s := section{key: "dose", title: "Dose", about: fmt.Sprintf("%s into %s", acid.Name, base.about),
		because: "(alkalinity now − wanted)/50.04 meq/L by equivalents; sulphuric acid gives two protons, nitric one, phosphoric one below about pH 6.5; strength and density as given",
		rests:   []parameter{{"safe_alkalinity_mg_per_l", "alkalinity to leave", water.SafeAlkalinity}}}
	grams := line{key: "grams_per_l", name: "acid in a litre", value: dose.GramsPerL, unit: "g", decimals: 3}
	inAll := line{key: "grams", name: "in all", value: dose.GramsPerL * c.Litres.value, unit: "g", decimals: 1}
	if c.Acid == "citric" {
		span, err := c.citricSpan(acid, base)
		if err != nil {
			return s, err
		}
		grams.span, inAll.span = span, spanOf(span[0]*c.Litres.value, span[1]*c.Litres.value)
		s.rests = append(s.rests, parameter{"citric_protons", "protons of citric acid", water.CitricProtons})
	} else {
		inAll = line{key: "ml", name: "in all", value: dose.MillilitresPL * c.Litres.value, unit: "mL", decimals: 1}
	}
	s.lines = []line{
		{key: "alkalinity_now_mg_per_l_caco3", name: "alkalinity now", value: base.ions.AlkalinityMgCaCO3(), unit: "mg/L CaCO3", decimals: 1},
		{key: "target_alkalinity_mg_per_l_caco3", name: "alkalinity wanted", value: c.Target.value, unit: "mg/L CaCO3", decimals: 1},
		{key: "meq_per_l", name: "to take out", value: dose.MeqPerL, unit: "meq/L", decimals: 3},
		grams,
	}
	if acid.DensityKgPerL > 0 {
		s.lines = append(s.lines, line{key: "ml_per_l", name: "which is", value: dose.MillilitresPL, unit: "mL", decimals: 4})
	}
	if c.Litres.given {
		s.lines = append(s.lines, line{key: "litres", name: "water to treat", value: c.Litres.value, unit: "L", decimals: 1}, inAll)
	}
	for _, e := range []struct {
		key, name string
		mgPerL    float64
	}{
		{"added_n_mg_per_l", "nitrogen added", dose.Added.N}, {"added_p_mg_per_l", "phosphorus added", dose.Added.P}, {"added_s_mg_per_l", "sulphur added", dose.Added.S},
	} {
		s.lines = append(s.lines, line{key: e.key, name: e.name, value: e.mgPerL, unit: "mg/L (ppm)", decimals: 1})
	}
	s.notes = append(s.notes, base.notes...)
	for _, caution := range acidCautions {
		if dose.Cautions.Has(caution.belongs) {
			s.notes = append(s.notes, caution.text)
		}
	}
	s.notes = append(s.notes, noBleach)
	return s, nil
}

// citricSpan is the range of a dose of citric acid, g/L: the more protons it
// gives off, the less is needed.
func (c calcAcid) citricSpan(acid water.Acid, base knownWater) (*[2]float64, error) {
	var grams [2]float64
	for i, protons := range []float64{water.CitricProtons.High, water.CitricProtons.Low} {
		acid.EqPerMole = protons
		dose, err := acid.DoseToAlkalinity(base.ions, c.Target.value)
		if err != nil {
			return nil, at("--target-alkalinity-mg-l", err)
		}
		grams[i] = dose.GramsPerL
	}
	return &grams, nil
}

// treatedWater is the water with the acid in it.
func treatedWater(base knownWater, dose water.AcidDose) (section, error) {
	s := section{key: "water", title: "The water", because: ecBecause + "; carbon dioxide left out",
		rests: append([]parameter{waterECError}, base.rests...)}
	if base.because != "" {
		s.because += "; " + base.because
	}
	s.grid = &grid{key: "waters", columns: []column{
		{key: "when"}, {key: "ec_ms_per_cm", head: "EC mS/cm", decimals: 3},
		{key: "alkalinity_mg_per_l_caco3", head: "alkalinity", decimals: 1}, {key: "hardness_mg_per_l_caco3", head: "hardness", decimals: 1},
	}}
	if dose.Water[water.Organic] > 0 {
		s.because += "; how well citrate conducts is assumed"
	}
	for _, w := range []struct {
		when string
		ions water.Ions
	}{{"before", base.ions}, {"after", dose.Water}} {
		ecMS, err := w.ions.ECmS()
		if err != nil {
			return s, at("--target-alkalinity-mg-l", err)
		}
		s.grid.rows = append(s.grid.rows, []any{w.when, waterECError.around(ecMS), w.ions.AlkalinityMgCaCO3(), w.ions.HardnessMgCaCO3()})
	}
	return s, nil
}
