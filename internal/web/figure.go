package web

import (
	"velamen/internal/care"
	"velamen/science/basis"
)

// figureView is a number and what stands behind it, as the partial "figure"
// shows it: the value, and the reasons on a tap.
type figureView struct {
	Name  string
	Shown string // in the grower's units
	Range string // empty when it cannot be told apart from the value
	Grade string
	Why   *becauseView
}

// becauseView is the reasons under a number, as the partial "because" shows
// them.
type becauseView struct {
	Rule   string
	Limit  string
	Note   string
	Grade  string
	Range  string
	Inputs []inputView
}

type inputView struct{ Name, Shown, Range, Grade, Source string }

// newFigure makes a figure ready to be shown.
func newFigure(u care.Units, name string, f care.Figure) figureView {
	return newFigureAs(u, name, u.Show(f.Value), u.ShowRange(f.Value), f)
}

// newFigureAs is newFigure for a number that is not shown in the unit it is
// kept in, such as light.
func newFigureAs(u care.Units, name, shown, span string, f care.Figure) figureView {
	return figureView{Name: name, Shown: shown, Range: span, Grade: f.Grade.String(), Why: newBecause(u, f.Because, f.Grade, span)}
}

// newBecause makes reasons ready to be shown; without any it returns nil.
func newBecause(u care.Units, b *care.Because, grade basis.Grade, span string) *becauseView {
	if b == nil {
		return nil
	}
	v := &becauseView{Rule: b.Rule, Limit: string(b.Limit), Note: b.Note, Range: span}
	if grade != 0 {
		v.Grade = grade.String()
	}
	for _, in := range b.Inputs {
		v.Inputs = append(v.Inputs, inputView{in.Name, u.Show(in.Value), u.ShowRange(in.Value), in.Grade.String(), in.Source})
	}
	return v
}
