package culture

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"

	"velamen/science/basis"
)

// Columns of the embedded groups.csv that say where a row's figures were read.
const (
	readColumn     = "read"
	sourcesColumn  = "sources"
	photoinhibited = "photoinhibition_source"
)

func columnNames(columns []column) []string {
	names := []string{"key"}
	for _, c := range columns {
		names = append(names, c.name)
	}
	return names
}

func readGroups(found *problems) []Group {
	columns := groupColumns()
	names := append(columnNames(columns), readColumn, photoinhibited, sourcesColumn)
	rows := sheetOf("groups.csv", found, names...)
	groups := make([]Group, 0, len(rows))
	place := map[string]int{}
	for _, r := range rows {
		g := Group{Key: r.key(place, len(groups))}
		read, sources := r.list(readColumn), strings.Join(r.list(sourcesColumn), " ; ")
		if len(read) > 0 && sources == "" {
			r.complain(sourcesColumn, "the addresses where the fields were read")
		}
		for _, name := range read {
			if !slices.Contains(names, name) {
				r.complain(readColumn, "names of columns")
			}
		}
		fill(&g, r, columns, func(c column) provenance {
			switch {
			case slices.Contains(read, c.name):
				return provenance{basis.Published, sources}
			case c.name == "photoinhibition_umol" && r.cells[photoinhibited] != "":
				return provenance{basis.Published, r.cells[photoinhibited]}
			case c.name == "photoinhibition_umol":
				return provenance{basis.Assumption, "as for the nearest kind measured"}
			case c.name == "photosynthesis" && r.cells[c.name] == string(UnknownPhotosynthesis):
				return provenance{basis.Assumption, "both pathways occur, or none is on record here"}
			}
			return c.unread
		})
		askForMissing(r, columns)
		groups = append(groups, g)
	}
	return groups
}

// fill sets the fields of the cells that are not empty.
func fill(g *Group, r row, columns []column, from func(column) provenance) {
	for _, c := range columns {
		cell := r.cells[c.name]
		if cell != "" && !c.set(g, cell, from(c)) {
			r.complain(c.name, c.expected)
		}
	}
}

func askForMissing(r row, columns []column) {
	for _, c := range columns {
		if c.needed && r.cells[c.name] == "" {
			r.complain(c.name, c.expected+"; a new group needs it")
		}
	}
}

// mergeOwn lays the grower's rows over the groups. Empty cells change nothing.
func mergeOwn(groups []Group, file string, from io.Reader, found *problems) []Group {
	columns := groupColumns()
	given := func(column) provenance { return provenance{grade: basis.Given} }
	place, own := map[string]int{}, map[string]int{}
	taken := takenNames{}
	for i, g := range groups {
		place[g.Key] = i
		taken.add(g.Key, append(slices.Clone(g.Aliases), g.Key, g.Name)...)
	}
	// Rows copied from the embedded table bring the columns about its reading;
	// what the grower copies is given by the grower.
	known := append(columnNames(columns), readColumn, photoinhibited, sourcesColumn)
	for _, r := range readSheet(file, from, known, []string{"key"}, found) {
		key := r.key(own, r.line)
		refuseTaken(r, taken)
		if at, known := place[key]; known {
			fill(&groups[at], r, columns, given)
			continue
		}
		g := Group{Key: key}
		fill(&g, r, columns, given)
		askForMissing(r, columns)
		if r.cells["division"] == "" && g.Habit.Is != Monopodial {
			g.Division = Division{true, basis.Assumed(3, 2, 5, "growths")}
		}
		groups = append(groups, g)
	}
	return groups
}

// WriteGroups writes groups in the layout Load accepts as own rows, as a
// start for the grower's own figures. Grades and sources are not written: what
// is read back counts as given.
func WriteGroups(to io.Writer, groups ...Group) error {
	columns := groupColumns()
	out := csv.NewWriter(to)
	if err := out.Write(columnNames(columns)); err != nil {
		return fmt.Errorf("writing the groups: %w", err)
	}
	for _, g := range groups {
		record := []string{g.Key}
		for _, c := range columns {
			record = append(record, c.get(g))
		}
		if err := out.Write(record); err != nil {
			return fmt.Errorf("writing the group %s: %w", g.Key, err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("writing the groups: %w", err)
	}
	return nil
}

// takenNames holds what each name already stands for, by its plain words.
type takenNames map[string]string

func (t takenNames) add(key string, names ...string) {
	for _, name := range names {
		if words := strings.Join(nameWords(name), " "); words != "" {
			t[words] = key
		}
	}
}

// refuseTaken reports a name or alias that already stands for another group.
// A genus that may mean several groups is free to take.
func refuseTaken(r row, taken takenNames) {
	check := func(columnName, name string) {
		owner, ok := taken[strings.Join(nameWords(name), " ")]
		if ok && owner != r.cells["key"] {
			r.complain(columnName, "a name that does not already stand for "+owner)
		}
	}
	check("key", r.cells["key"])
	check("name", r.cells["name"])
	for _, alias := range r.list("aliases") {
		check("aliases", alias)
	}
	taken.add(r.cells["key"], append(r.list("aliases"), r.cells["key"], r.cells["name"])...)
}
