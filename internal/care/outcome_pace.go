package care

import (
	"fmt"
	"math"

	"velamen/science/basis"
	"velamen/science/outcome"
)

// Pace is how long plants take to a sign: what is usual, and what the
// collection's own records make of it.
type Pace struct {
	Usual basis.Value // median, and the days by which a tenth and nine tenths get there
	Here  basis.Value // the same for this collection; without a grade while it has no record
	Signs int         // own records in which it was seen
	Looks int         // own records in which it was looked for
	// FromUsual is the part of Here that the usual figures still speak for.
	FromUsual float64
}

// PaceOf sets the usual days of a plant against own recoveries of its group.
// Each record counts in parts of what was usual for it, so that one out of
// season or with few roots is not taken for a slow one: if own plants take 0.8
// of their usual time, so will this one.
func PaceOf(own []*Outcome, group string, a Awaited, usual basis.Value) (Pace, error) {
	p := Pace{Usual: usual, FromUsual: 1}
	if usual.Grade == 0 || !(usual.Value > 0) {
		return p, nil
	}
	var list []outcome.Recovery
	for _, o := range own {
		theirs := o.usualOf(a)
		r := o.Between(a)
		if o.Problem != "" || o.Factors.Group != group || !(theirs.Value > 0) || r.Ending != outcome.Seen && r.AfterDay == 0 {
			continue
		}
		r.AfterDay, r.ByDay = r.AfterDay/theirs.Value, r.ByDay/theirs.Value
		list = append(list, r)
		p.Looks++
	}
	if p.Looks == 0 {
		return p, nil
	}
	relative := basis.Value{Value: 1, Low: usual.Low / usual.Value, High: usual.High / usual.Value, Grade: usual.Grade, Source: usual.Source}
	prior, err := outcome.NewLogNormalPrior(relative, outcome.PriorPlants)
	if err != nil {
		return p, err
	}
	outlook, err := prior.Update(list, OutcomeLevel.Value)
	if err != nil {
		return p, err
	}
	p.Signs, p.FromUsual = outlook.OwnSigns, outlook.FromPrior
	p.Here = basis.Value{Unit: "days", Grade: basis.Measured}
	if p.FromUsual > 0.5 {
		p.Here.Grade = usual.Grade
	}
	for _, part := range []struct {
		chance float64
		to     *float64
	}{{0.1, &p.Here.Low}, {0.5, &p.Here.Value}, {0.9, &p.Here.High}} {
		day, err := outlook.DayBy(part.chance)
		if err != nil {
			return p, err
		}
		*part.to = math.Max(1, day*usual.Value)
	}
	return p, nil
}

// usualOf is the usual time of an outcome's own repot.
func (o *Outcome) usualOf(a Awaited) basis.Value {
	if a == Establishment {
		return o.Factors.UsualEstablished
	}
	return o.Factors.UsualRoot
}

// Says tells both in a sentence.
func (p Pace) Says() string {
	text := fmt.Sprintf("a first growing root usually comes by day %.0f, between day %.0f and %.0f", p.Usual.Value, p.Usual.Low, p.Usual.High)
	if p.Looks == 0 {
		return text
	}
	return text + fmt.Sprintf("; here, by %s of this group, by day %.0f, between day %.0f and %.0f", count(p.Looks, "own recovery", "own recoveries"), p.Here.Value, p.Here.Low, p.Here.High)
}
