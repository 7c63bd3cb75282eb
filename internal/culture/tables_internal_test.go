package culture

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Each source is cited, and no citation is left over from a figure now gone.
func TestEverySourceIsUsed(t *testing.T) {
	found := &problems{}
	files, err := embedded.ReadDir("data")
	if err != nil {
		t.Fatal(err)
	}
	cells := map[string]bool{}
	for _, file := range files {
		if file.Name() == "sources.csv" {
			continue
		}
		content, err := embedded.ReadFile("data/" + file.Name())
		if err != nil {
			t.Fatal(err)
		}
		header, _, _ := strings.Cut(string(content), "\n")
		columns := strings.Split(header, ",")
		for _, r := range readSheet(file.Name(), strings.NewReader(string(content)), columns, columns, found) {
			for column, cell := range r.cells {
				if strings.HasSuffix(column, "source") {
					cells[cell] = true
				}
			}
		}
	}
	for _, r := range sheetOf("sources.csv", found, "key", "citation") {
		if !cells[r.cells["key"]] {
			t.Errorf("nothing cites %s", r.cells["key"])
		}
	}
	if err := found.err(); err != nil {
		t.Fatal(err)
	}
}

// The readers of the embedded tables are as strict as that of the grower's
// rows: a slip in an edited table stops the program at once.
func TestEmbeddedTablesAreReadStrictly(t *testing.T) {
	sources := citations{"book": "A book"}
	for name, row := range map[string]struct {
		read   func(rows []row)
		rows   string
		column string
	}{
		"grade":            {func(r []row) { readCautions(r, sources) }, "situation,text,grade,source\nmoss,Gloves,guess,book\n", "grade"},
		"source missing":   {func(r []row) { readCautions(r, sources) }, "situation,text,grade,source\nmoss,Gloves,published,\n", "source"},
		"source unknown":   {func(r []row) { readCautions(r, sources) }, "situation,text,grade,source\nmoss,Gloves,assumption,film\n", "source"},
		"situation":        {func(r []row) { readCautions(r, sources) }, "situation,text,grade,source\ntea,Gloves,published,book\n", "situation"},
		"no text":          {func(r []row) { readCautions(r, sources) }, "situation,text,grade,source\nmoss,,published,book\n", "text"},
		"sign stage":       {func(r []row) { readSigns(r, sources) }, "stages,habits,leaves,stores,meaning,text,grade,source\nfirst,,,,normal,Fine,published,book\n", "stages"},
		"sign meaning":     {func(r []row) { readSigns(r, sources) }, "stages,habits,leaves,stores,meaning,text,grade,source\nsettling,,,,odd,Fine,published,book\n", "meaning"},
		"source twice":     {func(r []row) { readCitations(r) }, "key,citation\na,A\na,B\n", "key"},
		"no citation":      {func(r []row) { readCitations(r) }, "key,citation\na,\n", "citation"},
		"pot too large":    {func(r []row) { readPots(r) }, "key,name,aliases,top_cm,base_cm,height_cm\nbig,big,,200,10,10\n", "top_cm"},
		"wall factor":      {func(r []row) { readContainers(r, sources) }, "key,name,aliases,value,low,high,by_contact,grade,source,note\nx,x,,0.5,0.6,0.9,no,assumption,,\n", "value"},
		"yes or no":        {func(r []row) { readContainers(r, sources) }, "key,name,aliases,value,low,high,by_contact,grade,source,note\nx,x,,0.5,0.4,0.9,perhaps,assumption,,\n", "by_contact"},
		"mount store":      {func(r []row) { readMounts(r, sources) }, "key,name,aliases,store_mm,reference_mm,grade,source,vapour_share,vapour_grade,vapour_source,note\nx,x,,wet,0,assumption,,0 to 1,assumption,,\n", "store_mm"},
		"key twice":        {func(r []row) { readPots(r) }, "key,name,aliases,top_cm,base_cm,height_cm\nx,x,,9,9,9\nx,y,,9,9,9\n", "key"},
		"bad key":          {func(r []row) { readPots(r) }, "key,name,aliases,top_cm,base_cm,height_cm\n-x,x,,9,9,9\n", "key"},
		"medium figure of": {func(r []row) { readMedia(nil, r, sources) }, "medium,quantity,value,low,high,grade,source\nmud,bypass,0,0,0,assumption,\n", "medium"},
		"stage of":         {func(r []row) { readPests(nil, r, sources) }, "pest,stage\ncat,egg\n", "pest"},
		"recheck days": {func(r []row) { readPests(r, nil, sources) },
			"key,name,where,where_grade,where_source,harmless,first_recheck_days,passes,keep_watching_days,schedule_grade,schedule_source\nx,x,here,assumption,,no,5; 4,3,9; 8; 7,assumption,\n", "first_recheck_days"},
		"watching days": {func(r []row) { readPests(r, nil, sources) },
			"key,name,where,where_grade,where_source,harmless,first_recheck_days,passes,keep_watching_days,schedule_grade,schedule_source\nx,x,here,assumption,,no,5; 4; 3,3,9; soon; 7,assumption,\n", "keep_watching_days"},
	} {
		found := &problems{}
		header, _, _ := strings.Cut(row.rows, "\n")
		columns := strings.Split(header, ",")
		row.read(readSheet("table.csv", strings.NewReader(row.rows), columns, columns, found))
		if len(found.errs) != 1 || found.errs[0].(*RowError).Column != row.column {
			t.Errorf("%s: problems %v, want one in column %s", name, found.errs, row.column)
		}
	}
}

