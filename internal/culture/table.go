package culture

import (
	"embed"
	"fmt"
	"io"
	"slices"
	"strings"
)

//go:embed data/*.csv
var embedded embed.FS

// Table is everything Load has read. It does not change; its methods may be
// called from several goroutines and hand out copies.
type Table struct {
	groups     []Group
	media      []Medium
	mounts     []Mount
	containers []Container
	pots       []Pot
	pests      []Pest
	cautions   []Caution
	signs      []Sign

	groupNames, mediumNames, mountNames, containerNames, potNames, pestNames finder
}

// Load reads the embedded tables and then the grower's own rows for groups, in
// the layout WriteGroups writes. A row whose key exists replaces the cells it
// fills; another key adds a group. What the grower writes is graded as given.
//
// The error joins one RowError for each cell that cannot be used; no Table is
// returned then.
func Load(own ...io.Reader) (Table, error) {
	found := &problems{}
	sources := readCitations(sheetOf("sources.csv", found, "key", "citation"))
	t := Table{
		groups: readGroups(found),
		media: readMedia(
			sheetOf("media.csv", found, "key", "name", "aliases", "cec", "cec_grade", "cec_source", "dries_throughout", "note"),
			sheetOf("media_figures.csv", found, "medium", "quantity", "value", "low", "high", "grade", "source"), sources),
		mounts: readMounts(sheetOf("mounts.csv", found, "key", "name", "aliases", "store_mm", "reference_mm", "grade", "source",
			"vapour_share", "vapour_grade", "vapour_source", "note"), sources),
		containers: readContainers(sheetOf("containers.csv", found, "key", "name", "aliases", "value", "low", "high", "by_contact", "grade", "source", "note"), sources),
		pots:       readPots(sheetOf("pots.csv", found, "key", "name", "aliases", "top_cm", "base_cm", "height_cm")),
		pests: readPests(
			sheetOf("pests.csv", found, "key", "name", "aliases", "where", "where_grade", "where_source", "lookalikes", "harmless",
				"first_recheck_days", "passes", "keep_watching_days", "schedule_grade", "schedule_source", "note"),
			sheetOf("pest_stages.csv", found, "pest", "stage", "threshold_c", "threshold_low", "threshold_high", "constant_dd", "constant_low", "constant_high",
				"model_grade", "model_source", "upper_c", "upper_grade", "upper_source", "observed", "observed_grade", "observed_source", "note"), sources),
		cautions: readCautions(sheetOf("cautions.csv", found, "situation", "text", "grade", "source"), sources),
		signs:    readSigns(sheetOf("signs.csv", found, "stages", "habits", "leaves", "stores", "meaning", "text", "grade", "source"), sources),
	}
	for i, from := range own {
		t.groups = mergeOwn(t.groups, ownName(from, i), from, found)
	}
	for i := range t.groups {
		t.groups[i].derive()
	}
	if len(found.errs) == 0 {
		t.name(found)
	}
	if err := found.err(); err != nil {
		return Table{}, fmt.Errorf("reading the culture tables: %w", err)
	}
	return t, nil
}

// sheetOf reads an embedded file whose columns must all be present.
func sheetOf(name string, found *problems, columns ...string) []row {
	file, err := embedded.Open("data/" + name)
	if err != nil {
		found.add(RowError{File: name, Value: err.Error(), Expected: "the embedded file"})
		return nil
	}
	defer file.Close()
	return readSheet(name, file, columns, columns, found)
}

// ownName returns the file's name where the reader knows it.
func ownName(from io.Reader, i int) string {
	if named, ok := from.(interface{ Name() string }); ok {
		return named.Name()
	}
	return fmt.Sprintf("own rows %d", i+1)
}

// name prepares the look-ups.
func (t *Table) name(found *problems) {
	t.groupNames = finder{kind: "group", abbreviations: map[string][]string{}}
	keys := map[string]int{}
	for i, g := range t.groups {
		keys[g.Key] = i
		t.groupNames.titles = append(t.groupNames.titles, g.Name)
		t.groupNames.addAll(i, append([]string{g.Key, g.Name}, g.Aliases...))
	}
	t.readGenera(keys, found)
	t.groupNames.refuseDoubles(found)
	t.mediumNames = namesOf("medium", t.media, func(m Medium) (string, string, []string) { return m.Key, m.Name, m.Aliases }, found)
	t.mountNames = namesOf("mount", t.mounts, func(m Mount) (string, string, []string) { return m.Key, m.Name, m.Aliases }, found)
	t.containerNames = namesOf("container", t.containers, func(c Container) (string, string, []string) { return c.Key, c.Name, c.Aliases }, found)
	t.potNames = namesOf("pot size", t.pots, func(p Pot) (string, string, []string) { return p.Key, p.Name, p.Aliases }, found)
	t.pestNames = namesOf("pest", t.pests, func(p Pest) (string, string, []string) { return p.Key, p.Name, p.Aliases }, found)
}

func namesOf[T any](kind string, all []T, names func(T) (key, name string, aliases []string), found *problems) finder {
	f := finder{kind: kind}
	for i, one := range all {
		key, name, aliases := names(one)
		f.titles = append(f.titles, name)
		f.addAll(i, append([]string{key, name}, aliases...))
	}
	f.refuseDoubles(found)
	return f
}

