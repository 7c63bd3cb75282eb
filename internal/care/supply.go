package care

import (
	"math"
	"slices"
	"strings"
	"time"

	"velamen/science/basis"
	"velamen/science/water"
)

// Supply is the water of one kind that there is and that will come.
type Supply struct {
	Water string // name
	// Limited is false for a water out of a tap: there is as much as is wanted,
	// and the other fields mean nothing.
	Limited bool
	Stock   basis.Value   // L now, on the first day; no grade if it was never read, and then nothing is counted on
	HoldsL  float64       // what the tank holds; 0: not known
	InflowL []basis.Value // of each day, from the first on, while the tank is not full
	RejectL float64       // what goes down the drain for each litre that comes in
	Because *Because      // of the inflow

	Warnings []string
}

// SupplyDay is one day of a supply.
type SupplyDay struct {
	On       time.Time
	MorningL float64 // in the tank before anything is taken
	ShortL   float64 // what was wanted and is not there
	EveningL float64
	SpillL   float64 // what came in and found the tank full
}

// Ahead lays a use, L of each day from the first on, over the supply. What comes
// in during a day can be taken the next. Of a water without limit nothing is
// ever short, and nil is returned.
func (s *Supply) Ahead(from time.Time, useL []float64) []SupplyDay {
	if !s.Limited {
		return nil
	}
	days := make([]SupplyDay, len(useL))
	litres := s.Stock.Value
	for i, use := range useL {
		d := SupplyDay{On: from.AddDate(0, 0, i), MorningL: litres, ShortL: math.Max(0, use-litres)}
		litres = math.Max(0, litres-use)
		if i < len(s.InflowL) {
			litres += s.InflowL[i].Value
		}
		if s.HoldsL > 0 && litres > s.HoldsL {
			d.SpillL = litres - s.HoldsL
			litres = s.HoldsL
		}
		d.EveningL = litres
		days[i] = d
	}
	return days
}

// Supplies returns the waters of the collection on a morning and for some days
// on, in the order in which they are listed. rainMM is the rain expected on each
// of these days; nil, or a day beyond it, counts on none: rain that has not
// fallen fills no barrel.
func (c *Collection) Supplies(on time.Time, days int, rainMM []float64) []Supply {
	on = midnight(on)
	list := make([]Supply, 0, len(c.Waters))
	for _, w := range c.Waters {
		s := Supply{Water: w.Name}
		i := slices.IndexFunc(c.Tanks, func(t Tank) bool { return strings.EqualFold(t.Water, w.Name) })
		if i >= 0 {
			c.fillSupply(&s, c.Tanks[i], on, days, rainMM)
		}
		list = append(list, s)
	}
	return list
}

func (c *Collection) fillSupply(s *Supply, t Tank, on time.Time, days int, rainMM []float64) {
	s.Limited, s.HoldsL = true, t.HoldsL.Value
	s.InflowL = make([]basis.Value, days)
	switch {
	case t.Unit != nil:
		perDay, because, err := c.permeate(t, on)
		if err != nil {
			s.Warnings = append(s.Warnings, "What the unit makes cannot be worked out: "+err.Error()+".")
		}
		for i := range s.InflowL {
			s.InflowL[i] = perDay
		}
		s.Because = because
		s.RejectL = 100/t.Unit.recovery().Value - 1
	case t.Roof != nil:
		for i := range s.InflowL {
			if i < len(rainMM) {
				s.InflowL[i] = t.Roof.litres(rainMM[i])
			} else {
				s.InflowL[i] = basis.Exactly(0, "L", basis.Assumption, "")
			}
		}
		share, first := t.Roof.measures()
		s.Because = &Because{
			Rule:   "roof area · (rain − what is let away first) · share that reaches the barrel; rain that is not expected is not counted on",
			Inputs: []Input{{"roof, from above", t.Roof.AreaM2}, {"reaches the barrel", share}, {"let away first", first}},
		}
	}
	s.Stock = c.stockOn(t, on)
}

// Defaults of what a grower leaves out about tanks.
var (
	runoffShare    = basis.Assumed(0.8, 0.6, 0.95, "share")
	firstFlushMM   = basis.Assumed(0.5, 0, 2, "mm")
	ratedBar       = basis.Exactly(4.1, "bar", basis.FromMemory, "household membranes are rated at 60 psi")
	housePressure  = basis.Assumed(3.5, 2, 5, "bar")
	pipeWaterC     = basis.Assumed(15, 8, 22, "°C")
	hoursRunning   = basis.Assumed(24, 8, 24, "h")
	sourceSolidsMS = basis.Assumed(0.6, 0.3, 1, "mS/cm")
)

func orElse(v, fallback basis.Value) basis.Value {
	if v.Grade == 0 {
		return fallback
	}
	return v
}

