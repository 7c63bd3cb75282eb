package web

import (
	"fmt"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
)

// resident is a recovering plant with its course and its culture group.
type resident struct {
	link   plantLink
	course care.Course
	group  culture.Group
}

// asked is a quantity of a space's climate that plants set a target for.
type asked struct {
	name   string
	atMost bool   // the target is a cap; otherwise it is a floor
	beyond string // what the space is to those plants whose target it misses
	target func(*resident) care.Figure
	here   func(*care.Course) basis.Value
}

var askedOfSpace = []asked{
	{
		"Day, at most", true, "Warmer by day than %d of %d want",
		func(r *resident) care.Figure { return r.course.Now.DayHeatCapC },
		func(c *care.Course) basis.Value { return c.Usual.DayC },
	},
	{
		"Night, at most", true, "Warmer by night than %d of %d want", nightCap,
		func(c *care.Course) basis.Value { return c.Usual.NightC },
	},
	{
		"Humidity by day, at least", false, "Drier by day than %d of %d want",
		func(r *resident) care.Figure { return r.course.Now.DayRHPercent },
		func(c *care.Course) basis.Value { return c.Usual.DayRHPercent },
	},
	{
		"Humidity by night, at least", false, "Drier by night than %d of %d want",
		func(r *resident) care.Figure { return r.course.Now.NightRHPercent },
		func(c *care.Course) basis.Value { return c.Usual.NightRHPercent },
	},
	{
		"Light, at most", true, "Brighter than %d of %d want",
		func(r *resident) care.Figure { return r.course.Now.LightPPFD },
		func(c *care.Course) basis.Value { return c.Usual.LightPPFD },
	},
}

// nightCap is the warm end of the nights a plant's group is kept at. A recovery
// does not change it: heat is turned down by day.
func nightCap(r *resident) care.Figure {
	night := r.group.NightC
	return care.Figure{
		Value: basis.Exactly(night.High, "°C", night.Grade, night.Source),
		Because: &care.Because{
			Rule:   "the warm end of the nights that " + r.group.Name + " is usually given; the recovery itself turns heat down by day only",
			Inputs: []care.Input{{Name: "nights of " + r.group.Name, Value: night.Value()}},
		},
	}
}

// need is one quantity as the recovering plants of a space ask for it now.
type need struct {
	asked
	figures        []care.Figure // of each resident
	strict, modest int           // residents that ask most and least
	here           basis.Value   // as the space is; the same for all
	missed         []int         // residents whose target the space misses
}

// rounding is what the page does not show: half a degree, half a percent.
const rounding = 0.5

// needsOf gathers what the plants in one space ask for.
func needsOf(list []resident) []need {
	if len(list) == 0 {
		return nil
	}
	needs := make([]need, len(askedOfSpace))
	for k, q := range askedOfSpace {
		n := need{asked: q, here: q.here(&list[0].course), figures: make([]care.Figure, len(list))}
		for i := range list {
			n.figures[i] = q.target(&list[i])
			if n.stricter(i, n.strict) {
				n.strict = i
			}
			if n.stricter(n.modest, i) {
				n.modest = i
			}
			gap := n.figures[i].Value.Value - q.here(&list[i].course).Value
			if q.atMost {
				gap = -gap
			}
			if gap > rounding {
				n.missed = append(n.missed, i)
			}
		}
		needs[k] = n
	}
	return needs
}

// stricter reports whether resident i asks for more than resident j.
func (n *need) stricter(i, j int) bool {
	a, b := n.figures[i].Value.Value, n.figures[j].Value.Value
	if n.atMost {
		return a < b
	}
	return a > b
}

// needView is a need ready to be shown.
type needView struct {
	Figure figureView
	Span   string // from the most to the least demanding plant
	Here   string
	Gap    string // what the space is to the plants whose target it misses
	Missed []plantLink
	More   int // of them, beyond those listed
}

// mostListed is how many plants are named before the rest are counted.
const mostListed = 8

func newNeedView(u care.Units, n need, list []resident) needView {
	show := func(i int) string {
		f, c := n.figures[i], &list[i].course
		if f.Unit == lightUnit {
			return u.ShowLight(f.Value.Value, c.Now.LightDLI.Value.Value, c.LuxPerPPFD)
		}
		return u.Show(f.Value)
	}
	strict, modest := &list[n.strict], &list[n.modest]
	v := needView{Figure: newFigureAs(u, n.name, show(n.strict), u.ShowRange(n.figures[n.strict].Value), n.figures[n.strict])}
	if show(n.strict) != show(n.modest) {
		v.Span = fmt.Sprintf("%s asks for %s, %s for %s", strict.link.Label, show(n.strict), modest.link.Label, show(n.modest))
	}
	v.Here = u.Show(n.here)
	if n.here.Unit == lightUnit {
		v.Here = u.ShowLight(n.here.Value, strict.course.Usual.LightDLI.Value, strict.course.LuxPerPPFD)
	}
	if n.here.Grade == basis.Assumption {
		v.Here += ", assumed"
	}
	if len(n.missed) == 0 {
		return v
	}
	v.Gap = fmt.Sprintf(n.beyond, len(n.missed), len(list))
	for k, i := range n.missed {
		if k == mostListed {
			v.More = len(n.missed) - mostListed
			break
		}
		v.Missed = append(v.Missed, list[i].link)
	}
	return v
}

// lightUnit is the unit that the units of the grower do not convert by
// themselves: it takes the lamp.
const lightUnit = "µmol/m²/s"
