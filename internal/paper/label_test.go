package paper_test

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"velamen/internal/paper"
)

// sheetGrid is a sheet of A4 with three labels across and eight down, 70 by
// 37 mm: a division of the sheet that is common among label papers.
var sheetGrid = paper.Grid{WidthMM: 210, HeightMM: 297, Rows: 8, Columns: 3, LabelWidth: 70, LabelHeight: 37, TopMargin: 0.5}

// smallGrid has labels of 45.7 by 21.2 mm with margins and gaps.
var smallGrid = paper.Grid{WidthMM: 210, HeightMM: 297, Rows: 12, Columns: 4, LabelWidth: 45.7, LabelHeight: 21.2, LeftMargin: 9.8, TopMargin: 21.5, GapAcross: 2.5}

func someLabels(n int) []paper.Label {
	labels := make([]paper.Label, n)
	for i := range labels {
		labels[i] = paper.Label{
			Label: fmt.Sprintf("C-%03d", i+1), Name: "Cattleya ‘Čeněk Łódź’ × Laelia anceps var. guerrero", Work: "Repotted", Date: "14 Nov 2026",
			Medium: "7 medium bark, 3 perlite", Link: fmt.Sprintf("https://velamen.home.arpa:8420/p/C-%03d", i+1),
		}
	}
	return labels
}

// codeOn is the code that another program (zbar) reads on one label of the
// rendered sheet, framed alone as a telephone frames it.
func codeOn(t *testing.T, path string, g paper.Grid, at int) string {
	t.Helper()
	const dpi = 300 // what an ordinary printer does
	dots := func(mm float64) string { return fmt.Sprintf("%.0f", mm*dpi/25.4) }
	page, at := at/(g.Rows*g.Columns)+1, at%(g.Rows*g.Columns)
	x := g.LeftMargin + float64(at%g.Columns)*(g.LabelWidth+g.GapAcross)
	y := g.TopMargin + float64(at/g.Columns)*(g.LabelHeight+g.GapDown)
	picture := filepath.Join(t.TempDir(), "label")
	number := fmt.Sprint(page)
	tool(t, "pdftoppm", "-r", fmt.Sprint(dpi), "-f", number, "-l", number, "-singlefile", "-x", dots(x), "-y", dots(y), "-W", dots(g.LabelWidth), "-H", dots(g.LabelHeight), "-gray", "-png", path, picture)
	return strings.TrimSpace(string(tool(t, "zbarimg", "-q", "--raw", "-Sdisable", "-Sqrcode.enable", picture+".png")))
}

func TestEveryCodeIsReadBack(t *testing.T) {
	used := smallGrid
	used.Skip = 44
	for name, c := range map[string]struct {
		grid  paper.Grid
		count int
	}{
		"more than a sheet": {sheetGrid, 26}, "small labels, most used": {used, 8}, "a tape of 12 mm": {paper.Tape(62, 12), 2}, "a tape of 29 mm": {paper.Tape(90, 29), 2},
	} {
		labels := someLabels(c.count)
		var pdf bytes.Buffer
		if err := paper.WriteLabels(&pdf, labels, c.grid, day); err != nil {
			t.Fatal(err)
		}
		path := written(t, pdf.Bytes())
		for i, l := range labels {
			if got := codeOn(t, path, c.grid, i+c.grid.Skip); got != l.Link {
				t.Errorf("%s: label %d reads %q, want %q", name, i+1, got, l.Link)
			}
		}
	}
}

// The words stand on the labels whole, in type that can be read: 6 points at
// the least.
func TestLabelsSayWhatTheyShould(t *testing.T) {
	labels := someLabels(3)
	labels[1].Label, labels[1].Name = "2019/0417-B, second piece", strings.Repeat("Rhyncholaeliocattleya ", 4)
	var pdf bytes.Buffer
	if err := paper.WriteLabels(&pdf, labels, sheetGrid, day); err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(words(t, pdf.Bytes()), " ", "")
	for _, l := range labels {
		for _, w := range []string{l.Label, l.Name, l.Date, l.Medium} {
			if !strings.Contains(text, strings.ReplaceAll(w, " ", "")) {
				t.Errorf("%q is not on its label\n%s", w, text)
			}
		}
	}
	for line := range strings.Lines(string(tool(t, "pdftotext", "-bbox", written(t, pdf.Bytes()), "-"))) {
		if !strings.Contains(line, "<word ") {
			continue
		}
		var x0, y0, x1, y1 float64
		if _, err := fmt.Sscanf(strings.TrimSpace(line), `<word xMin="%f" yMin="%f" xMax="%f" yMax="%f">`, &x0, &y0, &x1, &y1); err != nil {
			t.Fatal(err)
		}
		if y1-y0 < 6 {
			t.Errorf("a word is %.1f points high: %s", y1-y0, line)
		}
	}
}