func (r *Roof) measures() (share, first basis.Value) {
	return orElse(r.RunoffShare, runoffShare), orElse(r.FirstMM, firstFlushMM)
}

// litres is what a fall of rain brings.
func (r *Roof) litres(mm float64) basis.Value {
	share, first := r.measures()
	litres := func(area, share, first float64) float64 { return area * math.Max(0, mm-first) * share } // 1 mm on 1 m² is 1 L
	return basis.Value{
		Value: litres(r.AreaM2.Value, share.Value, first.Value),
		Low:   litres(r.AreaM2.Low, share.Low, first.High), High: litres(r.AreaM2.High, share.High, first.Low),
		Unit: "L", Grade: basis.Weakest(r.AreaM2.Grade, share.Grade, first.Grade),
	}
}

func (u *OsmosisUnit) recovery() basis.Value {
	return orElse(u.RecoveryPercent, water.RORecoveryPercent)
}

// membraneReadings are those of the unit that makes a water.
func (c *Collection) membraneReadings(name string) (list []MembraneAt) {
	for _, m := range c.Membranes {
		if m.Water == "" || strings.EqualFold(m.Water, name) {
			list = append(list, m)
		}
	}
	return list
}

// permeate is what a unit makes in a day, L: from a reading by jug and watch if
// there is one, else from its rating.
func (c *Collection) permeate(t Tank, on time.Time) (basis.Value, *Because, error) {
	u := t.Unit
	hours := orElse(u.HoursPerDay, hoursRunning)
	waterC := orElse(u.WaterC, pipeWaterC)
	readings := c.membraneReadings(t.Water)
	for _, m := range slices.Backward(readings) {
		if m.Reading.LPerHour == nil || m.At.Before(u.MembraneSince) {
			continue
		}
		age, err := water.ROAgeFactor(math.Max(0, on.Sub(m.At).Hours()/24/365.25))
		if err != nil {
			return basis.Value{}, nil, err
		}
		warmth := basis.Exactly(1, "1", basis.Measured, "")
		if m.Reading.WaterC != nil && u.WaterC.Grade != 0 {
			now, err := water.ROFlowFactor(waterC.Value)
			if err != nil {
				return basis.Value{}, nil, err
			}
			then, err := water.ROFlowFactor(*m.Reading.WaterC)
			if err != nil {
				return basis.Value{}, nil, err
			}
			warmth = now
			warmth.Value /= then.Value
			warmth.Low, warmth.High = math.Min(now.Low/then.Low, now.High/then.High), math.Max(now.Low/then.Low, now.High/then.High)
		}
		read := basis.Value{Value: *m.Reading.LPerHour, Low: 0.95 * *m.Reading.LPerHour, High: 1.05 * *m.Reading.LPerHour, Unit: "L/h", Grade: basis.Measured}
		perDay := product("L/day", read, hours, age, warmth)
		return perDay, &Because{
			Rule: "litres an hour, by jug and watch, for the hours it runs; since then less by age, and by the warmth of the water",
			Inputs: []Input{
				{"read on " + m.At.Format("2 January 2006"), read}, {"runs a day", hours}, {"age since then", age}, {"warmth since then", warmth},
			},
		}, nil
	}
	bar := orElse(u.RatedBar, ratedBar)
	pressure := orElse(u.PressureBar, housePressure)
	source := sourceSolidsMS
	for _, w := range c.Waters {
		if strings.EqualFold(w.Name, u.Source) {
			source = orElse(w.withEC().ECmS, sourceSolidsMS)
		}
	}
	const mgPerMS = 640 // solids, as water analysts reckon them from the conductivity
	made, err := water.Membrane{RatedLitresPerDay: u.RatedLPerDay.Value, RatedBar: bar.Value}.LitresPerDay(waterC.Value, pressure.Value, mgPerMS*source.Value)
	if err != nil {
		return basis.Value{}, nil, err
	}
	years := 0.0
	if !u.MembraneSince.IsZero() {
		years = math.Max(0, on.Sub(u.MembraneSince).Hours()/24/365.25)
	}
	age, err := water.ROAgeFactor(years)
	if err != nil {
		return basis.Value{}, nil, err
	}
	share := hours
	share.Value, share.Low, share.High = hours.Value/24, hours.Low/24, hours.High/24
	ends := basis.Exactly(1, "1", basis.Assumption, "") // what is not known of pressure and warmth
	if low, lowErr := (water.Membrane{RatedLitresPerDay: u.RatedLPerDay.Value, RatedBar: bar.Value}).LitresPerDay(waterC.Low, pressure.Low, mgPerMS*source.Value); lowErr == nil {
		ends.Low = math.Min(1, low.Value/made.Value)
	}
	if high, highErr := (water.Membrane{RatedLitresPerDay: u.RatedLPerDay.Value, RatedBar: bar.Value}).LitresPerDay(waterC.High, pressure.High, mgPerMS*source.Value); highErr == nil {
		ends.High = math.Max(1, high.Value/made.Value)
	}
	perDay := product("L/day", made, age, share, ends)
	perDay.Grade = basis.Weakest(perDay.Grade, pressure.Grade, waterC.Grade, source.Grade)
	return perDay, &Because{
		Rule: "rated output · (pressure − osmotic pressure) / rated pressure · 0.97 for each °C below 25 · what age has left · the hours it runs",
		Inputs: []Input{
			{"rated output", u.RatedLPerDay}, {"rated at", bar}, {"pressure", pressure}, {"water temperature", waterC},
			{"EC of the water before it", source}, {"left by age", age}, {"runs a day", hours},
		},
		Note: "fill a jug for ten minutes and enter it: that replaces all of this",
	}, nil
}

