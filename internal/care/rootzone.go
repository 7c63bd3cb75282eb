package care

import (
	"fmt"
	"math"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/pot"
)

// The limits within which the root zone is kept, share of capacity and mS/cm.
var (
	// driestWetness is how far the medium may dry, by what the group wants
	// between waterings. In moss, Phalaenopsis takes up less CO₂ below 0.4 of
	// the volume and loses buds at 0.2 to 0.3 (Rhie, Kang & Kim 2017, HortSci
	// 52:1823, abstract); the rest is assumption.
	driestWetness = map[culture.Drying]basis.Value{
		culture.DriesOut:      basis.Assumed(0.10, 0.05, 0.20, "share"),
		culture.DriesSlightly: basis.Assumed(0.20, 0.10, 0.30, "share"),
		culture.StaysMoist:    basis.Assumed(0.35, 0.25, 0.50, "share"),
	}
	// rootingECmS is as salty as the root zone of a re-establishing plant
	// should be. Root mass of Phalaenopsis fell with every step of irrigation
	// EC from 0.05 to 1.4 mS/cm (Wang 1998, abstract).
	rootingECmS = basis.Value{Value: 0.5, Low: 0.3, High: 0.8, Unit: "mS/cm", Grade: basis.FromMemory, Source: "judged from the root masses of Wang 1998, salinity trial with Phalaenopsis"}
	// saltyECmS is where growers flush whatever the calendar says.
	saltyECmS = basis.Value{Value: 1.2, Low: 1.0, High: 1.5, Unit: "mS/cm", Grade: basis.CommonPractice}
	// longestFlushDays is the longest time between two flushes in the first
	// six weeks.
	longestFlushDays = basis.Exactly(3, "days", basis.CommonPractice, "")
	// mountWetHours is for how long the roots on a mount should be wet each
	// day; a bare mount is wetted more often to reach it.
	mountWetHours = basis.Assumed(6, 4, 10, "h")
)

// dryHoursAllowed is the share of the hours that may lie below the driest
// wetness: roots bear an hour, a rhythm that leaves them dry every night is
// another matter.
var dryHoursAllowed = basis.Assumed(0.1, 0, 0.2, "share")

// saltiestECmS is the pore water at which a plant of this group is flushed; a
// tolerance that comes with being established does not count yet.
func (s *subject) saltiestECmS() float64 {
	return saltyECmS.Value * math.Min(1, s.group.Derived.ECCapFactor.Value)
}

const (
	wateringHour  = 8 // of the day, in the morning
	mostWettings  = 3 // a day, on a mount
	settledHours  = 24 * 14
	recoveryHours = 24 * 42
	flushFilling  = 0.8 // share of the free room between particles that a flush should fill
)

// rootZone is a home with what acts on it.
//
// How dry and how salty it gets depends on what the remaining roots draw. How
// wet it keeps roots is judged while they draw all that turned-down leaves may
// lose, however few they are: water that roots have brought to the leaves must
// not count as water they lacked.
type rootZone struct {
	filled
	start, startAtMost pot.State
	forcing, atMost    pot.Forcing
	limits             struct{ wetness, ECmS float64 }
}

// fewRoots reports whether the roots draw less than turned-down leaves may lose.
func (z rootZone) fewRoots() bool { return &z.forcing.DemandML[0] != &z.atMost.DemandML[0] }

func (z rootZone) hours() int { return len(z.forcing.DemandML) }

// stage is the root zone in a part of its time.
func (z rootZone) stage(from, to int) rootZone {
	part := z
	part.forcing, part.atMost = between(z.forcing, from, to), between(z.atMost, from, to)
	return part
}

func between(f pot.Forcing, from, to int) pot.Forcing {
	return pot.Forcing{DemandML: f.DemandML[from:to], PotentialEvaporationMM: f.PotentialEvaporationMM[from:to], RHPercent: f.RHPercent[from:to]}
}

// forcing lays a typical day's demand and drying power end to end. share is
// what the roots bring of the loss of all leaves before the repot.
func (s *subject) forcing(t *transpiration, c course.Climate, share float64, hours int) (pot.Forcing, error) {
	t.day.set(c, t.nightC)
	parameters := pot.Defaults()
	movement := pot.StillAir
	if s.space.Air == MovingAir || s.space.Air == StrongAir {
		movement = pot.FanAir
	}
	var evaporation [2]float64
	for half, when := range [2]struct {
		name            string
		airC, rhPercent float64
	}{{"night", t.nightC, c.NightRHPercent}, {"day", c.DayC, c.DayRHPercent}} {
		v, err := parameters.PotentialEvaporationMM(when.airC, when.rhPercent, s.pressure, movement)
		if err != nil {
			return pot.Forcing{}, fmt.Errorf("how a pot dries by %s in space %s: %w", when.name, s.space.Name, err)
		}
		evaporation[half] = s.knows.drying() * v.Value / 24
	}
	var loss [24]float64
	if err := s.hourlyLossML(loss[:], t, share); err != nil {
		return pot.Forcing{}, err
	}
	f := pot.Forcing{DemandML: make([]float64, hours), PotentialEvaporationMM: make([]float64, hours), RHPercent: make([]float64, hours)}
	for h := range hours {
		hour := h % 24
		f.DemandML[h] = loss[hour]
		f.PotentialEvaporationMM[h] = evaporation[0]
		if t.day.light[hour] {
			f.PotentialEvaporationMM[h] = evaporation[1]
		}
		f.RHPercent[h] = t.day.RHPercent[hour]
	}
	return f, nil
}

