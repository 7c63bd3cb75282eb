package web

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/growth"
)

// marksAtOnce is how many roots a form offers; more go into another entry.
const marksAtOnce = 3

// tips are the words for a tip, and what they mean.
var tips = []choice{
	{Label: "not looked at"}, {Value: "growing", Label: "growing: green or red and glossy"}, {Value: "resting", Label: "resting: covered white"},
	{Value: "chewed", Label: "chewed"}, {Value: "broken", Label: "broken"},
}

// waysToMeasure are the ways to measure a root.
var waysToMeasure = []growth.Method{growth.RulerStraight, growth.RulerInPot, growth.FromPhotograph}

func askRoots(wr *writer, d care.Detail, fresh bool) []question {
	readings := d.Roots
	last := map[string]string{}
	if fresh {
		for mark, list := range wr.sp.state.Roots {
			one := list[len(list)-1]
			if one.At.Before(wr.sp.state.Record.Repot.Date) {
				continue // it may have been cut off
			}
			readings = append(readings, care.RootReading{Root: mark, LengthMM: -1})
			last[mark] = fmt.Sprintf("Last: %s on %s.", lengthWords(wr.u, care.RootReading{LengthMM: one.Reading.LengthMM}), one.At.Format("2 January"))
		}
		slices.SortFunc(readings, func(a, b care.RootReading) int { return strings.Compare(a.Root, b.Root) })
	}
	var list []question
	way := field{Name: "way", Label: "Measured with", Type: "select"}
	for i, m := range waysToMeasure {
		chosen := i == 0
		if e, err := m.ErrorMM(); err == nil && len(d.Roots) > 0 {
			chosen = d.Roots[0].HowMM == e.Value
		}
		way.Options = append(way.Options, choice{strconv.Itoa(int(m)), sentence(m.String()), chosen})
	}
	if !fresh {
		way.Options = append(way.Options, choice{"as before", "As it was noted", !slices.ContainsFunc(way.Options, func(c choice) bool { return c.Chosen })})
	}
	list = append(list, ask(way))
	for i := range max(marksAtOnce, len(readings)+1) {
		row := rootRow(i)
		legend := "Another root"
		if i < len(readings) {
			r := readings[i]
			legend = "Root " + r.Root
			row.mark.Value, row.length.Hint = r.Root, last[r.Root]
			if fresh {
				row.mark.Type = "hidden"
			}
			if r.LengthMM >= 0 {
				row.length.Value = wr.u.Show(basis.Exactly(r.LengthMM, "mm", basis.Measured, ""))
			}
			for j := range row.tip.Options {
				row.tip.Options[j].Chosen = row.tip.Options[j].Value == r.Tip
			}
			row.sure.Checked = r.Confirmed
		}
		fields := []*field{&row.mark, &row.length, &row.tip}
		if !fresh && i < len(readings) {
			fields = append(fields, &row.sure)
		}
		list = append(list, question{Legend: legend, Row: fields})
	}
	return list
}

// rootFields are the fields of one root.
type rootFields struct{ mark, length, tip, sure field }

func rootRow(i int) *rootFields {
	n := strconv.Itoa(i)
	return &rootFields{
		mark:   field{Name: "mark" + n, Label: "Mark"},
		length: field{Name: "length" + n, Label: "Length", Mode: "decimal"},
		tip:    field{Name: "tip" + n, Label: "Tip", Type: "select", Options: slices.Clone(tips)},
		sure:   field{Name: "sure" + n, Label: "I looked again: this is right", Type: "checkbox"},
	}
}

// mostRoots is as many roots as one entry takes.
const mostRoots = 60

func readRoots(wr *writer, f *form, kept care.Detail) care.Detail {
	var d care.Detail
	how := 0.0
	if n, err := strconv.Atoi(f.text("way")); err == nil {
		if e, err := growth.Method(n).ErrorMM(); err == nil {
			how = e.Value
		}
	}
	for i := range mostRoots {
		n := strconv.Itoa(i)
		if !f.values.Has("mark" + n) {
			break
		}
		mark, length, tip := f.text("mark"+n), f.text("length"+n), f.text("tip"+n)
		if length == "" {
			if tip != "" || mark != "" && i >= len(kept.Roots) && wr.sp.state.Roots[mark] == nil {
				f.say("length"+n, "How long is it? Without a length the root is left out.")
			}
			continue
		}
		if mark == "" {
			f.say("mark"+n, "Which root? Give it a mark, such as A or the colour of its tie.")
		}
		if slices.ContainsFunc(d.Roots, func(r care.RootReading) bool { return r.Root == mark }) {
			f.say("mark"+n, "Root %s stands here twice.", mark)
		}
		one := care.RootReading{Root: mark, Tip: tip, HowMM: how, Confirmed: f.checked("sure" + n)}
		before := basis.Value{}
		for _, r := range kept.Roots {
			if r.Root == mark {
				before = basis.Exactly(r.LengthMM, "mm", basis.Measured, "")
				if f.text("way") == "as before" {
					one.HowMM = r.HowMM
				}
			}
		}
		one.LengthMM = f.quantity("length"+n, rootLength, wr.u, before).Value
		d.Roots = append(d.Roots, one)
	}
	if len(d.Roots) == 0 {
		f.say("length0", "Write down at least one length.")
	}
	return d
}
