package cli

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"velamen/science/basis"
	"velamen/science/water"
	"velamen/science/water/batch"
)

// calcBatch is one can of feed.
type calcBatch struct {
	A    waterFlags `embed:"" prefix:"a-"`
	B    waterFlags `embed:"" prefix:"b-"`
	Feed feedFlags  `embed:""`

	Litres number   `name:"litres" required:"" range:"0.05 to 100000 L" placeholder:"L" help:"Size of the batch, 0.05 to 100000 L."`
	Salts  []string `name:"salt" placeholder:"FORMULA" help:"A salt at hand beside the feed, such as Ca(NO3)2·4H2O (or 4H2O after a dot); may be repeated."`
	Scale  number   `name:"scale-g" range:"0.001 to 100 g" placeholder:"G" help:"What the scale shows to, 0.001 to 100 g; 0.1 g if left out."`

	StockA number `name:"a-litres" range:"0 to 100000 L" placeholder:"L" help:"How much of water A there is, 0 to 100000 L."`
	StockB number `name:"b-litres" range:"0 to 100000 L" placeholder:"L" help:"How much of water B there is, 0 to 100000 L."`
	Grams  number `name:"feed-grams" range:"0 to 100000 g" placeholder:"G" help:"How much of the feed there is, 0 to 100000 g."`

	Ca         number `name:"least-calcium-mg-l" range:"0 to 1000 mg/L" placeholder:"MG" help:"Calcium the batch should have at least, 0 to 1000 mg/L."`
	Mg         number `name:"least-magnesium-mg-l" range:"0 to 1000 mg/L" placeholder:"MG" help:"Magnesium it should have at least, 0 to 1000 mg/L."`
	K          number `name:"most-potassium-mg-l" range:"0 to 2000 mg/L" placeholder:"MG" help:"Potassium it may have at most, 0 to 2000 mg/L."`
	Alkalinity number `name:"most-alkalinity-mg-l" range:"0 to 1000 mg/L CaCO3" placeholder:"MG" help:"Alkalinity it may have at most, as CaCO3, 0 to 1000 mg/L CaCO3."`
	Citric     bool   `name:"citric-acid" help:"Citric acid may be used against alkalinity."`

	Out calcOutput `embed:""`
}

// usualScale stands in for a scale that was not described.
var usualScale = parameter{"scale_g", "the scale shows to", basis.Assumed(0.1, 0.01, 1, "g")}

// Run prints what to pour and to weigh.
func (c calcBatch) Run(r *run) error {
	request, err := c.request()
	if err != nil {
		return err
	}
	mix, err := batch.Solve(request)
	if err != nil {
		return failed("solving the batch", err)
	}
	scale, rests := c.Scale.or(usualScale)
	weighed, err := request.Weigh(mix, batch.Tools{ScaleG: scale, JugL: 0.01})
	if err != nil {
		return at("--scale-g", err)
	}
	return c.Out.show(r, answer{"velamen-calc-batch-1", []section{c.mixing(&request, mix, weighed, rests), comes(&request, mix, weighed)}})
}

