package care

import (
	"fmt"
	"math"

	"velamen/science/air"
	"velamen/science/basis"
	"velamen/science/course"
)

// Targets are what to aim for in one week of a course.
type Targets struct {
	Factor Figure `json:"factor"` // share of the usual feed, light, heat exposure and air movement

	FeedGramsPerLitre *Figure `json:"feed_g_per_l,omitempty"` // nil without a label
	FeedPpmN          *Figure `json:"feed_ppm_n,omitempty"`   // nil when only the EC is known
	FeedECmS          Figure  `json:"feed_ec"`                // finished solution

	LightPPFD Figure `json:"light_ppfd"` // bright-day maximum, or lamp level
	LightDLI  Figure `json:"light_dli"`

	DayHeatCapC Figure      `json:"day_heat_cap"`
	AirSpeedMS  Figure      `json:"air_speed"`
	Air         AirMovement `json:"air"`                   // the class of that speed
	TurnedAway  bool        `json:"turned_away,omitempty"` // the usual class, but not straight at the plant

	DayRHPercent   Figure `json:"day_humidity"`
	NightRHPercent Figure `json:"night_humidity"`
	DayVPDKPa      Figure `json:"day_vpd"`
	NightVPDKPa    Figure `json:"night_vpd"`

	UnmetDemand float64 `json:"unmet_demand,omitempty"` // share of the usual loss that no climate within the limits takes away
}

// aim works out the targets of the weeks of one course.
type aim struct {
	s      *subject
	t      *transpiration
	supply course.Supply
	usual  strength
	// variants hold the supply with one uncertain input at either end of its
	// range, one pair for each input.
	variants [][2]course.Supply
	// weekly holds the lowest supply of each week of the course.
	weekly []basis.Value

	// The last week of the six, from which humidity is stepped back.
	lastFactor float64
	last       course.Relief
}

// vary adds the pair of supplies with one input at its ends.
func (a *aim) vary(set func(*course.Supply, float64), v basis.Value) {
	pair := [2]course.Supply{a.supply, a.supply}
	set(&pair[0], v.Low)
	set(&pair[1], v.High)
	a.variants = append(a.variants, pair)
}

// spread returns the range of a figure of the supply, by the rule of
// basis.Spread: deviations of the single inputs add as squares.
func (a *aim) spread(f func(course.Supply) float64) (low, high float64) {
	centre := f(a.supply)
	var below, above float64
	for _, pair := range a.variants {
		one, other := f(pair[0])-centre, f(pair[1])-centre
		down, up := math.Min(0, math.Min(one, other)), math.Max(0, math.Max(one, other))
		below += down * down
		above += up * up
	}
	return centre - math.Sqrt(below), centre + math.Sqrt(above)
}

// lowest is the lowest supply of a week, with its range; never below nothing.
func (a *aim) lowest(from, to int) basis.Value {
	low, high := a.spread(func(s course.Supply) float64 { return s.LowestBetween(from, to) })
	return basis.Assumed(a.supply.LowestBetween(from, to), math.Max(0, low), high, "share")
}

// lowestIn is the lowest supply of the week of a step.
func (a *aim) lowestIn(step course.Step) basis.Value {
	return a.weekly[step.FromDay/int(course.StepDays.Value)]
}

// week returns the targets for one step. low and high are the ends of its
// factor.
func (a *aim) week(step course.Step, low, high float64) (Targets, error) {
	w := Targets{}
	w.Factor = a.factor(step, low, high)
	if err := a.feed(&w); err != nil {
		return w, err
	}
	a.light(&w)
	a.heat(&w)
	a.air(&w)
	return w, a.humidity(&w, step)
}

// share is one figure of the supply on a day, within 0 and 1.
func (a *aim) share(f func(course.Supply, float64) float64, day int) basis.Value {
	low, high := a.spread(func(s course.Supply) float64 { return f(s, float64(day)) })
	return basis.Assumed(f(a.supply, float64(day)), math.Max(0, low), math.Min(1, high), "share")
}