// regime is what is poured on a home, and how often.
type regime struct {
	waterDays int     // days from one watering to the next
	flushDays int     // every so many days the watering is a flush; a multiple of waterDays
	wettings  int     // of a mount, each day
	flushML   float64 // in two pours an hour apart
	waterML   float64 // of a watering between two flushes
	plainECmS float64
	feedECmS  float64
	feedDays  int // 0: never fed
}

// pours lays the regime out over some hours. Feed comes with the second pour of
// a flush: plain water first, so that dry roots do not take the first salt that
// comes.
func (r regime) pours(hours int) []pot.Pour {
	var list []pot.Pour
	add := func(hour int, mL, ec float64) {
		if hour < hours {
			list = append(list, pot.Pour{Hour: hour, ML: mL, ECmS: ec})
		}
	}
	sinceFeed := 0
	for day := 0; 24*day+wateringHour < hours; day += r.waterDays {
		hour := 24*day + wateringHour
		if day%r.flushDays != 0 {
			add(hour, r.waterML, r.plainECmS)
			continue
		}
		ec := r.plainECmS
		if sinceFeed += r.flushDays; r.feedDays > 0 && sinceFeed >= r.feedDays {
			ec, sinceFeed = r.feedECmS, 0
		}
		add(hour, r.flushML/2, r.plainECmS)
		add(hour+1, r.flushML/2, ec)
		for w := 1; w < r.wettings; w++ {
			add(hour+w*12/mostWettings, r.flushML/2, r.plainECmS)
		}
	}
	return list
}

// wetShareBefore returns the share of the day that roots were wet in the old
// home, once its rhythm had settled.
func (s *subject) wetShareBefore(t *transpiration) (float64, error) {
	home := s.plant.Repot.From
	old, err := s.build(home, false, s.central())
	if err != nil {
		return 0, err
	}
	p := old.pot
	every := max(1, int(math.Round(s.routine.WaterEveryDays.Value)))
	days := max(28, 2*every) // the second of two long intervals is a settled one
	forcing, err := s.forcing(t, s.usual(), 1, 24*days)
	if err != nil {
		return 0, err
	}
	start, err := p.Fill(0.8, 0.8, 0.3, 1)
	if err != nil {
		return 0, err
	}
	usual := regime{waterDays: every, flushDays: every, wettings: 1, flushML: usualPourML(p), plainECmS: 0.1}
	out := pot.Series{Wetness: make([]float64, len(forcing.DemandML))}
	if _, err := pot.Simulate(p, start, forcing, usual.pours(len(forcing.DemandML)), out); err != nil {
		return 0, err
	}
	// The last whole rhythms stand for the steady state.
	lastDays := max(every, 14/every*every)
	return mean(contact(out.Wetness)[24*(days-lastDays):]), nil
}

// usualPourML is a generous watering: enough to run through.
func usualPourML(p *pot.Pot) float64 {
	return math.Min(math.Max(10, 1.5*p.CapacityML()), pot.LargestPourML)
}

// fullContact is the wetness from which on all roots are taken to be wet. A pot
// is never evenly wet: below it, roots are wet in proportion.
var fullContact = basis.Assumed(0.5, 0.35, 0.65, "share")

// contact turns hourly wetness, in place, into the share of the roots that is
// wet.
func contact(wetness []float64) []float64 {
	for h, w := range wetness {
		wetness[h] = math.Min(1, w/fullContact.Value)
	}
	return wetness
}

func mean(values []float64) float64 {
	var sum float64
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// newZone returns the new home as it stands on the bench after potting: fresh
// medium, soaked if the grower soaked it. The roots draw as forced, and at most
// what leaves lose that are turned down.
func (s *subject) newZone(forcing, atMost pot.Forcing, pick picks) (rootZone, error) {
	z := rootZone{forcing: forcing, atMost: atMost}
	var err error
	if z.filled, err = s.build(s.plant.Repot.To, true, pick); err != nil {
		return z, err
	}
	// From the bag: nearly dry between the particles, a little damp inside.
	if z.start, err = z.pot.Fill(0.05, 0.15, 0.2, 0); err != nil {
		return z, err
	}
	if soaked := s.plant.Repot.SoakedHours.Value; soaked > 0 && s.plant.Repot.To.Mount == nil {
		bathML := math.Min(math.Max(3*z.pot.VolumeML(), z.pot.CapacityML()+1), pot.LargestPourML)
		if _, err = z.pot.Soak(&z.start, math.Min(math.Max(soaked, 0.1), 336), bathML, s.flushWater.ECmS.Value); err != nil {
			return z, err
		}
	}
	z.startAtMost = z.start
	z.limits.wetness = driestWetness[s.group.DriesBetween.Is].Value
	z.limits.ECmS = s.saltiestECmS()
	return z, nil
}

// wetShares returns the share of the roots that is wet in the new home, day by
// day, when it is watered by a schedule.
func (z rootZone) wetShares(schedule []pot.Pour) ([]float64, error) {
	out := pot.Series{Wetness: make([]float64, z.hours())}
	if _, err := pot.Simulate(z.pot, z.startAtMost, z.atMost, schedule, out); err != nil {
		return nil, err
	}
	days := pot.ByDay(contact(out.Wetness))
	// Before the first watering hour the pot is as it came from the bench.
	if len(days) > 1 {
		days[0] = days[1]
	}
	return days, nil
}
