package care

import (
	"math"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/light"
	"velamen/science/pot"
)

// watering is the flush of each stage.
type watering struct{ settling, rooting, later Flush }

func (w watering) on(day int) Flush {
	switch {
	case day < int(course.SettlingDays.Value):
		return w.settling
	case day < int(course.RecoveryDays.Value):
		return w.rooting
	}
	return w.later
}

// usualWaterings returns the flush of an established plant: as often as it was
// watered before the repot.
func (s *subject) usualWaterings(f Flush) Flush {
	usual := s.routine.WaterEveryDays
	f.Every = figure(usual.Value, usual.Low, usual.High, "days", Because{
		Rule: "the watering from before the repot", Inputs: []Input{{"usual", usual}}, Limit: byUsualRhythm,
	})
	f.WaterEvery, f.Between, f.Warnings, f.Decided = max(1, int(math.Round(usual.Value))), nil, nil, byUsualRhythm
	return f
}

// nextPours returns the next flush and the next feed, counted from the repot.
// Rhythms start afresh with each stage; feed goes with the first flush that
// falls on its day or after it.
func (s *subject) nextPours(c Course) (flush, feed time.Time) {
	feedEvery := max(1, int(math.Round(s.routine.FeedEveryDays.Value)))
	today, fed := max(c.Day, 0), 0
	for day := 0; ; {
		w := c.Weeks[min(day/7, len(c.Weeks)-1)]
		feeds := day-fed >= feedEvery
		if feeds {
			fed = day
		}
		if day >= today {
			if flush.IsZero() {
				flush = s.date(day)
			}
			if feeds {
				return flush, s.date(day)
			}
		}
		next := day + max(1, int(math.Round(w.Flush.Every.Value.Value)))
		for _, start := range [2]int{int(course.SettlingDays.Value), int(course.RecoveryDays.Value)} {
			if day < start && next > start {
				next = start
			}
		}
		day = next
	}
}

// watering simulates the old and the new home, fills in the supply of a, and
// returns how to flush in each stage.
//
// What the roots can take depends on how wet the home keeps them, which depends
// a little on what they take: the runs use what the kept roots could bring in a
// home as wet as before, but no more than leaves lose that are turned down.
func (s *subject) watering(a *aim) (watering, error) {
	r := s.plant.Repot
	before, err := s.wetShareBefore(a.t)
	if err != nil {
		return watering{}, err
	}
	head := s.headroom()
	most := r.LeavesKept.Value * (1 - course.LeastTurnDown.Value)
	take := math.Min(most, head.Value*r.RootsKept.Value)
	// Practice raises humidity by at least ten points from the first day on.
	moister := s.usual()
	moister.DayRHPercent = math.Min(moister.DayRHPercent+course.LeastRHRise.Value, math.Max(course.RHCeilingPercent.Value, moister.DayRHPercent))
	moister.NightRHPercent = math.Min(moister.NightRHPercent+course.LeastRHRise.Value, math.Max(course.RHCeilingPercent.Value, moister.NightRHPercent))
	feed, err := s.scaled(a.usual, 1-(course.LeastTurnDown.Value+course.OrdinaryTurnDown.Value)/2)
	if err != nil {
		return watering{}, err
	}

	// Shares of the loss of all leaves before the repot.
	atMost, err := s.forcing(a.t, moister, most, recoveryHours)
	if err != nil {
		return watering{}, err
	}
	draw := atMost
	if take < most {
		if draw, err = s.forcing(a.t, moister, take, recoveryHours); err != nil {
			return watering{}, err
		}
	}
	zone, err := s.newZone(draw, atMost, s.central())
	if err != nil {
		return watering{}, err
	}
	flushes, schedule, err := s.rhythms(zone, feed.ECmS.Value, before)
	if err != nil {
		return watering{}, err
	}
	var shares [3][]float64 // as the medium is, at its driest, at its wettest
	for i, pick := range []picks{s.central(), s.knows.dry(), s.knows.wet()} {
		if i > 0 {
			if zone, err = s.newZone(atMost, atMost, pick); err != nil {
				return watering{}, err
			}
		}
		if shares[i], err = zone.wetShares(schedule); err != nil {
			return watering{}, err
		}
	}
	first, established := s.rootTimes()
	k := course.DiebackPerWetShare
	a.supply = course.Supply{
		Headroom: head.Value, RootsKept: r.RootsKept.Value, LeavesKept: r.LeavesKept.Value,
		WetShareBefore: before, WetShare: shares[0],
		Dieback: k.Value, DiebackDays: course.DiebackDays.Value,
		FirstTipDay: first.Value, EstablishedDay: math.Max(established.Value, first.Value+1),
	}
	a.vary(func(s *course.Supply, v float64) { s.Headroom = v }, head)
	a.vary(func(s *course.Supply, v float64) { s.RootsKept = v }, r.RootsKept)
	a.vary(func(s *course.Supply, v float64) { s.LeavesKept = math.Max(0.01, v) }, r.LeavesKept)
	a.vary(func(s *course.Supply, v float64) { s.Dieback = v }, k)
	a.vary(func(s *course.Supply, v float64) {
		s.EstablishedDay += v - s.FirstTipDay // a late first tip delays all that follows
		s.FirstTipDay = v
	}, first)
	a.vary(func(s *course.Supply, v float64) { s.EstablishedDay = math.Max(v, s.FirstTipDay+1) }, established)
	drier, wetter := a.supply, a.supply
	drier.WetShare, wetter.WetShare = shares[1], shares[2]
	a.variants = append(a.variants, [2]course.Supply{drier, wetter})
	for _, pair := range append(a.variants, [2]course.Supply{a.supply, a.supply}) {
		for _, each := range pair {
			if err := each.Check(); err != nil {
				return watering{}, err
			}
		}
	}
	return flushes, nil
}

