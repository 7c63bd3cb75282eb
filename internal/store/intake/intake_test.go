package intake_test

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/demo"
	"velamen/internal/store/intake"
	"velamen/internal/store/storetest"
)

var now = time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC)

var tables = func() culture.Table {
	t, err := culture.Load()
	if err != nil {
		panic(err)
	}
	return t
}()

func into(have ...care.Entry) intake.Into {
	n := 0
	return intake.Into{Have: care.Replay(have, now), Tables: tables, Now: now, NewID: func() string { n++; return storetest.ID(n) }}
}

func replay(d intake.Draft) *care.Collection { return care.Replay(d.Entries, now.AddDate(1, 0, 0)) }

func read(t *testing.T, text string, o intake.SheetOptions) intake.Sheet {
	t.Helper()
	s, err := intake.ReadSheet(strings.NewReader(text), o, into())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// summary tells a plant of a collection in one line.
func summary(t *testing.T, c *care.Collection, label string) string {
	t.Helper()
	p, err := c.ByLabel(label)
	if err != nil {
		t.Fatal(err)
	}
	r := p.Record
	text := fmt.Sprintf("%s|%s|%s|%s", r.Label, r.Name, r.Group, r.Space)
	if len(p.Repots) > 0 {
		text += "|" + r.Repot.Date.Format(time.DateOnly) + "|" + string(r.Repot.Work)
		if k := r.Repot.To.Container; k != nil {
			text += fmt.Sprintf("|%g cm %s", k.NominalCm.Value, k.Material)
		}
		for _, m := range r.Repot.To.Medium {
			text += fmt.Sprintf("|%g %s", m.Parts, m.Medium)
		}
		if r.Repot.RootsKept.Grade != 0 {
			text += fmt.Sprintf("|roots %g", r.Repot.RootsKept.Value)
		}
	}
	return text
}

// The same three plants as several programs and countries write them.
func TestSpreadsheetsOfManyForms(t *testing.T) {
	want := []string{
		"C-1|Cattleya 'Ferry Lights'|cattleya|balcony|2026-10-18|divided|14 cm clay|7 medium bark|3 perlite|roots 0.6",
		"B-2|Brassavola nodosa|brassavola|terrace|2026-11-01|",
		"P-3|Unnamed|phalaenopsis|balcony",
	}
	for name, c := range map[string]struct {
		text string
		o    intake.SheetOptions
	}{
		"commas": {text: "label,name,group,space,repotted,work,pot,material,medium,roots kept\n" +
			"C-1,Cattleya 'Ferry Lights',cattleya,balcony,2026-10-18,divided,14 cm,clay,7 medium bark + 3 perlite,60 %\n" +
			"B-2,Brassavola nodosa,brassavola,terrace,2026-11-01,,,,,\n" +
			"P-3,Unnamed,phalaenopsis,balcony,,,,,,\n"},
		"semicolons, decimal commas, days first, a byte order mark": {text: "\uFEFFTag;Cultivar;Genus;Bench;Date potted;Work;Pot (cm);Pot material;Mix;Roots kept (%)\r\n" +
			"C-1;Cattleya 'Ferry Lights';cattleya;balcony;18.10.2026;Divided;14,0;clay;7 medium bark/3 perlite;60,0\r\n" +
			"\r\n" +
			"B-2;Brassavola nodosa;brassavola;terrace;1.11.26;;;;;\r\n" +
			"P-3;Unnamed;phalaenopsis;balcony;;;;;;\r\n"},
		"tabs, months first, inches, columns named by hand": {
			text: "Code\tWhat\tGenus\tWhere\tWhen\tDone\tSize [in]\tMade of\tIn\tRoots\n" +
				"C-1\tCattleya 'Ferry Lights'\tcattleya\tbalcony\t10/18/2026\tdivided\t5.511811023622047\tclay\t70% medium bark & 30% perlite\t0.6\n" +
				"B-2\tBrassavola nodosa\tbrassavola\tterrace\t11/1/2026\t\t\t\t\t\n" +
				"P-3\tUnnamed\tphalaenopsis\tbalcony\t\t\t\t\t\t\n",
			o: intake.SheetOptions{Map: map[intake.Field]string{
				intake.Label: "Code", intake.Name: "what", intake.Repotted: "When", intake.Work: "Done", intake.Pot: "Size [in]", intake.Material: "Made of", intake.Medium: "In", intake.RootsKept: "Roots",
			}}},
		"a line that names the delimiter, months by name": {text: "sep=;\nlabel;name;group;space;repotted;work;pot;material;medium;roots kept\n" +
			"C-1;Cattleya 'Ferry Lights';cattleya;balcony;18 Oct 2026;divided;140 mm;clay;7 medium bark, 3 perlite;60%\n" +
			"B-2;Brassavola nodosa;brassavola;terrace;November 1st, 2026;;;;;\n" +
			"P-3;Unnamed;phalaenopsis;balcony;;;;;;\n"},
	} {
		t.Run(name, func(t *testing.T) {
			s := read(t, c.text, c.o)
			if n := s.Problems(); n > 0 || s.Plants() != 3 {
				t.Fatalf("%d problems, %d plants: %+v", n, s.Plants(), s.Rows)
			}
			got := replay(s.Draft)
			for _, want := range want {
				label, _, _ := strings.Cut(want, "|")
				line := strings.Replace(summary(t, got, label), "70 medium bark|30 perlite", "7 medium bark|3 perlite", 1)
				if line != want {
					t.Errorf("got  %s\nwant %s", line, want)
				}
			}
			if len(got.Spaces) != 2 {
				t.Errorf("spaces: %+v", got.Spaces)
			}
		})
	}
}

// What is wrong stands at its row and names the column.
func TestProblemsStandAtTheirRows(t *testing.T) {
	const head = "label,name,group,leaves,repotted,pot,pot material,medium,roots kept,vigour\n"
	for row, want := range map[string]string{
		"A,x,cattleya,many,,,,,,":                           `leaves: "many" has no number in front`,
		"A,x,cattleya,2.5,,,,,,":                            "leaves: \"2.5\" is not a whole number",
		"A,x,cattleya,9000,,,,,,":                           "leaves: \"9000\" lies outside 0 to 5000",
		"A,x,cattleya,\"1,200\",,,,,,":                      "can be read in two ways",
		"A,x,cattleya,,yesterday,,,,,":                      "repotted: \"yesterday\" is not a date",
		"A,x,cattleya,,2026-02-30,,,,,":                     "repotted: there is no day 30 of month 2 in 2026",
		"A,x,cattleya,,2031-01-01,,,,,":                     "at: 2031-01-01 lies in the future",
		"A,x,cattleya,,1975-01-01,,,,,":                     "at: 1975-01-01 lies before 1980",
		"A,x,cattleya,,2026-10-01,12,,,,":                   "pot: \"12\" has no unit",
		"A,x,cattleya,,2026-10-01,12 ells,,,,":              `pot: "12 ells": the unit "ells" is not known`,
		"A,x,cattleya,,2026-10-01,900 cm,,,,":               "pot: \"900 cm\" lies outside 1 to 150 cm",
		"A,x,cattleya,,2026-10-01,,glass,,,":                "pot material: no ",
		"A,x,cattleya,,2026-10-01,,,stardust,,":             "medium: no medium is called",
		"A,x,cattleya,,2026-10-01,,,-3 medium bark,,":       "the parts of a mix",
		"A,x,cattleya,,2026-10-01,,,,60,":                   "roots kept: \"60\" lies outside 0 to 100 %",
		"A,x,cattleya,,,,,,,splendid":                       "vigour: \"splendid\" is not one of strong, ordinary, weak, rescue",
		"A,x,cattleya,,,,,,,\nA,y,cattleya,,,,,,,":          "the label A is in use already",
		"A,x,cattleya,,,,,,,\na ,y,cattleya,,,,,,,":         "the label a is in use already",
		strings.Repeat("A", 600) + ",x,cattleya,,,,,,,":     "label: the cell is too long",
		"A,x,cattleya,1e99999999999999999999999999,,,,,,":   "is not a whole number",
		"A,x,cattleya,,12/10/2026T,,,,,\nB,x,,,nonsense,,,": "is not a date",
	} {
		s, err := intake.ReadSheet(strings.NewReader(head+row+"\n"), intake.SheetOptions{Dates: intake.DayFirst}, into())
		if err != nil {
			t.Errorf("%s: %v", row, err)
			continue
		}
		var all []string
		for _, r := range s.Rows {
			for _, p := range r.Problems {
				all = append(all, fmt.Sprintf("line %d: %s", r.Line, p))
			}
		}
		if !strings.Contains(strings.Join(all, "\n"), want) {
			t.Errorf("%.60s: problems are %q, want %q", row, all, want)
		}
	}
}

// What keeps a whole file from being read.
func TestUnreadableSpreadsheets(t *testing.T) {
	for text, want := range map[string]string{
		"":                                     "empty",
		"PK\x03\x04…":                          "save it as CSV",
		"\xff\xfel\x00":                        "UTF-16",
		"label\xe9,x\n1,2\n":                   "not UTF-8",
		"label,name\n":                         "no rows below",
		"colour,height\nred,3\n":               "no column is headed label or name",
		"label,repotted\nA,3/4/2026\n":         "dmy or mdy",
		"label,repotted\nA,13/4/26\nB,4/13/26": "several orders",
		"label,name\nA,x,surplus\n":            "3 cells under 2 headings",
		strings.Repeat("a,", 300) + "\n1\n":    "columns",
		"label\n" + strings.Repeat("x\n", intake.MaxSheetRows+1): "more than 20000 rows",
	} {
		if _, err := intake.ReadSheet(strings.NewReader(text), intake.SheetOptions{}, into()); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.30q: %v, want %q", text, err, want)
		}
	}
	for _, o := range []intake.SheetOptions{
		{Map: map[intake.Field]string{intake.Label: "nowhere"}},
		{Map: map[intake.Field]string{intake.Label: "tag", intake.Name: "Tag"}},
		{Dates: "ydm"},
	} {
		if _, err := intake.ReadSheet(strings.NewReader("tag,name\nA,x\n"), o, into()); err == nil {
			t.Errorf("%+v was accepted", o)
		}
	}
}

