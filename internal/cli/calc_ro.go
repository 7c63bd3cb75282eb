package cli

import (
	"errors"
	"fmt"
	"math"

	"velamen/science/basis"
	"velamen/science/water"
)

// calcRO is a reverse-osmosis unit: what it gives, what it wastes, and whether
// its membrane still holds salt back.
type calcRO struct {
	Rated    number `name:"rated-litres-per-day" range:"1 to 100000 L/day" placeholder:"L" help:"Output as rated by the maker at 25 °C, 1 to 100000 L a day (50 US gallons are 189)."`
	RatedBar number `name:"rated-bar" range:"1 to 80 bar" placeholder:"BAR" help:"Pressure of the rating, 1 to 80 bar; 4.1 bar (60 psi) if left out."`
	Water    number `name:"water-c" range:"2 to 40 °C" placeholder:"C" help:"Temperature of the feed water, 2 to 40 °C."`
	Pressure number `name:"pressure-bar" range:"0.1 to 80 bar" placeholder:"BAR" help:"Pressure before the membrane, 0.1 to 80 bar."`
	Solids   number `name:"solids-mg-l" range:"0 to 10000 mg/L" placeholder:"MG" help:"Dissolved solids of the feed water, 0 to 10000 mg/L; from --feed-ec-ms if left out, else a usual water's."`
	Recovery number `name:"recovery-percent" range:"1 to 100 %" placeholder:"PERCENT" help:"Share of the feed water that becomes permeate, 1 to 100 %; a household unit's if left out."`

	FeedEC     number `name:"feed-ec-ms" range:"0.001 to 15 mS/cm" placeholder:"MS" help:"EC of the feed water, 0.001 to 15 mS/cm."`
	PermeateEC number `name:"permeate-ec-ms" range:"0 to 15 mS/cm" placeholder:"MS" help:"EC of the permeate, 0 to 15 mS/cm, for how much salt the membrane holds back."`

	Out calcOutput `embed:""`
}

// Run prints the output, the water down the drain and the rejection.
func (c calcRO) Run(r *run) error {
	a := answer{format: "velamen-calc-ro-1"}
	asked, err := c.asksForOutput()
	if err != nil {
		return err
	}
	perDay := basis.Value{}
	if asked {
		var s section
		if s, perDay, err = c.output(); err != nil {
			return err
		}
		a.sections = append(a.sections, s)
	}
	if asked || c.Recovery.given {
		s, err := c.reject(asked, perDay)
		if err != nil {
			return err
		}
		a.sections = append(a.sections, s)
	}
	if c.PermeateEC.given {
		s, err := c.rejection()
		if err != nil {
			return err
		}
		a.sections = append(a.sections, s)
	}
	if len(a.sections) == 0 {
		return errors.New("what of the unit? Give --rated-litres-per-day with --water-c and --pressure-bar for its output, --recovery-percent for its waste, or --feed-ec-ms with --permeate-ec-ms for its membrane")
	}
	return c.Out.show(r, a)
}

// asksForOutput tells whether the output is wanted, and which flags are missing.
func (c calcRO) asksForOutput() (bool, error) {
	if c.PermeateEC.given && !c.FeedEC.given {
		return false, errors.New("--permeate-ec-ms needs --feed-ec-ms too")
	}
	needed := []named{{"--rated-litres-per-day", c.Rated}, {"--water-c", c.Water}, {"--pressure-bar", c.Pressure}}
	var missing []named
	for _, f := range needed {
		if !f.given {
			missing = append(missing, f)
		}
	}
	if len(missing) == len(needed) {
		for _, f := range []named{{"--rated-bar", c.RatedBar}, {"--solids-mg-l", c.Solids}} {
			if f.given {
				return false, fmt.Errorf("%s is for the output; give %s too", f.flag, flagList(needed))
			}
		}
		if c.FeedEC.given && !c.PermeateEC.given {
			return false, fmt.Errorf("--feed-ec-ms needs --permeate-ec-ms for the membrane, or %s for the output", flagList(needed))
		}
		return false, nil
	}
	if len(missing) > 0 {
		return false, fmt.Errorf("the output needs %s too", flagList(missing))
	}
	return true, nil
}

