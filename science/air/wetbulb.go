package air

import "math"

// Heats of the wet-bulb balance above freezing, ASHRAE 2017 ch. 1, equation 33.
const (
	wetBulbLatentFallKJPerKgK = 2.326
	waterHeatKJPerKgK         = 4.186
)

// WetBulbC returns the thermodynamic wet-bulb temperature: the temperature to
// which water evaporating into the air can cool the two together, and so the
// lowest that misting or a wet pad can reach. It lies between the dew point and
// the air temperature, and equals the air temperature at 100 %. The bulb is
// taken as wet with liquid water at every temperature.
//
// Range as for a State; the inputs are not checked.
//
//	W = ((2501 − 2.326·t*)·Ws* − 1.006·(t − t*))/(2501 + 1.86·t − 4.186·t*)
//	ASHRAE 2017 ch. 1, equation 33, solved for t*
func WetBulbC(airC, rhPercent, pressureKPa float64) float64 {
	ratio := HumidityRatio(VapourKPa(airC, rhPercent), pressureKPa)
	// The imbalance rises with t* and is convex, so Newton's steps that start
	// at the air temperature come down to the root without passing it, and
	// each doubles the number of correct digits. Eight are enough for every
	// State; the limit only guards inputs outside the range, NaN among them.
	wetC := airC
	for range 50 {
		saturatedKPa := SaturationKPa(wetC)
		saturated := HumidityRatio(saturatedKPa, pressureKPa)
		dryKPa := pressureKPa - saturatedKPa
		saturatedSlope := massRatio * pressureKPa * SaturationSlopeKPaPerK(wetC) / (dryKPa * dryKPa)
		imbalance, slope := wetBulbImbalance(airC, wetC, ratio, saturated, saturatedSlope)
		step := imbalance / slope
		wetC -= step
		if math.Abs(step) < 1e-9 {
			break
		}
	}
	return wetC
}

// wetBulbImbalance returns the left side minus the right side of equation 33,
// multiplied out, in kJ per kg of dry air, and its derivative by wetC. It takes
// the saturated ratio and its slope as figures, so that the equation can be
// checked with either formulation of saturation.
func wetBulbImbalance(airC, wetC, ratio, saturated, saturatedSlope float64) (imbalance, slope float64) {
	latent := latentAt0CKJPerKg - wetBulbLatentFallKJPerKgK*wetC
	imbalance = latent*saturated - dryAirHeatKJPerKgK*(airC-wetC) -
		ratio*(latentAt0CKJPerKg+vapourHeatKJPerKgK*airC-waterHeatKJPerKgK*wetC)
	slope = latent*saturatedSlope - wetBulbLatentFallKJPerKgK*saturated +
		dryAirHeatKJPerKgK + ratio*waterHeatKJPerKgK
	return imbalance, slope
}