func (c calcBatch) request() (batch.Request, error) {
	r := batch.Request{Litres: c.Litres.value, Goal: batch.Nitrogen, Target: c.Feed.PPMN.value}
	switch {
	case c.Feed.Label == "":
		return r, errors.New("what is the feed? Give its --label such as 13-3-15")
	case c.Feed.Target.given:
		r.Goal, r.Target = batch.EC, c.Feed.Target.value
	case !c.Feed.PPMN.given:
		return r, errors.New("how strong is the batch to be? Give --ppm-n or --target-ec-ms")
	}
	if r.Target == 0 {
		return r, errors.New("--ppm-n, --target-ec-ms: a batch of nothing needs no mixing")
	}
	r.Low, r.High = r.Target, r.Target
	for i, one := range []struct {
		flags  waterFlags
		prefix string
		name   string
		stock  number
	}{{c.A, "a-", "water A", c.StockA}, {c.B, "b-", "water B", c.StockB}} {
		known, err := one.flags.water(one.prefix)
		if err != nil {
			return r, err
		}
		w := batch.Water{Name: one.name, Ions: known.ions, StockL: math.Inf(1), Cost: float64(i)}
		if one.stock.given {
			w.StockL = one.stock.value
		}
		r.Waters = append(r.Waters, w)
	}
	label, err := c.Feed.label()
	if err != nil {
		return r, err
	}
	made, err := label.AtGramsPerLitre(1)
	if err != nil {
		return r, at("--label", err)
	}
	feed := batch.Product{Name: "feed " + c.Feed.Label, PerGram: made.Ions, StockG: math.Inf(1), Usual: true, KgPerLitre: label.DensityKgPerL}
	if c.Grams.given {
		feed.StockG = c.Grams.value
	}
	r.Products = append(r.Products, feed)
	for _, formula := range c.Salts {
		salt, err := water.SaltByFormula(strings.ReplaceAll(formula, ".", "·"))
		if err != nil {
			return r, fmt.Errorf("--salt: %q is not known; there are %s", formula, knownSalts())
		}
		ions, err := water.Dissolve(water.Portion{Salt: salt, GramsPerLitre: 1})
		if err != nil {
			return r, at("--salt", err)
		}
		r.Products = append(r.Products, batch.Product{Name: salt.Name, PerGram: ions, StockG: math.Inf(1)})
	}
	for _, l := range []struct {
		q     batch.Quantity
		n     number
		least bool
	}{{batch.Calcium, c.Ca, true}, {batch.Magnesium, c.Mg, true}, {batch.Potassium, c.K, false}, {batch.Alkalinity, c.Alkalinity, false}} {
		switch {
		case !l.n.given:
		case l.least:
			r.Limits = append(r.Limits, batch.Limit{Quantity: l.q, Min: l.n.value, Max: math.Inf(1)})
		default:
			r.Limits = append(r.Limits, batch.Limit{Quantity: l.q, Min: math.Inf(-1), Max: l.n.value})
		}
	}
	if c.Citric {
		acid := water.CitricAcidMonohydrate()
		r.Acid, r.KeepsAlkalinity = &acid, water.SafeAlkalinity.Low
	}
	return r, nil
}

func knownSalts() string {
	var list []string
	for _, s := range water.Salts() {
		list = append(list, s.Formula)
	}
	return strings.Join(list, ", ")
}

// mixing is what to put together, in order.
func (c calcBatch) mixing(r *batch.Request, mix batch.Mix, w batch.Weighed, rests []parameter) section {
	s := section{key: "mixing", title: "Mixing", about: fmt.Sprintf("%g L to %g %s of %s", r.Litres, r.Target, r.Goal.Unit(), r.Goal),
		because: "of all mixes that come to the goal within limits and stock the one with the fewest things to weigh, then most of water A and of the feed; a linear program over ions, EC linearised until it stays",
		rests:   rests, grid: &grid{key: "steps", columns: []column{{key: "step"}, {key: "what"}, {key: "amount", decimals: 3}, {key: "unit"}}}}
	row := func(what string, amount float64, unit string) {
		s.grid.rows = append(s.grid.rows, []any{strconv.Itoa(len(s.grid.rows) + 1), what, amount, unit})
	}
	for _, step := range r.Order(mix) {
		switch step.Action {
		case batch.PourWater:
			row(r.Waters[step.Of].Name, w.PourL(step.Of), "L")
		case batch.AddAcid:
			row(r.Acid.Name, mix.Acid.GramsPerL*r.Litres, "g")
			s.notes = append(s.notes, "Acid into water, never water into acid; gloves and goggles.")
		case batch.DissolveIt, batch.AddCalcium:
			row(r.Products[step.Of].Name, w.Grams[step.Of], "g")
		}
	}
	for k, i := range w.Thin {
		s.notes = append(s.notes, fmt.Sprintf("%s: too little to weigh. Dissolve %g g in 1 L of the same water and measure %.0f mL of it.", r.Products[i].Name, w.ThinStrength[k].Grams, w.ThinStrength[k].ML))
	}
	if r.KeepApart(mix) {
		s.notes = append(s.notes, "Keep calcium apart from sulphate and phosphate until both are thin: dissolve one, fill up, then add the other.")
	}
	s.lines = []line{{key: "met", name: "as wanted", value: mix.Met, shown: map[bool]string{true: "yes", false: "no: this is the nearest there is"}[mix.Met]}}
	if mix.MissesL > 0 {
		s.lines = append(s.lines, line{key: "missing_l", name: "water that is not there", value: mix.MissesL, unit: "L", decimals: 2})
	}
	for _, stop := range mix.Stops {
		s.notes = append(s.notes, "In the way: "+stopWords(stop)+".")
	}
	return s
}

