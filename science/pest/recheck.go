package pest

import (
	"fmt"
	"math"
	"time"

	"velamen/science/basis"
)

// Band is one event under the fast, the central and the slow reading of a
// pest's figures. A zero Time means not within 400 days.
type Band struct {
	Fast, Central, Slow time.Time
}

// Pass is the span of days for one repeat: look closely and treat what lives.
// Earliest ≤ Due ≤ Latest, all after the treatment before it.
type Pass struct {
	Earliest, Due time.Time
	// Latest is the last day before a survivor could lay; zero when that is
	// not within 400 days.
	Latest time.Time
	// Hatched is when most of the eggs that were there at the treatment before
	// have hatched; zero for live-bearing pests.
	Hatched Band
	// Laying is when the first of the survivors could lay.
	Laying Band
	// Split: the slowest eggs hatch after the fastest survivors lay, so no one
	// day catches all, and repeats follow more closely.
	Split bool
}

// Recheck is the plan after a treatment or a repotting with a pest found. All
// dates are calendar days at 00:00 UTC.
type Recheck struct {
	// Passes are the planned repeats in order; none when Paused.
	Passes []Pass
	// Complete: the last pass lies after the last egg has hatched. If not,
	// plan again after the last pass.
	Complete bool
	// FirstLook is never more than 14 days away (common practice).
	FirstLook time.Time
	// Looks are the days between the passes, and after them until WatchUntil,
	// on which to look so that no gap is longer than 14 days (common practice).
	Looks []time.Time
	// WatchUntil is the earliest day on which the watch can end: one
	// generation after the first pass, if every check from then on is clean.
	// Zero when that cannot be promised.
	WatchUntil time.Time
	// Paused: too near a lower threshold over the coming 14 days. Development
	// rests or crawls; only the next look is dated.
	Paused bool
	// Extrapolated: a pass or WatchUntil lies beyond the temperatures given, on
	// the pace of their last seven days (assumption).
	Extrapolated bool
	// Grade is the weakest among the figures behind the passes.
	Grade basis.Grade
}

// RoutineLook returns the day of the next general look when no pest was seen:
// 14 days after the last (common practice).
func RoutineLook(last time.Time) time.Time {
	return date(last, int(lookEveryDays.Value))
}

// AfterTreatment plans the repeats after everything in reach was treated on
// the first of the given days; day 0 counts in full.
//
// A contact treatment leaves eggs of every age. A repeat must come after most
// of them hatched, 1.1·K_egg, and before the first survivor lays. The oldest
// eggs hatch at once and need only the rest of the generation, so that limit
// is K_generation − K_egg, and never more than 0.8·K_generation (shares:
// assumption). Where the slow end of hatching lies after the fast end of
// laying, repeats follow at 0.7 of the time from hatching to laying; so they
// do for live-bearing pests, but never more than 14 days apart. They go on
// until the last egg has hatched, at least twice.
func AfterTreatment(cycle LifeCycle, coming Temperatures) (Recheck, error) {
	if err := cycle.Check(); err != nil {
		return Recheck{}, fmt.Errorf("planning the recheck: %w", err)
	}
	if err := coming.check(); err != nil {
		return Recheck{}, fmt.Errorf("planning the recheck: %w", err)
	}
	look := int(lookEveryDays.Value)
	plan := Recheck{FirstLook: date(coming.Start, look)}
	mean := coming.meanOfFirst(look)
	if cycle.Generation.pausedAt(mean) || (!cycle.LiveBearing && cycle.Egg.pausedAt(mean)) {
		plan.Paused = true
		plan.Looks = []time.Time{plan.FirstLook}
		plan.Grade = basis.Weakest(cycle.Generation.Grade(), cycle.Egg.Grade(), pausedBelowK.Grade, lookEveryDays.Grade)
		return plan, nil
	}
	plan.Grade = basis.Weakest(cycle.Generation.Grade(), cycle.Egg.Grade(), cycle.LayingDays.Grade,
		hatchedShare.Grade, alertShare.Grade, spacingShare.Grade, leastPasses.Grade)

	s := newSchedule(cycle, coming)
	visits := []int{0}
	for len(plan.Passes) < mostPasses && !plan.Complete {
		pass, due := s.passAfter(visits[len(visits)-1])
		if due >= never {
			break
		}
		plan.Passes = append(plan.Passes, pass)
		visits = append(visits, due)
		plan.Complete = due >= s.lastHatch && len(plan.Passes) >= int(leastPasses.Value)
	}
	if len(plan.Passes) > 0 {
		plan.FirstLook = date(coming.Start, min(look, visits[1]))
		end := s.generation[slow].firstMorning(visits[1], s.generationNeeds)
		plan.WatchUntil = date(coming.Start, end)
		if end < never && end > visits[len(visits)-1] {
			visits = append(visits, end)
			plan.Looks = append(plan.Looks, plan.WatchUntil)
		}
		plan.Extrapolated = visits[len(visits)-1] > coming.days()
	} else {
		plan.Looks = append(plan.Looks, plan.FirstLook)
	}
	plan.Looks = append(gapLooks(coming.Start, visits, look), plan.Looks...)
	return plan, nil
}