// addAll adds the names of one target; key, name and an alias may be the same.
func (f *finder) addAll(target int, names []string) {
	var seen [][]string
	for _, name := range names {
		words := nameWords(name)
		if !slices.ContainsFunc(seen, func(s []string) bool { return slices.Equal(s, words) }) {
			seen = append(seen, words)
			f.add(name, target)
		}
	}
}

// refuseDoubles reports a name with two meanings. A genus may carry the name
// of a group, since the group is then its default.
func (f *finder) refuseDoubles(found *problems) {
	meaning := map[string]entry{}
	for _, e := range f.entries {
		if len(e.targets) > 1 {
			continue
		}
		words := strings.Join(e.words, " ")
		if other, ok := meaning[words]; ok && other.targets[0] != e.targets[0] {
			found.add(RowError{File: f.kind + " names", Value: e.shown, Expected: fmt.Sprintf("a name that does not also stand for %s", f.titles[other.targets[0]])})
			continue
		}
		meaning[words] = e
	}
}

// readGenera adds the genus names, with the groups each may mean.
func (t *Table) readGenera(keys map[string]int, found *problems) {
	for _, r := range sheetOf("genera.csv", found, "genus", "abbreviations", "groups", "default") {
		genus := entry{shown: r.text("genus"), words: nameWords(r.cells["genus"]), fallback: noDefault}
		for _, key := range r.list("groups") {
			target, ok := keys[key]
			if !ok {
				r.complain("groups", "keys of groups")
				continue
			}
			genus.targets = append(genus.targets, target)
		}
		if len(genus.targets) == 0 {
			r.complain("groups", "keys of groups")
			continue
		}
		if usual := r.cells["default"]; usual != "" {
			target, ok := keys[usual]
			if !ok || !slices.Contains(genus.targets, target) {
				r.complain("default", "the key of one of the row's groups")
			}
			genus.fallback = target
		}
		if len(genus.targets) == 1 {
			genus.fallback = genus.targets[0]
		}
		for _, short := range r.list("abbreviations") {
			words := nameWords(short)
			if _, twice := t.groupNames.abbreviations[strings.Join(words, " ")]; twice || len(words) != 1 {
				r.complain("abbreviations", "single words, each for one genus")
				continue
			}
			t.groupNames.abbreviations[words[0]] = genus.words
		}
		t.groupNames.entries = append(t.groupNames.entries, genus)
	}
}

func cloneAll[T any](all []T, clone func(T) T) []T {
	copies := make([]T, len(all))
	for i, one := range all {
		copies[i] = clone(one)
	}
	return copies
}

// Groups returns all groups in the order of the tables.
func (t Table) Groups() []Group { return cloneAll(t.groups, Group.clone) }

// Media returns all components of mixes.
func (t Table) Media() []Medium { return cloneAll(t.media, Medium.clone) }

// Mounts returns all mounts.
func (t Table) Mounts() []Mount { return cloneAll(t.mounts, Mount.clone) }

// Containers returns all kinds of pots and baskets.
func (t Table) Containers() []Container { return cloneAll(t.containers, Container.clone) }

// Pots returns the nominal pot sizes, smallest first.
func (t Table) Pots() []Pot { return cloneAll(t.pots, Pot.clone) }

// Pests returns all pests.
func (t Table) Pests() []Pest { return cloneAll(t.pests, Pest.clone) }

// Lookup returns the group that a name means: its key, its name, a genus, an
// abbreviation or a label with more on it, in any case, with or without
// accents. A genus whose groups differ in their needs is ambiguous unless
// genera.csv names a default. The error is an *UnknownNameError with the three
// nearest names or an *AmbiguousNameError with the candidates.
func (t Table) Lookup(name string) (Group, error) {
	return lookUp(t.groupNames, t.groups, Group.clone, name)
}

// Medium returns the component that a name means; errors as for Lookup.
func (t Table) Medium(name string) (Medium, error) {
	return lookUp(t.mediumNames, t.media, Medium.clone, name)
}

// Mount returns the mount that a name means; errors as for Lookup.
func (t Table) Mount(name string) (Mount, error) {
	return lookUp(t.mountNames, t.mounts, Mount.clone, name)
}

// Container returns the kind of pot that a name means; errors as for Lookup.
func (t Table) Container(name string) (Container, error) {
	return lookUp(t.containerNames, t.containers, Container.clone, name)
}

// Pot returns the inside measures for a nominal size such as "12 cm" or
// "5 in"; errors as for Lookup.
func (t Table) Pot(name string) (Pot, error) { return lookUp(t.potNames, t.pots, Pot.clone, name) }

// Pest returns the pest that a name means; errors as for Lookup.
func (t Table) Pest(name string) (Pest, error) { return lookUp(t.pestNames, t.pests, Pest.clone, name) }

func lookUp[T any](names finder, all []T, clone func(T) T, name string) (T, error) {
	at, err := names.find(name)
	if err != nil {
		var none T
		return none, err
	}
	return clone(all[at]), nil
}

// Cautions returns the safety texts for a situation, most important first.
func (t Table) Cautions(s Situation) []Caution {
	var fitting []Caution
	for _, c := range t.cautions {
		if c.Situation == s {
			fitting = append(fitting, c)
		}
	}
	return fitting
}

// Signs returns what plants of the group may show at a stage.
func (t Table) Signs(stage CourseStage, g Group) []Sign {
	var fitting []Sign
	for _, s := range t.signs {
		if s.Stage == stage && s.appliesTo(g) {
			fitting = append(fitting, s)
		}
	}
	return fitting
}