func (a *aim) factor(step course.Step, low, high float64) Figure {
	s := a.s
	inputs := []Input{
		{"headroom, " + string(s.plant.Vigour) + " plant", s.headroom()},
		{"living roots kept", s.plant.Repot.RootsKept},
		{"leaf area kept", s.plant.Repot.LeavesKept},
		{"old roots left, of all before", a.share(course.Supply.OldRootsAt, step.FromDay-step.Late)},
		{"their contact with water, of that before", a.share(course.Supply.ContactAt, step.FromDay-step.Late)},
		{"replaced by new roots (expected)", a.share(course.Supply.RegrownAt, step.FromDay-step.Late)},
		{"supply at its lowest this week", a.lowestIn(step)},
	}
	b := Because{
		Rule:   "supply σ = headroom · (old roots · contact + new roots) / leaves; turn-down 1 − σ, held between 30 % and, in ordinary cases, 50 %",
		Inputs: inputs,
		Limit:  step.Decided,
		Note:   fmt.Sprintf("the model alone would turn down by %.0f %%; practice is 30 to 50 %%", 100*course.ModelTurnDown(step.Supply)),
	}
	if step.Stage == course.SteppingUp || step.Stage == course.Established {
		b.Rule = "each week may close a quarter of the gap to the usual care, if growing root tips were seen in the week before and nothing has wilted"
		b.Note = "a forecast: a week without growing tips is not stepped up"
		switch step.Decision {
		case course.Granted:
			b.Note = "earned: roots were known to grow in this week, and nothing had wilted"
		case course.Held:
			b.Note = "held: nothing showed in this week that roots grow; the forecast of new roots is put off by a week"
		case course.DroppedBack:
			b.Note = "taken back: the plant was less firm, or had lost more, than is normal; the forecast of new roots is put off by a week"
		case course.Reached:
			b.Note = "the grower's own review says that it is established"
		}
	}
	return figure(step.Factor, low, high, "share", b)
}

// times scales a usual quantity by the week's factor.
func (w *Targets) times(usual basis.Value, unit string, because Because) Figure {
	f := w.Factor
	because.Inputs = append([]Input{{"usual", usual}, {"share of the usual", f.Value}}, because.Inputs...)
	return figure(usual.Value*f.Value.Value, usual.Low*f.Low, usual.High*f.High, unit, because)
}

func (a *aim) feed(w *Targets) error {
	var ends [3]strength // at the share itself, and at either end of its range
	for i, factor := range [3]float64{w.Factor.Value.Value, w.Factor.Low, w.Factor.High} {
		var err error
		if ends[i], err = a.s.scaled(a.usual, factor); err != nil {
			return err
		}
	}
	rule := "usual strength × share of the usual: fewer roots take up less, and what they leave builds up as salt"
	note := "growers disagree: some give plain water until new tips show; root mass of Phalaenopsis fell with every step of feed EC (Wang 1998)"
	if a.usual.gramsPerLitre.Grade != 0 {
		f := w.times(a.usual.gramsPerLitre, "g/L", Because{Rule: rule, Note: note, Limit: w.Factor.Because.Limit})
		w.FeedGramsPerLitre = &f
	}
	if a.usual.ppmN.Grade != 0 {
		f := w.times(a.usual.ppmN, "ppm N", Because{Rule: rule, Limit: w.Factor.Because.Limit})
		w.FeedPpmN = &f
	}
	w.FeedECmS = figure(ends[0].ECmS.Value, ends[1].ECmS.Low, ends[2].ECmS.High, "mS/cm", Because{
		Rule: "conductivity of the water's and the feed's ions together (Kohlrausch–Onsager)",
		Inputs: []Input{
			{"usual, finished solution", a.usual.ECmS},
			{"water " + a.s.feedWater.Name, basis.Exactly(a.s.feedWaterECmS(), "mS/cm", max(basis.Assumption, a.s.feedWater.ECmS.Grade), "")},
			{"share of the usual", w.Factor.Value},
		},
		Limit: w.Factor.Because.Limit,
	})
	return nil
}

func (a *aim) light(w *Targets) {
	usual, floor := a.s.usualPPFD, a.s.lightFloor
	inputs := []Input{{"not shaded below", floor}}
	inhibition := a.s.group.PhotoinhibitionUmol
	if inhibition.Known {
		inputs = append(inputs, Input{"photoinhibition measured above", inhibition.Value})
	}
	// The group's photoinhibition figure, where one was measured, caps what a
	// plant with few roots is given; the floor keeps it alive. level returns the
	// share of the usual light to give, and what decided it.
	level := func(usualPPFD, factor, floorPPFD float64) (float64, course.Limit) {
		decided := w.Factor.Because.Limit
		if inhibition.Known && factor < 1 && factor*usualPPFD > inhibition.Value.Value {
			factor, decided = inhibition.Value.Value/usualPPFD, course.ByInhibition
		}
		if usualPPFD > 0 && factor*usualPPFD < floorPPFD {
			factor, decided = math.Min(1, floorPPFD/usualPPFD), course.ByLightFloor
		}
		return factor, decided
	}
	factor, limit := level(usual.Value, w.Factor.Value.Value, floor.Value)
	low, _ := level(usual.Low, w.Factor.Low, floor.Low)
	high, _ := level(usual.High, w.Factor.High, floor.High)
	scaled := func(usual basis.Value, unit string) Figure {
		return figure(usual.Value*factor, usual.Low*low, usual.High*high, unit, Because{
			Rule: "usual light × share of the usual", Limit: limit,
			Inputs: append([]Input{{"usual", usual}, {"share of the usual", w.Factor.Value}}, inputs...),
			Note:   "published ramp for bare-root Phalaenopsis: 34, 72, 140, 200 µmol over 6 to 9 days (Hou, Setter & Chang 2010)",
		})
	}
	w.LightPPFD = scaled(usual, "µmol/m²/s")
	w.LightDLI = scaled(a.s.usualDLI, "mol/m²/day")
}

