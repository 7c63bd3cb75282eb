package plan

import (
	"math"
	"slices"

	"velamen/internal/care"
)

// Stage is what the days of a plan allow, and how long to look for the best plan
// within that.
type Stage struct {
	Minutes []float64
	Steps   int
	Rough   bool // it is only on the way to others: what is left out in a row is not spread
}

// Fresh is the share of things that the plan before knew nothing of.
func (d *Draft) Fresh() float64 { return float64(d.fresh) / math.Max(1, float64(d.Items())) }

// Make looks for the best plan. The draft must not be used again.
func (d *Draft) Make(how Search) *Ahead {
	return d.MakeWithin([]Stage{{Minutes: d.s.Minutes, Steps: how.Steps}}, how)
}

// MakeWithin makes the plan of the last stage. Each stage begins from the best
// plan of those before it that allow no day more, and never harms more than that
// or than the plan before, where it fits: so whoever goes from less time to more
// never gets a worse plan. The draft must not be used again.
func (d *Draft) MakeWithin(stages []Stage, how Search) *Ahead {
	a, m := d.ahead, d.ahead.model
	prefer := how.Prefer
	if d.s.Before != nil {
		prefer = make([]int32, len(d.start))
		for i, c := range d.start {
			if prefer[i] = c; c < 0 {
				prefer[i] = m.Items[i].Count - 1
			}
		}
	}
	how.Prefer = prefer
	type result struct {
		minutes []float64
		choice  []int32
		harm    float64
	}
	var made []result
	for _, stage := range stages {
		now := result{minutes: slices.Clone(stage.Minutes)}
		if len(now.minutes) > 0 && !math.IsInf(now.minutes[0], 1) {
			now.minutes[0] = math.Max(0, now.minutes[0]-d.s.Done.Minutes)
		}
		m.Minutes = now.minutes
		m.Level = d.level(d.need)
		how.Steps, how.Start = stage.Steps, nil
		var least *result
		for i := range made {
			if r := &made[i]; atMost(r.minutes, now.minutes) && (least == nil || r.harm < least.harm) {
				least, how.Start = r, r.choice
			}
		}
		if how.Keep = how.Steps == 0 && how.Start == nil && how.Prefer != nil; how.Keep {
			how.Start = how.Prefer // it is to be mended, and not to give way to another
		}
		if stage.Rough && how.Start != nil {
			how.Prefer = nil
		}
		found := Solve(m, how)
		how.Prefer = prefer
		if !stage.Rough {
			a.spread(found.Choice)
		}
		now.choice, now.harm = found.Choice, a.harmOf(found.Choice, 0, len(a.refs))
		if least != nil && least.harm < now.harm {
			now.choice, now.harm = least.choice, least.harm
		}
		if how.Prefer != nil {
			if harm := a.harmOf(how.Prefer, 0, len(a.refs)); harm < now.harm {
				if _, err := m.Cost(how.Prefer); err == nil { // it fits as it is
					now.choice, now.harm = how.Prefer, harm
				}
			}
		}
		made = append(made, now)
		a.choice, a.Steps, a.Stopped = now.choice, a.Steps+found.Steps, a.Stopped || found.Stopped
	}
	a.lay(d.s)
	return a
}

// atMost reports whether no day of one limit allows more than of another.
func atMost(one, other []float64) bool {
	for day := range one {
		if one[day] > other[day] {
			return false
		}
	}
	return true
}

// mostShift is up to how many days a thing may be due sooner or later than before
// to be taken for the same: its day follows from others, which may have changed.
const mostShift = 2

// find remembers what is done of each thing.
func (a *Ahead) find() {
	if a == nil || a.found != nil {
		return
	}
	a.found = make(map[slot]*Option, len(a.refs))
	for i, r := range a.refs {
		p := &a.Plants[r.plant]
		a.found[slot{p.ID, p.Coming[r.coming].Task, p.Coming[r.coming].Due}] = a.option(i)
	}
}

// optionOf returns how and on which day a plan does something, nil if it does not
// know of it. Unless it is to be exactly that, something of the kind will do that
// is due at the plant some days sooner or later and is not asked for itself.
func (a *Ahead) optionOf(p *Plant, c *care.Coming, exactly bool) *Option {
	if a == nil {
		return nil
	}
	at := slot{p.ID, c.Task, c.Due}
	if was := a.found[at]; was != nil || exactly {
		return was
	}
	for shift := 1; shift <= mostShift; shift++ {
		for _, due := range [2]int{c.Due - shift, c.Due + shift} {
			asked := slices.ContainsFunc(p.Coming, func(other care.Coming) bool { return other.Task == c.Task && other.Due == due })
			if was := a.found[slot{p.ID, c.Task, due}]; was != nil && !asked {
				return was
			}
		}
	}
	return nil
}

// plannedFor is the day for which something was planned, as near to it as it can
// be done now.
func plannedFor(was *Option, c *care.Coming) (day int, known bool) {
	if was == nil || was.Day < 0 {
		return 0, false
	}
	return min(max(int(was.Day), c.First), c.Last), true
}
