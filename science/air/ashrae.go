package air

import "math"

const (
	kelvinAt0C   = 273.15
	triplePointC = 0.01
)

// SaturationASHRAEKPa returns the saturation pressure in kPa by the equations
// of Hyland and Wexler: over ice from −100 °C to the triple point at 0.01 °C,
// over liquid water above it to 200 °C. It is the check beside SaturationKPa
// and the one to ask about frost.
//
//	over ice:   ASHRAE 2017 ch. 1, equation 5
//	over water: ASHRAE 2017 ch. 1, equation 6
func SaturationASHRAEKPa(airC float64) float64 {
	airK := airC + kelvinAt0C
	var logPa float64
	if airC <= triplePointC {
		logPa = -5674.5359/airK + 6.3925247 +
			airK*(-9.677843e-3+airK*(6.2215701e-7+airK*(2.0747825e-9-airK*9.484024e-13))) +
			4.1635019*math.Log(airK)
	} else {
		logPa = -5800.2206/airK + 1.3914993 +
			airK*(-4.8640239e-2+airK*(4.1764768e-5-airK*1.4452093e-8)) +
			6.5459673*math.Log(airK)
	}
	return math.Exp(logPa) / 1000
}

// PressureASHRAEKPa returns the pressure of the standard atmosphere at an
// altitude, the check beside PressureKPa. Errors: altitude outside −500 to
// 9000 m.
//
//	p = 101.325·(1 − 2.25577×10⁻⁵·Z)^5.2559   ASHRAE 2017 ch. 1, equation 3
func PressureASHRAEKPa(altitudeM float64) (float64, error) {
	if err := checkAltitudeM(altitudeM); err != nil {
		return 0, err
	}
	return 101.325 * math.Pow(1-2.25577e-5*altitudeM, 5.2559), nil
}
