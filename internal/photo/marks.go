package photo

import (
	"fmt"
	"math"

	"velamen/science/basis"
	"velamen/science/growth"
)

const (
	// ShortestScalePixels is the least distance of the two marks on the scale.
	// It should be many times that; the error tells.
	ShortestScalePixels = 20
	// MostMarks is how many marks along a root are taken. Placed more closely
	// than a hand can place them, marks make a root look longer than it is.
	MostMarks = 100

	smallestZoom, largestZoom = 0.02, 50
)

// Point is a place in a picture, in pixels from its upper left corner.
type Point struct {
	X, Y float64
}

// Marks are what the grower marked in the copy of a picture for viewing: two
// places on a scale, and places along a root from its start to its tip.
type Marks struct {
	Width, Height int // of the copy, px
	// Zoom is how many pixels of the screen one pixel of the copy took while it
	// was marked; 0 counts as 1. A finger is as unsure on a small picture as on a
	// large one, but in a small one that is more of the root.
	Zoom    float64
	Scale   [2]Point
	ScaleMM float64 // true distance of the two marks on the scale
	Root    []Point // at least two
	// TiltDegrees, ScaleDistanceMM and InFrontMM tell how the root lay to the
	// scale, as in growth.Photograph. Left zero, the usual is assumed.
	TiltDegrees, ScaleDistanceMM, InFrontMM basis.Value
}

// Length is the length of a root that was measured in a picture.
type Length struct {
	// MM is the length, with a range of two standard errors either way.
	MM basis.Value
	// ErrorMM is its standard error, all in all.
	ErrorMM float64
	// BendsMM and BetweenMM are the parts of the error that come from placing
	// the marks at bends, and from not knowing how the root runs from one mark
	// to the next.
	BendsMM, BetweenMM float64
	// Photograph is what the length was worked out from, with the lengths in
	// pixels of the screen and whatever was assumed.
	Photograph growth.Photograph
}

// Reading returns the length as a reading of the given day. Errors: a day
// outside the range of a growth.Reading.
func (l Length) Reading(day float64) (growth.Reading, error) {
	r := growth.Reading{Day: day, LengthMM: l.MM.Value, ErrorMM: l.ErrorMM}
	return r, r.Check()
}

// MarkError is a mark or figure with which nothing can be measured. Field is
// scale, root, scale_mm, zoom or size.
type MarkError struct {
	Field string
	Text  string
}

// Error returns field and text.
func (e *MarkError) Error() string { return e.Field + ": " + e.Text }

// Length measures the root. Its error has these parts: placing the marks at
// both ends of scale and root, the tilt of the root, the distance of the scale
// and how far in front of it the root was, and placing the base and the tip on
// the plant, which are those of growth.Photograph; placing the marks at bends,
// and the way of the root between them, which are those of its polyline.
//
// Errors: a *MarkError; or, from growth.Photograph, a tilt or distance outside
// its range or a root longer than any.
func (m Marks) Length() (Length, error) {
	if err := m.check(); err != nil {
		return Length{}, err
	}
	// All lengths are taken in pixels of the screen, where marks are placed, but
	// of no larger a picture than one whose edges are as sharp as a mark.
	zoom := m.Zoom
	if zoom == 0 {
		zoom = 1
	}
	zoom = min(zoom, growth.MarkingPixels.Value/EdgePixels.Value)
	line := measure(m.Root)
	p := growth.Photograph{
		ScaleMM:         m.ScaleMM,
		ScalePixels:     zoom * distance(m.Scale[0], m.Scale[1]),
		RootPixels:      zoom * line.pixels(),
		TiltDegrees:     given(m.TiltDegrees, UsualTiltDegrees),
		ScaleDistanceMM: given(m.ScaleDistanceMM, UsualScaleDistanceMM),
		RootInFrontMM:   given(m.InFrontMM, UsualInFrontMM),
	}
	length, err := p.Length()
	if err != nil {
		return Length{}, err
	}
	const anyDay = 0
	reading, err := p.Reading(anyDay)
	if err != nil {
		return Length{}, err
	}
	mmPerPixel := length.Value / p.RootPixels
	l := Length{
		BendsMM:    growth.MarkingPixels.Value * mmPerPixel * line.bends,
		BetweenMM:  zoom * mmPerPixel * line.betweenError(),
		Photograph: p,
	}
	l.ErrorMM = math.Hypot(reading.ErrorMM, math.Hypot(l.BendsMM, l.BetweenMM))
	l.MM = length
	l.MM.Low, l.MM.High = max(0, length.Value-2*l.ErrorMM), length.Value+2*l.ErrorMM
	return l, nil
}

func given(v, usual basis.Value) basis.Value {
	if v == (basis.Value{}) {
		return usual
	}
	return v
}

func (m Marks) check() error {
	wrong := func(field, format string, args ...any) error {
		return &MarkError{Field: field, Text: fmt.Sprintf(format, args...)}
	}
	if m.Width <= 0 || m.Height <= 0 {
		return wrong("size", "the picture is %d × %d px; both sides must be at least 1", m.Width, m.Height)
	}
	if m.Zoom != 0 && !(m.Zoom >= smallestZoom && m.Zoom <= largestZoom) {
		return wrong("zoom", "the picture was shown at %g times its size; allowed is %g to %g", m.Zoom, smallestZoom, float64(largestZoom))
	}
	// Written so that a figure that is no number fails too.
	inside := func(p Point) bool {
		return p.X >= 0 && p.X <= float64(m.Width) && p.Y >= 0 && p.Y <= float64(m.Height)
	}
	for i, p := range m.Scale {
		if !inside(p) {
			return wrong("scale", "mark %d on the scale (%g, %g) lies outside the picture of %d × %d px", i+1, p.X, p.Y, m.Width, m.Height)
		}
	}
	if long := distance(m.Scale[0], m.Scale[1]); long < ShortestScalePixels {
		return wrong("scale", "the marks on the scale are %.1f px apart; they must be at least %d, better some hundreds", long, ShortestScalePixels)
	}
	if !(m.ScaleMM >= 1 && m.ScaleMM <= growth.LongestMM) {
		return wrong("scale_mm", "the marks on the scale are %g mm apart; allowed is 1 to %g", m.ScaleMM, growth.LongestMM)
	}
	if len(m.Root) < 2 || len(m.Root) > MostMarks {
		return wrong("root", "the root has %d marks; it needs 2 to %d", len(m.Root), MostMarks)
	}
	for i, p := range m.Root {
		if !inside(p) {
			return wrong("root", "mark %d on the root (%g, %g) lies outside the picture of %d × %d px", i+1, p.X, p.Y, m.Width, m.Height)
		}
	}
	if measure(m.Root).straight < 1 {
		return wrong("root", "all marks on the root are in one place")
	}
	return nil
}
