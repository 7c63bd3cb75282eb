package casefile

import (
	"reflect"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
)

// alone returns the case of one plant, with everything it may refer to. Nothing
// is shared with the old case that a change would reach.
func alone(c care.Case, plant int) care.Case {
	p := c.Plants[plant]
	out := c
	out.Plants = []care.Plant{p}
	out.Waters, out.Feeds = slices.Clone(c.Waters), slices.Clone(c.Feeds)
	out.Spaces = nil
	for _, s := range c.Spaces {
		if len(c.Spaces) == 1 || strings.EqualFold(s.Name, p.Space) {
			out.Spaces = append(out.Spaces, s)
		}
	}
	return out
}

// Alone returns the case of one of its plants, with its space and everything
// else it refers to: what is sent to somebody who asks about that plant.
func Alone(c care.Case, plant int) care.Case { return alone(c, plant) }

// lay puts every field of over that says something onto base.
func lay[T any](base *T, over T) {
	to, from := reflect.ValueOf(base).Elem(), reflect.ValueOf(over)
	for i := range to.NumField() {
		if f := from.Field(i); !f.IsZero() {
			to.Field(i).Set(f)
		}
	}
}

// overlay lays what was answered over a case of one plant.
func overlay(c, said care.Case, answers []Answer) care.Case {
	lay(&c.Place, said.Place)
	p := &c.Plants[0]
	told := said.Plants[0]
	if len(said.Spaces) > 0 {
		overlaySpace(&c, said.Spaces[0])
		if len(c.Spaces) == 1 {
			p.Space = c.Spaces[0].Name
		}
	}
	if len(said.Waters) > 0 {
		if len(c.Waters) == 0 {
			c.Waters = []care.Water{{Name: someWater}}
		}
		at := max(0, slices.IndexFunc(c.Waters, func(w care.Water) bool { return w.Name != "" && w.Name == c.Routine.Water }))
		c.Waters[at].ECmS = said.Waters[0].ECmS
	}
	routine := &c.Routine
	if p.Routine != nil {
		own := *p.Routine
		p.Routine, routine = &own, &own
	}
	if answered(answers, "strength") {
		routine.FeedGramsPerLitre, routine.FeedPpmN, routine.FeedECmS = basis.Value{}, basis.Value{}, basis.Value{}
	}
	lay(routine, said.Routine)
	repot := told.Repot
	told.Repot, told.Routine, told.Space = care.Repot{}, nil, ""
	if told.Name == "" && told.Label == "" && p.Name == "" && p.Label == "" {
		p.Name = told.Group
	}
	lay(p, told)
	to, from := repot.To, repot.From
	repot.To, repot.From = care.Home{}, care.Home{}
	work := p.Repot.Work
	lay(&p.Repot, repot)
	p.Repot.To, p.Repot.From = overlayHome(p.Repot.To, to), overlayHome(p.Repot.From, from)
	if !answered(answers, "work") {
		switch {
		case to.Mount != nil:
			p.Repot.Work = care.Mounted
		case to.Known() && work == care.Mounted:
			p.Repot.Work = care.Repotted
		}
	}
	return c
}

func overlaySpace(c *care.Case, told care.Space) {
	if len(c.Spaces) == 0 {
		name := string(told.Kind)
		if name == "" {
			name = "there"
		}
		c.Spaces = []care.Space{{Name: name}}
	}
	s := c.Spaces[0]
	if told.Kind != "" && told.Kind != s.Kind {
		s = care.Space{Name: s.Name}
		if string(c.Spaces[0].Kind) == s.Name {
			s.Name = string(told.Kind) // it was called by its kind
		}
	}
	light := told.Light
	told.Light, told.Name = care.LightLevel{}, ""
	lay(&s, told)
	lay(&s.Light, light)
	c.Spaces = []care.Space{s}
}

// overlayHome lays a new home over an old one. A mount takes the place of a pot
// and the other way round; a size as sold takes the place of measures.
func overlayHome(base, told care.Home) care.Home {
	switch {
	case !told.Known():
		return base
	case told.Mount != nil:
		m := care.Mount{}
		if base.Mount != nil {
			m = *base.Mount
		}
		lay(&m, *told.Mount)
		return care.Home{Mount: &m}
	}
	out := care.Home{Medium: base.Medium}
	if told.Container != nil || base.Container != nil {
		k := care.Container{}
		if base.Container != nil {
			k = *base.Container
		}
		if told.Container != nil {
			if told.Container.NominalCm.Grade != 0 {
				k.TopCm, k.BottomCm, k.HeightCm = basis.Value{}, basis.Value{}, basis.Value{}
			}
			lay(&k, *told.Container)
		}
		out.Container = &k
	}
	if len(told.Medium) > 0 {
		out.Medium = told.Medium
	}
	return out
}
