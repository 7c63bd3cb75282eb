package web

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"velamen/internal/care"
	"velamen/internal/culture"
)

// homeFields are the questions about a pot or a mount.
type homeFields struct {
	Kind                 field
	Known                string // what is known of it already, in words
	Size                 field
	Material             field
	Top, Bottom, Height  field
	Square               field
	Parts                []partFields
	Mount, Width, Length field
	Moss                 field
}

// partFields are the questions about one component of a mix.
type partFields struct{ Medium, Parts field }

// The kinds of home.
const (
	homeUnknown = "unknown"
	homeKept    = "kept"
	homePot     = "pot"
	homeMount   = "mount"
)

func newHomeFields(tables culture.Table, u care.Units, prefix string, h care.Home) homeFields {
	q := homeFields{
		Kind:     field{Name: prefix + "_kind", Label: "Into", Type: "radios"},
		Size:     field{Name: prefix + "_size", Label: "Pot size, as sold", Mode: "decimal", Hint: "Across the top."},
		Material: field{Name: prefix + "_material", Label: "Made of", Type: "select"},
		Top:      field{Name: prefix + "_top", Label: "Across the top, inside", Mode: "decimal"},
		Bottom:   field{Name: prefix + "_bottom", Label: "Across the bottom, inside", Mode: "decimal"},
		Height:   field{Name: prefix + "_height", Label: "Height, inside", Mode: "decimal"},
		Square:   field{Name: prefix + "_square", Label: "It is square", Type: "checkbox"},
		Mount:    field{Name: prefix + "_mount", Label: "Mount", Type: "select"},
		Width:    field{Name: prefix + "_width", Label: "Width", Mode: "decimal"},
		Length:   field{Name: prefix + "_length", Label: "Height", Mode: "decimal"},
		Moss:     field{Name: prefix + "_moss", Label: "Pad of moss, thickness", Mode: "decimal", Hint: "0 or empty for none."},
	}
	kind := homePot
	if h.Mount != nil {
		kind = homeMount
	}
	options := []choice{{homePot, "A pot or basket", false}, {homeMount, "A mount", false}}
	if prefix == "from" {
		q.Kind.Label = "Out of"
		options = append([]choice{{homeUnknown, "not known", false}}, options...)
		kind = homeUnknown
		if h.Known() {
			q.Known = h.Says(u)
			options = append([]choice{{homeKept, sentence(q.Known), false}}, options...)
			kind = homeKept
		}
	}
	for i := range options {
		options[i].Chosen = options[i].Value == kind
	}
	q.Kind.Options = options

	var c care.Container
	if h.Container != nil {
		c = *h.Container
	}
	q.Size.Value, q.Top.Value, q.Bottom.Value, q.Height.Value = shown(u, c.NominalCm), shown(u, c.TopCm), shown(u, c.BottomCm), shown(u, c.HeightCm)
	q.Square.Checked = c.Square
	material, _ := tables.Container(c.Material)
	for _, one := range tables.Containers() {
		q.Material.Options = append(q.Material.Options, choice{one.Key, sentence(one.Name), one.Key == material.Key})
	}
	for i := range mostParts {
		var part care.Component
		if i < len(h.Medium) {
			part = h.Medium[i]
		}
		q.Parts = append(q.Parts, newPartFields(tables, prefix, i, part))
	}
	var m care.Mount
	if h.Mount != nil {
		m = *h.Mount
	}
	mount, _ := tables.Mount(m.Material)
	for _, one := range tables.Mounts() {
		q.Mount.Options = append(q.Mount.Options, choice{one.Key, sentence(one.Name), one.Key == mount.Key})
	}
	q.Width.Value, q.Length.Value, q.Moss.Value = shown(u, m.WidthCm), shown(u, m.HeightCm), shown(u, m.MossCm)
	return q
}

func newPartFields(tables culture.Table, prefix string, i int, part care.Component) partFields {
	n := strconv.Itoa(i)
	q := partFields{
		Medium: field{Name: prefix + "_medium" + n, Label: "Medium", Type: "select", Options: []choice{{Label: "none", Chosen: part.Medium == ""}}},
		Parts:  field{Name: prefix + "_parts" + n, Label: "Parts", Mode: "decimal"},
	}
	if i > 0 {
		q.Medium.Label = "and"
	}
	if part.Parts > 0 {
		q.Parts.Value = fmt.Sprintf("%g", part.Parts)
	}
	chosen, _ := tables.Medium(part.Medium)
	for _, m := range tables.Media() {
		q.Medium.Options = append(q.Medium.Options, choice{mediumWords(tables, m), sentence(mediumWords(tables, m)) + grain(m.Name), m.Key == chosen.Key && part.Medium != ""})
	}
	return q
}

