package care

import (
	"cmp"
	"slices"
	"time"

	"velamen/science/basis"
)

// Tasks lists every task, in the order in which they are done at one plant.
var Tasks = []Task{LookForPests, MeasureRoots, Review, Flushing, Watering, Feeding, Misting, Photograph}

// WorkPace is how long each task takes a grower, as far as it is known.
type WorkPace map[Task]TaskPace

// TaskPace is how long one task takes.
type TaskPace struct {
	Task    Task        `json:"task"`
	Takes   basis.Value `json:"minutes"`
	Times   int         `json:"times"` // from which it was learned
	Because *Because    `json:"because"`
}

// Minutes returns what a task takes: learned, or assumed as long as nothing is
// known.
func (p WorkPace) Minutes(task Task) basis.Value {
	if one, ok := p[task]; ok {
		return one.Takes
	}
	return minutesFor[task]
}

// What is read from the times of a round.
var (
	// priorTimes is how many times the assumption counts for.
	priorTimes = basis.Assumed(5, 3, 10, "times")
	// A longer gap between two entries is a break, a shorter one was entered
	// together.
	longestGap  = basis.Assumed(12, 8, 20, "min")
	shortestGap = basis.Assumed(0.05, 0, 0.1, "min")
)

// PaceBefore learns from the times at which jobs were answered before a day: the
// gap between two answers of one person, one after the other in a round, is what
// the second took, the way to it included. Of the gaps of a task the median
// counts, drawn towards the assumption while they are few.
func (c *Collection) PaceBefore(on time.Time) WorkPace {
	type answered struct {
		at   time.Time
		by   string
		task Task
	}
	var list []answered
	for _, p := range c.Plants {
		for key, a := range p.Done {
			if !a.Skipped && a.At.Before(on) {
				list = append(list, answered{a.At, a.By, TaskOf(key)})
			}
		}
	}
	slices.SortFunc(list, func(x, y answered) int {
		return cmp.Or(cmp.Compare(x.by, y.by), x.at.Compare(y.at), cmp.Compare(x.task, y.task))
	})
	gaps := map[Task][]float64{}
	for i := 1; i < len(list); i++ {
		if list[i].by != list[i-1].by {
			continue
		}
		gap := list[i].at.Sub(list[i-1].at).Minutes()
		if gap >= shortestGap.Value && gap <= longestGap.Value {
			gaps[list[i].task] = append(gaps[list[i].task], gap)
		}
	}
	pace := WorkPace{}
	for task, seen := range gaps {
		pace[task] = learn(task, seen)
	}
	return pace
}

func learn(task Task, gaps []float64) TaskPace {
	slices.Sort(gaps)
	quantile := func(q float64) float64 {
		at := q * float64(len(gaps)-1)
		low := int(at)
		high := min(low+1, len(gaps)-1)
		return gaps[low] + (at-float64(low))*(gaps[high]-gaps[low])
	}
	prior, n, k := minutesFor[task], float64(len(gaps)), priorTimes.Value
	mix := func(own, assumed float64) float64 { return (n*own + k*assumed) / (n + k) }
	takes := basis.Value{
		Value: mix(quantile(0.5), prior.Value), Low: mix(quantile(0.25), prior.Low), High: mix(quantile(0.75), prior.High), Unit: "min", Grade: basis.Measured,
	}
	median := basis.Value{Value: quantile(0.5), Low: quantile(0.25), High: quantile(0.75), Unit: "min", Grade: basis.Measured}
	return TaskPace{task, takes, len(gaps), &Because{
		Rule:   "the median time between two answers in a round, mixed with the assumption as if that had been seen a few times",
		Inputs: []Input{{"your median", median}, {"seen", basis.Exactly(n, "times", basis.Measured, "")}, {"assumed at first", prior}, {"the assumption counts for", priorTimes}},
	}}
}
