package course

import "math"

// Stage is where a recovery stands.
type Stage string

// The stages in order.
const (
	Settling    Stage = "settling"
	Rooting     Stage = "rooting"
	SteppingUp  Stage = "stepping up"
	Established Stage = "established"
)

// Step is one week of a course: the share of usual feed, light, heat and air
// movement to give from FromDay to ToDay, both included.
type Step struct {
	FromDay, ToDay int
	Stage          Stage
	Factor         float64 // 1 − turn-down
	Supply         float64 // σ expected in this week, at its lowest
	Guarded        Guarded // the turn-down behind it; in stepping up, of the last week of rooting
	Decided        Limit
	Decision       Decision // what became of it; Open before the sixth week and in a forecast
	// Late is by how many days the regrowth of roots is behind the forecast,
	// for the weeks without growing roots: Supply is that of so many days before.
	Late int
}

// Steps lays out the course week by week until the usual care is reached or
// the horizon ends. Through settling and rooting the factor follows the lowest
// supply of each week within the guard rails. From then on each week may close
// at most a quarter of the remaining gap, and only as far as the supply
// expected by then carries it. These later steps are a forecast: each one has
// to be earned by growing roots. so says what became of those that were decided,
// from the first one on.
func Steps(s Supply, horizonDays int, so ...Decision) []Step {
	week := int(StepDays.Value)
	settled, recovered := int(SettlingDays.Value), int(RecoveryDays.Value)
	steps := make([]Step, 0, horizonDays/week+1)
	var factor float64
	var last Guarded
	var up stair
	for from := 0; from < horizonDays; from += week {
		to := from + week - 1
		step := Step{FromDay: from, ToDay: to, Supply: s.LowestBetween(from-up.late, to-up.late), Late: up.late}
		switch {
		case from < recovered:
			last = Guard(ModelTurnDown(step.Supply))
			factor = 1 - last.Chosen
			step.Stage, step.Decided = Rooting, last.Decided
			if from < settled {
				step.Stage = Settling
			}
		default:
			step.Stage = SteppingUp
			if n := (from - recovered) / week; n < len(so) {
				step.Decision = so[n]
			}
			factor, step.Decided = up.next(factor, step.Supply, step.Decision)
			if factor >= EstablishedFactor.Value && step.Decision != Held && step.Decision != DroppedBack {
				if step.Stage = Established; step.Decision != Reached {
					step.Decided = ByReestablished
				}
				factor = 1
			}
		}
		step.Factor, step.Guarded = factor, last
		steps = append(steps, step)
		if step.Stage == Established {
			break
		}
	}
	return steps
}

// NextStep returns the factor after a week in which growing roots were seen:
// at most a quarter of the gap to the usual care is closed, never beyond the
// supply, and an earned factor is not taken back for want of supply in the
// forecast (only signs of stall or wilt do that).
func NextStep(factor, supply float64) (next float64, decided Limit) {
	next = factor + StepShare.Value*(1-factor)
	if allowed := math.Max(factor, math.Min(1, supply)); next > allowed {
		return allowed, BySupplyHeld
	}
	return next, BySteppingUp
}
