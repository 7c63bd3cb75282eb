package pot

import "math"

// FlushTarget is what a flush should reach.
type FlushTarget struct {
	ECmS         float64 // mean pore-water EC afterwards, 0 to 50 mS/cm
	CaptureShare float64 // share of the film's free room to be filled, 0 to 0.99
	InputECmS    float64 // EC of the water poured, 0 to 50 mS/cm
	LimitML      float64 // most water to be spent on this pot, 1 to 100 000 mL
}

// Shortfall says why a flush cannot reach its target.
type Shortfall uint8

const (
	ReachesTarget  Shortfall = iota // it does
	InputTooSalty                   // the water poured is itself stronger than the target
	TooLittleWater                  // the limit of water leaves too much salt: flush again on another day
	TooRepellent                    // the medium will not catch enough: soak it
)

// String returns the words shown to the grower.
func (s Shortfall) String() string {
	switch s {
	case ReachesTarget:
		return "reaches the target"
	case InputTooSalty:
		return "the water is saltier than the target"
	case TooLittleWater:
		return "this much water leaves too much salt"
	case TooRepellent:
		return "the medium does not catch enough"
	}
	return "unknown shortfall"
}

// FlushPlan is how to flush a pot.
type FlushPlan struct {
	Pours       int     // equal pours; 0 if nothing has to be poured
	PourML      float64 // of each
	TotalML     float64 // of all
	Holdings    float64 // all of them as a multiple of the water the pot holds at capacity
	WaitMinutes float64 // between two pours
	ChipMinutes float64 // time constant of salt inside the particles
	WaitBounded bool    // the wait is the bound of practice, not the chip time

	CapturedShare float64 // share of the film's free room that gets filled
	ECmS          float64 // mean pore-water EC afterwards
	LastECmS      float64 // of the last cup of drainage; 0 if nothing drains
	DoneBelowECmS float64 // drainage EC at which the flush is done, see FlushDone
	Shortfall     Shortfall
}

// PlanFlush returns the least water, in equal pours with a wait between, that
// brings the pot from the given state to the target. One more pour is planned
// only if it saves a fair share of the water (Parameters.PourSaving). The wait
// lets salt come out of the particles: their time constant, within the 15 to 60
// minutes of practice. If the target cannot be reached within the limit, the
// plan that comes closest is returned and its Shortfall says why.
func PlanFlush(p *Pot, state State, target FlushTarget) (FlushPlan, error) {
	if err := firstError(
		p.check(&state),
		within("target EC", target.ECmS, 0, LargestECmS, "mS/cm"),
		within("target of capture", target.CaptureShare, 0, 0.99, "1"),
		within("EC of the water", target.InputECmS, 0, LargestECmS, "mS/cm"),
		within("limit of water", target.LimitML, 1, LargestPourML, "mL"),
	); err != nil {
		return FlushPlan{}, err
	}
	chipMinutes := 60 * p.saltHours
	waitMinutes := min(max(chipMinutes, p.waitShortestMin), p.waitLongestMin)
	t := trial{pot: p, start: state, target: target, wait: p.newPace(waitMinutes / 60)}
	t.roomML = max(0, p.filmCapacityML-state.FilmML)

	best := t.least()
	best.Holdings = best.TotalML / p.capacityML
	best.WaitMinutes, best.ChipMinutes = waitMinutes, chipMinutes
	best.WaitBounded = waitMinutes != chipMinutes
	best.DoneBelowECmS = doneBelow(p.stopRatio, p.penAccuracyMS, target.InputECmS)
	return best, nil
}

// trial pours on copies of one state.
type trial struct {
	pot    *Pot
	start  State
	target FlushTarget
	wait   pace
	roomML float64
}

// least returns the plan with the least water, or the one that comes closest.
func (t *trial) least() FlushPlan {
	best := t.pour(0, 0)
	if best.Shortfall == ReachesTarget {
		return best
	}
	found := false
	saving := 1 - t.pot.pourSaving
	for pours := 1; pours <= t.pot.mostPours; pours++ {
		most := t.pour(pours, t.target.LimitML/float64(pours))
		if most.Shortfall != ReachesTarget {
			if !found && most.closerThan(best) {
				best = most
			}
			continue
		}
		plan := t.leastOf(pours, most)
		if !found || plan.TotalML < saving*best.TotalML {
			best, found = plan, true
		}
	}
	return best
}

