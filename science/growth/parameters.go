package growth

import "velamen/science/basis"

// Everything in this chapter that is known only within a range.

const growersRanges = "growers' ranges for roots in full growth, from memory; no paper that gives the elongation of orchid roots in mm/day was found"

// Rates of roots in full growth, as a middle and a range that holds nine
// roots in ten. They are weak: a grower's own roots replace them (see Learn).
var (
	PhalaenopsisRate  = basis.Value{Value: 1.2, Low: 0.5, High: 3, Unit: "mm/day", Grade: basis.FromMemory, Source: growersRanges}
	VandaRate         = basis.Value{Value: 2.4, Low: 1, High: 6, Unit: "mm/day", Grade: basis.FromMemory, Source: growersRanges}
	CattleyaRate      = basis.Value{Value: 2, Low: 1, High: 4, Unit: "mm/day", Grade: basis.FromMemory, Source: growersRanges}
	DendrobiumRate    = basis.Value{Value: 1.2, Low: 0.5, High: 3, Unit: "mm/day", Grade: basis.FromMemory, Source: growersRanges}
	PaphiopedilumRate = basis.Value{Value: 0.45, Low: 0.2, High: 1, Unit: "mm/day", Grade: basis.FromMemory, Source: growersRanges}
	// AnyOrchidRate spans them all, for a plant of no known group.
	AnyOrchidRate = basis.Value{Value: 1.2, Low: 0.3, High: 5, Unit: "mm/day", Grade: basis.FromMemory, Source: growersRanges}
)

// Standard deviations of one reading.
var (
	// RulerStraightErrorMM holds the rounding to whole millimetres (0.29 mm)
	// and the placing of the ruler along a straight root in the air.
	RulerStraightErrorMM = basis.Assumed(0.5, 0.3, 1, "mm")
	// RulerInPotErrorMM is for a curved root, or one seen through the wall of
	// a pot, or one whose base is hidden.
	RulerInPotErrorMM = basis.Assumed(2, 1, 3, "mm")
	// PhotographErrorMM is for a photograph with a scale in it whose tilt and
	// distance nobody noted. A tilt of 10 to 15° takes 0.5 to 1.7 mm off a root
	// of 30 to 50 mm. The high end is what automatic measuring of leaves reached
	// for the worst cultivar (root mean square error 3.66 mm, PLOS ONE
	// e0235499, abstract).
	PhotographErrorMM = basis.Assumed(1, 0.5, 3.7, "mm")
	// MarkingPixels is how far off either end of a root or of a scale is marked
	// in a photograph.
	MarkingPixels = basis.Assumed(3, 1, 10, "px")
	// SharedErrorShare is the share of the error variance that readings of one
	// day have in common, because the bends, the hidden base and the mark they
	// start from are the same. Reading again the same day removes only the rest.
	SharedErrorShare = basis.Assumed(0.5, 0.2, 0.8, "1")
)

// How roots behave.
var (
	// RateNoise is how the rate of a root wanders: over a week by a standard
	// deviation of √(7·0.0005) = 0.06 mm/day. It is about the most at which
	// weekly ruler readings of one root can still show that it stands still: for
	// that the rate must be known to 0.078 mm/day. Ten or twenty times as much
	// follows a change faster, but never knows a rate better than 0.2 mm/day; a
	// fifth as much takes five weeks to notice a stop.
	RateNoise = basis.Assumed(0.0005, 0.0001, 0.01, "mm²/day³")
	// GrowingShare of marked roots is in growth when it is first measured; the
	// others are at rest.
	GrowingShare = basis.Assumed(0.5, 0.2, 0.8, "1")
	// CeilingShare times the high end of a group's range is the fastest mean
	// rate between two readings that is believed without asking.
	CeilingShare = basis.Assumed(1.5, 1, 2, "1")
	// PriorRoots is how many measured roots the ranges above are worth when a
	// group's rates are learned.
	PriorRoots = basis.Assumed(3, 1, 10, "roots")
)

// Where the verdict draws its lines.
var (
	// GrowingRate is the rate above which a root counts as growing.
	GrowingRate = basis.Assumed(0.1, 0.05, 0.2, "mm/day")
	// ClearChance is the chance from which "growing" is said; below one minus
	// it, "stopped".
	ClearChance = basis.Assumed(0.9, 0.8, 0.95, "1")
	// SoonestReadingDays and LatestReadingDays bound the wait for the next
	// reading.
	SoonestReadingDays = basis.Exactly(3, "days", basis.CommonPractice, "")
	LatestReadingDays  = basis.Exactly(28, "days", basis.CommonPractice, "")
)