// rhythms returns the flush of each stage and the waterings of the first six
// weeks, from simulations that follow one another.
func (s *subject) rhythms(z rootZone, feedECmS, wetShareBefore float64) (watering, []pot.Pour, error) {
	var w watering
	var schedule []pot.Pour
	usual := regime{
		wettings: 1, flushML: usualPourML(z.pot), waterML: 0.5 * z.pot.CapacityML(),
		plainECmS: s.flushWater.ECmS.Value, feedECmS: feedECmS, feedDays: max(1, int(math.Round(s.routine.FeedEveryDays.Value))),
	}
	usualDays := max(1, int(math.Round(s.routine.WaterEveryDays.Value)))
	longest, decided := int(longestFlushDays.Value), byPracticeFlush
	// Beyond the simulated weeks one interval cannot be told from another.
	laterLongest := max(longest, min(usualDays, (recoveryHours-settledHours)/24))
	wetHours := 0.0
	mount := s.plant.Repot.To.Mount != nil
	if mount {
		var err error
		if usual.wettings, wetHours, err = z.mountWettings(usual.flushML, usual.plainECmS); err != nil {
			return w, nil, err
		}
		longest, laterLongest, decided = 1, 1, byMountDrying
	}
	for _, stage := range []struct {
		flush    *Flush
		from, to int
		longest  int
		decided  course.Limit
	}{
		{&w.settling, 0, settledHours, longest, decided},
		{&w.rooting, settledHours, recoveryHours, longest, decided},
		{&w.later, settledHours, recoveryHours, laterLongest, byUsualRhythm},
	} {
		// A plant that was watered more often than that is not watered less.
		usual.flushDays, usual.waterDays = stage.longest, min(stage.longest, usualDays)
		zone := z.stage(stage.from, stage.to)
		r, err := s.longestRhythm(zone, usual, stage.decided, wetShareBefore)
		if err != nil {
			return w, nil, err
		}
		if mount {
			r.decided, r.failing = byMountDrying, false // a mount is steered by its wet hours
		}
		list := r.pours(stage.to - stage.from)
		if *stage.flush, err = s.wholeFlush(zone, r.end, r, wetHours); err != nil {
			return w, nil, err
		}
		// By the third stage new roots have made up for those that were lost.
		vulnerable := basis.Exactly(1, "1", basis.Assumption, "")
		if stage.flush != &w.later {
			vulnerable = s.vulnerability()
		}
		if stage.flush.Late, stage.flush.LateBetween, err = s.delays(z, r, vulnerable); err != nil {
			return w, nil, err
		}
		s.knows.note(stage.flush, stage.from, mount || stage.flush == &w.later)
		switch stage.flush {
		case &w.settling:
			z.start, z.startAtMost = r.end, r.endAtMost
			schedule = append(schedule, list...)
		case &w.rooting:
			for _, p := range list {
				p.Hour += settledHours
				schedule = append(schedule, p)
			}
		}
	}
	return w, schedule, nil
}

// rootTimes returns the days to the first new root tip and to a plant that has
// replaced what it lost: the expectation of the group until this collection
// has a record of its own.
func (s *subject) rootTimes() (first, established basis.Value) {
	return usualRootTimes(s.group.Derived.Recovery, s.plant.Repot, s.plant.Vigour, s.coolSeason())
}

// usualRootTimes is rootTimes for any repot of a plant of a group; cool says that
// it was done in the dark half of the year.
func usualRootTimes(r culture.Recovery, repot Repot, vigour Vigour, cool bool) (first, established basis.Value) {
	f, e := r.FirstRoot.Days, r.Reestablished.Days
	if repot.Work == Mounted {
		m := culture.MountedRecovery()
		f, e = later(f, m.FirstRoot.Days), later(e, m.Reestablished.Days)
	}
	if cool {
		f, e = later(f, r.FirstRootOffSeason.Days), later(e, r.ReestablishedOffSeason.Days)
	}
	if vigour == Rescue || repot.RootsKept.Grade != 0 && repot.RootsKept.Value < 1.0/3 {
		factor := culture.RescueFactor()
		for _, v := range []*basis.Value{&f, &e} {
			v.Value, v.Low, v.High = v.Value*factor.Value, v.Low*factor.Low, v.High*factor.High
		}
	}
	if repot.LiveRootTips.Value > 0 && course.TipsSeenDays.Value < f.Value {
		f = course.TipsSeenDays
	}
	f.Unit, e.Unit = "days", "days"
	return f, e
}

func later(a, b basis.Value) basis.Value {
	if b.Value > a.Value {
		return b
	}
	return a
}

// coolSeason reports whether a plant in daylight was disturbed in the dark half
// of its year, when roots are slow. Under lamps, and without a latitude, the
// season is not known.
func (s *subject) coolSeason() bool {
	if s.place.LatitudeDeg.Grade == 0 || s.lighting.Shape != light.ClearDayPeak {
		return false
	}
	return s.lighting.Hours < shortDayHours
}
