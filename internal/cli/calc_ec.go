package cli

import (
	"errors"
	"fmt"

	"velamen/science/basis"
	"velamen/science/water"
)

// calcEC is the conductivity of a water, of a feed in it, or of a reading.
type calcEC struct {
	Water waterFlags `embed:""`
	Feed  feedFlags  `embed:""`

	Reading number `name:"reading-ms" range:"0 to 50 mS/cm" placeholder:"MS" help:"A meter's reading without temperature compensation, 0 to 50 mS/cm; with --at-c."`
	At      number `name:"at-c" range:"0 to 50 °C" placeholder:"C" help:"Temperature of the water when it was read, 0 to 50 °C."`

	Out calcOutput `embed:""`
}

// Run prints the solution and the reading at 25 °C.
func (c calcEC) Run(r *run) error {
	if c.Reading.given != c.At.given {
		return errors.New("--reading-ms and --at-c belong together: give both or neither")
	}
	base, err := c.Water.water("")
	if err != nil {
		return err
	}
	feed, err := c.Feed.dissolve(base.ions)
	if err != nil {
		return err
	}
	a := answer{format: "velamen-calc-ec-1"}
	if feed != nil || c.Water.analysed() || c.Water.read() {
		solution, err := c.solution(base, feed)
		if err != nil {
			return err
		}
		a.sections = append(a.sections, solution, elementsOf(base, feed))
	}
	if c.Reading.given {
		reading, err := c.reading()
		if err != nil {
			return err
		}
		a.sections = append(a.sections, reading)
	}
	if len(a.sections) == 0 {
		return errors.New("what is in the water? Give its ions such as --calcium-mg-l, or --water-ec-ms with --hardness-mg-l and --alkalinity-mg-l, or a feed's --label, or --reading-ms with --at-c")
	}
	return c.Out.show(r, a)
}

// solution is the conductivity by every method and the balance of charge.
func (c calcEC) solution(base knownWater, feed *dissolved) (section, error) {
	s := section{key: "solution", title: "Solution", about: base.about, because: ecBecause, notes: base.notes}
	ions, off := base.ions, waterECError
	if feed != nil {
		lines, err := feed.lines()
		if err != nil {
			return s, err
		}
		s.lines = lines
		s.about = fmt.Sprintf("feed %s at %s g/L in %s", c.Feed.Label, shown(feed.gramsPerLitre, 3, 0), base.about)
		if guesses := feed.notes(); len(guesses) > 0 {
			s.notes = append(append(s.notes, guesses...), "The range of the EC is that of the law alone; what the label leaves unsaid comes on top.")
		}
		s.because += "; phosphorus as H2PO4, sulphur as sulphate"
		ions = ions.Plus(feed.feed.Ions)
		if base.ions == (water.Ions{}) {
			off = feedECError
		}
	}
	if base.because != "" {
		s.because += "; " + base.because
	}
	s.rests = append([]parameter{off}, base.rests...)
	ec, err := conductivities(ions)
	if err != nil {
		return s, at(c.strong(), err)
	}
	balance := ions.ChargeBalance()
	main := off.around(ec.main)
	s.lines = append(s.lines,
		line{key: "ec_ms_per_cm", name: "EC at 25 °C", value: ec.main, unit: "mS/cm", decimals: 3, span: spanOf(main.low, main.high)},
		line{key: "standard_method_ec_ms_per_cm", name: "by the standard method", value: ec.standard, unit: "mS/cm", decimals: 3},
		line{key: "free_ion_ec_ms_per_cm", name: "if no ions paired, at most", value: ec.free, unit: "mS/cm", decimals: 3})
	scales, err := onScales(ec.main)
	if err != nil {
		return s, at(c.strong(), err)
	}
	s.lines = append(append(s.lines, scales...),
		line{key: "hardness_mg_per_l_caco3", name: "hardness", value: ions.HardnessMgCaCO3(), unit: "mg/L CaCO3", decimals: 1},
		line{key: "alkalinity_mg_per_l_caco3", name: "alkalinity", value: ions.AlkalinityMgCaCO3(), unit: "mg/L CaCO3", decimals: 1},
		line{key: "cations_meq_per_l", name: "cations", value: balance.CationsMeqL, unit: "meq/L", decimals: 2},
		line{key: "anions_meq_per_l", name: "anions", value: balance.AnionsMeqL, unit: "meq/L", decimals: 2},
		line{key: "charge_error_percent", name: "out of balance by", value: balance.ErrorPercent, unit: "%", decimals: 1})
	if feed != nil {
		s.lines = append(s.lines, line{key: "closure_meq_per_l", name: "added to close the label", value: feed.feed.ClosureMeqL, unit: "meq/L, anions positive", decimals: 2})
	}
	return s, nil
}

// strong names the flags that make a solution too strong.
func (c calcEC) strong() string {
	switch {
	case c.Feed.Label != "":
		return "--label and its strength"
	case c.Water.analysed():
		return "--calcium-mg-l and the other ions"
	}
	return "--water-ec-ms"
}

