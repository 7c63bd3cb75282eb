package growth

import (
	"math"

	"velamen/science/basis"
)

// Photograph is a picture of a root with a scale in it, and where both were.
// The ranges of its figures carry over to the length.
type Photograph struct {
	ScaleMM     float64 // true length of the marked stretch of scale
	ScalePixels float64 // its length in the picture
	RootPixels  float64 // length of the root in the picture
	// TiltDegrees is the angle of the root out of the plane of the scale.
	TiltDegrees basis.Value
	// ScaleDistanceMM is from the lens to the scale.
	ScaleDistanceMM basis.Value
	// RootInFrontMM is how much nearer than the scale the root is; negative if
	// it lies behind.
	RootInFrontMM basis.Value
}

// Length returns the length of the root, with a range of two standard
// deviations either way where those of the inputs are so too. The scale is
// farther away than the root and so looks too small; the tilt hides a part.
//
//	ℓ = root/scale · scale length · (1 − front/distance)/cos(tilt)   similar triangles
//
// Errors: a scale or distance that is not positive, a root of less than zero
// pixels, a tilt outside 0 to 60°, a root farther in front or behind than half
// the distance, a figure that fails its Check.
func (p Photograph) Length() (basis.Value, error) {
	if err := p.check(); err != nil {
		return basis.Value{}, err
	}
	// Each length in pixels is off at both its ends.
	marking := func(pixels float64) basis.Value {
		off := 2 * math.Sqrt2 * MarkingPixels.Value
		return basis.Value{Value: pixels, Low: max(0, pixels-off), High: pixels + off, Unit: "px", Grade: MarkingPixels.Grade}
	}
	inputs := []basis.Value{marking(p.RootPixels), marking(p.ScalePixels), p.TiltDegrees, p.ScaleDistanceMM, p.RootInFrontMM}
	length := func(in []float64) float64 {
		return in[0] / in[1] * p.ScaleMM * (1 - in[4]/in[3]) / (1 - TiltShortening(in[2]))
	}
	centre := make([]float64, len(inputs))
	grades := make([]basis.Grade, len(inputs))
	for i, in := range inputs {
		centre[i], grades[i] = in.Value, in.Grade
	}
	low, high := basis.Spread(length, inputs...)
	return basis.Value{
		Value: length(centre), Low: max(0, low), High: high, Unit: "mm",
		Grade:  basis.Weakest(grades...),
		Source: "measured in a photograph by the scale in it",
	}, nil
}

// Reading returns the length as a reading of the given day. Its error is a
// quarter of the range of Length together with that of placing the two ends on
// a straight root, which no picture takes away. Errors: as for Length, or a
// length or day outside the range of a Reading.
func (p Photograph) Reading(day float64) (Reading, error) {
	length, err := p.Length()
	if err != nil {
		return Reading{}, err
	}
	r := Reading{Day: day, LengthMM: length.Value,
		ErrorMM: math.Hypot((length.High-length.Low)/4, RulerStraightErrorMM.Value)}
	return r, r.Check()
}

func (p Photograph) check() error {
	for _, v := range []basis.Value{p.TiltDegrees, p.ScaleDistanceMM, p.RootInFrontMM} {
		if err := v.Check(); err != nil {
			return err
		}
	}
	distance := p.ScaleDistanceMM.Low
	// The scale must be many times longer than the error of marking it.
	shortest := 10 * MarkingPixels.Value
	for _, err := range []error{
		within("length of the scale", p.ScaleMM, 1, LongestMM, "mm"),
		within("scale in the picture", p.ScalePixels, shortest, 1e6, "px"),
		within("root in the picture", p.RootPixels, 0, 1e6, "px"),
		within("low tilt", p.TiltDegrees.Low, 0, 60, "°"),
		within("high tilt", p.TiltDegrees.High, 0, 60, "°"),
		within("distance to the scale", distance, 10, 10_000, "mm"),
		within("root in front of the scale", p.RootInFrontMM.Low, -distance/2, distance/2, "mm"),
		within("root in front of the scale", p.RootInFrontMM.High, -distance/2, distance/2, "mm"),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

// TiltShortening returns the share by which a root looks shorter when it leans
// out of the plane of the picture by the given angle, 0 to 90°.
//
//	1 − cos(tilt)
func TiltShortening(tiltDegrees float64) float64 {
	// 2·sin² of half the angle is the same and keeps its digits for small ones.
	half := math.Sin(tiltDegrees * math.Pi / 360)
	return 2 * half * half
}

// ScaleParallax returns the share by which a root looks too long when it is
// nearer to the lens than the scale it is measured by. The distance is that of
// the scale, which must be farther away than the root is in front of it.
//
//	front/(distance − front)   similar triangles
func ScaleParallax(scaleDistanceMM, rootInFrontMM float64) float64 {
	return rootInFrontMM / (scaleDistanceMM - rootInFrontMM)
}
