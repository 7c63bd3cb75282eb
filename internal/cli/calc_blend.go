package cli

import (
	"errors"
	"fmt"

	"velamen/science/water"
)

// calcBlend is how much of each of two waters makes a wanted one.
type calcBlend struct {
	A waterFlags `embed:"" prefix:"a-"`
	B waterFlags `embed:"" prefix:"b-"`

	EC         number `name:"target-ec-ms" required:"" xor:"target" range:"0 to 5 mS/cm" placeholder:"MS" help:"EC the mix should have, 0 to 5 mS/cm."`
	Alkalinity number `name:"target-alkalinity-mg-l" required:"" xor:"target" range:"0 to 2000 mg/L CaCO3" placeholder:"MG" help:"Alkalinity the mix should have, 0 to 2000 mg/L as CaCO3."`
	Hardness   number `name:"target-hardness-mg-l" required:"" xor:"target" range:"0 to 2000 mg/L CaCO3" placeholder:"MG" help:"Hardness the mix should have, 0 to 2000 mg/L as CaCO3."`

	Out calcOutput `embed:""`
}

// Run prints the shares and what the mix is like.
func (c calcBlend) Run(r *run) error {
	if !c.A.analysed() && !c.A.read() {
		return errors.New("what is water A? Give its ions such as --a-calcium-mg-l, or --a-water-ec-ms with --a-hardness-mg-l and --a-alkalinity-mg-l")
	}
	a, err := c.A.water("a-")
	if err != nil {
		return err
	}
	b, err := c.B.water("b-")
	if err != nil {
		return err
	}
	waters := []mixed{{name: "water A", knownWater: a}, {name: "water B", knownWater: b}}
	for i := range waters {
		if waters[i].ec, err = conductivities(waters[i].ions); err != nil {
			return at([]string{"--a-calcium-mg-l and the other ions of A", "--b-calcium-mg-l and the other ions of B"}[i], err)
		}
	}
	share, straight, err := c.share(waters)
	if err != nil {
		return err
	}
	mix, err := mixOf(a, b, share)
	if err != nil {
		return err
	}
	return c.Out.show(r, answer{"velamen-calc-blend-1", []section{
		blendShares(a, b, share, straight), figuresOf(append(waters, mix)), ionsOf(append(waters, mix)),
	}})
}

// mixed is a water of the table with its conductivities.
type mixed struct {
	name string
	knownWater
	ec conducts
}

// share is the share of water A, and what the straight line between the two
// waters would say.
func (c calcBlend) share(waters []mixed) (share, straight float64, err error) {
	a, b := waters[0], waters[1]
	var ofA, ofB, target float64
	switch {
	case c.EC.given:
		share, err = water.ShareForEC(a.ions, b.ions, c.EC.value)
		err = at("--target-ec-ms", err)
		ofA, ofB, target = a.ec.main, b.ec.main, c.EC.value
	case c.Alkalinity.given:
		share, err = water.ShareForAlkalinity(a.ions, b.ions, c.Alkalinity.value)
		err = at("--target-alkalinity-mg-l", err)
		ofA, ofB, target = a.ions.AlkalinityMgCaCO3(), b.ions.AlkalinityMgCaCO3(), c.Alkalinity.value
	default:
		share, err = water.ShareForHardness(a.ions, b.ions, c.Hardness.value)
		err = at("--target-hardness-mg-l", err)
		ofA, ofB, target = a.ions.HardnessMgCaCO3(), b.ions.HardnessMgCaCO3(), c.Hardness.value
	}
	if err != nil {
		return 0, 0, err
	}
	return share, (target - ofB) / (ofA - ofB), nil
}

func mixOf(a, b knownWater, share float64) (mixed, error) {
	m := mixed{name: "mix", knownWater: knownWater{estimated: a.estimated || b.estimated}}
	for _, of := range []struct {
		into *water.Ions
		a, b water.Ions
	}{{&m.ions, a.ions, b.ions}, {&m.low, a.low, b.low}, {&m.high, a.high, b.high}} {
		var err error
		if *of.into, err = water.Blend(water.Part{Water: of.a, Litres: share}, water.Part{Water: of.b, Litres: 1 - share}); err != nil {
			return m, failed("mixing the waters", err)
		}
	}
	var err error
	if m.ec, err = conductivities(m.ions); err != nil {
		return m, failed("finding the EC of the mix", err)
	}
	return m, nil
}