// heat caps the day. Heat exposure is counted from the lower day limit of the
// group: what lies above it is turned down with the rest. The definition is an
// assumption; that heat is turned down at all is common practice.
func (a *aim) heat(w *Targets) {
	floor, usual := a.s.group.DayC, a.s.space.DayC
	capAt := func(factor float64) float64 {
		if usual.Value <= floor.Low {
			return usual.Value
		}
		return floor.Low + factor*(usual.Value-floor.Low)
	}
	limit := w.Factor.Because.Limit
	if usual.Value <= floor.Low {
		limit = course.ByGroupFloor
	}
	w.DayHeatCapC = figure(capAt(w.Factor.Value.Value), capAt(w.Factor.Low), capAt(w.Factor.High), "°C", Because{
		Rule: "lower day limit of the group + share of the usual × (usual day − that limit)",
		Inputs: []Input{
			{"usual day", usual},
			{"lower day limit of " + a.s.group.Name, basis.Exactly(floor.Low, "°C", floor.Grade, floor.Source)},
			{"share of the usual", w.Factor.Value},
		},
		Limit: limit,
		Note:  "where the day cannot be cooled, deeper shade and moving air stand in for it",
	})
}

// air turns the movement of air down, but never to nothing: leaves that stay
// wet in still air rot.
func (a *aim) air(w *Targets) {
	usual := airSpeeds[a.s.space.Air]
	// The ceilings of humidity hold for air that moves: a room whose air moved
	// keeps the least that is called gentle.
	least := basis.Assumed(airSpeeds[GentleAir].Low, airSpeeds[StillAir].Value, airSpeeds[GentleAir].Value, "m/s")
	if a.s.space.Air == StillAir {
		least = airSpeeds[StillAir]
	}
	speed := math.Max(least.Value, usual.Value*w.Factor.Value.Value)
	// The class to set is the fastest that begins at or below the target.
	w.Air = StillAir
	for _, class := range AirMovements {
		if airSpeeds[class].Low <= speed {
			w.Air = class
		}
	}
	w.TurnedAway = w.Factor.Value.Value < 1 && w.Air == a.s.space.Air && w.Air != StillAir
	w.AirSpeedMS = figure(speed, math.Min(speed, usual.Low), math.Max(speed, usual.High*w.Factor.High), "m/s", Because{
		Rule:   "usual air speed × share of the usual, but air that moved is never stopped",
		Inputs: []Input{{"usual, " + string(a.s.space.Air), usual}, {"least", least}, {"share of the usual", w.Factor.Value}},
		Limit:  w.Factor.Because.Limit,
		Note:   "moving air dries crowns and the medium and cools leaves; it hardly changes what an orchid leaf loses",
	})
}

// enclosedBelow is the supply at which a plant is wholly in the care of an
// enclosure. Between it and half, where ordinary care begins, the ceiling of
// humidity rises evenly, so that no plant is worse off for having more roots.
var enclosedBelow = basis.Assumed(0.3, 0.2, 0.4, "share")

// ceiling is the humidity not to exceed in air of a temperature: the ceiling of
// practice, or the deficit below which rot spreads.
func (a *aim) ceiling(airC, supply float64) course.RHLimit {
	open, closed := course.RHCeilingPercent.Value, course.EnclosureCeilingPercent.Value
	ordinary := 1 - course.OrdinaryTurnDown.Value
	share := math.Max(0, math.Min(1, (ordinary-supply)/(ordinary-enclosedBelow.Value)))
	if a.s.space.Kind == Enclosure {
		share = 1
	}
	limit := course.RHLimit{CeilingPercent: open + share*(closed-open), Decided: course.ByRHCeiling}
	if rh, err := air.RHForVPD(airC, course.RottingVPDKPa.Value); err == nil && rh < limit.CeilingPercent {
		limit = course.RHLimit{CeilingPercent: rh, Decided: course.ByRottingVPD}
	}
	return limit
}

// ceilingValue is a ceiling as an input to be shown.
func ceilingValue(limit course.RHLimit) basis.Value {
	if limit.Decided == course.ByRottingVPD {
		return basis.Exactly(limit.CeilingPercent, "%", course.RottingVPDKPa.Grade, course.RottingVPDKPa.Source)
	}
	return basis.Exactly(limit.CeilingPercent, "%", basis.CommonPractice, "")
}

