package paper

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

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
		if err := s.label(one, x, y, g.LabelWidth, g.LabelHeight); err != nil {
			return fmt.Errorf("the label of %s: %w", one.Label, err)
		}
	}
	if len(labels) == 0 {
		s.pdf.AddPage()
	}
	return s.finish(w)
}

// label sets one label: the code on the right, the words beside it in the
// largest type that holds them all.
func (s *sheet) label(l Label, x, y, width, height float64) error {
	pad := math.Min(1.5, height/10)
	inner := column{s: s, x: x + pad, y: y + pad, width: width - 2*pad}
	high := height - 2*pad
	if l.Link != "" {
		side := math.Min(high, inner.width*0.45)
		if side >= leastCodeMM {
			if err := s.code(l.Link, x+width-pad-side, y+(height-side)/2, side); err != nil {
				return err
			}
			inner.width -= side + 0.5
		}
	}
	lines := []struct{ text, face string }{{l.Label, "B"}, {l.Name, ""}, {strings.TrimSpace(l.Work + " " + l.Date), ""}, {l.Medium, ""}}
	// What matters least goes first where not all of it fits in legible type.
	for keep := len(lines); keep > 0; keep-- {
		for pt := mostPt; pt >= leastPt; pt -= 0.5 {
			used := 0.0
			for i, line := range lines[:keep] {
				if line.text != "" {
					st := labelStyle(line.face, i, pt)
					used += float64(len(s.wrap(line.text, st, inner.width))) * st.pt * pointMM * labelLeading
				}
			}
			if used > high && (keep > 1 || pt > leastPt) {
				continue
			}
			at := inner.y + math.Max(0, (high-used)/2)
			for i, line := range lines[:keep] {
				if line.text == "" {
					continue
				}
				st := labelStyle(line.face, i, pt)
				pitch := st.pt * pointMM * labelLeading
				for _, text := range s.wrap(line.text, st, inner.width) {
					s.pdf.Text(inner.x, at+0.8*pitch, text)
					at += pitch
				}
			}
			return nil
		}
	}
	return nil
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
