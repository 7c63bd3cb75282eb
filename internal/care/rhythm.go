package care

import (
	"fmt"
	"math"

	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/pot"
)

// rhythm is how often a new home is watered and flushed, and what decided it.
type rhythm struct {
	regime
	decided course.Limit
	failing bool // not even daily watering keeps the limits

	// The root zone at the end of the stage, and as it would be if roots drew
	// at most.
	end, endAtMost pot.State
}

// What can decide a rhythm.
const (
	byPracticeFlush course.Limit = "practice: at least every three days for six weeks"
	byUsualRhythm   course.Limit = "the usual watering rhythm is reached"
	byDryness       course.Limit = "one day longer, the roots would stand too dry"
	bySalt          course.Limit = "one day longer, the pore water would be too salty"
	byContact       course.Limit = "one day longer, the roots would be wet for too little of the day"
	byMountDrying   course.Limit = "a mount dries within a day"
)

// keptContact is the share of their former contact with water that roots should
// keep where more frequent flushing can give it: the cheapest way to raise what
// they bring.
var keptContact = basis.Assumed(0.75, 0.6, 0.9, "share")

// worthwhileContact is a gain of contact too small to flush a day more often for.
const worthwhileContact = 0.1

// longestRhythm returns the longest interval, up to waterDays of the usual
// regime, that keeps wetness and salt of the root zone within their limits from
// the first flush to the end of the forcing, and the roots about as wet as they
// were used to. Where salt allows, waterings closer than flushDays of the usual
// regime are no flushes: only every second or third is.
func (s *subject) longestRhythm(z rootZone, usual regime, longest course.Limit, wetShareBefore float64) (rhythm, error) {
	type trial struct {
		dry, salty bool
		contact    float64
		end        pot.State
		endAtMost  pot.State
	}
	hours := z.hours()
	out := pot.Series{Wetness: make([]float64, hours), ECmS: make([]float64, hours)}
	try := func(waterDays, flushDays int) (t trial, err error) {
		kept := usual
		kept.waterDays, kept.flushDays, kept.feedDays = waterDays, flushDays, max(flushDays, usual.feedDays)
		schedule := kept.pours(hours)
		result, err := pot.Simulate(z.pot, z.start, z.forcing, schedule, out)
		if err == nil {
			dryHours := pot.HoursBelow(out.Wetness[wateringHour:], z.limits.wetness)
			t.dry = float64(dryHours) > dryHoursAllowed.Value*float64(hours)
			t.salty = pot.HoursAbove(out.ECmS[wateringHour:], z.limits.ECmS) > 0
			t.end = result.End
			if z.fewRoots() {
				result, err = pot.Simulate(z.pot, z.startAtMost, z.atMost, schedule, pot.Series{Wetness: out.Wetness})
			}
			t.endAtMost = result.End
		}
		if err != nil {
			return t, fmt.Errorf("watering every %d days: %w", waterDays, err)
		}
		t.contact = mean(contact(out.Wetness)[wateringHour:])
		return t, nil
	}
	r := rhythm{regime: usual, decided: longest}
	keep := func(waterDays, flushDays int, t trial) {
		r.waterDays, r.flushDays, r.feedDays = waterDays, flushDays, max(flushDays, usual.feedDays)
		r.end, r.endAtMost = t.end, t.endAtMost
	}
	salty := false
	found := false
	for days := usual.waterDays; days >= 1 && !found; days-- {
		t, err := try(days, days)
		if err != nil {
			return r, err
		}
		keep(days, days, t)
		switch {
		case t.dry:
			r.decided = byDryness
			continue
		case t.salty:
			r.decided, salty = bySalt, true
			continue
		}
		if days > 1 && t.contact < keptContact.Value*wetShareBefore {
			daily, err := try(1, 1)
			if err != nil {
				return r, err
			}
			if t.contact < daily.contact-worthwhileContact {
				r.decided = byContact
				continue
			}
		}
		found = true
	}
	r.failing = !found
	// Water in between does what dryness asks for; a flush costs two holdings.
	if flushDays := usual.flushDays / r.waterDays * r.waterDays; flushDays > r.waterDays && !salty {
		t, err := try(r.waterDays, flushDays)
		if err != nil {
			return r, err
		}
		if !t.salty {
			keep(r.waterDays, flushDays, t)
		}
	}
	return r, nil
}

