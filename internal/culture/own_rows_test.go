package culture_test

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"velamen/internal/culture"
	"velamen/science/basis"
)

const newGroup = `key,name,aliases,habit,photosynthesis,light_fc,temperature_class,night_c,day_c,rh_percent,media,repot_years,repot_trigger,resents_disturbance,rest,feed,dries_between,pot
`

func TestOwnRowReplacesOnlyWhatItFills(t *testing.T) {
	before, err := load(t).Lookup("phalaenopsis")
	if err != nil {
		t.Fatal(err)
	}
	table, err := culture.Load(strings.NewReader("\ufeffKey,light_fc,feed,leaf,photoinhibition_umol\nphalaenopsis,900 to 1300,high,leathery,300\n"))
	if err != nil {
		t.Fatal(err)
	}
	after, err := table.Lookup("Phal.")
	if err != nil {
		t.Fatal(err)
	}
	if want := (culture.Band{Low: 900, High: 1300, Unit: "fc", Grade: basis.Given}); after.LightFC != want {
		t.Errorf("light is %+v, want %+v", after.LightFC, want)
	}
	if after.Feed.Is != culture.HighFeed || after.Feed.Grade != basis.Given {
		t.Errorf("feed is %+v", after.Feed)
	}
	if v := after.PhotoinhibitionUmol.Value; v.Value != 300 || v.Grade != basis.Given {
		t.Errorf("photoinhibition is %+v", v)
	}
	// The engine's fields follow the grower's figures.
	if after.Derived.LightFloorFC.Value != 225 || after.Derived.MinimumConductance.Value != 2.5 {
		t.Errorf("derived fields are %+v", after.Derived)
	}
	if after.NightC != before.NightC || after.Name != before.Name || len(table.Groups()) != 99 {
		t.Error("the row changed more than it fills")
	}
}

func TestOwnRowAddsAGroup(t *testing.T) {
	const rows = newGroup + `my-grastidium,Dendrobium sect. Grastidium,Grastidium; Dendrobium,sympodial,C3,1500 to 2500,warm,16 to 20,22 to 30,60 to 80,fine bark; sphagnum,2,new roots,2,none,medium,no,basket
my-vine,Vanilla by the window,window vanilla,monopodial,CAM,1500 to 3000,warm,18,24 to 30,65 to 85,bark,never,,0,none,low,slightly,pot
`
	table, err := culture.Load(strings.NewReader(strings.Replace(rows, "never,,", "never,when it falls over,", 1)))
	if err != nil {
		t.Fatal(err)
	}
	g, err := table.Lookup("Grastidium sp.")
	if err != nil || g.Key != "my-grastidium" {
		t.Fatalf("found %q, %v", g.Key, err)
	}
	// A genus of several groups may be taken as the grower's usual one.
	if g, err = table.Lookup("Dendrobium"); err != nil || g.Key != "my-grastidium" {
		t.Errorf("Dendrobium means %q, %v", g.Key, err)
	}
	if g.Kin.Grade != basis.Assumption || g.Leaf.Is != culture.ThinLeaf || g.Leaf.Grade != basis.Assumption || g.Storage.Is != culture.NoStorage {
		t.Errorf("what the row leaves empty should be assumed: %+v", g)
	}
	if !g.Division.Possible || g.Division.Fewest.Grade != basis.Assumption {
		t.Errorf("division of a sympodial plant: %+v", g.Division)
	}
	vine, err := table.Lookup("my-vine")
	if err != nil {
		t.Fatal(err)
	}
	if vine.Leaf.Is != culture.ThickLeaf || vine.Kin.Is != (culture.Kin{Family: culture.VandaFamily, Near: true}) || vine.Division.Possible || !vine.RepotEvery.Never {
		t.Errorf("a CAM vine: %+v", vine)
	}
}

// A grower may copy a row of the embedded table, whose last columns say where
// its figures were read: what stands there is passed over, and the figures
// count as given.
func TestOwnRowsMayBeCopiedFromTheEmbeddedTable(t *testing.T) {
	embedded, err := os.ReadFile("data/groups.csv")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitN(string(embedded), "\n", 3)
	if !strings.HasPrefix(lines[1], "phalaenopsis,") || !strings.Contains(lines[0], ",read,photoinhibition_source,sources") {
		t.Fatalf("the embedded table begins with %q", lines[:2])
	}
	for name, rows := range map[string]string{
		"the row of a group":      lines[0] + "\n" + lines[1] + "\n",
		"words of no known grade": "key,light_fc,read,sources,photoinhibition_source\nphalaenopsis,1000 to 1500,\"light_fc; sunshine\",,a friend\n",
	} {
		table, err := culture.Load(strings.NewReader(rows))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		g, err := table.Lookup("phalaenopsis")
		if err != nil {
			t.Fatal(err)
		}
		if want := (culture.Band{Low: 1000, High: 1500, Unit: "fc", Grade: basis.Given}); g.LightFC != want {
			t.Errorf("%s: light is %+v, want %+v", name, g.LightFC, want)
		}
	}
}

