package air

import "math"

// Altitudes for which the standard pressure is given: below the shore of the
// Dead Sea to above the highest peak.
const (
	LowestAltitudeM  = -500.0
	HighestAltitudeM = 9000.0
)

func checkAltitudeM(altitudeM float64) error {
	return within("altitude", altitudeM, LowestAltitudeM, HighestAltitudeM, "m")
}

// PressureKPa returns the usual air pressure in kPa at an altitude in metres
// above sea level, for a mean air temperature of 20 °C. Errors: altitude
// outside −500 to 9000 m. Above about 5700 m the result lies below what a
// State accepts.
//
//	P = 101.3·((293 − 0.0065·z)/293)^5.26   FAO-56 ch. 3, equation 7
func PressureKPa(altitudeM float64) (float64, error) {
	if err := checkAltitudeM(altitudeM); err != nil {
		return 0, err
	}
	return 101.3 * math.Pow((293-0.0065*altitudeM)/293, 5.26), nil
}

// PsychrometricKPaPerK returns the psychrometric constant γ in kPa/K at an air
// pressure in kPa. It is proportional to the pressure and taken as independent
// of temperature.
//
//	γ = 0.665×10⁻³·P   FAO-56 ch. 3, equation 8
func PsychrometricKPaPerK(pressureKPa float64) float64 {
	return 0.665e-3 * pressureKPa
}
