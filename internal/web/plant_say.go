package web

import (
	"fmt"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
)

// kindWords names a kind of entry as the journal does.
func kindWords(k care.Kind) string {
	switch k {
	case care.PlantSet:
		return "Record"
	case care.RepotDone:
		return "Repot"
	case care.Counted:
		return "Counts"
	case care.SignSeen:
		return "Seen"
	case care.DrainageRead:
		return "Drainage"
	case care.PlantLost:
		return "Lost"
	case care.PlantLeft:
		return "Left"
	}
	return sentence(string(k))
}

var wrinkles = []string{"firm", "slight wrinkles", "clear wrinkles", "deep wrinkles"}

// describe says what an entry says, but for its note.
func describe(u care.Units, e care.Entry) string {
	d := e.Detail
	var parts []string
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	show := func(v *float64, unit string) string { return u.Show(basis.Exactly(*v, unit, basis.Measured, "")) }
	switch e.Kind {
	case care.PlantSet:
		if d.Plant != nil {
			add("%s, %s", d.Plant.Label, d.Plant.Group)
			if d.Plant.Space != "" {
				add("in %s", d.Plant.Space)
			}
		}
	case care.RepotDone:
		if d.Repot != nil {
			parts = repotWords(u, *d.Repot)
		}
	case care.RootsRead:
		for _, r := range d.Roots {
			text := r.Root + " " + lengthWords(u, r)
			if r.Tip != "" {
				text += " (" + r.Tip + ")"
			}
			parts = append(parts, text)
		}
	case care.PestLook:
		add("%s", found(d.Pest))
	case care.SignSeen:
		add("%s", strings.ToLower(signWords[d.Sign]))
	case care.Treated:
		if d.Pest != "" {
			add("against %s", d.Pest)
		}
	case care.BladeUsed:
		add("cut with %s", d.Blade)
	case care.Moved:
		add("to %s", care.PlaceOption{Space: d.ToSpace, Spot: d.ToSpot}.Name())
	case care.SpikeDecided:
		add("spike %s", d.Spike)
	case care.Reviewed:
		if d.Stage != "" {
			add("stage: %s", d.Stage)
		}
	case care.Skipped:
		add("%s", d.Reason)
	}
	if d.Wet != "" {
		add("found %s", d.Wet)
	}
	if d.MassG != nil {
		add("%s", show(d.MassG, "g"))
	}
	if d.VolumeML != nil {
		add("%s", show(d.VolumeML, "mL"))
	}
	if d.Product != "" {
		add("%s", d.Product)
	}
	if d.WaterName != "" {
		add("%s", d.WaterName)
	}
	if d.ECmS != nil {
		add("%s", show(d.ECmS, "mS/cm"))
	}
	if d.Leaves != nil {
		add("%s", counted(*d.Leaves, "leaf", "leaves"))
	}
	if d.Pseudobulbs != nil {
		add("%s", counted(*d.Pseudobulbs, "bulb", "bulbs"))
	}
	if d.Wrinkle != nil && *d.Wrinkle >= 0 && *d.Wrinkle < len(wrinkles) {
		add("%s", wrinkles[*d.Wrinkle])
	}
	return strings.Join(parts, ", ")
}

func found(pest string) string {
	if pest == "" {
		return "nothing found"
	}
	return "found: " + pest
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// repotWords is what was done at a repot, in a few parts.
func repotWords(u care.Units, r care.Repot) []string {
	var parts []string
	if r.Work != "" {
		parts = append(parts, string(r.Work))
	}
	if r.To.Known() {
		parts = append(parts, "into "+r.To.Says(u))
	}
	if r.RootsKept.Grade != 0 {
		parts = append(parts, u.Show(r.RootsKept)+" of the roots kept")
	}
	if r.LeavesKept.Grade != 0 && r.LeavesKept.Value < 1 {
		parts = append(parts, u.Show(r.LeavesKept)+" of the leaves kept")
	}
	if r.LiveRootTips.Grade != 0 {
		parts = append(parts, counted(int(r.LiveRootTips.Value), "growing tip", "growing tips"))
	}
	if r.SoakedHours.Grade != 0 && r.SoakedHours.Value > 0 {
		parts = append(parts, "medium soaked "+u.Show(r.SoakedHours))
	}
	if len(r.Pests) > 0 {
		parts = append(parts, "pests: "+strings.Join(r.Pests, ", "))
	}
	if r.Flowers != "" && r.Flowers != care.NoFlowers {
		parts = append(parts, string(r.Flowers))
	}
	return parts
}