func TestOwnRowsAreRefusedWithTheirPlace(t *testing.T) {
	for name, row := range map[string]struct {
		rows   string
		line   int
		column string
		says   string
	}{
		"no file":               {"", 1, "", "header line"},
		"unknown column":        {"key,sunshine\nphalaenopsis,much\n", 1, "", "one of the columns"},
		"column twice":          {"key,feed,feed\nphalaenopsis,low,low\n", 1, "", "only once"},
		"no key":                {"feed\nlow\n", 1, "", "a column key"},
		"semicolons":            {"key;feed\nphalaenopsis;low\n", 1, "", "one of the columns"},
		"short row":             {"key,feed\nphalaenopsis\n", 2, "", "2 cells"},
		"open quote":            {"key,feed\nphalaenopsis,\"low\n", 2, "", "quotes closed"},
		"line break in a cell":  {"key,note\nphalaenopsis,\"a\nb\"\n", 2, "note", "on one line"},
		"not UTF-8":             {"key,note\nphalaenopsis,\xff\n", 2, "note", "UTF-8"},
		"bad key":               {"key,feed\nPhalaenopsis!,low\n", 2, "key", "short key"},
		"key twice":             {"key,feed\nphalaenopsis,low\nphalaenopsis,high\n", 3, "key", "only once"},
		"light upside down":     {"key,light_fc\nphalaenopsis,1500 to 1000\n", 2, "light_fc", "a band"},
		"light in words":        {"key,light_fc\nphalaenopsis,bright\n", 2, "light_fc", "a band"},
		"no number":             {"key,light_fc\nphalaenopsis,NaN\n", 2, "light_fc", "a band"},
		"too hot":               {"key,day_c\nphalaenopsis,20 to 120\n", 2, "day_c", "within these limits"},
		"years":                 {"key,repot_years\nphalaenopsis,often\n", 2, "repot_years", "never"},
		"years or more":         {"key,repot_years\nphalaenopsis,soon or more\n", 2, "repot_years", "never"},
		"word":                  {"key,feed\nphalaenopsis,lots\n", 2, "feed", "low, medium, high"},
		"scale":                 {"key,resents_disturbance\nphalaenopsis,4\n", 2, "resents_disturbance", "0, 1, 2 or 3"},
		"family":                {"key,family\nphalaenopsis,near moon\n", 2, "family", "vanda"},
		"division in words":     {"key,division\nphalaenopsis,some\n", 2, "division", "a count"},
		"division of what":      {"key,division\nphalaenopsis,3 bits\n", 2, "division", "a count"},
		"photoinhibition":       {"key,photoinhibition_umol\nphalaenopsis,5\n", 2, "photoinhibition_umol", "20 to 2500"},
		"media":                 {"key,media\nphalaenopsis,;\n", 2, "media", "semicolons"},
		"name without letters":  {"key,name\nphalaenopsis,---\n", 2, "name", "a name"},
		"alias without letters": {"key,aliases\nphalaenopsis,moth; --\n", 2, "aliases", "semicolons"},
		"alias taken":           {"key,aliases\nphalaenopsis,Dendrobium nobile\n", 2, "aliases", "dendrobium-nobile"},
		"name taken":            {"key,name\nphalaenopsis,Aerides\n", 2, "name", "aerides"},
		"new group, half told":  {"key,name\nmine,Mine\n", 2, "habit", "a new group needs it"},
		"second line counts":    {"key,feed\nphalaenopsis,low\ncattleya-standard,lots\n", 3, "feed", "low, medium, high"},
	} {
		_, err := culture.Load(strings.NewReader(row.rows))
		var first *culture.RowError
		if !errors.As(err, &first) {
			t.Errorf("%s: error %v, want a RowError", name, err)
			continue
		}
		if first.File != "own rows 1" || first.Line != row.line || first.Column != row.column || !strings.Contains(first.Error(), row.says) {
			t.Errorf("%s: %q at line %d, column %q; want line %d, column %q, saying %q", name, first, first.Line, first.Column, row.line, row.column, row.says)
		}
	}
}