// mountWettings returns how many wettings a day keep the roots on a mount wet
// for long enough, and for how many hours they do.
func (z rootZone) mountWettings(pourML, ECmS float64) (wettings int, wetHours float64, err error) {
	day := pot.Forcing{DemandML: z.forcing.DemandML[:24], PotentialEvaporationMM: z.forcing.PotentialEvaporationMM[:24], RHPercent: z.forcing.RHPercent[:24]}
	for wettings = 1; ; wettings++ {
		daily := regime{waterDays: 1, flushDays: 1, wettings: wettings, flushML: pourML, plainECmS: ECmS}
		wetHours, err = pot.WetHoursPerDay(z.pot, day, daily.pours(24))
		if err != nil || wetHours >= mountWetHours.Value || wettings == mostWettings {
			return wettings, wetHours, err
		}
	}
}

// Flush is how to flush a pot or mount in one stage of the course.
type Flush struct {
	Every      Figure       `json:"every"`                   // days
	Wettings   int          `json:"wettings"`                // a day; the first is the flush
	WaterEvery int          `json:"water_every"`             // days; shorter than Every where dryness asks for water in between
	Between    *Figure      `json:"water_between,omitempty"` // mL of such a watering
	Total      Figure       `json:"total"`                   // mL
	Pours      Figure       `json:"pours"`                   //
	PourML     float64      `json:"pour_ml"`
	Wait       Figure       `json:"wait"`      // minutes between pours
	DoneAt     Figure       `json:"done_at"`   // EC of the drainage at which the flush is finished
	Holdings   float64      `json:"holdings"`  // the total as a multiple of the water held
	PotTimes   float64      `json:"pot_times"` // the total as a multiple of the pot's volume
	RainMM     float64      `json:"rain_mm"`   // depth of rain that flushes as well
	Warnings   []string     `json:"warnings,omitempty"`
	WaterName  string       `json:"water"` // what to flush with
	Decided    course.Limit `json:"decided_by"`
	Late       *Delay       `json:"-"` // what waiting with it costs, day by day
	// LateBetween is what waiting with the water between two flushes costs; nil
	// where there is none.
	LateBetween *Delay `json:"-"`
}

// Names of inputs that are asked for again.
const (
	heldAtCapacity   = "water held at capacity"
	wantedInRootZone = "wanted in the root zone"
)

// Held is the water that the home holds at capacity, mL, as the flush reckons
// with it.
func (f *Flush) Held() basis.Value { return f.Total.Because.input(heldAtCapacity) }

// Wanted is the EC that the flush is to bring the root zone to.
func (f *Flush) Wanted() basis.Value { return f.Total.Because.input(wantedInRootZone) }

// displacedHoldings is how much water has to run through for a flush to carry
// its salt away, in holdings: after 1 to 1.5 container capacities of effluent
// the removal of the old solution falls off sharply (Kerr & Hanan 1983,
// peat-perlite mixes, abstract).
var displacedHoldings = basis.Value{Value: 1, Low: 1, High: 1.5, Unit: "holdings", Grade: basis.Published, Source: "Kerr & Hanan 1983, abstract: removal falls off sharply after 1 to 1.5 container capacities"}

// leastFlushML is what has to be poured so that, after the medium has taken its
// share and part has run past, a holding of water has been displaced.
func (s *subject) leastFlushML(z rootZone, state pot.State) float64 {
	missing := z.pot.CapacityML() - state.WaterML()
	captured := missing * z.pot.CaptureShare(z.pot.Wetness(&state), state.Age)
	least := captured + displacedHoldings.Value*z.pot.CapacityML()/(1-z.bypass)
	if s.plant.Repot.To.Mount != nil {
		// A can cannot spread less than this evenly over a plate.
		least = math.Max(least, drenchMM.Value/10*z.pot.SurfaceCM2())
	}
	return least
}

