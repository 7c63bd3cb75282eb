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
}

// Steps lays out the course week by week until the usual care is reached or
// the horizon ends. Through settling and rooting the factor follows the lowest
// supply of each week within the guard rails. From then on each week may close
// at most a quarter of the remaining gap, and only as far as the supply
// expected by then carries it. These later steps are a forecast: each one has
// to be earned by growing roots.
func Steps(s Supply, horizonDays int) []Step {
	week := int(StepDays.Value)
	settled, recovered := int(SettlingDays.Value), int(RecoveryDays.Value)
	steps := make([]Step, 0, horizonDays/week+1)
	var factor float64
	var last Guarded
	for from := 0; from < horizonDays; from += week {
		to := from + week - 1
		step := Step{FromDay: from, ToDay: to, Supply: s.LowestBetween(from, to)}
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
			factor, step.Decided = NextStep(factor, step.Supply)
			if factor >= EstablishedFactor.Value {
				factor, step.Stage, step.Decided = 1, Established, ByReestablished
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
