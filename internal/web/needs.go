package web

import (
	"fmt"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
)

// need is one quantity of a space's climate as the recovering plants in it ask
// for it now: the one that asks most decides.
type need struct {
	name    string
	most    figureOf // what the most demanding plant asks for
	least   figureOf
	here    basis.Value // as the space is; the same for all its plants
	missing []string    // labels of the plants that ask for something else than here
}

// figureOf is a figure of one plant's course.
type figureOf struct {
	care.Figure
	course *care.Course
}

// asked is a quantity that courses set a target for.
type asked struct {
	name   string
	target func(*care.Course) care.Figure
	here   func(*care.Course) basis.Value
	atMost bool // the target is a cap; otherwise it is a floor
}

var askedOfSpace = []asked{
	{"Day temperature, at most", func(c *care.Course) care.Figure { return c.Now.DayHeatCapC }, func(c *care.Course) basis.Value { return c.Usual.DayC }, true},
	{"Humidity by day, at least", func(c *care.Course) care.Figure { return c.Now.DayRHPercent }, func(c *care.Course) basis.Value { return c.Usual.DayRHPercent }, false},
	{"Humidity by night, at least", func(c *care.Course) care.Figure { return c.Now.NightRHPercent }, func(c *care.Course) basis.Value { return c.Usual.NightRHPercent }, false},
	{"Light, at most", func(c *care.Course) care.Figure { return c.Now.LightPPFD }, func(c *care.Course) basis.Value { return c.Usual.LightPPFD }, true},
}

// needsOf gathers what the courses of the plants in one space ask for.
func needsOf(courses []care.Course) []need {
	if len(courses) == 0 {
		return nil
	}
	list := make([]need, 0, len(askedOfSpace))
	for _, q := range askedOfSpace {
		n := need{name: q.name}
		for i := range courses {
			c := &courses[i]
			f := figureOf{q.target(c), c}
			if i == 0 {
				n.most, n.least, n.here = f, f, q.here(c)
			}
			if more := f.Value.Value > n.most.Value.Value; more != q.atMost && f.Value.Value != n.most.Value.Value {
				n.most = f
			}
			if more := f.Value.Value > n.least.Value.Value; more == q.atMost && f.Value.Value != n.least.Value.Value {
				n.least = f
			}
			if q.beyond(f.Value.Value, q.here(c).Value) {
				n.missing = append(n.missing, c.Label)
			}
		}
		list = append(list, n)
	}
	return list
}

// beyond reports whether a space misses a target by more than its rounding on
// the page: half a degree or half a percent.
func (q asked) beyond(target, here float64) bool {
	const rounding = 0.5
	if q.atMost {
		return here > target+rounding
	}
	return here < target-rounding
}

// needView is a need ready to be shown.
type needView struct {
	Figure figureView
	Span   string // from the least to the most demanding plant
	Here   string
	Gap    string // how many plants ask for something else, and which
}

func newNeedView(u care.Units, n need, plants int) needView {
	show := func(f figureOf) string {
		if f.Unit == "µmol/m²/s" {
			return u.ShowLight(f.Value.Value, f.course.Now.LightDLI.Value.Value, f.course.LuxPerPPFD)
		}
		return u.Show(f.Value)
	}
	v := needView{Figure: newFigureAs(u, n.name, show(n.most), u.ShowRange(n.most.Value), n.most.Figure)}
	if plants > 1 && show(n.least) != show(n.most) {
		v.Span = fmt.Sprintf("%s asks for %s, %s is content with %s", n.most.course.Label, show(n.most), n.least.course.Label, show(n.least))
	}
	here := u.Show(n.here)
	if n.here.Unit == "µmol/m²/s" {
		here = u.ShowLight(n.here.Value, n.most.course.Usual.LightDLI.Value, n.most.course.LuxPerPPFD)
	}
	v.Here = here
	if n.here.Grade < basis.Given {
		v.Here += " (" + n.here.Grade.String() + ")"
	}
	if len(n.missing) > 0 {
		v.Gap = fmt.Sprintf("%d of %d ask for something else than here: %s", len(n.missing), plants, someOf(n.missing))
	}
	return v
}

// someOf lists a few names and counts the rest.
func someOf(names []string) string {
	const shown = 6
	if len(names) <= shown {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:shown], ", "), len(names)-shown)
}