// onScales is a conductivity as the meters in ppm show it.
func onScales(ecMS float64) ([]line, error) {
	var list []line
	for _, m := range []struct {
		scale water.Scale
		key   string
	}{{water.PPM500, "ppm_500"}, {water.PPM640, "ppm_640"}, {water.PPM700, "ppm_700"}} {
		reading, err := m.scale.Reading(ecMS)
		if err != nil {
			return nil, err
		}
		list = append(list, line{key: m.key, name: "a meter in " + m.scale.String() + " shows", value: reading, unit: "ppm", decimals: 0})
	}
	return list, nil
}

// elementsOf is what a plant can take up, and where it comes from.
func elementsOf(base knownWater, feed *dissolved) section {
	s := section{key: "nutrients", title: "Elements", rests: base.rests,
		because: "masses of the elements by IUPAC atomic weights; nitrogen counts nitrate, ammonium and urea"}
	s.grid = &grid{key: "elements", columns: []column{
		{key: "element"}, {key: "mg_per_l", head: "mg/L (ppm)", decimals: 1},
		{key: "from_water_mg_per_l", head: "of the water", decimals: 1}, {key: "from_feed_mg_per_l", head: "of the feed", decimals: 1},
	}}
	if feed == nil {
		s.grid.columns = s.grid.columns[:2]
	}
	var fed water.Elements
	if feed != nil {
		fed = feed.feed.Elements
		// Sulphate that only closes the charge is no sulphur of the label.
		if feed.feed.Assumptions.Has(water.SulphateAssumed) {
			s.notes = append(s.notes, "Sulphate that was taken to balance the charge is not counted as sulphur.")
		}
	}
	of, low, high := elementList(base.ions.Elements()), elementList(base.low.Elements()), elementList(base.high.Elements())
	for i, f := range elementList(fed) {
		total, ofWater := any(of[i].mgPerL+f.mgPerL), any(of[i].mgPerL)
		if base.estimated && low[i].mgPerL < high[i].mgPerL {
			total = ranged{of[i].mgPerL + f.mgPerL, low[i].mgPerL + f.mgPerL, high[i].mgPerL + f.mgPerL}
			ofWater = ranged{of[i].mgPerL, low[i].mgPerL, high[i].mgPerL}
		}
		row := []any{f.symbol, total, ofWater, f.mgPerL}
		s.grid.rows = append(s.grid.rows, row[:len(s.grid.columns)])
	}
	return s
}

// elementAmount is one element of a solution.
type elementAmount struct {
	symbol string
	mgPerL float64
}

func elementList(e water.Elements) []elementAmount {
	return []elementAmount{{"N", e.N}, {"P", e.P}, {"K", e.K}, {"Ca", e.Ca}, {"Mg", e.Mg}, {"S", e.S}}
}

// warmestNatural is the end of the table of ISO 7888, °C.
const warmestNatural = 35

// reading is what a meter without compensation would have read at 25 °C.
func (c calcEC) reading() (section, error) {
	s := section{key: "reading", title: "Reading at 25 °C", about: fmt.Sprintf("%g mS/cm read at %g °C without compensation", c.Reading.value, c.At.value),
		because: "linear κ/(1 + α·(T − 25)), Standard Methods 2510, from memory; ISO 7888:1985 factor for natural water of 0.06 to 1 mS/cm, as printed in two manufacturers' manuals; a feed follows the linear rule better",
		rests: []parameter{
			{"linear_percent_per_c", "linear coefficient of natural water", water.LinearPercentPerC},
			{"pen_percent_per_c", "coefficient most pens are set to", water.PenPercentPerC},
		}}
	for _, l := range []struct {
		key, name string
		percent   basis.Value
	}{
		{"linear_ec_ms_per_cm", "linear, natural water", water.LinearPercentPerC},
		{"pen_ec_ms_per_cm", "linear, as most pens do", water.PenPercentPerC},
	} {
		var at25 [3]float64
		for i, percent := range []float64{l.percent.Value, l.percent.Low, l.percent.High} {
			var err error
			if at25[i], err = water.EC25Linear(c.Reading.value, c.At.value, percent); err != nil {
				return s, at("--at-c", err)
			}
		}
		s.lines = append(s.lines, line{key: l.key, name: l.name, value: at25[0], unit: "mS/cm", decimals: 3,
			span: spanOf(min(at25[1], at25[2]), max(at25[1], at25[2]))})
	}
	if c.At.value > warmestNatural {
		s.notes = append(s.notes, fmt.Sprintf("ISO 7888 ends at %d °C.", warmestNatural))
		return s, nil
	}
	natural, err := water.EC25NaturalWater(c.Reading.value, c.At.value)
	if err != nil {
		return s, at("--at-c", err)
	}
	s.lines = append(s.lines, line{key: "iso_7888_ec_ms_per_cm", name: "ISO 7888, natural water", value: natural, unit: "mS/cm", decimals: 3})
	return s, nil
}
