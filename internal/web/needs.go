package web

import (
	"fmt"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
)

// resident is a recovering plant with what it asks for today and its culture
// group. Its whole course is worked out only where its figures are shown.
type resident struct {
	link   plantLink
	wanted care.Climate
	usual  care.Climate
	group  culture.Group
	course func() (care.Course, error)
}

// asked is a quantity of a space's climate that plants set a target for.
type asked struct {
	name   string
	atMost bool   // the target is a cap; otherwise it is a floor
	beyond string // what the space is to those plants whose target it misses
	target func(*resident) float64
	usual  func(care.Climate) float64
	figure func(*care.Course, culture.Group) care.Figure
	here   func(*care.Course) basis.Value
}

var askedOfSpace = []asked{
	{
		"Day, at most", true, "Warmer by day than %d of %d want",
		func(r *resident) float64 { return r.wanted.DayC },
		func(c care.Climate) float64 { return c.DayC },
		func(c *care.Course, _ culture.Group) care.Figure { return c.Now.DayHeatCapC },
		func(c *care.Course) basis.Value { return c.Usual.DayC },
	},
	{
		"Night, at most", true, "Warmer by night than %d of %d want",
		func(r *resident) float64 { return r.group.NightC.High },
		func(c care.Climate) float64 { return c.NightC },
		nightCap,
		func(c *care.Course) basis.Value { return c.Usual.NightC },
	},
	{
		"Humidity by day, at least", false, "Drier by day than %d of %d want",
		func(r *resident) float64 { return r.wanted.DayRHPercent },
		func(c care.Climate) float64 { return c.DayRHPercent },
		func(c *care.Course, _ culture.Group) care.Figure { return c.Now.DayRHPercent },
		func(c *care.Course) basis.Value { return c.Usual.DayRHPercent },
	},
	{
		"Humidity by night, at least", false, "Drier by night than %d of %d want",
		func(r *resident) float64 { return r.wanted.NightRHPercent },
		func(c care.Climate) float64 { return c.NightRHPercent },
		func(c *care.Course, _ culture.Group) care.Figure { return c.Now.NightRHPercent },
		func(c *care.Course) basis.Value { return c.Usual.NightRHPercent },
	},
	{
		"Light, at most", true, "Brighter than %d of %d want",
		func(r *resident) float64 { return r.wanted.LightPPFD },
		func(c care.Climate) float64 { return c.LightPPFD },
		func(c *care.Course, _ culture.Group) care.Figure { return c.Now.LightPPFD },
		func(c *care.Course) basis.Value { return c.Usual.LightPPFD },
	},
}

// nightCap is the warm end of the nights a plant's group is kept at. A recovery
// does not change it: heat is turned down by day.
func nightCap(_ *care.Course, group culture.Group) care.Figure {
	night := group.NightC
	return care.Figure{
		Value: basis.Exactly(night.High, "°C", night.Grade, night.Source),
		Because: &care.Because{
			Rule:   "the warm end of the nights that " + group.Name + " is usually given; the recovery itself turns heat down by day only",
			Inputs: []care.Input{{Name: "nights of " + group.Name, Value: night.Value()}},
		},
	}
}

// need is one quantity as the recovering plants of a space ask for it now.
type need struct {
	asked
	targets        []float64 // of each resident
	strict, modest int       // residents that ask most and least
	missed         []int     // residents whose target the space misses
}

// needsOf gathers what the plants in one space ask for.
func needsOf(list []resident) []need {
	if len(list) == 0 {
		return nil
	}
	needs := make([]need, len(askedOfSpace))
	for k, q := range askedOfSpace {
		n := need{asked: q, targets: make([]float64, len(list))}
		for i := range list {
			n.targets[i] = q.target(&list[i])
			if n.stricter(i, n.strict) {
				n.strict = i
			}
			if n.stricter(n.modest, i) {
				n.modest = i
			}
			gap := n.targets[i] - q.usual(list[i].usual)
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

// rounding is what the page does not show: half a degree, half a percent.
const rounding = 0.5

// stricter reports whether resident i asks for more than resident j.
func (n *need) stricter(i, j int) bool {
	a, b := n.targets[i], n.targets[j]
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

func newNeedView(u care.Units, n need, list []resident) (needView, error) {
	strict, modest := &list[n.strict], &list[n.modest]
	c, err := strict.course()
	if err != nil {
		return needView{}, err
	}
	figure := n.figure(&c, strict.group)
	show := func(target float64, c *care.Course) string {
		v := figure.Value
		if v.Unit == lightUnit {
			return u.ShowLight(target, c.Now.LightDLI.Value.Value, c.LuxPerPPFD)
		}
		v.Value = target
		return u.Show(v)
	}
	most := show(figure.Value.Value, &c)
	v := needView{Figure: newFigureAs(u, n.name, most, u.ShowRange(figure.Value), figure)}
	if n.targets[n.strict] != n.targets[n.modest] {
		other := c
		if figure.Unit == lightUnit { // shown as its plant's light
			if other, err = modest.course(); err != nil {
				return needView{}, err
			}
		}
		if least := show(n.targets[n.modest], &other); most != least {
			v.Span = fmt.Sprintf("%s asks for %s, %s for %s", strict.link.Label, most, modest.link.Label, least)
		}
	}
	here := n.here(&c)
	v.Here = u.Show(here)
	if here.Unit == lightUnit {
		v.Here = u.ShowLight(here.Value, c.Usual.LightDLI.Value, c.LuxPerPPFD)
	}
	if here.Grade == basis.Assumption {
		v.Here += ", assumed"
		if here.Unit == lightUnit {
			// Each plant's usual light stands in for the room's: there is nothing to
			// hold it against.
			v.Here = "not said yet; a meter reading or a described spot tells"
			return v, nil
		}
	}
	if len(n.missed) == 0 {
		return v, nil
	}
	v.Gap = fmt.Sprintf(n.beyond, len(n.missed), len(list))
	for k, i := range n.missed {
		if k == mostListed {
			v.More = len(n.missed) - mostListed
			break
		}
		v.Missed = append(v.Missed, list[i].link)
	}
	return v, nil
}

// lightUnit is the unit that the units of the grower do not convert by
// themselves: it takes the lamp.
const lightUnit = "µmol/m²/s"
