package paper

import (
	"fmt"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// Size is a size of paper.
type Size struct {
	Name              string
	WidthMM, HeightMM float64
}

// The sizes a hand-out comes in.
var (
	A4     = Size{"A4", 210, 297}
	Letter = Size{"Letter", 215.9, 279.4}
)

// Sizes lists them.
var Sizes = []Size{A4, Letter}

// SizeOf returns the size of a name; none is A4.
func SizeOf(name string) (Size, error) {
	if name == "" {
		return A4, nil
	}
	for _, s := range Sizes {
		if strings.EqualFold(s.Name, name) {
			return s, nil
		}
	}
	return Size{}, fmt.Errorf("paper %q is not known; use A4 or Letter", name)
}

const (
	marginMM = 15.0
	pointMM  = 25.4 / 72
	leading  = 1.32 // line pitch as a multiple of the letters' size
	bodyPt   = 9.2
)

// style is how text is set. Size is in points.
type style struct {
	face string // "" or "B"
	pt   float64
	gray int
}

var (
	titleStyle = style{"B", 17, 0}
	headStyle  = style{"B", 9.6, 0}
	bodyStyle  = style{"", bodyPt, 0}
	boldStyle  = style{"B", bodyPt, 0}
	quietStyle = style{"", 7.6, 90}
)

// sheet is a document while it is set. Its lengths are millimetres from the
// upper left corner; scale makes all type smaller or larger.
type sheet struct {
	pdf    *fpdf.Fpdf
	size   Size
	scale  float64
	y      float64
	bottom float64
	footer string
	loaded map[string]bool // families that the document has
	boxed  bool            // a letter was stood in for
}

// newSheet starts a document. on is written into it as its date, so that the
// same content makes the same file.
func newSheet(size Size, title string, on time.Time) *sheet {
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: size.WidthMM, Ht: size.HeightMM}})
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	pdf.SetTitle(title, true)
	pdf.SetLang("en")
	pdf.SetCreator("Velamen", true)
	pdf.SetProducer("Velamen", true)
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(on)
	pdf.SetModificationDate(on)
	return &sheet{pdf: pdf, size: size, scale: 1, bottom: size.HeightMM - marginMM, loaded: map[string]bool{}}
}

// addPage starts a page.
func (s *sheet) addPage() {
	s.pdf.AddPage()
	s.y = marginMM
}

// finish numbers the pages and writes the document.
func (s *sheet) finish(w io.Writer) error {
	pages := s.pdf.PageCount()
	for page := 1; page <= pages && s.footer != ""; page++ {
		s.pdf.SetPage(page)
		text := s.footer
		if s.boxed {
			text += " · □: a letter that no font here has"
		}
		if pages > 1 {
			text = fmt.Sprintf("%s · page %d of %d", text, page, pages)
		}
		s.print(marginMM, s.size.HeightMM-8, text, quietStyle)
	}
	if err := s.pdf.Output(w); err != nil {
		return fmt.Errorf("writing the PDF: %w", err)
	}
	return nil
}

// set chooses the type for a text and returns it as it can be set.
func (s *sheet) set(text string, st style) string {
	text, at := legible(text)
	f := families[at]
	if !s.loaded[f.name] {
		s.pdf.AddUTF8FontFromBytes(f.name, "", f.regular)
		s.pdf.AddUTF8FontFromBytes(f.name, "B", f.bold)
		s.loaded[f.name] = true
	}
	s.pdf.SetFont(f.name, st.face, st.pt*s.scale)
	s.pdf.SetTextColor(st.gray, st.gray, st.gray)
	return text
}

// print sets one line from the point where its first letter stands.
func (s *sheet) print(x, y float64, text string, st style) {
	text = s.set(text, st)
	s.pdf.Text(x, y, text)
}

// line is the height of a line of text.
func (s *sheet) line(st style) float64 { return st.pt * s.scale * pointMM * leading }

func (s *sheet) width() float64 { return s.size.WidthMM - 2*marginMM }

// width of a text in a style.
func (s *sheet) measure(text string, st style) float64 {
	return s.pdf.GetStringWidth(s.set(text, st))
}

// wrap breaks a text into lines of a width, and leaves the type chosen that sets
// them. A word that is longer is broken within.
func (s *sheet) wrap(text string, st style, width float64) []string {
	shown := s.set(text, st)
	s.boxed = s.boxed || strings.Count(shown, string(standIn)) > strings.Count(text, string(standIn))
	text = shown
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(text) {
		candidate := word
		if line != "" {
			candidate = line + " " + word
		}
		if s.pdf.GetStringWidth(candidate) <= width {
			line = candidate
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = word
		for s.pdf.GetStringWidth(line) > width {
			cut := s.fitting(line, width)
			lines = append(lines, line[:cut])
			line = line[cut:]
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// fitting returns how many bytes of a text fit a width: one letter at least.
func (s *sheet) fitting(text string, width float64) int {
	fits := 0
	for at := range text {
		if at == 0 {
			continue
		}
		if fits > 0 && s.pdf.GetStringWidth(text[:at]) > width {
			return fits
		}
		fits = at
	}
	return max(fits, 1)
}

// textAt sets lines from a point downwards and returns their height.
func (s *sheet) textAt(x, y, width float64, text string, st style) float64 {
	lines := s.wrap(text, st, width)
	pitch := s.line(st)
	for i, line := range lines {
		s.pdf.Text(x, y+float64(i)*pitch+0.76*pitch, line)
	}
	return float64(len(lines)) * pitch
}

// rule draws a hairline.
func (s *sheet) rule(x, y, width float64) {
	s.pdf.SetDrawColor(120, 120, 120)
	s.pdf.SetLineWidth(0.15)
	s.pdf.Line(x, y, x+width, y)
}

// box draws a square to be ticked.
func (s *sheet) box(x, y float64) {
	const side = 3.4
	s.pdf.SetDrawColor(60, 60, 60)
	s.pdf.SetLineWidth(0.25)
	s.pdf.Rect(x, y, side, side, "D")
}
