package paper

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/boombuler/barcode/qr"
)

// Label is what is put on or into a pot.
type Label struct {
	Label, Name string
	Work, Date  string // "Repotted", "14 Nov 2026"
	Medium      string
	Link        string // the address of the plant's page; no code where it is empty
}

// Grid is a sheet of labels by its measures, all in millimetres, or a tape: a
// sheet of one label whose size is that of the label.
type Grid struct {
	WidthMM, HeightMM     float64 // of the sheet
	Rows, Columns         int
	LabelWidth            float64
	LabelHeight           float64
	LeftMargin, TopMargin float64 // from the edge of the sheet to the first label
	GapAcross, GapDown    float64 // between labels
	Skip                  int     // labels of the first sheet that are used up already
	Outlines              bool    // draw the edges, to be cut out or to check the measures
}

// Tape returns the grid of a tape printer: each label a page of its own.
func Tape(widthMM, heightMM float64) Grid {
	return Grid{WidthMM: widthMM, HeightMM: heightMM, Rows: 1, Columns: 1, LabelWidth: widthMM, LabelHeight: heightMM}
}

// Limits of what can be a label, in millimetres. A code of 8 mm is the smallest
// that a telephone reads at arm's length; 6 points are the smallest type.
const (
	leastLabelWide, leastLabelHigh = 15.0, 6.0
	mostSheet                      = 1200.0
	leastCodeMM                    = 8.0
	leastPt                        = 6.0
	mostPt                         = 14.0
	// quietModules is the empty border of a code (ISO/IEC 18004, 9.1).
	quietModules = 4
	// roundingMM is how far measures with a ruler may miss the sheet.
	roundingMM = 0.5
)

// Check says what is wrong with the measures, in words for who typed them.
func (g Grid) Check() error {
	for _, m := range []struct {
		name      string
		value     float64
		low, high float64
	}{
		{"the sheet's width", g.WidthMM, leastLabelWide, mostSheet}, {"the sheet's height", g.HeightMM, leastLabelHigh, mostSheet},
		{"a label's width", g.LabelWidth, leastLabelWide, mostSheet}, {"a label's height", g.LabelHeight, leastLabelHigh, mostSheet},
		{"the margin on the left", g.LeftMargin, 0, mostSheet}, {"the margin on top", g.TopMargin, 0, mostSheet},
		{"the gap across", g.GapAcross, 0, mostSheet}, {"the gap down", g.GapDown, 0, mostSheet},
	} {
		if !(m.value >= m.low && m.value <= m.high) {
			return fmt.Errorf("%s is %.4g mm; %g to %g mm are possible", m.name, m.value, m.low, m.high)
		}
	}
	const most = 100
	switch {
	case g.Rows < 1 || g.Columns < 1 || g.Rows > most || g.Columns > most:
		return fmt.Errorf("%d rows of %d labels; 1 to %d of each are possible", g.Rows, g.Columns, most)
	case g.Skip < 0 || g.Skip >= g.Rows*g.Columns:
		return fmt.Errorf("%d labels are to be skipped; a sheet has %d", g.Skip, g.Rows*g.Columns)
	}
	if over := g.LeftMargin + float64(g.Columns)*g.LabelWidth + float64(g.Columns-1)*g.GapAcross - g.WidthMM; over > roundingMM {
		return fmt.Errorf("%d labels across run %.1f mm over the sheet's width of %.4g mm", g.Columns, over, g.WidthMM)
	}
	if over := g.TopMargin + float64(g.Rows)*g.LabelHeight + float64(g.Rows-1)*g.GapDown - g.HeightMM; over > roundingMM {
		return fmt.Errorf("%d labels down run %.1f mm over the sheet's height of %.4g mm", g.Rows, over, g.HeightMM)
	}
	return nil
}