func TestFiguresOfAMediumAndAStage(t *testing.T) {
	read := func(rows string, found *problems) []row {
		header, _, _ := strings.Cut(rows, "\n")
		columns := strings.Split(header, ",")
		return readSheet("table.csv", strings.NewReader(rows), columns, columns, found)
	}
	found := &problems{}
	readMedia(read("key,name,aliases,cec,cec_grade,cec_source,dries_throughout,note\nmud,mud,,low,assumption,,no,\n", found),
		read("medium,quantity,value,low,high,grade,source\nmud,bypass,0,0,0,assumption,\nmud,bypass,0,0,0,assumption,\nmud,taste,0,0,0,assumption,\n", found), nil)
	text := found.err().Error()
	for _, want := range []string{"only once", "a known quantity", "a figure for theta_capacity of this medium"} {
		if !strings.Contains(text, want) {
			t.Errorf("nothing about %q in:\n%s", want, text)
		}
	}
	found = &problems{}
	pests := "key,name,where,where_grade,where_source,harmless,first_recheck_days,passes,keep_watching_days\nx,x,here,assumption,,yes,,,\n"
	stages := "pest,stage,threshold_c,threshold_low,threshold_high,constant_dd,constant_low,constant_high,model_grade,model_source,upper_c,observed,observed_grade,observed_source\n" +
		"x,egg,10,11,12,100,90,110,assumption,,,9 at noon,assumption,\n"
	readPests(read(pests, found), read(stages, found), nil)
	text = found.err().Error()
	for _, want := range []string{"column threshold_c", "between its low and high", "column observed", `"8.9 at 20"`} {
		if !strings.Contains(text, want) {
			t.Errorf("nothing about %q in:\n%s", want, text)
		}
	}
}

func TestEditDistance(t *testing.T) {
	// The usual textbook pair, and the ends of the range.
	for _, row := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"", "abc", 3}, {"abc", "abc", 0}, {"flaw", "lawn", 2}} {
		if got := editDistance(row.a, row.b); got != row.want {
			t.Errorf("%q to %q: %d, want %d", row.a, row.b, got, row.want)
		}
	}
	word := rapid.StringMatching("[a-dé]{0,8}")
	rapid.Check(t, func(t *rapid.T) { // a metric: symmetric, zero only for equals, triangle
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		ab, ba, bc, ac := editDistance(a, b), editDistance(b, a), editDistance(b, c), editDistance(a, c)
		if ab != ba || (ab == 0) != (a == b) || ac > ab+bc {
			t.Fatalf("%q %q %q: %d %d %d %d", a, b, c, ab, ba, bc, ac)
		}
	})
}

func TestNameWords(t *testing.T) {
	for name, want := range map[string]string{
		"Dendrobium × nóbile 'Oka'": "dendrobium nobile oka",
		"12cm":                      "12 cm",
		"lady's slipper":            "ladys slipper",
		"Ærangis—ÇA ŁŻ":             "aerangis ca lz",
		"e\u0301picea":              "epicea",
		"ßÜŒďñšý":                   "ssuoednsy",
		"–·!":                       "",
	} {
		if got := strings.Join(nameWords(name), " "); got != want {
			t.Errorf("%q reads %q, want %q", name, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) { // reading again changes nothing
		once := nameWords(rapid.String().Draw(t, "name"))
		if again := nameWords(strings.Join(once, " ")); !slices.Equal(once, again) {
			t.Fatalf("%q then %q", once, again)
		}
	})
}

func TestSpansReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-50, 50).Draw(t, "low")
		high := rapid.Float64Range(low, 50).Draw(t, "high")
		from, to, ok := parseSpan(span(low, high), -50, 50)
		if !ok || from != low || to != high {
			t.Fatalf("%v to %v reads back as %v to %v (%v)", low, high, from, to, ok)
		}
	})
}
