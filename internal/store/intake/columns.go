package intake

import (
	"fmt"
	"strings"
	"unicode"
)

// Field is what a column of a spreadsheet is about.
type Field string

// The fields that are read.
const (
	Label       Field = "label"
	Name        Field = "name"
	Group       Field = "group"
	Space       Field = "space"
	Leaves      Field = "leaves"
	LeafLength  Field = "leaf_length"
	LeafWidth   Field = "leaf_width"
	Pseudobulbs Field = "pseudobulbs"
	Vigour      Field = "vigour"
	Repotted    Field = "repotted"
	Work        Field = "work"
	RootsKept   Field = "roots_kept"
	Pot         Field = "pot"
	Material    Field = "material"
	Medium      Field = "medium"
	Note        Field = "note"
)

// headings are the words by which a field is known, the field's own first; of
// two columns with the same field the one whose word comes first is taken.
var headings = []struct {
	field Field
	words []string
}{
	{Label, []string{"label", "tag", "plant no", "plant number", "no", "nr", "number", "id"}},
	{Name, []string{"name", "plant", "plant name", "cultivar", "hybrid", "species", "orchid"}},
	{Group, []string{"group", "culture group", "genus", "type", "alliance"}},
	{Space, []string{"space", "place", "location", "room", "bench", "where", "position"}},
	{Leaves, []string{"leaves", "leaf count", "number of leaves"}},
	{LeafLength, []string{"leaf length", "leaf length cm", "length of leaf"}},
	{LeafWidth, []string{"leaf width", "leaf width cm", "width of leaf"}},
	{Pseudobulbs, []string{"pseudobulbs", "bulbs", "number of bulbs"}},
	{Vigour, []string{"vigour", "vigor", "condition"}},
	{Repotted, []string{"repotted", "repotted on", "date repotted", "repot date", "date potted", "potted", "last repot", "last repotted"}},
	{Work, []string{"work", "work done"}},
	{RootsKept, []string{"roots kept", "roots left"}},
	{Pot, []string{"pot", "pot size", "pot cm", "pot diameter", "container"}},
	{Material, []string{"material", "pot material", "pot type"}},
	{Medium, []string{"medium", "mix", "potting mix", "substrate", "media"}},
	{Note, []string{"note", "notes", "remark", "remarks", "comment", "comments"}},
}

// Fields lists the fields, for messages.
func Fields() []string {
	names := make([]string, len(headings))
	for i, h := range headings {
		names[i] = string(h.field)
	}
	return names
}

// Column is one column of a spreadsheet and how it is read.
type Column struct {
	Heading string
	Field   Field  // empty: it is not read
	unit    string // from the heading, as in "Pot (in)"
}

// ParseMap reads which column holds which field, as in
// label=Tag,group=Genus,repotted="Date potted".
func ParseMap(text string) (map[Field]string, error) {
	chosen := map[Field]string{}
	for _, part := range splitOutsideQuotes(text, ',') {
		if strings.TrimSpace(part) == "" {
			continue
		}
		key, heading, ok := strings.Cut(part, "=")
		field := Field(strings.ToLower(strings.TrimSpace(key)))
		if !ok || !isField(field) {
			return nil, fmt.Errorf("%q is not a field=heading pair; the fields are %s", strings.TrimSpace(part), strings.Join(Fields(), ", "))
		}
		if _, twice := chosen[field]; twice {
			return nil, fmt.Errorf("the field %s is given twice", field)
		}
		chosen[field] = strings.Trim(strings.TrimSpace(heading), `"`)
	}
	return chosen, nil
}

func isField(f Field) bool {
	for _, h := range headings {
		if h.field == f {
			return true
		}
	}
	return false
}

func splitOutsideQuotes(text string, mark rune) []string {
	quoted := false
	return strings.FieldsFunc(text, func(r rune) bool {
		if r == '"' {
			quoted = !quoted
		}
		return r == mark && !quoted
	})
}

// columnsOf decides what each column is about: as told, or by its heading.
func columnsOf(header []string, told map[Field]string) ([]Column, error) {
	columns := make([]Column, len(header))
	rank := map[Field]int{} // of the word a field was known by
	place := map[Field]int{}
	for i, heading := range header {
		columns[i].Heading = strings.TrimSpace(heading)
		_, columns[i].unit = foldHeading(heading)
	}
	for field, heading := range told {
		i := indexOf(header, heading)
		if i < 0 {
			return nil, fmt.Errorf("no column is headed %q; there are %s", heading, quoteAll(header))
		}
		if columns[i].Field != "" {
			return nil, fmt.Errorf("the column %q cannot be both %s and %s", heading, columns[i].Field, field)
		}
		columns[i].Field = field
		rank[field], place[field] = -1, i
	}
	for i, heading := range header {
		if columns[i].Field != "" {
			continue
		}
		folded, _ := foldHeading(heading)
		for _, h := range headings {
			for r, word := range h.words {
				if word != folded {
					continue
				}
				if before, taken := rank[h.field]; taken {
					if before <= r {
						continue
					}
					columns[place[h.field]].Field = ""
				}
				rank[h.field], place[h.field] = r, i
				columns[i].Field = h.field
			}
		}
	}
	_, hasLabel := place[Label]
	if _, hasName := place[Name]; !hasLabel && !hasName {
		return nil, fmt.Errorf("no column is headed label or name; there are %s; say which is which, as in label=Tag", quoteAll(header))
	}
	return columns, nil
}

func indexOf(header []string, heading string) int {
	for i, h := range header {
		if strings.EqualFold(strings.TrimSpace(h), strings.TrimSpace(heading)) {
			return i
		}
	}
	return -1
}

func quoteAll(header []string) string {
	const shown = 20
	var quoted []string
	for i, h := range header {
		if i == shown {
			quoted = append(quoted, "…")
			break
		}
		quoted = append(quoted, fmt.Sprintf("%.40q", strings.TrimSpace(h)))
	}
	return strings.Join(quoted, ", ")
}

// foldHeading reduces a heading to small letters, digits and single spaces,
// and takes a unit in brackets off it.
func foldHeading(heading string) (words, unit string) {
	if open := strings.IndexAny(heading, "(["); open >= 0 {
		unit = strings.ToLower(strings.Trim(heading[open:], "()[] "))
		heading = heading[:open]
	}
	words = strings.Join(strings.FieldsFunc(strings.ToLower(heading), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}), " ")
	if unit == "" {
		if rest, ok := strings.CutSuffix(words, " cm"); ok {
			return rest, "cm"
		}
	}
	return words, unit
}
