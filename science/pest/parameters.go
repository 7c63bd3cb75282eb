package pest

import (
	"math"

	"velamen/science/basis"
)

const orchidSociety = "Orchid Societies Council of Victoria, Common Orchid Pests part 2: two or three repeats 10 to 14 days apart"

var (
	// lookEveryDays is the longest time a plant goes unlooked at.
	lookEveryDays = basis.Value{Value: 14, Low: 10, High: 14, Unit: "d", Grade: basis.CommonPractice, Source: orchidSociety}

	// leastPasses is the number of repeats planned even when the arithmetic
	// would be content with one.
	leastPasses = basis.Value{Value: 2, Low: 2, High: 3, Unit: "1", Grade: basis.CommonPractice, Source: orchidSociety}

	// pausedBelowK is how far the mean must lie above the lower threshold
	// before a date is promised. Papaya mealybug shows the need: its line
	// (13.9 °C, 294 °C·d) gives 267 days at 15 °C, where in truth eggs hatched
	// after 27.5 days and every young nymph then stalled (Journal of Economic
	// Entomology 101:1798–1804).
	pausedBelowK = basis.Assumed(2, 1, 3, "K")

	// hatchedShare of the egg's degree-days has most eggs hatched, the slower
	// ones with them.
	hatchedShare = basis.Assumed(1.1, 1.0, 1.2, "1")

	// alertShare of a generation is the latest moment for a repeat even when
	// the remaining stages would allow more.
	alertShare = basis.Assumed(0.8, 0.7, 0.9, "1")

	// spacingShare of the shortest time from hatching to laying separates
	// repeats when no single moment suits all eggs.
	spacingShare = basis.Assumed(0.7, 0.6, 0.8, "1")

	// tailDays at the end of a forecast stand for the weeks behind it.
	tailDays = basis.Assumed(7, 1, 14, "d")

	// cleanChecks in a row, at least a generation apart from first to last,
	// end the watch.
	cleanChecks = basis.Assumed(2, 2, 3, "1")
)

// Parameter is one figure this chapter rests on, with its name in the
// grower's words.
type Parameter struct {
	Name  string
	Value basis.Value
}

// Parameters lists every figure behind the windows, for showing under a
// date. Thresholds and thermal constants belong to the pest and come with the
// LifeCycle.
func Parameters() []Parameter {
	return []Parameter{
		{"longest time between looks", lookEveryDays},
		{"fewest repeats", leastPasses},
		{"warmth above the threshold before a date is promised", pausedBelowK},
		{"share of the egg's degree-days until most have hatched", hatchedShare},
		{"share of a generation after which a repeat is late", alertShare},
		{"share of the time from hatching to laying between split repeats", spacingShare},
		{"days at the end of a forecast that stand for what follows", tailDays},
		{"clean checks before the watch ends", cleanChecks},
	}
}

// Limits of the computation, not of biology.
const (
	horizonDays = 400 // no date further ahead is given
	mostPasses  = 6   // beyond it the plan is reported as incomplete

	lowestC, highestC = -40, 60 // accepted air temperatures

	// The daily sums also take °F, so their guard against nonsense is wide.
	lowestDegrees, highestDegrees = -150, 250
)

// noUpper stands for a pest whose upper threshold is not known.
var noUpper = math.Inf(1)