// gapLooks returns the days to look so that consecutive visits are never more
// than every days apart.
func gapLooks(start time.Time, visits []int, every int) []time.Time {
	var looks []time.Time
	for i := 1; i < len(visits); i++ {
		for day := visits[i-1] + every; day < visits[i]; day += every {
			looks = append(looks, date(start, day))
		}
	}
	return looks
}

// schedule is a life cycle laid over one run of temperatures, in the three
// corners of its figures.
type schedule struct {
	start           time.Time
	eggs            bool
	egg             [3]warmth
	hatchNeeds      [3]float64 // degree-days until most eggs hatched
	generation      [3]warmth
	layNeeds        [3]float64 // degree-days until the first survivor lays
	spacingNeeds    float64    // degree-days between split repeats
	generationNeeds float64    // degree-days of a slow generation
	lastHatch       int        // day by which the last egg has hatched
}

func newSchedule(cycle LifeCycle, coming Temperatures) schedule {
	s := schedule{start: coming.Start, eggs: !cycle.LiveBearing}
	for c := fast; c <= slow; c++ {
		th, whole := cycle.Generation.at(c)
		s.generation[c] = coming.warmth(th)
		rest := whole
		if s.eggs {
			eggTh, hatch := cycle.Egg.at(c)
			s.egg[c] = coming.warmth(eggTh)
			s.hatchNeeds[c] = hatchedShare.Value * hatch
			rest -= pick(cycle.Egg.DegreeDays, slow-c) // a long egg stage leaves a short rest
		}
		s.layNeeds[c] = min(rest, alertShare.Value*whole)
		switch c {
		case fast:
			s.spacingNeeds = spacingShare.Value * rest
		case slow:
			s.generationNeeds = whole
		}
	}
	s.lastHatch = int(math.Ceil(cycle.LayingDays.High))
	if s.eggs {
		s.lastHatch = s.egg[slow].firstMorning(s.lastHatch, s.hatchNeeds[slow])
	}
	return s
}

// passAfter plans the repeat that follows a treatment on day from.
func (s *schedule) passAfter(from int) (pass Pass, due int) {
	// Whatever the arithmetic says, a repeat is on a later day.
	next := from + 1
	var hatched, laying [3]int
	for c := fast; c <= slow; c++ {
		laying[c] = max(next, s.generation[c].lastMorning(from, s.layNeeds[c]))
		if s.eggs {
			hatched[c] = max(next, s.egg[c].firstMorning(from, s.hatchNeeds[c]))
		}
	}
	earliest := next
	if s.eggs && hatched[slow] < never && hatched[slow] <= laying[fast] {
		earliest, due = hatched[central], hatched[slow]
	} else {
		pass.Split = s.eggs
		due = max(next, s.generation[fast].lastMorning(from, s.spacingNeeds))
		if s.eggs {
			earliest = min(due, hatched[fast])
		} else {
			// With no egg to wait for, nothing speaks for a longer pause.
			due = min(due, from+int(lookEveryDays.Value))
		}
	}
	pass.Earliest, pass.Due = date(s.start, earliest), date(s.start, due)
	pass.Latest = date(s.start, laying[fast])
	pass.Laying = s.band(laying)
	if s.eggs {
		pass.Hatched = s.band(hatched)
	}
	return pass, due
}

func (s *schedule) band(days [3]int) Band {
	return Band{
		Fast:    date(s.start, days[fast]),
		Central: date(s.start, days[central]),
		Slow:    date(s.start, days[slow]),
	}
}
