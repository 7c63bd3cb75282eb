package cli

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"velamen/science/water"
)

// feedFlags are the label of a feed and how strong it is mixed.
type feedFlags struct {
	Label     string `placeholder:"N-P-K" help:"Guaranteed analysis of a feed, N-P2O5-K2O in percent, such as 13-3-15."`
	Elemental bool   `help:"The label's P and K are the elements, not P2O5 and K2O."`
	Calcium   number `name:"calcium-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Calcium on the label, 0 to 100 % Ca."`
	CaO       number `name:"cao-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"The same as oxide, 0 to 100 % CaO."`
	Magnesium number `name:"magnesium-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Magnesium on the label, 0 to 100 % Mg."`
	MgO       number `name:"mgo-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"The same as oxide, 0 to 100 % MgO."`
	Sulphur   number `name:"sulphur-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Sulphur on the label, 0 to 100 % S."`
	SO3       number `name:"so3-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"The same as oxide, 0 to 100 % SO3."`
	Nitrate   number `name:"nitrate-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Nitrate nitrogen on the label, 0 to 100 % N; the forms add up to the label's N."`
	Ammonium  number `name:"ammonium-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Ammonium nitrogen, 0 to 100 % N."`
	Urea      number `name:"urea-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Urea nitrogen, 0 to 100 % N."`
	Density   number `name:"density-kg-l" range:"0.8 to 2 kg/L" placeholder:"KG" help:"Density of a liquid feed, 0.8 to 2 kg/L, for its dose in mL."`

	Grams  number `name:"grams-per-litre" xor:"strength" range:"0 to 1000 g/L" placeholder:"G" help:"Strength, 0 to 1000 g of feed in a litre."`
	PPMN   number `name:"ppm-n" xor:"strength" range:"0 to 10000 mg/L" placeholder:"PPM" help:"Strength by the nitrogen of the feed, 0 to 10000 mg/L."`
	Target number `name:"target-ec-ms" xor:"strength" range:"0 to 20 mS/cm" placeholder:"MS" help:"Strength at which feed and water together reach this EC, 0 to 20 mS/cm."`
}

// parts are the flags that only mean something beside a label.
func (f feedFlags) parts() []named {
	return []named{
		{"--calcium-percent", f.Calcium}, {"--cao-percent", f.CaO}, {"--magnesium-percent", f.Magnesium}, {"--mgo-percent", f.MgO},
		{"--sulphur-percent", f.Sulphur}, {"--so3-percent", f.SO3}, {"--nitrate-percent", f.Nitrate}, {"--ammonium-percent", f.Ammonium},
		{"--urea-percent", f.Urea}, {"--density-kg-l", f.Density}, {"--grams-per-litre", f.Grams}, {"--ppm-n", f.PPMN}, {"--target-ec-ms", f.Target},
	}
}

// label reads the flags as a label.
func (f feedFlags) label() (water.Label, error) {
	figures := strings.Split(f.Label, "-")
	var npk [3]float64
	wrong := len(figures) != len(npk)
	for i := range npk {
		if wrong {
			break
		}
		var err error
		npk[i], err = strconv.ParseFloat(strings.TrimSpace(figures[i]), 64)
		wrong = err != nil
	}
	if wrong {
		return water.Label{}, fmt.Errorf("--label: %q is not a label; write N-P2O5-K2O in percent as 13-3-15", f.Label)
	}
	l := water.Label{
		NPercent: npk[0], P2O5Percent: npk[1], K2OPercent: npk[2],
		NitratePercent: f.Nitrate.value, AmmoniumPercent: f.Ammonium.value, UreaPercent: f.Urea.value,
		CaPercent: f.Calcium.value, CaOPercent: f.CaO.value, MgPercent: f.Magnesium.value, MgOPercent: f.MgO.value,
		SPercent: f.Sulphur.value, SO3Percent: f.SO3.value, DensityKgPerL: f.Density.value,
	}
	if f.Elemental {
		l.P2O5Percent, l.PPercent = 0, npk[1]
		l.K2OPercent, l.KPercent = 0, npk[2]
	}
	return l, at("--label and its percents", l.Check())
}

// dissolved is a feed at its strength.
type dissolved struct {
	label         water.Label
	feed          water.Feed
	gramsPerLitre float64
}

// dissolve finds the strength and dissolves the feed; nil if there is no label.
func (f feedFlags) dissolve(base water.Ions) (*dissolved, error) {
	if f.Label == "" {
		for _, p := range f.parts() {
			if p.given {
				return nil, fmt.Errorf("%s is of a feed; give its --label too", p.flag)
			}
		}
		if f.Elemental {
			return nil, errors.New("--elemental is of a feed; give its --label too")
		}
		return nil, nil
	}
	d := &dissolved{gramsPerLitre: f.Grams.value}
	var err error
	if d.label, err = f.label(); err != nil {
		return nil, err
	}
	switch {
	case f.PPMN.given:
		d.gramsPerLitre, err = d.label.GramsPerLitreForN(f.PPMN.value)
		err = at("--ppm-n", err)
	case f.Target.given:
		d.gramsPerLitre, err = d.label.GramsPerLitreForEC(base, f.Target.value)
		err = at("--target-ec-ms", err)
	case !f.Grams.given:
		err = errors.New("how strong is the feed? Give --grams-per-litre, --ppm-n or --target-ec-ms")
	}
	if err != nil {
		return nil, err
	}
	d.feed, err = d.label.AtGramsPerLitre(d.gramsPerLitre)
	return d, at("--grams-per-litre", err)
}

// lines are the dose.
func (d *dissolved) lines() ([]line, error) {
	list := []line{{key: "grams_per_l", name: "feed in a litre", value: d.gramsPerLitre, unit: "g", decimals: 3}}
	if d.label.DensityKgPerL > 0 {
		ml, err := d.label.MillilitresPerLitre(d.gramsPerLitre)
		if err != nil {
			return nil, at("--density-kg-l", err)
		}
		list = append(list, line{key: "ml_per_l", name: "which is", value: ml, unit: "mL", decimals: 2})
	}
	return list, nil
}

// labelClosures say what a label left unsaid.
var labelClosures = []struct {
	made water.Assumptions
	text string
}{
	{water.NitrogenFormsAssumed, "The label does not split its nitrogen: nitrate and ammonium were chosen to balance the charge, without urea, so this EC is an upper figure."},
	{water.SulphateAssumed, "Anions are missing on the label and it has no sulphur: sulphate was taken to balance the charge."},
	{water.ChlorideAssumed, "Anions are missing on the label although it declares sulphur: chloride was taken to balance the charge."},
	{water.SodiumAssumed, "Cations are missing on the label: sodium was taken to balance the charge."},
}

func (d *dissolved) notes() []string {
	var list []string
	for _, c := range labelClosures {
		if d.feed.Assumptions.Has(c.made) {
			list = append(list, c.text)
		}
	}
	return list
}
