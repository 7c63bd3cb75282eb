package pot

import "velamen/science/basis"

// Limits of what this package answers.
const (
	SmallestCM           = 0.5   // smallest side or diameter of a pot, cm
	LargestCM            = 80.0  // largest side, diameter or height, cm: taller than that is no orchid pot
	LargestPourML        = 1e5   // largest single pour, mL
	LargestECmS          = 50.0  // strongest water, mS/cm: sea water
	LargestPotentialMM   = 5.0   // strongest potential evaporation, mm in one hour
	LargestDemandML      = 1e4   // largest demand of a plant, mL in one hour
	MaxTanks             = 10    // most tanks in series
	ecAtLeastWaterShare  = 0.02  // see Pot.ECmS
	balanceTolerance     = 1e-9  // largest residual, as a share of what was there and what came
	leastAmount          = 1e-12 // mL or mS/cm·mL that count as one in a residual; below, figures lose their digits
	labHeightMM          = 76.0  // height of the core in which laboratories measure container capacity
	mlPerMMPerCM2        = 0.1   // 1 mm of water on 1 cm² is 0.1 mL
	cupOfDrainageML      = 50.0  // the last cup of drainage, in which a grower dips the pen
	smallestParticleMM   = 0.02  // half thickness: a moss leaf
	largestParticleMM    = 50.0
	slowestUptakePerDay  = 1e-5
	fastestUptakePerDay  = 100.0
	largestHorizonHours  = 24 * 366 * 5
	secondsPerHour       = 3600.0
	longestSoakHours     = 24.0 * 14
	longestIntervalDays  = 60
	steadyDays           = 60
	smallestCaptureShare = 0.01
)

// RangeError tells which quantity lay outside its allowed range.
type RangeError = basis.RangeError

// within returns an error unless low ≤ value ≤ high. NaN lies outside any range.
func within(quantity string, value, low, high float64, unit string) error {
	return basis.Within("pot", quantity, value, low, high, unit)
}

// firstError returns the first of the errors that is not nil.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