// WriteLabels writes labels onto as many sheets as they take.
func WriteLabels(w io.Writer, labels []Label, g Grid, on time.Time) error {
	if err := g.Check(); err != nil {
		return err
	}
	s := newSheet(Size{"labels", g.WidthMM, g.HeightMM}, "Labels", on)
	perSheet := g.Rows * g.Columns
	fits := make([]fit, len(labels))
	sizes := make([]float64, len(labels))
	for i, one := range labels {
		fits[i] = s.fit(one, g.LabelWidth, g.LabelHeight)
		sizes[i] = fits[i].pt
	}
	// Labels that have room for more are set like the rest: a sheet reads evenly.
	slices.Sort(sizes)
	for i, one := range labels {
		at := (i + g.Skip) % perSheet
		if i == 0 || at == 0 {
			s.pdf.AddPage()
		}
		row, column := at/g.Columns, at%g.Columns
		x := g.LeftMargin + float64(column)*(g.LabelWidth+g.GapAcross)
		y := g.TopMargin + float64(row)*(g.LabelHeight+g.GapDown)
		if g.Outlines {
			s.pdf.SetDrawColor(150, 150, 150)
			s.pdf.SetLineWidth(0.1)
			s.pdf.Rect(x, y, g.LabelWidth, g.LabelHeight, "D")
		}
		fits[i].pt = min(fits[i].pt, sizes[len(sizes)/4])
		if err := s.label(one, fits[i], x, y, g.LabelWidth, g.LabelHeight); err != nil {
			return fmt.Errorf("the label of %s: %w", one.Label, err)
		}
	}
	if len(labels) == 0 {
		s.pdf.AddPage()
	}
	return s.finish(w)
}

// fit is how the words of a label fit it: how many of its lines, in which size of
// type, and the side of the code beside them, 0 for none.
type fit struct {
	lines int
	pt    float64
	code  float64
	cut   bool // what runs over ends in an ellipsis
}

// labelPad is the empty border of a label.
func labelPad(height float64) float64 { return math.Min(1.5, height/10) }

// labelLines are the lines of a label, the one that matters most first.
func labelLines(l Label) []struct{ text, face string } {
	return []struct{ text, face string }{{l.Label, "B"}, {l.Name, ""}, {strings.TrimSpace(l.Work + " " + l.Date), ""}, {l.Medium, ""}}
}

// dateLine is the place of the date among them.
const dateLine = 2

// fit finds the largest type that holds all words of a label, the date unbroken
// where that can be. What matters least goes first where not all of it fits in
// legible type.
func (s *sheet) fit(l Label, width, height float64) fit {
	pad := labelPad(height)
	f, inner, high := fit{}, width-2*pad, height-2*pad
	if l.Link != "" {
		if side := math.Min(high, inner*0.45); side >= leastCodeMM {
			f.code = side
			inner -= side + 0.5
		}
	}
	lines := labelLines(l)
	for keep := len(lines); keep > 0; keep-- {
		if keep == 1 && l.Name != "" && s.lineRoom(l, inner, high) > 0 {
			return fit{2, leastPt, f.code, true} // a name that is cut short says more than none
		}
		broken := fit{}
		for pt := mostPt; pt >= leastPt; pt -= 0.5 {
			used, whole := 0.0, true
			for i, line := range lines[:keep] {
				if line.text != "" {
					st := labelStyle(line.face, i, pt)
					n := len(s.wrap(line.text, st, inner))
					used += float64(n) * st.pt * pointMM * labelLeading
					whole = whole && (i != dateLine || n == 1)
				}
			}
			switch {
			case used > high:
			case whole:
				return fit{keep, pt, f.code, false}
			case broken.lines == 0:
				broken = fit{keep, pt, f.code, false}
			}
		}
		if broken.lines > 0 {
			return broken
		}
	}
	return fit{1, leastPt, f.code, true}
}

// lineRoom is how many lines of the smallest type fit below the label itself.
func (s *sheet) lineRoom(l Label, width, height float64) int {
	st := labelStyle("B", 0, leastPt)
	used := float64(len(s.wrap(l.Label, st, width))) * st.pt * pointMM * labelLeading
	return int((height - used) / (leastPt * pointMM * labelLeading))
}

