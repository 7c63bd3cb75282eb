package culture_test

import (
	"reflect"
	"testing"

	"velamen/internal/checktable"
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/outcome"
)

func load(t testing.TB) culture.Table {
	t.Helper()
	table, err := culture.Load()
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func TestSpotGroupsHaveTheCollectedFigures(t *testing.T) {
	table := load(t)
	for _, row := range checktable.Rows(t, "groups.csv") {
		g, err := table.Lookup(row["key"])
		if err != nil {
			t.Error(err)
			continue
		}
		for column, got := range map[string]float64{
			"light_low": g.LightFC.Low, "light_high": g.LightFC.High,
			"night_low": g.NightC.Low, "night_high": g.NightC.High,
			"day_low": g.DayC.Low, "day_high": g.DayC.High,
			"rh_low": g.RHPercent.Low, "rh_high": g.RHPercent.High,
			"resents": float64(g.ResentsDisturbance.Is),
		} {
			if want := row.Number(t, column); got != want {
				t.Errorf("%s: %s is %v, want %v", g.Key, column, got, want)
			}
		}
		for column, got := range map[string]string{
			"habit": string(g.Habit.Is), "photosynthesis": string(g.Photosynthesis.Is), "class": string(g.TemperatureClass.Is),
			"repot": g.RepotEvery.String(), "feed": string(g.Feed.Is), "dries": string(g.DriesBetween.Is),
		} {
			if got != row[column] {
				t.Errorf("%s: %s is %q, want %q", g.Key, column, got, row[column])
			}
		}
	}
}

// Counts and column totals of the collected figures, all 99 rows, summed
// independently; they catch a slip in any row that the spot rows leave out.
func TestAllGroupsTogetherMatchTheCollectedFigures(t *testing.T) {
	counts := map[string]int{}
	var totals [9]float64
	for _, g := range load(t).Groups() {
		counts["groups"]++
		for _, word := range []string{string(g.Habit.Is), string(g.Photosynthesis.Is), string(g.TemperatureClass.Is),
			"feed " + string(g.Feed.Is), "dries " + string(g.DriesBetween.Is)} {
			counts[word]++
		}
		for i, v := range []float64{g.LightFC.Low, g.LightFC.High, g.NightC.Low, g.NightC.High, g.DayC.Low, g.DayC.High,
			g.RHPercent.Low, g.RHPercent.High, float64(g.ResentsDisturbance.Is)} {
			totals[i] += v
		}
	}
	for word, want := range map[string]int{
		"groups": 99, "monopodial": 16, "sympodial": 70, "terrestrial": 13, "C3": 58, "CAM": 34, "unknown": 7,
		"cool": 19, "intermediate": 51, "warm": 29, "feed low": 39, "feed medium": 37, "feed high": 23,
		"dries yes": 24, "dries slightly": 43, "dries no": 32,
	} {
		if counts[word] != want {
			t.Errorf("%s: %d groups, want %d", word, counts[word], want)
		}
	}
	want := [9]float64{183800, 334200, 1166, 1715, 1984, 2878, 5345, 7593, 142}
	if totals != want {
		t.Errorf("column totals are %v, want %v", totals, want)
	}
}

// Every figure, band and fact in the tables must stand up: ordered, finite,
// graded, and with a source where its grade claims one.
func TestEveryFigureHasABasis(t *testing.T) {
	table := load(t)
	checked := 0
	for _, g := range table.Groups() {
		checked += checkFigures(t, "group "+g.Key, reflect.ValueOf(g))
	}
	for _, m := range table.Media() {
		checked += checkFigures(t, "medium "+m.Key, reflect.ValueOf(m))
	}
	for _, m := range table.Mounts() {
		checked += checkFigures(t, "mount "+m.Key, reflect.ValueOf(m))
	}
	for _, c := range table.Containers() {
		checked += checkFigures(t, "container "+c.Key, reflect.ValueOf(c))
	}
	for _, p := range table.Pots() {
		checked += checkFigures(t, "pot "+p.Key, reflect.ValueOf(p))
	}
	for _, p := range table.Pests() {
		checked += checkFigures(t, "pest "+p.Key, reflect.ValueOf(p))
	}
	for _, situation := range culture.Situations() {
		checked += checkFigures(t, "caution", reflect.ValueOf(table.Cautions(situation)))
	}
	for _, stage := range culture.CourseStages() {
		for _, g := range table.Groups() {
			checked += checkFigures(t, "sign", reflect.ValueOf(table.Signs(stage, g)))
		}
	}
	checked += checkFigures(t, "mounted", reflect.ValueOf(culture.MountedRecovery()))
	checked += checkFigures(t, "rescue", reflect.ValueOf(culture.RescueFactor()))
	if checked < 3000 {
		t.Errorf("only %d figures were reached; the walk is broken", checked)
	}
}

// checkFigures walks a record and checks what it meets; it returns how many.
func checkFigures(t *testing.T, path string, v reflect.Value) int {
	t.Helper()
	count := 0
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			count += checkFigures(t, path, v.Index(i))
		}
	case reflect.Struct:
		switch known := v.Interface().(type) {
		case basis.Value:
			if err := known.Check(); err != nil {
				t.Errorf("%s: %v", path, err)
			}
			return 1
		case culture.Band:
			if err := known.Value().Check(); err != nil {
				t.Errorf("%s: %v", path, err)
			}
			return 1
		case culture.Optional:
			if !known.Known {
				return 0
			}
		case culture.Division:
			if !known.Possible {
				return 0
			}
		case culture.Schedule:
			if !known.Known {
				return 0
			}
		}
		if grade := v.FieldByName("Grade"); grade.IsValid() {
			word := basis.Value{Grade: grade.Interface().(basis.Grade), Source: v.FieldByName("Source").String()}
			if err := word.Check(); err != nil {
				t.Errorf("%s: %v", path, err)
			}
			count++
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				count += checkFigures(t, path+" "+v.Type().Field(i).Name, v.Field(i))
			}
		}
	}
	return count
}

