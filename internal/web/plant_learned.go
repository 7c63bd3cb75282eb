package web

import (
	"fmt"
	"slices"

	"velamen/internal/care"
	"velamen/science/basis"
)

// learnedView is what was learned of a plant's pot, and what to read next.
type learnedView struct {
	Says    string // from what, empty when nothing was read
	DryDown string // how long it takes to dry, before and now
	Figures []learnedRow
	Looks   []choice // the wetnesses, one tap each
	LookAt  string   // path
	Next    []worthView
}

// learnedRow is one figure before and after.
type learnedRow struct{ Name, Before, Now, Narrowed string }

// worthView is a reading that could be taken.
type worthView struct {
	What, Path, When string
	Narrows          string
	Best             bool
}

// leastWorth is a narrowing too small to ask for a reading.
const leastWorth = 0.03

func newLearnedView(sp specimen, u care.Units, c *care.Course, f *care.Forecast) *learnedView {
	v := &learnedView{LookAt: writePath(sp, care.WetnessSeen, "")}
	for _, w := range care.Wetnesses {
		v.Looks = append(v.Looks, choice{string(w), sentence(string(w)), false})
	}
	if l := c.Learned; l != nil {
		v.Says = sentence(l.Says()) + ", the last on " + l.Last.Format("2 January") + "."
		d := l.DryDown
		v.DryDown = fmt.Sprintf("After a flush it takes %s to dry as far as it should; before the readings, %s.", spanWords(u, d.Now), spanWords(u, d.Before))
		for _, one := range append(slices.Clone(l.Figures), d) {
			row := learnedRow{Name: sentence(one.Name), Before: spanWords(u, one.Before), Now: spanWords(u, one.Now)}
			if n := one.Narrowed(); n > 0.02 {
				row.Narrowed = fmt.Sprintf("%.0f %% narrower", 100*n)
			}
			v.Figures = append(v.Figures, row)
		}
	}
	for i, w := range f.Worth {
		if w.Narrows.Value < leastWorth || i == 3 {
			break
		}
		one := worthView{What: sentence(w.What), When: w.When.Format("Mon 2 Jan"), Narrows: u.Show(basis.Exactly(w.Narrows.Value, "share", basis.Assumption, "")), Best: i == 0}
		if sameDay(w.When, c.On) {
			one.Path = writePath(sp, w.Kind, "")
		}
		v.Next = append(v.Next, one)
	}
	return v
}

// spanWords is a figure with its range.
func spanWords(u care.Units, v basis.Value) string {
	text := u.Show(v)
	if span := u.ShowRange(v); span != "" {
		text += " (" + span + ")"
	}
	return text
}