// What stands in for flags that were left out.
var (
	ratedBar      = parameter{"rated_bar", "pressure of the rating", basis.Exactly(4.1, "bar", basis.CommonPractice, "")}
	usualSolids   = parameter{"solids_mg_per_l", "dissolved solids of the feed water", basis.Assumed(300, 50, 600, "mg/L")}
	usualRecovery = parameter{"recovery_percent", "recovery of a household unit", basis.Value{Value: 25, Low: 20, High: 35, Unit: "%", Grade: basis.CommonPractice}}
)

// solids are the dissolved solids as given, by the analysts' rule from EC, or a
// usual water's.
func (c calcRO) solids() (basis.Value, []parameter, error) {
	switch {
	case c.Solids.given:
		return basis.Exactly(c.Solids.value, "mg/L", basis.Given, ""), nil, nil
	case !c.FeedEC.given:
		return usualSolids.Value, []parameter{usualSolids}, nil
	}
	v := basis.Value{Unit: "mg/L", Grade: basis.CommonPractice}
	for _, s := range []struct {
		scale water.Scale
		into  *float64
	}{{water.PPM640, &v.Value}, {water.PPM500, &v.Low}, {water.PPM700, &v.High}} {
		var err error
		if *s.into, err = s.scale.Reading(c.FeedEC.value); err != nil {
			return v, nil, at("--feed-ec-ms", err)
		}
	}
	return v, []parameter{{"solids_mg_per_l", "dissolved solids, 640 (500 to 700) mg/L per mS/cm,", v}}, nil
}

// output is the permeate to expect.
func (c calcRO) output() (section, basis.Value, error) {
	s := section{key: "output", title: "Output",
		because: "rated output, times a factor for each °C from 25, compounded, times the pressure left after osmotic pressure over the rated pressure; " +
			"osmotic pressure 1 psi for each 100 mg/L (0.7 to 1.25), common practice",
		rests: []parameter{{"ro_percent_per_c", "less for each °C colder", water.ROPercentPerC}}}
	bar, rests := c.RatedBar.or(ratedBar)
	s.rests = append(s.rests, rests...)
	solids, rests, err := c.solids()
	if err != nil {
		return s, basis.Value{}, err
	}
	s.rests = append(s.rests, rests...)
	membrane := water.Membrane{RatedLitresPerDay: c.Rated.value, RatedBar: bar}
	perDay, err := membrane.LitresPerDay(c.Water.value, c.Pressure.value, solids.Value)
	if err != nil {
		return s, perDay, at("--pressure-bar, --water-c", err)
	}
	// The saltier the feed, the less passes; each end of the solids takes the
	// end of the range that goes the same way.
	for _, end := range []struct {
		solids float64
		of     func(basis.Value)
	}{
		{solids.High, func(v basis.Value) { perDay.Low = v.Low }},
		{solids.Low, func(v basis.Value) { perDay.High = v.High }},
	} {
		v, err := membrane.LitresPerDay(c.Water.value, c.Pressure.value, end.solids)
		if err != nil {
			return s, perDay, at("--pressure-bar, --water-c", err)
		}
		end.of(v)
	}
	factor, err := water.ROFlowFactor(c.Water.value)
	if err != nil {
		return s, perDay, at("--water-c", err)
	}
	s.lines = []line{
		{key: "temperature_factor", name: "output for the temperature", value: factor.Value, unit: "% of that at 25 °C", decimals: 0, scale: 100},
		{key: "litres_per_day", name: "permeate", value: perDay.Value, unit: "L a day", decimals: 1, span: spanOf(perDay.Low, perDay.High)},
		{key: "litres_per_hour", name: "which is", value: perDay.Value / 24, unit: "L an hour", decimals: 2, span: spanOf(perDay.Low/24, perDay.High/24)},
	}
	if factor.Low < factor.High {
		s.lines[0].span = spanOf(factor.Low, factor.High)
	}
	if c.Pressure.value < water.ROMinimumBar.Value {
		s.rests = append(s.rests, parameter{"ro_minimum_bar", "least pressure without a pump", water.ROMinimumBar})
		s.notes = append(s.notes, fmt.Sprintf("Below %s bar a household unit gives too little and rejects less salt: it wants a booster pump.", shown(water.ROMinimumBar.Value, 1, 0)))
	}
	return s, perDay, nil
}

