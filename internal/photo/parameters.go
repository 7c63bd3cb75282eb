package photo

import "velamen/science/basis"

// What is taken to be so when a root is measured in a picture and nobody noted
// better. The ranges are read as two standard deviations either way.
var (
	// UsualTiltDegrees is how far a root leans out of the plane of the scale.
	// If the lean is 0° on average and within 15° in 19 pictures of 20, the
	// mean shortening is that of 7.5°, just under 1 %.
	UsualTiltDegrees = basis.Assumed(7.5, 0, 15, "°")
	// UsualScaleDistanceMM is from the lens to the scale: a phone held so that a
	// pot fills its picture.
	UsualScaleDistanceMM = basis.Assumed(300, 150, 600, "mm")
	// UsualInFrontMM is how much nearer to the lens than the scale the root is,
	// when the scale is held against it by hand.
	UsualInFrontMM = basis.Assumed(0, -10, 10, "mm")
	// EdgePixels is over how many pixels of the copy for viewing an edge is
	// spread. No enlargement on a screen lets it be marked any better.
	EdgePixels = basis.Assumed(1, 0.5, 2, "px")
)