var grains = regexp.MustCompile(`\s*\(.*\)`)

func grain(name string) string { return grains.FindString(name) }

// mediumWords is what a grower calls a medium: "medium bark" for the table's
// "bark, medium (6–12 mm)", where the tables understand that, else its name.
func mediumWords(tables culture.Table, m culture.Medium) string {
	name := grains.ReplaceAllString(m.Name, "")
	parts := strings.SplitN(name, ", ", 2)
	slices.Reverse(parts)
	for _, words := range []string{strings.Join(parts, " "), name} {
		if found, err := tables.Medium(words); err == nil && found.Key == m.Key {
			return words
		}
	}
	return m.Key
}

func (q *homeFields) list() []*field {
	list := []*field{&q.Kind, &q.Size, &q.Material, &q.Top, &q.Bottom, &q.Height, &q.Square, &q.Mount, &q.Width, &q.Length, &q.Moss}
	for i := range q.Parts {
		list = append(list, &q.Parts[i].Medium, &q.Parts[i].Parts)
	}
	return list
}

// mossThickness is that of a pad on a mount.
var mossThickness = measure{"a pad of moss", "cm", 0, 30, potLength.usual, lengthWritings}

// mountSize is that of a mount.
var mountSize = measure{"a mount", "cm", 1, 80, potLength.usual, lengthWritings}

// home reads a pot or a mount. What the form does not say stays unknown, and
// the course names what stands in for it.
func (f *form) home(tables culture.Table, u care.Units, prefix string, kept care.Home) care.Home {
	switch kind := f.text(prefix + "_kind"); kind {
	case homeKept:
		return kept
	case homePot:
		return f.pot(tables, u, prefix, kept)
	case homeMount:
		var before care.Mount
		if kept.Mount != nil {
			before = *kept.Mount
		}
		m := care.Mount{
			Material: f.text(prefix + "_mount"),
			WidthCm:  f.quantity(prefix+"_width", mountSize, u, before.WidthCm), HeightCm: f.quantity(prefix+"_length", mountSize, u, before.HeightCm),
			MossCm: f.quantity(prefix+"_moss", mossThickness, u, before.MossCm),
		}
		if _, err := tables.Mount(m.Material); err != nil {
			f.say(prefix+"_mount", "%s", nameProblem(err))
		}
		return care.Home{Mount: &m}
	case "", homeUnknown:
	default:
		f.say(prefix+"_kind", "%q is not one of the choices.", kind)
	}
	return care.Home{}
}

func (f *form) pot(tables culture.Table, u care.Units, prefix string, kept care.Home) care.Home {
	var before care.Container
	if kept.Container != nil {
		before = *kept.Container
	}
	c := care.Container{
		NominalCm: f.quantity(prefix+"_size", potLength, u, before.NominalCm), TopCm: f.quantity(prefix+"_top", potLength, u, before.TopCm),
		BottomCm: f.quantity(prefix+"_bottom", potLength, u, before.BottomCm), HeightCm: f.quantity(prefix+"_height", potLength, u, before.HeightCm),
		Square: f.checked(prefix + "_square"), Material: f.text(prefix + "_material"),
	}
	if c.Material != "" {
		if _, err := tables.Container(c.Material); err != nil {
			f.say(prefix+"_material", "%s", nameProblem(err))
		}
	}
	h := care.Home{Container: &c}
	for i := range mostParts {
		n := strconv.Itoa(i)
		medium, text := f.text(prefix+"_medium"+n), f.text(prefix+"_parts"+n)
		if medium == "" {
			if text != "" {
				f.say(prefix+"_medium"+n, "Parts of what?")
			}
			continue
		}
		if _, err := tables.Medium(medium); err != nil {
			f.say(prefix+"_medium"+n, "%s", nameProblem(err))
			continue
		}
		parts := 1.0
		if text != "" {
			number, rest, err := leadingNumber(text)
			if err != nil || rest != "" || !(number > 0 && number <= 1000) {
				f.say(prefix+"_parts"+n, "%q cannot be right: parts by volume are above 0 and up to 1000.", text)
			}
			parts = number
		}
		h.Medium = append(h.Medium, care.Component{Medium: medium, Parts: parts})
	}
	return h
}