// blendShares is what to pour together.
func blendShares(a, b knownWater, share, straight float64) section {
	s := section{key: "blend", title: "Blend", about: fmt.Sprintf("A is %s, B is %s", a.about, b.about), notes: labelled("A", a.notes),
		because: "every ion mixes linearly, and with them hardness and alkalinity; EC does not quite, so its share is found on the computed EC of the mix",
		lines: []line{
			{key: "share_a", name: "share of water A", value: share, unit: "%", decimals: 1, scale: 100},
			{key: "a_ml_per_l", name: "water A in a litre of mix", value: 1000 * share, unit: "mL", decimals: 0},
			{key: "b_ml_per_l", name: "water B in a litre of mix", value: 1000 * (1 - share), unit: "mL", decimals: 0},
			{key: "straight_share_a", name: "a straight line would say", value: straight, unit: "% of A", decimals: 1, scale: 100},
		}}
	s.notes = append(s.notes, labelled("B", b.notes)...)
	for _, w := range []knownWater{a, b} {
		if w.because != "" && w.estimated {
			s.because += "; " + w.because
			s.rests = w.rests
			break
		}
	}
	return s
}

// labelled says of which water the notes are.
func labelled(name string, notes []string) []string {
	list := make([]string, len(notes))
	for i, note := range notes {
		list[i] = "Water " + name + ": " + note
	}
	return list
}

// figuresOf are what a grower can measure of the waters.
func figuresOf(waters []mixed) section {
	s := section{key: "figures", title: "What they are like", because: ecBecause + "; pH does not mix and is not computed", rests: []parameter{waterECError}}
	s.grid = &grid{key: "waters", columns: []column{
		{key: "water"}, {key: "ec_ms_per_cm", head: "EC mS/cm", decimals: 3}, {key: "free_ion_ec_ms_per_cm", head: "free ions", decimals: 3},
		{key: "standard_method_ec_ms_per_cm", head: "standard method", decimals: 3},
		{key: "alkalinity_mg_per_l_caco3", head: "alkalinity", decimals: 1}, {key: "hardness_mg_per_l_caco3", head: "hardness", decimals: 1},
	}}
	for _, w := range waters {
		s.grid.rows = append(s.grid.rows, []any{w.name, waterECError.around(w.ec.main), w.ec.free, w.ec.standard, w.ions.AlkalinityMgCaCO3(), w.ions.HardnessMgCaCO3()})
	}
	return s
}

// ionsOf are the ions that at least one of the waters has.
func ionsOf(waters []mixed) section {
	s := section{key: "ions", title: "Ions, mg/L", because: "ions of the waters in their shares; nitrate as NO3, sulphate as SO4"}
	s.grid = &grid{key: "ions", columns: []column{
		{key: "ion"}, {key: "a_mg_per_l", head: "water A", decimals: 1}, {key: "b_mg_per_l", head: "water B", decimals: 1}, {key: "mix_mg_per_l", head: "mix", decimals: 1},
	}}
	for ion := range water.IonCount {
		row, present := []any{ion.String()}, false
		for _, w := range waters {
			present = present || w.high[ion] > 0
			row = append(row, ionCell(w.knownWater, ion))
		}
		if present {
			s.grid.rows = append(s.grid.rows, row)
		}
	}
	for _, w := range waters {
		if w.estimated && len(s.rests) == 0 {
			s.rests = w.rests
		}
	}
	return s
}

// ionCell is the cell of one ion, with its range if it was guessed.
func ionCell(w knownWater, ion water.Ion) any {
	if w.low[ion] < w.high[ion] {
		return ranged{w.ions.MgPerL(ion), w.low.MgPerL(ion), w.high.MgPerL(ion)}
	}
	return w.ions.MgPerL(ion)
}
