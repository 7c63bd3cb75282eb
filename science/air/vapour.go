package air

// VapourKPa returns the vapour pressure in kPa of air at a temperature in °C
// and a relative humidity in percent.
//
//	ea = e°(T)·RH/100   FAO-56 ch. 3, equation 10 rearranged
func VapourKPa(airC, rhPercent float64) float64 {
	return SaturationKPa(airC) * rhPercent / 100
}

// VPDKPa returns the vapour pressure deficit of the air in kPa: how much more
// vapour it could take up at its own temperature. Zero at 100 % relative
// humidity.
func VPDKPa(airC, rhPercent float64) float64 {
	return SaturationKPa(airC) * (1 - rhPercent/100)
}

// LeafVPDKPa returns the deficit in kPa between the saturated air inside a leaf
// and the air around it, which is what drives transpiration. It is larger than
// the air's own deficit when the leaf is warmer than the air, and negative when
// the leaf is colder than the dew point, so that water condenses on it.
func LeafVPDKPa(leafC, airC, rhPercent float64) float64 {
	return SaturationKPa(leafC) - VapourKPa(airC, rhPercent)
}

// RHForVPD returns the relative humidity in percent that gives air of the given
// temperature a vapour pressure deficit of vpdKPa. Errors: temperature outside
// −40 to 60 °C; deficit negative or above saturation, which no air can have.
func RHForVPD(airC, vpdKPa float64) (float64, error) {
	return RHForLeafVPD(airC, airC, vpdKPa)
}

// RHForLeafVPD returns the relative humidity in percent of air at airC that
// leaves a deficit of vpdKPa between a leaf at leafC and that air. Errors:
// either temperature outside −40 to 60 °C; a deficit that no humidity from 0
// to 100 % gives at these temperatures, such as a small one over a leaf much
// warmer than the air.
func RHForLeafVPD(leafC, airC, vpdKPa float64) (float64, error) {
	if err := checkAirC(airC); err != nil {
		return 0, err
	}
	if err := checkLeafC(leafC); err != nil {
		return 0, err
	}
	leafKPa, airKPa := SaturationKPa(leafC), SaturationKPa(airC)
	smallestKPa := max(0, leafKPa-airKPa)
	if err := within("vapour pressure deficit", vpdKPa, smallestKPa, leafKPa, "kPa"); err != nil {
		return 0, err
	}
	// The cap removes only the rounding of the subtraction: the check above
	// already holds the result to 100 %.
	return min(100, 100*(leafKPa-vpdKPa)/airKPa), nil
}

// VapourFromRHRangeKPa returns a day's mean vapour pressure in kPa from its
// lowest and highest temperature and relative humidity. The highest humidity
// belongs to the lowest temperature, usually at dawn.
//
//	ea = (e°(Tmin)·RHmax + e°(Tmax)·RHmin)/200   FAO-56 ch. 3, equation 17
func VapourFromRHRangeKPa(lowestC, highestC, lowestRHPercent, highestRHPercent float64) float64 {
	return (VapourKPa(lowestC, highestRHPercent) + VapourKPa(highestC, lowestRHPercent)) / 2
}

// VapourFromHighestRHKPa returns a day's mean vapour pressure in kPa from the
// lowest temperature and the highest relative humidity alone, for probes that
// read badly in dry air.
//
//	ea = e°(Tmin)·RHmax/100   FAO-56 ch. 3, equation 18
func VapourFromHighestRHKPa(lowestC, highestRHPercent float64) float64 {
	return VapourKPa(lowestC, highestRHPercent)
}

// VapourFromMeanRHKPa returns a day's mean vapour pressure in kPa when only the
// mean relative humidity was noted. The least certain of the three.
//
//	ea = RHmean/100·(e°(Tmax)+e°(Tmin))/2   FAO-56 ch. 3, equation 19
func VapourFromMeanRHKPa(lowestC, highestC, meanRHPercent float64) float64 {
	return MeanSaturationKPa(lowestC, highestC) * meanRHPercent / 100
}