func stopWords(stop batch.Stop) string {
	l := stop.Limit
	switch {
	case l == nil:
		return "too little of " + stop.Stock
	case stop.Broken:
		return fmt.Sprintf("%s comes to %.3g %s and cannot be held to %s", l.Quantity, stop.Reaches, l.Quantity.Unit(), limitWords(l))
	}
	return fmt.Sprintf("%s of %s", limitWords(l), l.Quantity)
}

func limitWords(l *batch.Limit) string {
	if math.IsInf(l.Max, 1) {
		return fmt.Sprintf("at least %.3g %s", l.Min, l.Quantity.Unit())
	}
	return fmt.Sprintf("at most %.3g %s", l.Max, l.Quantity.Unit())
}

// comes is what a weighed mix comes to.
func comes(r *batch.Request, mix batch.Mix, w batch.Weighed) section {
	e := w.Ions.Elements()
	b := w.Ions.ChargeBalance()
	s := section{key: "solution", title: "What it comes to", because: ecBecause, rests: []parameter{waterECError},
		lines: []line{
			{key: "ec_ms_per_cm", name: "EC", value: w.ECmS, unit: "mS/cm", decimals: 3, span: spanOf(w.ECLow*0.95, w.ECHigh*1.05)},
			{key: "ppm_500", name: "on a 500 meter", value: 500 * w.ECmS, unit: "ppm", decimals: 0}, {key: "ppm_640", name: "on a 640 meter", value: 640 * w.ECmS, unit: "ppm", decimals: 0},
			{key: "ppm_700", name: "on a 700 meter", value: 700 * w.ECmS, unit: "ppm", decimals: 0},
			{key: "nitrogen_mg_per_l", name: "nitrogen", value: e.N, unit: "mg/L", decimals: 1}, {key: "phosphorus_mg_per_l", name: "phosphorus", value: e.P, unit: "mg/L", decimals: 1},
			{key: "potassium_mg_per_l", name: "potassium", value: e.K, unit: "mg/L", decimals: 1}, {key: "calcium_mg_per_l", name: "calcium", value: e.Ca, unit: "mg/L", decimals: 1},
			{key: "magnesium_mg_per_l", name: "magnesium", value: e.Mg, unit: "mg/L", decimals: 1}, {key: "sodium_mg_per_l", name: "sodium", value: w.Ions.MgPerL(water.Na), unit: "mg/L", decimals: 1},
			{key: "alkalinity_mg_per_l_caco3", name: "alkalinity", value: w.Ions.AlkalinityMgCaCO3(), unit: "mg/L CaCO3", decimals: 1},
			{key: "charge_error_percent", name: "charge balance", value: b.ErrorPercent, unit: "%", decimals: 1},
		}}
	if sat, err := w.Ions.Saturation(); err == nil && (sat.Gypsum > 0 || sat.CalciumPhosphate > 0) {
		s.notes = append(s.notes, "It may cloud: calcium with sulphate or phosphate is near what dissolves. Use it at once.")
	}
	if clear, err := r.Concentrated(mix); err == nil && clear < 200 {
		s.lines = append(s.lines, line{key: "clear_times", name: "a concentrate stays clear up to", value: clear, unit: "times as strong", decimals: 0})
	}
	return s
}
