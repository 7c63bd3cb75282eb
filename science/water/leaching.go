package water

import (
	"math"

	"velamen/science/basis"
)

// LeachingFraction returns the share of the water that entered a container and
// drained again: drained/(drained + retained), in mL or in g by weighing.
// Nurseries aim below 0.15; a flush is far above.
func LeachingFraction(drained, retained float64) (float64, error) {
	if err := within("drained water", drained, 0, 1e9, "mL"); err != nil {
		return 0, err
	}
	if err := within("retained water", retained, 0, 1e9, "mL"); err != nil {
		return 0, err
	}
	if drained+retained == 0 {
		return 0, &RangeError{Chapter: "water", Quantity: "water poured", Low: math.SmallestNonzeroFloat64, High: 1e9, Unit: "mL"}
	}
	return drained / (drained + retained), nil
}

// DrainageECmS returns what the drainage of a container settles at after weeks
// of the same feed: EC in / leaching fraction, if the plant takes up water and
// no salt. Uptake lowers it (the low end). Leaching fraction 0.05–1.
func DrainageECmS(feedECmS, leachingFraction float64) (basis.Value, error) {
	if err := within("conductivity of the feed", feedECmS, 0, 20, "mS/cm"); err != nil {
		return basis.Value{}, err
	}
	if err := within("leaching fraction", leachingFraction, 0.05, 1, "1"); err != nil {
		return basis.Value{}, err
	}
	plain := feedECmS / leachingFraction
	return basis.Value{Value: plain * DrainageFactor.Value, Low: plain * DrainageFactor.Low, High: plain * DrainageFactor.High,
		Unit: "mS/cm", Grade: DrainageFactor.Grade, Source: DrainageFactor.Source}, nil
}

// FieldLeachingRequirement returns the share of irrigation that must pass below
// the roots of a field crop: ECw/(5·ECe − ECw), dS/m (FAO-29, Ayers & Westcot
// 1985, eq. 9, from memory). ECe is the saturation-extract salinity to be kept.
//
// It holds for soils that dry to a salinity profile between irrigations; a pot
// has none, so judge a pot by LeachingFraction and DrainageECmS.
func FieldLeachingRequirement(waterECdSm, soilExtractECdSm float64) (float64, error) {
	if err := within("conductivity of the water", waterECdSm, 0, 20, "dS/m"); err != nil {
		return 0, err
	}
	// At ECe = 0.4·ECw the formula asks for all of the water.
	if err := within("salinity to be kept", soilExtractECdSm, 0.4*waterECdSm, 50, "dS/m"); err != nil {
		return 0, err
	}
	if waterECdSm == 0 {
		return 0, nil
	}
	return waterECdSm / (5*soilExtractECdSm - waterECdSm), nil
}

// AppliedDepthMM returns the irrigation that covers evapotranspiration and
// leaching, mm: ET/(1 − LR) (FAO-29, eq. 7, from memory).
func AppliedDepthMM(evapotranspirationMM, leaching float64) (float64, error) {
	if err := within("evapotranspiration", evapotranspirationMM, 0, 1e5, "mm"); err != nil {
		return 0, err
	}
	if err := within("leaching requirement", leaching, 0, 0.95, "1"); err != nil {
		return 0, err
	}
	return evapotranspirationMM / (1 - leaching), nil
}

// FieldConcentrationFactor returns how many times saltier than the irrigation
// water the saturation extract of a field's root zone becomes at a leaching
// fraction of 0.05–1 (FAO-29, table 3, from memory): the mean of the soil water above and
// below each quarter, from which roots draw 40, 30, 20 and 10 %, halved because
// an extract holds twice the water.
func FieldConcentrationFactor(leachingFraction float64) (float64, error) {
	if err := within("leaching fraction", leachingFraction, 0.05, 1, "1"); err != nil {
		return 0, err
	}
	const extractPerSoilWater = 0.5
	drawn, sum := 0.0, 1.0
	for _, share := range [...]float64{0.4, 0.3, 0.2, 0.1} {
		drawn += share
		sum += 1 / (1 - drawn*(1-leachingFraction))
	}
	return extractPerSoilWater * sum / 5, nil
}