func TestAllProblemsAreListedUpToALimit(t *testing.T) {
	_, err := culture.Load(strings.NewReader("key,light_fc,feed\nphalaenopsis,dark,lots\naerides,dark,lots\n"))
	if got := strings.Count(err.Error(), "own rows 1, line"); got != 4 {
		t.Errorf("%d problems listed, want 4:\n%v", got, err)
	}
	_, err = culture.Load(strings.NewReader("key,feed\n" + strings.Repeat("phalaenopsis,lots\n", 400)))
	if lines := strings.Count(err.Error(), "\n"); lines > 60 || !strings.Contains(err.Error(), "more problems not listed") {
		t.Errorf("%d lines of problems", lines)
	}
}

func TestFileNameStandsInTheMessage(t *testing.T) {
	name := filepath.Join(t.TempDir(), "mine.csv")
	if err := os.WriteFile(name, []byte("key,feed\nphalaenopsis,lots\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if _, err = culture.Load(file); err == nil || !strings.Contains(err.Error(), `mine.csv, line 2, column feed: found "lots", expected one of: low, medium, high`) {
		t.Errorf("message %v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error)  { return 0, errors.New("cable pulled") }
func (failing) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestUnreadableAndOversizedFiles(t *testing.T) {
	if _, err := culture.Load(failing{}); err == nil || !strings.Contains(err.Error(), "cable pulled") {
		t.Errorf("error %v", err)
	}
	endless := io.MultiReader(strings.NewReader("key,note\n"), strings.NewReader(strings.Repeat("a", 2<<20)))
	if _, err := culture.Load(endless); err == nil || !strings.Contains(err.Error(), "at most") {
		t.Errorf("error %v", err)
	}
	if err := culture.WriteGroups(failing{}, load(t).Groups()...); err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Errorf("error %v", err)
	}
}

// What is written reads back as the same figures, now given by the grower, and
// writing that again gives the same bytes.
func TestGroupsRoundTrip(t *testing.T) {
	table := load(t)
	var written bytes.Buffer
	if err := culture.WriteGroups(&written, table.Groups()...); err != nil {
		t.Fatal(err)
	}
	first := written.String()
	again, err := culture.Load(&written)
	if err != nil {
		t.Fatal(err)
	}
	var second bytes.Buffer
	if err := culture.WriteGroups(&second, again.Groups()...); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(first, second.String()); diff != "" {
		t.Errorf("the second writing differs:\n%s", diff)
	}
	ignoreBasis := cmp.Options{
		cmp.FilterPath(func(p cmp.Path) bool {
			last := p.Last().String()
			return last == ".Grade" || last == ".Source" || last == ".Stomata"
		}, cmp.Ignore()),
	}
	if diff := cmp.Diff(table.Groups(), again.Groups(), ignoreBasis); diff != "" {
		t.Errorf("figures changed on the way:\n%s", diff)
	}
	if g := again.Groups()[0]; g.LightFC.Grade != basis.Given || g.Division.Possible || g.NightC.Source != "" {
		t.Errorf("read back: %+v", g)
	}
}

// Several files are laid over one another in their order.
func TestLaterFilesWin(t *testing.T) {
	table, err := culture.Load(
		strings.NewReader(newGroup+"mine,Mine,,sympodial,C3,900,warm,16,24,60,bark,2,roots,1,none,low,no,pot\n"),
		strings.NewReader("key,light_fc,division\nmine,1100,2 to 3 canes\n"))
	if err != nil {
		t.Fatal(err)
	}
	g, err := table.Lookup("mine")
	if err != nil {
		t.Fatal(err)
	}
	if g.LightFC.Low != 1100 || g.NightC.Low != 16 || g.Division.String() != "2 to 3 canes" || len(table.Groups()) != 100 {
		t.Errorf("light %v, night %v, division %v, %d groups", g.LightFC, g.NightC, g.Division, len(table.Groups()))
	}
	if _, err := culture.Load(strings.NewReader("key\nphalaenopsis\n"), strings.NewReader("key,feed\nphalaenopsis,lots\n")); err == nil || !strings.Contains(err.Error(), "own rows 2, line 2") {
		t.Errorf("error %v", err)
	}
}
