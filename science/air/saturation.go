package air

import "math"

// Constants of FAO-56 equation 11 (Tetens's form over liquid water).
const (
	tetensKPa   = 0.6108
	tetensSlope = 17.27
	tetensPoleC = 237.3
)

// SaturationKPa returns the vapour pressure in kPa at which air of the given
// temperature is saturated over liquid water, also below 0 °C. Made for −40 to
// 60 °C; it has a meaning only above −237.3 °C, the pole of the formula.
//
//	e°(T) = 0.6108·exp(17.27·T/(T+237.3))   FAO-56 ch. 3, equation 11
func SaturationKPa(airC float64) float64 {
	return tetensKPa * math.Exp(tetensSlope*airC/(airC+tetensPoleC))
}

// SaturationSlopeKPaPerK returns by how many kPa the saturation pressure rises
// per kelvin at the given temperature. Range as for SaturationKPa.
//
//	Δ = 4098·e°(T)/(T+237.3)²   FAO-56 ch. 3, equation 13
//
// 4098 is the product 17.27 × 237.3 rounded; the product itself is used here,
// so that the slope is the derivative of equation 11 to the last digit.
func SaturationSlopeKPaPerK(airC float64) float64 {
	aboveC := airC + tetensPoleC
	return tetensSlope * tetensPoleC * SaturationKPa(airC) / (aboveC * aboveC)
}

// DewPointC returns the temperature at which vapour of the given pressure
// saturates: the inverse of SaturationKPa. Perfectly dry air has no dew point;
// for a pressure of zero or less the result is −237.3, the formula's own limit
// as the vapour vanishes, and SaturationKPa of it is again zero.
//
//	T_dew = 237.3·L/(17.27−L), L = ln(ea/0.6108)   FAO-56 ch. 3, equation 14 inverted
func DewPointC(vapourKPa float64) float64 {
	if vapourKPa <= 0 {
		return -tetensPoleC
	}
	logRatio := math.Log(vapourKPa / tetensKPa)
	return tetensPoleC * logRatio / (tetensSlope - logRatio)
}

// MeanSaturationKPa returns the mean saturation pressure of a day from its
// lowest and highest temperature. The curve of saturation is convex, so this
// is more than saturation at the mean temperature, which would make the day
// look damper than it was.
//
//	es = (e°(Tmax)+e°(Tmin))/2   FAO-56 ch. 3, equation 12
func MeanSaturationKPa(lowestC, highestC float64) float64 {
	return (SaturationKPa(highestC) + SaturationKPa(lowestC)) / 2
}