// reject is the water down the drain.
func (c calcRO) reject(hasOutput bool, perDay basis.Value) (section, error) {
	s := section{key: "reject", title: "Down the drain", because: "permeate·(100/recovery − 1), conservation of water"}
	recovery, rests := c.Recovery.or(usualRecovery)
	s.rests = rests
	low, high := recovery, recovery
	if len(rests) > 0 {
		low, high = usualRecovery.Low, usualRecovery.High
	}
	drained := func(key, name, unit string, permeate basis.Value) error {
		var litres [3]float64
		for i, of := range [][2]float64{{permeate.Value, recovery}, {permeate.Low, high}, {permeate.High, low}} {
			var err error
			if litres[i], err = water.RejectLitres(of[0], of[1]); err != nil {
				return at("--recovery-percent", err)
			}
		}
		l := line{key: key, name: name, value: litres[0], unit: unit, decimals: 2}
		if litres[1] < litres[2] {
			l.span = spanOf(litres[1], litres[2])
		}
		s.lines = append(s.lines, l)
		return nil
	}
	s.lines = []line{{key: "recovery_percent", name: "recovery", value: recovery, unit: "%", decimals: 0}}
	if err := drained("reject_litres_per_litre", "for a litre of permeate", "L", basis.Exactly(1, "L", basis.Given, "")); err != nil {
		return s, err
	}
	if hasOutput {
		if err := drained("reject_litres_per_day", "running all day", "L a day", perDay); err != nil {
			return s, err
		}
	}
	return s, nil
}

// rejection is how much salt the membrane holds back, and whether it is spent.
func (c calcRO) rejection() (section, error) {
	limit := water.ROReplaceBelowPercent.Value
	s := section{key: "rejection", title: "Membrane", because: "100·(1 − permeate EC/feed EC); new membranes hold back 95 to 98 %, from memory",
		rests: []parameter{
			{"ro_replace_below_percent", "spent below a rejection of", water.ROReplaceBelowPercent},
			{"pocket_meter_error_percent", "error of a pocket meter", water.PocketMeterPercent},
		}}
	// The two readings may be off in opposite directions.
	meter := func(errorPercent float64) float64 { return 1 + errorPercent/100 }
	least, most := meter(water.PocketMeterPercent.Low), meter(water.PocketMeterPercent.High)
	var percent [3]float64
	for i, ec := range [][2]float64{
		{c.FeedEC.value, c.PermeateEC.value},
		{c.FeedEC.value * least, math.Min(c.PermeateEC.value*most, c.FeedEC.value*least)},
		{c.FeedEC.value * most, c.PermeateEC.value * least},
	} {
		var err error
		if percent[i], err = water.RejectionPercent(ec[0], ec[1]); err != nil {
			return s, at("--permeate-ec-ms", err)
		}
	}
	verdict := "holds"
	switch {
	case percent[2] < limit:
		verdict = "spent"
	case percent[0] < limit:
		verdict = "likely spent"
	case percent[1] < limit:
		verdict = "near its end"
	}
	s.lines = []line{
		{key: "rejection_percent", name: "salt held back", value: percent[0], unit: "%", decimals: 1, span: spanOf(percent[1], percent[2])},
		{key: "membrane", name: "the membrane", value: verdict},
	}
	if percent[0] < limit {
		s.notes = append(s.notes, "Before buying a membrane, let the unit run for some minutes and measure again: the first water after standing is saltier.")
	}
	return s, nil
}