func (a *aim) humidity(w *Targets, step course.Step) error {
	s := a.s
	turnedDown := s.usual()
	turnedDown.LightFactor = w.LightPPFD.Value.Value / math.Max(1e-9, s.usualPPFD.Value)
	turnedDown.DayC = w.DayHeatCapC.Value.Value
	turnedDown.AirSpeedMS = w.AirSpeedMS.Value.Value

	day, night := a.ceiling(turnedDown.DayC, step.Supply), a.ceiling(s.space.NightC.Value, step.Supply)
	solve := func(supply float64) course.Relief {
		return course.Relieve(a.t.demand, turnedDown, supply, a.t.nightOpen(), day, night)
	}
	var relief, dry, humid course.Relief
	if step.Stage == course.Settling || step.Stage == course.Rooting {
		relief = solve(step.Supply)
		// Low supply asks for high humidity, and the other way round.
		supply := a.lowestIn(step)
		humid, dry = solve(supply.Low), solve(supply.High)
		a.last, a.lastFactor = relief, step.Factor
	} else {
		relief = a.steppedBack(turnedDown, step.Factor)
		dry, humid = relief, relief
	}
	if a.t.failed != nil {
		return a.t.failed
	}
	w.UnmetDemand = relief.Unmet
	rule := "the humidity of the sixth week, taken back to the usual in step with the rest: high humidity must taper, not persist"
	if step.Stage == course.Settling || step.Stage == course.Rooting {
		rule = "the humidity at which the leaves lose no more than the roots bring, raised first " + a.openHalf()
	}
	half := func(name string, usual basis.Value, now, low, high, airC float64, limit course.RHLimit, decided course.Limit) (rh, vpd Figure) {
		because := Because{
			Rule: rule,
			Inputs: []Input{
				{"usual " + name + " humidity", usual},
				{"supply this week", a.lowestIn(step)},
				{"loss in this climate, of the usual", basis.Assumed(relief.Demand, relief.Demand, relief.Demand, "share")},
				{"ceiling", ceilingValue(limit)},
				{"usual loss of the leaves", basis.Assumed(a.t.usual, 0.5*a.t.usual, 2*a.t.usual, "g/m²/day")},
			},
			Limit: decided,
			Note:  "practice raises humidity by 10 to 20 points, to about 80 % in moving air",
		}
		rh = figure(now, low, high, "%", because)
		v := because
		v.Rule, v.Note = "saturation at the air's temperature × (1 − humidity), FAO-56 equation 11", ""
		vpd = figure(air.VPDKPa(airC, now), air.VPDKPa(airC, math.Max(now, high)), air.VPDKPa(airC, math.Min(now, low)), "kPa", v)
		return rh, vpd
	}
	w.DayRHPercent, w.DayVPDKPa = half("day", s.space.DayRHPercent, relief.Climate.DayRHPercent, dry.Climate.DayRHPercent, humid.Climate.DayRHPercent, turnedDown.DayC, day, relief.DayDecided)
	w.NightRHPercent, w.NightVPDKPa = half("night", s.space.NightRHPercent, relief.Climate.NightRHPercent, dry.Climate.NightRHPercent, humid.Climate.NightRHPercent, s.space.NightC.Value, night, relief.NightDecided)
	return nil
}

// openHalf names the half of the day whose humidity counts most.
func (a *aim) openHalf() string {
	if a.t.nightOpen() {
		return "by night, when this CAM plant's stomata are open; by day light decides leaf heat, not loss"
	}
	return "by day, when this plant's stomata are open"
}

// steppedBack takes humidity back to the usual in step with the rest: high
// humidity must taper, not persist (Cha-um, Ulziibat & Kirdmanee 2010, AJCS
// 4:750, abstract: plants hardened in drier air did better after transfer).
func (a *aim) steppedBack(turnedDown course.Climate, factor float64) course.Relief {
	r := course.Relief{Climate: turnedDown, DayDecided: course.BySteppingUp, NightDecided: course.BySteppingUp}
	gap := 0.0
	if a.lastFactor < 1 {
		gap = math.Max(0, (1-factor)/(1-a.lastFactor))
	}
	usual := a.s.usual()
	r.Climate.DayRHPercent = usual.DayRHPercent + gap*(a.last.Climate.DayRHPercent-usual.DayRHPercent)
	r.Climate.NightRHPercent = usual.NightRHPercent + gap*(a.last.Climate.NightRHPercent-usual.NightRHPercent)
	r.Demand = a.t.demand(r.Climate)
	if gap == 0 {
		r.DayDecided, r.NightDecided = course.ByReestablished, course.ByReestablished
	}
	return r
}

// headroom is the engine's figure for a state of vigour.
func headroom(v Vigour) basis.Value {
	switch v {
	case Strong:
		return course.HeadroomStrong
	case Weak:
		return course.HeadroomWeak
	case Rescue:
		return course.HeadroomRescue
	}
	return course.HeadroomOrdinary
}
