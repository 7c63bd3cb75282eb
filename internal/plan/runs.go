package plan

import (
	"cmp"
	"math"
	"slices"

	"velamen/internal/care"
)

// inARow returns, by item from one on, what it costs to leave it out with what comes before it
// at the same plant: the second flush in a row that is left out makes the roots
// stand dry for twice as long, which costs more than two days at two plants. What
// is done costs nothing here.
func (a *Ahead) inARow(choice []int32, from, to int) []float64 {
	costs := make([]float64, to-from)
	type run struct {
		since, until int // the latest day of the first of them, and the day before the next one
		on           bool
	}
	var runs [len(tasksInARow)]run
	plant := int32(-1)
	for i := from; i < to; i++ {
		r := a.refs[i]
		if r.plant != plant {
			plant, runs = r.plant, [len(tasksInARow)]run{}
		}
		c := &a.Plants[r.plant].Coming[r.coming]
		it := &a.model.Items[i]
		out := choice[i] == it.Count-1
		if out {
			costs[i-from] = c.LeftOut
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
			costs[i-from] = math.Max(c.LeftOut, c.Wait.After(c.Last+1-now.since)-c.Wait.After(now.until-now.since))
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

// mostSwaps is how many exchanges are weighed at most after a search.
const mostSwaps = 200_000

// spread takes plants out of a row of days without: as long as that helps, what
// is left out after something else was is done in place of something of another
// plant on that day. choice is changed.
func (a *Ahead) spread(choice []int32) {
	sp := newSpreading(a, choice)
	if sp == nil {
		return
	}
	for again := true; again && sp.tries > 0; {
		again = false
		for _, i := range sp.worst() {
			again = sp.instead(i) || again
		}
	}
	copy(choice, sp.choice)
}

// spreading is a plan in which things are exchanged.
type spreading struct {
	*state
	a     *Ahead
	chain []int     // of each item, where its plant begins
	end   []int     // and where it ends
	harms []float64 // of the plant that begins there
	tries int       // exchanges that may still be weighed
}

func newSpreading(a *Ahead, choice []int32) *spreading {
	n := len(a.refs)
	sp := &spreading{state: newState(a.model), a: a, chain: make([]int, n), end: make([]int, n), harms: make([]float64, n), tries: mostSwaps}
	if !sp.begin(choice) {
		return nil
	}
	for i := 0; i < n; {
		k := i
		for k < n && a.refs[k].plant == a.refs[i].plant {
			sp.chain[k] = i
			k++
		}
		for j := i; j < k; j++ {
			sp.end[j] = k
		}
		sp.harms[i] = a.harmOf(sp.choice, i, k)
		i = k
	}
	return sp
}

// worst returns what is left out after something else was, the dearest first.
func (sp *spreading) worst() []int {
	costs := sp.a.inARow(sp.choice, 0, len(sp.a.refs))
	var list []int
	for i, cost := range costs {
		r := sp.a.refs[i]
		if cost > sp.a.Plants[r.plant].Coming[r.coming].LeftOut+tolerance {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(x, y int) int { return cmp.Compare(costs[y], costs[x]) })
	return list
}

// harm is what the plant of an item loses.
func (sp *spreading) harm(item int) float64 {
	return sp.a.harmOf(sp.choice, sp.chain[item], sp.end[item])
}

// instead does what is left out in place of what that harms least, if that is
// better.
func (sp *spreading) instead(i int) bool {
	it := &sp.m.Items[i]
	if sp.choice[i] != it.Count-1 {
		return false // meanwhile it is done
	}
	before := sp.harms[sp.chain[i]]
	best, bestOther, gain := int32(none), none, tolerance
	for c := range it.Count - 1 {
		sp.give(i, c)
		if won := before - sp.harm(i); sp.excess <= tolerance && won > gain {
			best, bestOther, gain = c, none, won
		}
		for _, other := range slices.Clone(sp.onDay[sp.m.Options[it.First+c].Day]) {
			j := int(other)
			if sp.chain[j] == sp.chain[i] || sp.tries == 0 {
				continue
			}
			sp.tries--
			was := sp.choice[j]
			sp.give(j, sp.m.Items[j].Count-1)
			if won := before + sp.harms[sp.chain[j]] - sp.harm(i) - sp.harm(j); sp.excess <= tolerance && won > gain {
				best, bestOther, gain = c, j, won
			}
			sp.give(j, was)
		}
		sp.give(i, it.Count-1)
	}
	if best < 0 {
		return false
	}
	if bestOther >= 0 {
		sp.give(bestOther, sp.m.Items[bestOther].Count-1)
		sp.harms[sp.chain[bestOther]] = sp.harm(bestOther)
	}
	sp.give(i, best)
	sp.harms[sp.chain[i]] = sp.harm(i)
	return true
}

// harmOf is what all that is late or left out of some items costs.
func (a *Ahead) harmOf(choice []int32, from, to int) (sum float64) {
	for k, cost := range a.inARow(choice, from, to) {
		i := from + k
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
