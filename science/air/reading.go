package air

import "fmt"

// Psychrometer says how the wet bulb of a wet-and-dry-bulb thermometer is
// ventilated, which decides how far it cools.
type Psychrometer uint8

const (
	// Aspirated has a fan or is whirled: about 5 m/s past the bulb.
	Aspirated Psychrometer = iota
	// NaturallyVentilated stands in a screen outdoors: about 1 m/s.
	NaturallyVentilated
	// IndoorUnventilated hangs in still room air.
	IndoorUnventilated
)

// String returns the words shown to the grower.
func (p Psychrometer) String() string {
	switch p {
	case Aspirated:
		return "aspirated"
	case NaturallyVentilated:
		return "naturally ventilated"
	case IndoorUnventilated:
		return "indoor, unventilated"
	}
	return "unknown ventilation"
}

// coefficientPerK returns the coefficient a of FAO-56 equation 16 and whether
// there is one for this ventilation.
func (p Psychrometer) coefficientPerK() (float64, bool) {
	switch p {
	case Aspirated:
		return AspiratedCoefficient.Value, true
	case NaturallyVentilated:
		return NaturallyVentilatedCoefficient.Value, true
	case IndoorUnventilated:
		return IndoorUnventilatedCoefficient.Value, true
	}
	return 0, false
}

// RHFromDewPoint returns the relative humidity in percent of air with the given
// dew point. Errors: air temperature outside −40 to 60 °C; dew point above the
// air temperature or below −100 °C.
//
//	RH = 100·e°(Tdew)/e°(T)   FAO-56 ch. 3, equations 10 and 14
func RHFromDewPoint(airC, dewPointC float64) (float64, error) {
	if err := checkAirC(airC); err != nil {
		return 0, err
	}
	if err := within("dew point", dewPointC, -100, airC, "°C"); err != nil {
		return 0, err
	}
	// A dew point a rounding step below the air temperature may come out a
	// rounding step above 100 %.
	return min(100, 100*(SaturationKPa(dewPointC)/SaturationKPa(airC))), nil
}

// RHFromWetBulb returns the relative humidity in percent from the two readings
// of a psychrometer at the given air pressure. Errors: air temperature or
// pressure outside the range of a State; wet bulb above the air temperature;
// a wet bulb so low that the humidity would be negative, which means a dry wick
// or the wrong kind of psychrometer; an unknown Psychrometer.
//
//	ea = e°(Twet) − a·P·(Tdry − Twet)   FAO-56 ch. 3, equations 15 and 16
func RHFromWetBulb(airC, wetBulbC, pressureKPa float64, ventilation Psychrometer) (float64, error) {
	if err := checkAirC(airC); err != nil {
		return 0, err
	}
	if err := checkPressureKPa(pressureKPa); err != nil {
		return 0, err
	}
	if err := within("wet bulb", wetBulbC, LowestAirC-20, airC, "°C"); err != nil {
		return 0, err
	}
	perK, known := ventilation.coefficientPerK()
	if !known {
		return 0, fmt.Errorf("air: psychrometer %d is none of %v, %v and %v",
			uint8(ventilation), Aspirated, NaturallyVentilated, IndoorUnventilated)
	}
	vapourKPa := SaturationKPa(wetBulbC) - perK*pressureKPa*(airC-wetBulbC)
	// Capped for the same reason as in RHFromDewPoint.
	rhPercent := min(100, 100*(vapourKPa/SaturationKPa(airC)))
	if err := checkRHPercent("relative humidity by wet bulb", rhPercent); err != nil {
		return 0, err
	}
	return rhPercent, nil
}