// CutShort returns the labels of which the label itself or the name is too long
// for a grid, even in the smallest type: it is printed with an ellipsis. Labels so
// low that no name fits at all carry none and are not among them.
func CutShort(labels []Label, g Grid) []string {
	s := newSheet(Size{"labels", g.WidthMM, g.HeightMM}, "Labels", time.Time{})
	var cut []string
	for _, one := range labels {
		if s.fit(one, g.LabelWidth, g.LabelHeight).cut {
			cut = append(cut, one.Label)
		}
	}
	return cut
}

// label sets one label: the code on the right, the words beside it.
func (s *sheet) label(l Label, f fit, x, y, width, height float64) error {
	pad := labelPad(height)
	inner := column{s: s, x: x + pad, y: y + pad, width: width - 2*pad}
	if f.code > 0 {
		if err := s.code(l.Link, x+width-pad-f.code, y+(height-f.code)/2, f.code); err != nil {
			return err
		}
		inner.width -= f.code + 0.5
	}
	var texts []string
	var styles []style
	used := 0.0
	for i, line := range labelLines(l)[:f.lines] {
		if line.text == "" {
			continue
		}
		st := labelStyle(line.face, i, f.pt)
		for _, text := range s.wrap(line.text, st, inner.width) {
			pitch := st.pt * pointMM * labelLeading
			if f.cut && len(texts) > 0 && used+pitch > height-2*pad {
				last := len(texts) - 1
				texts[last] = s.ending(texts[last], styles[last], inner.width)
				break
			}
			texts, styles = append(texts, text), append(styles, st)
			used += pitch
		}
	}
	at := inner.y + math.Max(0, (height-2*pad-used)/2)
	for i, text := range texts {
		pitch := styles[i].pt * pointMM * labelLeading
		s.print(inner.x, at+0.8*pitch, text, styles[i])
		at += pitch
	}
	return nil
}

// ending ends a line that goes on with an ellipsis, and makes room for it.
func (s *sheet) ending(text string, st style, width float64) string {
	const ellipsis = "…"
	s.set(text, st)
	for text != "" && s.pdf.GetStringWidth(text+ellipsis) > width {
		_, last := utf8.DecodeLastRuneInString(text)
		text = text[:len(text)-last]
	}
	return strings.TrimRight(text, " ") + ellipsis
}

const labelLeading = 1.15

// labelStyle is that of a line: the label itself is larger than the rest.
func labelStyle(face string, line int, pt float64) style {
	if line == 0 {
		return style{face, pt * 1.25, 0}
	}
	return style{face, pt, 0}
}

// code draws a QR code as vectors within a square, its empty border included.
func (s *sheet) code(link string, x, y, side float64) error {
	picture, err := qr.Encode(link, qr.M, qr.Auto)
	if err != nil {
		return fmt.Errorf("making the code: %w", err)
	}
	bounds := picture.Bounds()
	n := bounds.Dx()
	module := side / float64(n+2*quietModules)
	s.pdf.SetFillColor(0, 0, 0)
	dark := func(column, row int) bool {
		r, _, _, _ := picture.At(bounds.Min.X+column, bounds.Min.Y+row).RGBA()
		return r == 0
	}
	for row := range n {
		for column := 0; column < n; column++ {
			run := 0
			for column+run < n && dark(column+run, row) {
				run++
			}
			if run > 0 {
				s.pdf.Rect(x+float64(quietModules+column)*module, y+float64(quietModules+row)*module, float64(run)*module, module*1.01, "F")
				column += run
			}
		}
	}
	return nil
}

// Fill gives labels that were not measured the size that fills the sheet within
// its margins, the same on both sides.
func (g *Grid) Fill() {
	if g.LabelWidth == 0 && g.Columns > 0 {
		g.LabelWidth = (g.WidthMM - 2*g.LeftMargin - float64(g.Columns-1)*g.GapAcross) / float64(g.Columns)
	}
	if g.LabelHeight == 0 && g.Rows > 0 {
		g.LabelHeight = (g.HeightMM - 2*g.TopMargin - float64(g.Rows-1)*g.GapDown) / float64(g.Rows)
	}
}
