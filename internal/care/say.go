package care

import (
	"fmt"
	"strings"

	"velamen/science/basis"
)

// Says is the instruction to flush in a few sentences; home is what the plant
// stands in, as Noun names it.
func (f *Flush) Says(u Units, home string) string {
	every := fmt.Sprintf("Every %.0f days", f.Every.Value.Value)
	if f.Every.Value.Value == 1 {
		every = "Every day"
	}
	water := "low-salt water"
	if f.WaterName != "" && f.WaterName != water {
		water = "water (" + f.WaterName + ")"
	}
	text := fmt.Sprintf("%s: %s of %s, %.1f times what the %s holds", every, u.Show(f.Total.Value), water, f.Holdings, home)
	if n := f.Pours.Value.Value; n > 1 {
		text += fmt.Sprintf(", in %.0f pours of %s with %.0f minutes between", n, u.Show(basis.Exactly(f.PourML, "mL", basis.Assumption, "")), f.Wait.Value.Value)
	}
	text += "."
	if f.Wettings > 1 {
		times := []string{"", "once", "twice", "three times"}
		text += fmt.Sprintf(" Wet it %s a day in all, hours apart.", times[min(f.Wettings, 3)])
	}
	if f.Between != nil {
		often := fmt.Sprintf("every %d days", f.WaterEvery)
		if f.WaterEvery == 1 {
			often = "every day"
		}
		text += fmt.Sprintf(" In between, water it %s with %s of plain water.", often, u.Show(f.Between.Value))
	}
	return text + fmt.Sprintf(" Done when the drainage reads at most %s and two cups in a row agree.", u.Show(f.DoneAt.Value))
}

// Noun is what a plant stands in or on, in one word.
func (h Home) Noun() string {
	if h.Mount != nil {
		return "mount"
	}
	return "pot"
}

// Says is a home in a few words, as the grower told it.
func (h Home) Says(u Units) string {
	if m := h.Mount; m != nil {
		text := "a " + strings.ReplaceAll(m.Material, "-", " ") + " mount"
		if m.WidthCm.Grade != 0 && m.HeightCm.Grade != 0 {
			text += ", " + u.Show(m.WidthCm) + " × " + u.Show(m.HeightCm)
		}
		if m.MossCm.Grade != 0 && m.MossCm.Value > 0 {
			text += " with " + u.Show(m.MossCm) + " of moss"
		}
		return text
	}
	var mix []string
	for _, c := range h.Medium {
		if len(h.Medium) == 1 {
			mix = append(mix, c.Medium)
		} else {
			mix = append(mix, fmt.Sprintf("%g %s", c.Parts, c.Medium))
		}
	}
	text := strings.Join(mix, ", ")
	if c := h.Container; c != nil {
		pot := "pot"
		if c.Material != "" {
			pot = c.Material + " pot"
		}
		switch {
		case c.TopCm.Grade != 0:
			pot = u.Show(c.TopCm) + " " + pot
		case c.NominalCm.Grade != 0:
			pot = u.Show(c.NominalCm) + " " + pot
		}
		if text != "" {
			text += " in "
		}
		text += "a " + pot
	}
	if text == "" {
		return "a home that is not described"
	}
	return text
}