// What is too long even in the smallest type is cut short with an ellipsis and
// named beforehand; nothing runs over the edge, and a short label with a name that
// has no room at all stands whole.
func TestLabelsAreCutShortRatherThanRunOver(t *testing.T) {
	labels := someLabels(4)
	labels[1].Label = strings.Repeat("Ünterschiedlichkeit", 20)
	labels[2].Name = strings.Repeat("Rhyncholaeliocattleya Čeněk ", 12)
	labels[3].Name = "Sc."
	for name, c := range map[string]struct {
		grid     paper.Grid
		cut      []string
		ellipses int
	}{
		"a tape of 12 mm":   {paper.Tape(62, 12), []string{labels[1].Label, labels[2].Label}, 2},
		"the smallest":      {paper.Tape(15, 6), []string{labels[1].Label}, 1},
		"a sheet with room": {paper.Grid{WidthMM: 210, HeightMM: 297, Rows: 4, Columns: 1, LabelWidth: 210, LabelHeight: 74}, nil, 0},
	} {
		if cut := paper.CutShort(labels, c.grid); !slices.Equal(cut, c.cut) {
			t.Errorf("%s: cut short %d labels, want %d: %.40q", name, len(cut), len(c.cut), cut)
		}
		var pdf bytes.Buffer
		if err := paper.WriteLabels(&pdf, labels, c.grid, day); err != nil {
			t.Fatal(err)
		}
		path := written(t, pdf.Bytes())
		text := string(tool(t, "pdftotext", "-bbox", path, "-"))
		if n := strings.Count(text, "…"); n != c.ellipses {
			t.Errorf("%s: %d ellipses, want %d", name, n, c.ellipses)
		}
		high, wide := c.grid.HeightMM*72/25.4, c.grid.WidthMM*72/25.4
		for line := range strings.Lines(text) {
			var x0, y0, x1, y1 float64
			if n, _ := fmt.Sscanf(strings.TrimSpace(line), `<word xMin="%f" yMin="%f" xMax="%f" yMax="%f">`, &x0, &y0, &x1, &y1); n == 4 && (x0 < 0 || y0 < -0.5 || x1 > wide+0.1 || y1 > high+0.5) {
				t.Errorf("%s: runs over the edge: %s", name, line)
			}
		}
	}
}

// A sheet that was used before is used on where its labels begin.
func TestUsedLabelsAreSkipped(t *testing.T) {
	grid := sheetGrid
	grid.Skip = 22
	var pdf bytes.Buffer
	if err := paper.WriteLabels(&pdf, someLabels(3), grid, day); err != nil {
		t.Fatal(err)
	}
	if n := pages(t, pdf.Bytes()); n != 2 {
		t.Errorf("three labels after 22 of 24 take %d pages, want 2", n)
	}
}

func TestMeasuresThatCannotBeAreRefused(t *testing.T) {
	for says, change := range map[string]func(*paper.Grid){
		"labels across run": func(g *paper.Grid) { g.Columns = 4 },
		"labels down run":   func(g *paper.Grid) { g.TopMargin = 20 },
		"rows of":           func(g *paper.Grid) { g.Rows = 0 },
		"skipped":           func(g *paper.Grid) { g.Skip = 24 },
		"label's height":    func(g *paper.Grid) { g.LabelHeight = 2 },
		"sheet's width":     func(g *paper.Grid) { g.WidthMM = 1e9 },
		"margin on top":     func(g *paper.Grid) { g.TopMargin = -1 },
	} {
		g := sheetGrid
		change(&g)
		if err := paper.WriteLabels(&bytes.Buffer{}, nil, g, day); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", says, err)
		}
	}
}

// Promised are 500 labels within two seconds.
func BenchmarkLabels500(b *testing.B) {
	labels := someLabels(500)
	for b.Loop() {
		var pdf bytes.Buffer
		if err := paper.WriteLabels(&pdf, labels, sheetGrid, day); err != nil {
			b.Fatal(err)
		}
	}
}
