package book

import (
	"math"
	"slices"

	"velamen/internal/plan"
)

// mostNew is the share of things that the plan of the day knew nothing of beyond
// which it is no longer mended, but searched for.
const mostNew = 0.3

// stagesOf returns the limits through which a plan is made. A plan that is mended
// goes through what its days allowed since it was made; one for other minutes on
// the first day through fewer of them, minute by minute: so nobody who has more
// time ever gets a plan that harms more. done is what was done on the first day.
func stagesOf(limits [][]float64, mending bool, draft *plan.Draft, ask *Ask, done float64) []plan.Stage {
	whole := float64(plan.Steps(draft.Items()))
	steps := func(effort float64) int { return int(effort * whole) }
	first := steps(wholly)
	if mending && draft.Fresh() <= mostNew {
		first = steps(mended)
	}
	var usual []plan.Stage
	for i, minutes := range limits {
		if i > 0 {
			first = steps(wholly)
		}
		usual = append(usual, plan.Stage{Minutes: minutes, Steps: first})
	}
	if ask.Minutes == nil {
		if ask.Litres != nil {
			for i := range usual {
				usual[i].Steps = max(usual[i].Steps, steps(aLittle))
			}
		}
		return usual
	}
	last := limits[len(limits)-1]
	on := func(first float64, effort float64) plan.Stage {
		other := slices.Clone(last)
		other[0] = first
		return plan.Stage{Minutes: other, Steps: steps(effort), Rough: effort == mended}
	}
	most := *ask.Minutes
	var below, above []plan.Stage
	for _, minutes := range rising(most) {
		effort := float64(mended)
		if slices.Contains(soughtFor, minutes) {
			effort = aLittle
		}
		if minutes+done < last[0] {
			below = append(below, on(minutes+done, effort))
		} else {
			above = append(above, on(minutes+done, effort))
		}
	}
	if len(above) == 0 { // the plan as usual needs more than there is
		return below
	}
	return append(append(below, usual...), above...)
}

// soughtFor are the minutes of a day for which the best plan is looked for on the
// way to more: those that people say.
var soughtFor = []float64{5, 10, 20, 30, 60, 120, 240, 480}

// rising are the minutes of a day up to some, in steps that do not depend on how
// far they go; whoever has more than the last of them and less than the next gets
// the plan of the last.
func rising(most float64) []float64 {
	var list []float64
	for minutes := 0.0; minutes <= most; {
		list = append(list, minutes)
		switch {
		case minutes < 120:
			minutes++
		case minutes < 600:
			minutes += 10
		default:
			minutes = math.Floor(minutes * 1.5)
		}
	}
	return list
}
