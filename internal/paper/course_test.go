package paper_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/paper"
)

var day = time.Date(2026, 11, 24, 0, 0, 0, 0, time.UTC)

// example is the case that the command writes to start from.
func example(t testing.TB) (care.Case, care.Units, culture.Table) {
	t.Helper()
	tables, err := culture.Load()
	if err != nil {
		t.Fatal(err)
	}
	kase, units, err := casefile.Read(strings.NewReader(casefile.Example()), "example", tables)
	if err != nil {
		t.Fatal(err)
	}
	return kase, units, tables
}

// tool runs a program of the outside; it is missing only where somebody works
// on something else.
func tool(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("VELAMEN_PEERS") == "required" {
			t.Fatalf("%s is missing; scripts/test installs it", name)
		}
		t.Skipf("%s is not installed here", name)
	}
	command := exec.Command(path, args...)
	var said bytes.Buffer
	command.Stderr = &said
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, said.String())
	}
	return out
}

// written puts a document into a file.
func written(t *testing.T, pdf []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(path, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// words is the text of a document as another program (poppler) finds it, with
// all space between words made one.
func words(t *testing.T, pdf []byte) string {
	t.Helper()
	return strings.Join(strings.Fields(string(tool(t, "pdftotext", "-raw", written(t, pdf), "-"))), " ")
}

func pages(t *testing.T, pdf []byte) int {
	t.Helper()
	for line := range strings.Lines(string(tool(t, "pdfinfo", written(t, pdf)))) {
		if rest, ok := strings.CutPrefix(line, "Pages:"); ok {
			return int(parse(t, strings.TrimSpace(rest)))
		}
	}
	t.Fatal("pdfinfo tells no number of pages")
	return 0
}

func parse(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func sheetOf(t *testing.T, plant int, change func(*care.Plant)) paper.Sheet {
	t.Helper()
	kase, units, tables := example(t)
	p := kase.Plants[plant]
	if change != nil {
		change(&p)
	}
	course, err := care.NewCourse(kase, p, tables, day)
	if err != nil {
		t.Fatal(err)
	}
	return paper.Sheet{Course: course, Home: p.Repot.To, Units: units}
}

func TestTheHandOutSaysWhatTheCourseSays(t *testing.T) {
	for _, size := range paper.Sizes {
		for plant := range 2 {
			sheet := sheetOf(t, plant, nil)
			var pdf bytes.Buffer
			if err := paper.WriteCourse(&pdf, sheet, size); err != nil {
				t.Fatal(err)
			}
			text, c, u := words(t, pdf.Bytes()), &sheet.Course, sheet.Units
			want := []string{
				c.Label, c.Advice, u.Show(c.Now.DayHeatCapC.Value), u.Show(c.Now.FeedECmS.Value), u.ShowRange(c.Now.Factor.Value),
				"Water and feed", u.Show(c.Flush.Total.Value), "Cautions", "The weeks",
			}
			for _, sign := range append(append([]care.Sign{}, c.Normal...), c.NotNormal...) {
				want = append(want, sign.Text)
			}
			want = append(want, c.Cautions...)
			for _, w := range want {
				if !strings.Contains(text, strings.Join(strings.Fields(w), " ")) {
					t.Errorf("%s, %s: the page does not say %q\n%s", c.Label, size.Name, w, text)
				}
			}
			if n := pages(t, pdf.Bytes()); n != 1 {
				t.Errorf("%s on %s takes %d pages, want one", c.Label, size.Name, n)
			}
		}
	}
}

// A name of any length stays whole, inside the page.
func TestLongNamesAreNeverCut(t *testing.T) {
	for name, label := range map[string]string{
		"Rhyncholaeliocattleya ‘Übergröße des Nordabends’ × (Brassavola nodosa × Laelia anceps var. guerrero) ‘Čeněk Łódź’ 4N": "GEWÄCHSHAUS-LINKS-0000123456789",
		strings.Repeat("Ångström", 30): strings.Repeat("W", 60),
		// Letters that the first font lacks: Vietnamese, Cyrillic of the Caucasus, and
		// a Latin name whose accents come as letters of their own.
		"Lan hồ điệp ‘Đẹp Nhất’":              "Ҡыҙыл-1",
		"Dendrobium ‘Z\u0307o\u0301\u0142ty’": "Жёлтый куст",
	} {
		sheet := sheetOf(t, 0, func(p *care.Plant) { p.Name, p.Label = name, label })
		var pdf bytes.Buffer
		if err := paper.WriteCourse(&pdf, sheet, paper.A4); err != nil {
			t.Fatal(err)
		}
		squeezed := strings.ReplaceAll(words(t, pdf.Bytes()), " ", "")
		for _, w := range []string{name, label} {
			if !strings.Contains(squeezed, norm.NFC.String(strings.ReplaceAll(w, " ", ""))) {
				t.Errorf("%q is not on the page whole\n%s", w, squeezed)
			}
		}
		inside(t, pdf.Bytes(), paper.A4)
	}
}

// Far too many words for one page go on to others, none lost.
func TestAVeryLongHandOutFlowsOntoMorePages(t *testing.T) {
	const times = 500
	sheet := sheetOf(t, 0, func(p *care.Plant) { p.Name = strings.Repeat("Laeliocattleya ", times) })
	for _, size := range paper.Sizes {
		var pdf bytes.Buffer
		if err := paper.WriteCourse(&pdf, sheet, size); err != nil {
			t.Fatal(err)
		}
		text := words(t, pdf.Bytes())
		if got := strings.Count(text, "Laeliocattleya"); got != times || pages(t, pdf.Bytes()) < 2 {
			t.Errorf("the name's word stands there %d times, on %d pages", got, pages(t, pdf.Bytes()))
		}
		for _, caution := range sheet.Course.Cautions {
			if !strings.Contains(text, caution) {
				t.Errorf("lost: %q", caution)
			}
		}
		inside(t, pdf.Bytes(), size)
	}
}

// A letter that no font has is stood in for, and the page says so.
func TestLettersThatAreLackingAreTold(t *testing.T) {
	sheet := sheetOf(t, 0, func(p *care.Plant) { p.Name = "蝴蝶兰 ‘Ünal’ \u200b🌸" })
	var pdf bytes.Buffer
	if err := paper.WriteCourse(&pdf, sheet, paper.A4); err != nil {
		t.Fatal(err)
	}
	if text := words(t, pdf.Bytes()); !strings.Contains(text, "□□□ ‘Ünal’ □") || !strings.Contains(text, "□: a letter that no font here has") {
		t.Errorf("the page reads\n%.600s", text)
	}
	if got := paper.Lacking("Ünal", "蝴蝶兰 ‘Ünal’ 🌸 蝴", "hồ Жёлтый"); got != "蝴蝶兰🌸" {
		t.Errorf("lacking are %q", got)
	}
	pdf.Reset()
	if err := paper.WriteCourse(&pdf, sheetOf(t, 0, nil), paper.A4); err != nil {
		t.Fatal(err)
	}
	if text := words(t, pdf.Bytes()); strings.Contains(text, "□") {
		t.Error("a page that lacks nothing says that it does")
	}
}

// inside checks that no word stands outside the margins, as another program
// finds their places.
func inside(t *testing.T, pdf []byte, size paper.Size) {
	t.Helper()
	const point = 25.4 / 72
	for line := range strings.Lines(string(tool(t, "pdftotext", "-bbox", written(t, pdf), "-"))) {
		if !strings.Contains(line, "<word ") {
			continue
		}
		at := map[string]float64{}
		for _, field := range strings.Fields(line) {
			name, value, ok := strings.Cut(field, "=")
			if !ok {
				continue
			}
			value = strings.Trim(strings.SplitN(value, ">", 2)[0], `"`)
			at[name] = parse(t, value) * point
		}
		if at["xMin"] < 5 || at["xMax"] > size.WidthMM-5 || at["yMin"] < 5 || at["yMax"] > size.HeightMM-5 {
			t.Errorf("a word stands outside: %s", strings.TrimSpace(line))
		}
	}
}

// The letters of plant names: Latin-1 and Latin Extended-A whole, and the marks
// of hybrids, cultivars and ranges (Unicode Standard, code charts 0080, 0100).
func TestTheFontsHoldLatinText(t *testing.T) {
	for name, ttf := range map[string][]byte{"regular": goregular.TTF, "bold": gobold.TTF} {
		font, err := sfnt.Parse(ttf)
		if err != nil {
			t.Fatal(err)
		}
		var missing []rune
		var buffer sfnt.Buffer
		look := func(r rune) {
			if i, err := font.GlyphIndex(&buffer, r); err != nil || i == 0 {
				missing = append(missing, r)
			}
		}
		for r := rune(0x20); r < 0x180; r++ {
			if unicode.IsPrint(r) {
				look(r)
			}
		}
		for _, r := range "×’‘“”–—…≤≥°µ²³½" {
			look(r)
		}
		if len(missing) > 0 {
			t.Errorf("%s lacks %q", name, string(missing))
		}
	}
}

func TestTheSameCourseMakesTheSameFile(t *testing.T) {
	sheet := sheetOf(t, 0, nil)
	var one, other bytes.Buffer
	if err := paper.WriteCourse(&one, sheet, paper.A4); err != nil {
		t.Fatal(err)
	}
	if err := paper.WriteCourse(&other, sheet, paper.A4); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(one.Bytes(), other.Bytes()) {
		t.Error("two files of the same course differ")
	}
}