// leastOf halves the interval in which the least volume of so many pours lies:
// more water never leaves more salt, nor less water in the film.
func (t *trial) leastOf(pours int, enough FlushPlan) FlushPlan {
	low, high := 0.0, enough.PourML
	for high-low > 1e-3*high {
		middle := (low + high) / 2
		if plan := t.pour(pours, middle); plan.Shortfall == ReachesTarget {
			high, enough = middle, plan
		} else {
			low = middle
		}
	}
	return enough
}

// closerThan prefers the plan that fills more of the room it should fill, then
// the one that leaves less salt.
func (f *FlushPlan) closerThan(other FlushPlan) bool {
	if (f.Shortfall == TooRepellent) != (other.Shortfall == TooRepellent) {
		return other.Shortfall == TooRepellent
	}
	return f.ECmS < other.ECmS
}

// pour tries so many equal pours of so much.
func (t *trial) pour(pours int, pourML float64) FlushPlan {
	s := t.start
	plan := FlushPlan{Pours: pours, PourML: pourML, TotalML: float64(pours) * pourML, CapturedShare: 1}
	var ignored Totals
	var capturedML float64
	for i := range pours {
		if i > 0 {
			t.pot.pass(&s, &t.wait, 0, 0, 0, &ignored)
		}
		d := t.pot.flush(&s, pourML, t.target.InputECmS)
		capturedML += d.CapturedML
		if d.DrainedML > 0 {
			plan.LastECmS = d.LastECmS
		}
	}
	if t.roomML > 1e-9*t.pot.filmCapacityML {
		plan.CapturedShare = min(1, capturedML/t.roomML)
	}
	plan.ECmS = t.pot.ECmS(&s)
	switch {
	case plan.CapturedShare < t.target.CaptureShare:
		plan.Shortfall = TooRepellent
	case plan.ECmS <= t.target.ECmS:
		plan.Shortfall = ReachesTarget
	case t.target.InputECmS > t.target.ECmS:
		plan.Shortfall = InputTooSalty
	default:
		plan.Shortfall = TooLittleWater
	}
	return plan
}

// Finish says whether a flush is done, and which of its two conditions hold.
type Finish struct {
	Done         bool
	NearInput    bool    // the last leachate is at most the limit
	Steady       bool    // the last two leachates agree within 10 %
	LimitECmS    float64 // 1.2 times the input, but at least what a pen can tell from the input
	Difference   float64 // between the last two leachates, as a share of the larger; 1 if there is only one
	StillToDrain bool    // fewer than two leachates were read
}

// FlushDone tells from the EC of the water poured and the EC of successive
// leachates (each 0 to 50 mS/cm, in the order read) whether a flush may stop:
// the last one is at most 1.2 times the input and the last two agree within
// 10 %. This is common practice, not a published threshold. Both comparisons
// allow for what a hand-held pen can tell apart: 1.2 times pure water is a
// number no pen can read.
func (p *Parameters) FlushDone(inputECmS float64, leachatesECmS []float64) (Finish, error) {
	if err := within("EC of the water", inputECmS, 0, LargestECmS, "mS/cm"); err != nil {
		return Finish{}, err
	}
	for _, reading := range leachatesECmS {
		if err := within("EC of a leachate", reading, 0, LargestECmS, "mS/cm"); err != nil {
			return Finish{}, err
		}
	}
	finish := Finish{LimitECmS: doneBelow(p.StopRatio.Value, p.PenAccuracyMS.Value, inputECmS), Difference: 1}
	count := len(leachatesECmS)
	if count > 0 {
		finish.NearInput = leachatesECmS[count-1] <= finish.LimitECmS
	}
	if count < 2 {
		finish.StillToDrain = true
		return finish, nil
	}
	last, previous := leachatesECmS[count-1], leachatesECmS[count-2]
	difference := math.Abs(last - previous)
	finish.Difference = 0
	if difference > 0 {
		finish.Difference = difference / max(last, previous)
	}
	finish.Steady = finish.Difference <= p.StopAgreement.Value || difference <= p.PenAccuracyMS.Value
	finish.Done = finish.NearInput && finish.Steady
	return finish, nil
}

func doneBelow(stopRatio, penAccuracyMS, inputECmS float64) float64 {
	return max(stopRatio*inputECmS, inputECmS+penAccuracyMS)
}