// A field is published only where the row lists it as read, so that no figure
// from memory passes for a read one.
func TestGradesFollowWhatWasRead(t *testing.T) {
	table := load(t)
	for key, want := range map[string][4]basis.Grade{ // light, night, humidity, feed
		"masdevallia":        {basis.Published, basis.Published, basis.Published, basis.FromMemory},
		"phalaenopsis":       {basis.Published, basis.FromMemory, basis.Published, basis.FromMemory}, // night read as a floor only
		"stanhopea":          {basis.FromMemory, basis.Published, basis.Published, basis.FromMemory}, // light read as one point
		"dracula":            {basis.Published, basis.Published, basis.FromMemory, basis.FromMemory}, // humidity read was lower
		"cymbidium-standard": {basis.FromMemory, basis.Published, basis.Published, basis.Published},
		"restrepia":          {basis.FromMemory, basis.FromMemory, basis.FromMemory, basis.FromMemory}, // address not kept
		"lepanthes":          {basis.FromMemory, basis.FromMemory, basis.FromMemory, basis.FromMemory},
	} {
		g, err := table.Lookup(key)
		if err != nil {
			t.Fatal(err)
		}
		got := [4]basis.Grade{g.LightFC.Grade, g.NightC.Grade, g.RHPercent.Grade, g.Feed.Grade}
		if got != want {
			t.Errorf("%s: light, night, humidity and feed are %v, want %v", key, got, want)
		}
	}
}

func TestGroupsArePlausible(t *testing.T) {
	for _, g := range load(t).Groups() {
		switch {
		case g.NightC.Low > g.DayC.Low || g.NightC.High > g.DayC.High:
			t.Errorf("%s: nights %v to %v °C are warmer than days %v to %v °C", g.Key, g.NightC.Low, g.NightC.High, g.DayC.Low, g.DayC.High)
		case g.Derived.LightFloorFC.High >= g.LightFC.Low:
			t.Errorf("%s: light floor up to %v fc is not below the usual %v fc", g.Key, g.Derived.LightFloorFC.High, g.LightFC.Low)
		case g.Division.Possible == (g.Habit.Is == culture.Monopodial):
			t.Errorf("%s: %s, yet division %v", g.Key, g.Habit.Is, g.Division)
		case g.Leaf.Is == culture.ThickLeaf && g.Photosynthesis.Is == culture.C3:
			t.Errorf("%s: a thick leaf is computed as CAM, yet it is C3", g.Key)
		case g.Storage.Is == culture.PseudobulbStore && g.Habit.Is == culture.Monopodial:
			t.Errorf("%s: a monopodial plant has no pseudobulbs", g.Key)
		}
		r := g.Derived.Recovery
		for name, delay := range map[string]culture.Prior{"first root": r.FirstRoot, "re-established": r.Reestablished,
			"first root off season": r.FirstRootOffSeason, "re-established off season": r.ReestablishedOffSeason} {
			if _, err := outcome.NewLogNormalPrior(delay.Days, outcome.PriorPlants); err != nil {
				t.Errorf("%s: %s is no distribution: %v", g.Key, name, err)
			}
		}
		if r.FirstRoot.Days.Value >= r.Reestablished.Days.Value || r.FirstRoot.Days.Value >= r.FirstRootOffSeason.Days.Value ||
			r.Reestablished.Days.Value >= r.ReestablishedOffSeason.Days.Value {
			t.Errorf("%s: recovery out of order: %+v", g.Key, r)
		}
	}
}

func TestTableHandsOutCopies(t *testing.T) {
	table := load(t)
	g, err := table.Lookup("phalaenopsis")
	if err != nil {
		t.Fatal(err)
	}
	g.Aliases[0], g.Media.Is[0] = "spoilt", "spoilt"
	table.Groups()[0].Aliases[0] = "spoilt"
	table.Pests()[0].Stages[0].Name = "spoilt"
	table.Media()[0].Aliases[0] = "spoilt"
	table.Mounts()[0].Aliases[0] = "spoilt"
	table.Containers()[0].Aliases[0] = "spoilt"
	table.Pots()[0].Aliases[0] = "spoilt"
	if !reflect.DeepEqual(table, load(t)) {
		t.Error("a change to what the table handed out changed the table")
	}
}