// product multiplies quantities that are known independently.
func product(unit string, factors ...basis.Value) basis.Value {
	f := func(x []float64) float64 {
		p := 1.0
		for _, v := range x {
			p *= v
		}
		return p
	}
	grades := make([]basis.Grade, len(factors))
	values := make([]float64, len(factors))
	for i, v := range factors {
		grades[i], values[i] = v.Grade, v.Value
	}
	low, high := basis.Spread(f, factors...)
	return basis.Value{Value: f(values), Low: math.Max(0, low), High: high, Unit: unit, Grade: basis.Weakest(grades...)}
}

// stockOn is what is in a tank on a day, with what was entered of that day: what
// was last read, what came in since, and what was poured and mixed.
func (c *Collection) stockOn(t Tank, on time.Time) basis.Value {
	read, ok := c.StockOf(t.Water)
	if !ok {
		return basis.Value{}
	}
	litres := *read.Reading.Litres
	v := basis.Value{Value: litres, Low: 0.95 * litres, High: 1.05 * litres, Unit: "L", Grade: basis.Measured}
	first := midnight(read.At)
	days := max(0, daysBetween(first, on))
	used := c.usedSince(t.Water, read.At)
	var perDay basis.Value
	if t.Unit != nil {
		perDay, _, _ = c.permeate(t, on)
	}
	hold := func(x float64) float64 {
		if t.HoldsL.Grade != 0 {
			x = math.Min(x, t.HoldsL.Value)
		}
		return math.Max(0, x)
	}
	for day := range days + 1 {
		date := first.AddDate(0, 0, day)
		out := used[date]
		var in basis.Value
		if day < days { // what a unit makes today counts from tomorrow on
			in = perDay
		}
		if t.Roof != nil {
			for _, rain := range c.Rains {
				if rain.At.After(read.At) && midnight(rain.At).Equal(date) {
					l := t.Roof.litres(rain.MM)
					in.Value, in.Low, in.High, in.Grade = in.Value+l.Value, in.Low+l.Low, in.High+l.High, basis.Weakest(in.Grade, l.Grade)
				}
			}
		}
		v.Value, v.Low, v.High = hold(v.Value-out+in.Value), hold(v.Low-out+in.Low), hold(v.High-out+in.High)
		if in.Grade != 0 && in.Value > 0 {
			v.Grade = basis.Weakest(v.Grade, in.Grade)
		}
	}
	return v
}

// usedSince returns the litres of a water that were poured and mixed after a
// time, by the day on which they were. A feed that was poured on a day on which
// a batch was mixed came out of it.
func (c *Collection) usedSince(name string, since time.Time) map[time.Time]float64 {
	used, mixed := map[time.Time]float64{}, map[time.Time]bool{}
	for _, b := range c.Batches {
		day := midnight(b.At)
		mixed[day] = true
		if !b.At.After(since) {
			continue
		}
		for _, w := range b.Batch.Waters {
			if strings.EqualFold(w.Water, name) {
				used[day] += w.Litres
			}
		}
	}
	usual := c.lowestWater()
	for _, p := range c.Plants {
		for _, pour := range p.Pours {
			if !pour.At.After(since) {
				continue
			}
			day := midnight(pour.At)
			from := pour.Water
			if from == "" {
				from = usual
			}
			if strings.EqualFold(from, name) && !(pour.Fed && mixed[day]) {
				used[day] += pour.ML / 1000
			}
		}
	}
	return used
}

// lowestWater is the name of the water with the least salt, which is flushed
// with.
func (c *Collection) lowestWater() string {
	name, lowest := "", math.Inf(1)
	for _, w := range c.Waters {
		if w = w.withEC(); w.ECmS.Grade != 0 && w.ECmS.Value < lowest {
			name, lowest = w.Name, w.ECmS.Value
		}
	}
	return name
}
