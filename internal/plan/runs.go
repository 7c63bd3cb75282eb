package plan

import (
	"math"

	"velamen/internal/care"
)

// passes is how often a plan that leaves things out is gone through again with
// what leaving out several of a kind in a row costs.
const passes = 3

// inARow returns, by item, what it costs to leave it out with what comes before it
// at the same plant: the second flush in a row that is left out makes the roots
// stand dry for twice as long, which costs more than two days at two plants. What
// is done costs nothing here.
func (a *Ahead) inARow(choice []int32) []float64 {
	costs := make([]float64, len(a.refs))
	type run struct {
		since, until int // the latest day of the first of them, and the day before the next one
		on           bool
	}
	var runs [len(tasksInARow)]run
	plant := int32(-1)
	for i, r := range a.refs {
		if r.plant != plant {
			plant, runs = r.plant, [len(tasksInARow)]run{}
		}
		c := &a.Plants[r.plant].Coming[r.coming]
		it := &a.model.Items[i]
		out := choice[i] == it.Count-1
		if out {
			costs[i] = c.LeftOut
		}
		k := kindInARow(c)
		if k < 0 {
			continue
		}
		now := &runs[k]
		switch {
		case !out:
			now.on = false
		case now.on:
			costs[i] = math.Max(c.LeftOut, c.Wait.After(c.Last+1-now.since)-c.Wait.After(now.until-now.since))
			now.until = c.Last + 1
		default:
			*now = run{c.Latest, c.Last + 1, true}
		}
	}
	return costs
}

// tasksInARow are the tasks that are as if they waited when they are left out.
var tasksInARow = [...]care.Task{care.Flushing, care.Watering, care.MeasureRoots, care.Photograph}

func kindInARow(c *care.Coming) int {
	if c.Before {
		return -1
	}
	for k, task := range tasksInARow {
		if c.Task == task {
			return k
		}
	}
	return -1
}

// search makes the plan: as if what is left out were a day's delay each, then again
// with what several in a row cost, as long as that helps.
func (d *Draft) search(how Search) Found {
	a, m := d.ahead, d.ahead.model
	watch, pass := how.Watch, 0
	steps := how.Steps
	if watch != nil {
		how.Watch = func(done, _ int, cost float64) bool { return watch(pass*steps+done, (1+passes)*steps, cost) }
	}
	best := Solve(m, how)
	least := a.harmOf(best.Choice)
	now := best
	how.Steps /= 2
	for pass = 1; pass <= passes && !now.Stopped && d.raise(now.Choice); pass++ {
		how.Start, how.Prefer = now.Choice, nil
		now = Solve(m, how)
		now.Steps += best.Steps
		if harm := a.harmOf(now.Choice); harm < least {
			best, least = now, harm
		}
	}
	best.Stopped = now.Stopped
	return best
}

// raise makes leaving out again what a plan leaves out in a row as dear as it is.
// It reports whether anything was too cheap.
func (d *Draft) raise(choice []int32) (raised bool) {
	a, m := d.ahead, d.ahead.model
	for i, cost := range a.inARow(choice) {
		it := &m.Items[i]
		if out := &m.Options[it.First+it.Count-1]; cost > out.Cost+tolerance {
			out.Cost, raised = cost, true
		}
	}
	return raised
}

// harmOf is what all that is late or left out costs.
func (a *Ahead) harmOf(choice []int32) (sum float64) {
	for i, cost := range a.inARow(choice) {
		r := a.refs[i]
		c := &a.Plants[r.plant].Coming[r.coming]
		o := &a.model.Options[a.model.Items[i].First+choice[i]]
		switch {
		case o.Day < 0:
			sum += cost
		default:
			sum += c.CostOn(int(o.Day))
			if c.Fed && !o.Mix {
				sum += c.FeedLeftOut
			}
		}
	}
	return sum
}
