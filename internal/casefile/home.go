package casefile

import (
	"github.com/pelletier/go-toml/v2/unstable"

	"velamen/internal/care"
)

// homeFields are the keys of from = { … } and to = { … }.
var homeFields = fields[care.Home]{
	{"pot", func(f *file, v *node, h *care.Home) {
		if v.kind == unstable.Table {
			readTable(f, v, potFields, container(h))
			return
		}
		f.quantity(v, &potMeasure, &container(h).NominalCm)
	}},
	{"material", func(f *file, v *node, h *care.Home) { f.named(v, materialNames, &container(h).Material) }},
	{"square", func(f *file, v *node, h *care.Home) { f.yesNo(v, &container(h).Square) }},
	{"medium", readMedium},
	{"mount", func(f *file, v *node, h *care.Home) {
		var mount care.Mount
		if readTable(f, v, mountFields, &mount) {
			h.Mount = &mount
		}
	}},
}

func (f *file) home(v *node, h *care.Home) {
	if !readTable(f, v, homeFields, h) {
		return
	}
	if h.Mount != nil && h.Container != nil {
		mount := v.entry("mount")
		f.say(mount.keyAt, mount, "a plant stands in a pot or on a mount; keep one of the two")
	}
}

// container returns the container of a home, which any of its keys brings in.
func container(h *care.Home) *care.Container {
	if h.Container == nil {
		h.Container = &care.Container{}
	}
	return h.Container
}

// potFields are the keys of a measured pot, by its inside.
var potFields = fields[care.Container]{
	{"top", func(f *file, v *node, c *care.Container) { f.quantity(v, &potMeasure, &c.TopCm) }},
	{"bottom", func(f *file, v *node, c *care.Container) { f.quantity(v, &potMeasure, &c.BottomCm) }},
	{"height", func(f *file, v *node, c *care.Container) { f.quantity(v, &potMeasure, &c.HeightCm) }},
}

// mountFields are the keys of mount = { … }.
var mountFields = fields[care.Mount]{
	{"material", func(f *file, v *node, m *care.Mount) { f.named(v, mountNames, &m.Material) }},
	{"size", func(f *file, v *node, m *care.Mount) { f.size(v, &mountMeasure, &m.WidthCm, &m.HeightCm) }},
	{"moss", func(f *file, v *node, m *care.Mount) { f.quantity(v, &mossDepth, &m.MossCm) }},
}

// readMedium reads a mix by volume, { "medium bark" = 7, perlite = 3 }, or one
// medium alone, "sphagnum".
func readMedium(f *file, v *node, h *care.Home) {
	const most, mostComponents = 1000, 20
	if v.kind == unstable.String {
		var medium string
		if f.named(v, mediumNames, &medium); medium != "" {
			h.Medium = []care.Component{{Medium: medium, Parts: 1}}
		}
		return
	}
	if v.kind != unstable.Table {
		f.say(v.at, v, "found %s; %s", v.found(), expected("a medium or a mix", `"sphagnum" or { "medium bark" = 7, perlite = 3 }`))
		return
	}
	if len(v.inside) == 0 {
		f.say(v.at, v, "the mix has no parts; leave the entry out if it is not known")
	}
	if len(v.inside) > mostComponents {
		f.say(v.at, v, "a mix of %d components is not one; the most that is read is %d", len(v.inside), mostComponents)
		return
	}
	for _, part := range v.inside {
		known := f.means(part.keyAt, part, part.key, mediumNames)
		parts, ok := f.bare(part, expected("a number of parts by volume", "7"))
		switch {
		case !ok || !known:
		case parts <= 0 || parts > most:
			f.say(part.at, part, "%s cannot be right: parts by volume are above 0 and up to %d", part.text, most)
		default:
			h.Medium = append(h.Medium, care.Component{Medium: part.key, Parts: parts})
		}
	}
}
