package growth

import (
	"math"

	"velamen/science/basis"
)

// What speaks, and for how long.
var (
	// FreshDays is how long a reading, a look or a tip that was seen speaks of
	// the present.
	FreshDays = basis.Assumed(21, 14, 28, "days")
	// StepProofDays is how old the proof of growing roots may be that earns a
	// step: a week, and one reading that was missed.
	StepProofDays = basis.Assumed(14, 7, 21, "days")
	// TurgorApartDays is how far apart two looks must lie to count as two.
	TurgorApartDays = basis.Assumed(3, 2, 7, "days")
)

// What is normal after a disturbance. Growers know these in words (the oldest
// leaves yellow, bulbs wrinkle slightly, thin leaves hang for two to four
// weeks); the numbers put to them are ours.
var (
	// NormalWrinkle is the grade of wrinkling that is normal for a while.
	NormalWrinkle = basis.Assumed(1, 0, 2, "grades")
	// NormalWrinkleDays is how long it is for leaves with no store of water
	// behind them; with bulbs or thick leaves it may stay.
	NormalWrinkleDays = basis.Assumed(28, 14, 42, "days")
	// NormalLeafLoss is the share of the leaves that may be gone by the end of
	// six weeks, half of it by the end of two.
	NormalLeafLoss = basis.Assumed(0.25, 0.15, 0.35, "share")
	// NormalLeafTurnover is the share that goes by age in a year after that.
	NormalLeafTurnover = basis.Assumed(0.3, 0.15, 0.5, "share")
	// NormalBulbLoss is the share of the bulbs that may shrivel for good.
	NormalBulbLoss = basis.Assumed(0.2, 0.1, 0.3, "share")
)

// WrinkleAllowed returns the grade of wrinkling that is normal on a day since
// the disturbance. before is the grade right after it; stored says that bulbs
// or thick leaves give their water. A plant that was worse before is not blamed
// for it.
func WrinkleAllowed(day float64, before int, stored bool) int {
	allowed := 0
	if stored || day <= NormalWrinkleDays.Value {
		allowed = int(NormalWrinkle.Value)
	}
	return max(allowed, before)
}

// LeavesAllowed returns how many of so many leaves may be gone on a day since
// the disturbance; at least one. It never falls with time.
func LeavesAllowed(day, before float64) float64 {
	const twoWeeks, sixWeeks, year = 14, 42, 365
	share := NormalLeafLoss.Value
	switch {
	case day <= twoWeeks:
		share *= 0.5
	case day <= sixWeeks:
		share *= 0.5 + 0.5*(day-twoWeeks)/(sixWeeks-twoWeeks)
	default:
		share += NormalLeafTurnover.Value * (day - sixWeeks) / year
	}
	return math.Max(1, share*before)
}

// BulbsAllowed returns how many of so many bulbs may be gone; at least one.
func BulbsAllowed(before float64) float64 { return math.Max(1, NormalBulbLoss.Value*before) }