func TestParseMap(t *testing.T) {
	got, err := intake.ParseMap(`label=Tag, group=Genus ,repotted="Date potted, or bought"`)
	want := map[intake.Field]string{intake.Label: "Tag", intake.Group: "Genus", intake.Repotted: "Date potted, or bought"}
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Error(diff, err)
	}
	for _, wrong := range []string{"label", "colour=Red", "label=A,label=B"} {
		if _, err := intake.ParseMap(wrong); err == nil {
			t.Errorf("%q was accepted", wrong)
		}
	}
}

// One date that leaves no doubt settles all the others.
func TestTheOrderOfDatesIsFoundFromAll(t *testing.T) {
	for text, want := range map[string]string{
		"3/4/2026\n25/4/2026":  "2026-04-03",
		"3/4/2026\n4/25/2026":  "2026-03-04",
		"3.4.2026\n3.5.2026":   "2026-04-03",
		"3-Apr-2026\n3-5-2026": "",
	} {
		var b strings.Builder
		b.WriteString("label,repotted\n")
		for i, date := range strings.Split(text, "\n") {
			fmt.Fprintf(&b, "P-%d,%s\n", i, date)
		}
		s, err := intake.ReadSheet(strings.NewReader(b.String()), intake.SheetOptions{}, into())
		if want == "" {
			if err == nil {
				t.Errorf("%q leaves a doubt, but was read as %v", text, s.Dates)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if got := summary(t, replay(s.Draft), "P-0"); !strings.Contains(got, want) {
			t.Errorf("%q: the first is %s, want %s", text, got, want)
		}
	}
}

func TestWhatTheCollectionKnowsStays(t *testing.T) {
	have := []care.Entry{
		{ID: storetest.ID(1000), At: now, Kind: care.SpaceSet, Detail: care.Detail{Space: &care.Space{Name: "Balcony", Kind: care.Balcony}}},
		{ID: storetest.ID(1001), At: now, Kind: care.PlantSet, Plant: storetest.PlantID(9), Detail: care.Detail{Plant: &care.Plant{Label: "C-1"}}},
	}
	s, err := intake.ReadSheet(strings.NewReader("label,space\nc-1,balcony\nC-2,balcony\n,balcony\n"), intake.SheetOptions{}, into(have...))
	if err != nil {
		t.Fatal(err)
	}
	if s.Problems() != 1 || !strings.Contains(s.Rows[0].Problems[0], "in use") || s.Rows[2].What != "plant P-001" {
		t.Errorf("%+v", s.Rows)
	}
	for _, e := range s.Entries {
		if e.Kind == care.SpaceSet {
			t.Errorf("a known space is added: %+v", e)
		}
	}
}

// A case file comes in whole: the collection gives the same courses.
func TestACaseFileGivesTheSameCourses(t *testing.T) {
	kase, units, err := casefile.Read(strings.NewReader(demo.CaseFile(now)), "demo", tables)
	if err != nil {
		t.Fatal(err)
	}
	d := intake.Case(kase, units, into())
	if d.Problems() != 0 || d.Plants() != len(kase.Plants) {
		t.Fatalf("%d problems, %d plants of %d", d.Problems(), d.Plants(), len(kase.Plants))
	}
	c := replay(d)
	if c.Settings.Units != units {
		t.Errorf("units are %+v, were %+v", c.Settings.Units, units)
	}
	for _, p := range kase.Plants {
		state, err := c.ByLabel(p.Label)
		if err != nil {
			t.Fatal(err)
		}
		want, err := care.NewCourse(kase, p, tables, now)
		if err != nil {
			t.Fatal(err)
		}
		got, err := care.NewCourse(c.Case(), state.Record, tables, now)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", p.Label, diff)
		}
	}
	// A second time everything is known, and every label taken.
	again := intake.Case(kase, units, into(d.Entries...))
	if again.Problems() != len(kase.Plants) {
		t.Errorf("a second time there are %d problems, want one per plant", again.Problems())
	}
	for _, e := range again.Entries {
		if e.Plant == "" {
			t.Errorf("a second time %s is added", e.Kind)
		}
	}
}

func TestGuardedCellsComeBack(t *testing.T) {
	for cell, want := range map[string]string{
		"=1+2": "'=1+2", "+49 30": "'+49 30", "-": "'-", "@x": "'@x", "\tx": "'\tx", "'=1": "''=1", "-3.5": "-3.5", "-3,5": "'-3,5",
		"plain": "plain", "'Ferry Lights'": "'Ferry Lights'", "": "", "-2+3": "'-2+3", "-.5": "'-.5", "-5.": "'-5.",
	} {
		if got := intake.Guard(cell); got != want {
			t.Errorf("%q becomes %q, want %q", cell, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.StringOf(rapid.SampledFrom([]rune("'=+-@\t\r1.a,"))).Draw(t, "cell")
		guarded := intake.Guard(cell)
		if back := intake.Unguard(guarded); back != cell {
			t.Fatalf("%q became %q and then %q", cell, guarded, back)
		}
		if guarded != "" && strings.ContainsRune("=+@\t\r", rune(guarded[0])) {
			t.Fatalf("%q is not guarded", guarded)
		}
	})
}

func FuzzReadSheet(f *testing.F) {
	f.Add([]byte("label,name,repotted,pot\nA,x,2026-10-01,12 cm\n"), "")
	f.Add([]byte("sep=;\nTag;Genus;Date potted\nB;Cattleya;3.4.26\n"), "label=Tag")
	f.Add([]byte("name\tmedium\n\"x\"\"\t7 medium bark + 3 perlite\n"), "name=name")
	example, err := os.ReadFile("testdata/plants.csv")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(example, "")
	f.Fuzz(func(t *testing.T, text []byte, mapping string) {
		chosen, err := intake.ParseMap(mapping)
		if err != nil {
			return
		}
		s, err := intake.ReadSheet(strings.NewReader(string(text)), intake.SheetOptions{Map: chosen}, into())
		if err != nil {
			return
		}
		if len(s.Rows) == 0 || s.Plants() != len(s.Rows) {
			t.Fatalf("%d rows, %d plants", len(s.Rows), s.Plants())
		}
		if s.Problems() > 0 {
			return
		}
		labels := map[string]bool{}
		for _, e := range s.Entries {
			if problems := e.Check(now); len(problems) > 0 {
				t.Fatalf("an entry is invalid and no row says so: %v", problems)
			}
			if e.Kind == care.PlantSet {
				label := strings.ToLower(e.Detail.Plant.Label)
				if labels[label] {
					t.Fatalf("the label %q is there twice", label)
				}
				labels[label] = true
			}
		}
		replay(s.Draft)
	})
}