// handyML rounds a pour up to what a jug or a syringe can measure, two figures
// of it.
func handyML(mL float64) float64 {
	step := math.Max(1, math.Pow10(int(math.Floor(math.Log10(mL)))-1))
	return math.Ceil(mL/step) * step
}

// lowSaltECmS is what counts as low in salt for flushing.
var lowSaltECmS = basis.Value{Value: 0.3, Low: 0.2, High: 0.5, Unit: "mS/cm", Grade: basis.CommonPractice}

// drenchMM is the least water that wets a mount all over.
var drenchMM = basis.Assumed(5, 3, 10, "mm")

// wholeFlush returns the flush for a stage: how often, how much, in how many
// pours, and when it is done.
func (s *subject) wholeFlush(z rootZone, state pot.State, r rhythm, wetHours float64) (Flush, error) {
	in := s.flushWater.ECmS
	parameters := pot.Defaults()
	target := math.Max(rootingECmS.Value*s.group.Derived.ECCapFactor.Value, 1.2*in.Value+0.05)
	limit := math.Min(math.Max(150, 2*z.pot.VolumeML()), pot.LargestPourML)
	plan, err := pot.PlanFlush(z.pot, state, pot.FlushTarget{ECmS: target, CaptureShare: flushFilling, InputECmS: in.Value, LimitML: limit})
	if err != nil {
		return Flush{}, err
	}
	if least := s.leastFlushML(z, state); plan.TotalML < least || plan.Pours == 0 {
		plan.Pours = max(1, plan.Pours)
		plan.TotalML, plan.Holdings = least, least/z.pot.CapacityML()
		plan.PourML = least / float64(plan.Pours)
	}
	if plan.Pours == 1 && plan.ChipMinutes > parameters.WaitShortestMin.Value {
		// Salt comes out of the particles between two pours, not during one.
		plan.Pours, plan.PourML = 2, plan.TotalML/2
	}
	holding := basis.Assumed(z.pot.CapacityML(), 0.7*z.pot.CapacityML(), 1.3*z.pot.CapacityML(), "mL")
	if s.knows != nil {
		holding = s.knows.figure(holdingName).Now
	}
	targetIn := Input{wantedInRootZone, basis.Value{Value: target, Low: math.Min(target, rootingECmS.Low), High: math.Max(target, rootingECmS.High), Unit: "mS/cm", Grade: rootingECmS.Grade, Source: rootingECmS.Source}}
	waterIn := Input{"flushing water, " + s.flushWater.Name, in}

	f := Flush{WaterName: s.flushWater.Name, Wettings: r.wettings, WaterEvery: r.waterDays, PourML: handyML(plan.PourML), Holdings: plan.Holdings, PotTimes: plan.TotalML / z.pot.VolumeML(), Decided: r.decided}
	f.RainMM = 10 * plan.TotalML / z.pot.SurfaceCM2() // 1 mm on 10 cm² is 1 mL
	f.Every = figure(float64(r.flushDays), 1, float64(r.flushDays), "days", Because{
		Rule: "the longest interval at which the simulated root zone stays above its driest and below its saltiest limit, hour by hour, and never more than three days in the first six weeks; where only dryness asks for more, plain water comes in between",
		Inputs: []Input{
			{"driest wetness for " + s.group.Name, driestWetness[s.group.DriesBetween.Is]},
			{"saltiest pore water", basis.Value{Value: z.limits.ECmS, Low: math.Min(z.limits.ECmS, saltyECmS.Low), High: math.Max(z.limits.ECmS, saltyECmS.High), Unit: "mS/cm", Grade: saltyECmS.Grade}},
			{"longest by practice", longestFlushDays},
			{heldAtCapacity, holding},
		},
		Limit: r.decided,
	})
	if r.waterDays < r.flushDays {
		between := figure(handyML(r.waterML), 0.7*r.waterML, 1.5*r.waterML, "mL", Because{
			Rule:   "half of what the pot holds: more than the medium catches, without the two holdings of a flush",
			Inputs: []Input{{heldAtCapacity, holding}, {"water every", basis.Exactly(float64(r.waterDays), "days", basis.Assumption, "")}},
			Limit:  r.decided,
		})
		f.Between = &between
	}
	if s.plant.Repot.To.Mount != nil {
		f.Every.Because.Inputs = append(f.Every.Because.Inputs,
			Input{"wet hours a day wanted on a mount", mountWetHours},
			Input{"wet hours a day reached", basis.Assumed(wetHours, 0.6*wetHours, math.Min(24, 1.4*wetHours), "h")})
	}
	f.Total = figure(float64(plan.Pours)*handyML(plan.PourML), 0.7*plan.TotalML, 1.5*plan.TotalML, "mL", Because{
		Rule:   fmt.Sprintf("tanks in series with bypass: the least water that fills %.0f %% of the free room, brings the pore water to the wanted EC, and displaces what the pot holds; it is %.1f times the water held and %.1f times the pot", 100*flushFilling, plan.Holdings, f.PotTimes),
		Inputs: []Input{{heldAtCapacity, holding}, {"to run through at least", displacedHoldings}, {"runs past unmixed", basis.Assumed(z.bypass, 0.5*z.bypass, math.Min(0.95, 1.5*z.bypass), "share")}, waterIn, targetIn},
		Note:   "growers' rule for comparison: twice the pot's volume, poured slowly",
	})
	f.Pours = figure(float64(plan.Pours), 1, parameters.MostPours.Value, "pours", Because{
		Rule:   fmt.Sprintf("each pour fills a share of what is missing (now %.0f %%); one more pour is planned where it saves water", 100*z.pot.CaptureShare(z.pot.Wetness(&state), state.Age)),
		Inputs: []Input{{"water that one more pour must save", parameters.PourSaving}},
	})
	f.Wait = figure(plan.WaitMinutes, parameters.WaitShortestMin.Value, parameters.WaitLongestMin.Value, "min", Because{
		Rule:   fmt.Sprintf("4·L²/(π²·D), the time salt takes out of a particle: here %.0f min, held to what growers wait", plan.ChipMinutes),
		Inputs: []Input{{"shortest wait", parameters.WaitShortestMin}, {"longest wait", parameters.WaitLongestMin}},
	})
	f.DoneAt = figure(plan.DoneBelowECmS, in.Value, plan.DoneBelowECmS*1.2, "mS/cm", Because{
		Rule:   "done when the drainage is at most 1.2 times the water poured (or as near as a pen can tell) and two cups in a row agree within a tenth",
		Inputs: []Input{waterIn, {"ratio to stop at", parameters.StopRatio}, {"what a pen can tell apart", parameters.PenAccuracyMS}},
	})
	warn := func(format string, args ...any) { f.Warnings = append(f.Warnings, fmt.Sprintf(format, args...)) }
	if in.Value > lowSaltECmS.Value {
		warn("The water %s is not low in salt; flush with rain or reverse-osmosis water if you can.", s.flushWater.Name)
	}
	switch {
	case r.failing && r.decided == bySalt:
		warn("With this water and feed not even a daily flush keeps the pore water below %.1f mS/cm: give plain water until new tips show, and feed weaker than the rest of the plan says.", z.limits.ECmS)
	case r.failing:
		warn("Even daily watering leaves the fresh medium drier than %s likes: add a cover of moss or raise humidity until it wets.", s.group.Name)
	}
	switch plan.Shortfall {
	case pot.TooRepellent:
		warn("The fresh medium still repels water: stand the pot in water for 20 minutes once a week until it takes it up.")
	case pot.TooLittleWater:
		warn("Even this much water leaves too much salt: flush again the next day.")
	}
	return f, nil
}
