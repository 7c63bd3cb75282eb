package pot

import (
	"math"

	"velamen/science/air"
)

const (
	kPaPerAtmosphere = 101.325
	oxygenInDryAir   = 0.20946 // mole fraction
	oxygenGPerMol    = 31.998
	gasJPerMolK      = 8.314462618
	kelvinAt0C       = 273.15
)

// DissolvedOxygenMgPerL returns the oxygen in mg per litre of fresh water that
// is saturated with air, at 0 to 40 °C and 50 to 110 kPa.
//
//	ln C = −139.34411 + 1.575701e5/T − 6.642308e7/T² + 1.243800e10/T³ − 8.621949e11/T⁴, T in K
//	C_p = C·P·(1 − Pw/P)·(1 − θP)/((1 − Pw)·(1 − θ)), P in atm
//	Benson and Krause as in APHA Standard Methods; the second line from memory
func DissolvedOxygenMgPerL(waterC, pressureKPa float64) (float64, error) {
	if err := firstError(
		within("water temperature", waterC, 0, 40, "°C"),
		within("air pressure", pressureKPa, air.LowestPressureKPa, air.HighestPressureKPa, "kPa"),
	); err != nil {
		return 0, err
	}
	t := waterC + kelvinAt0C
	atOneAtmosphere := math.Exp(-139.34411 + 1.575701e5/t - 6.642308e7/(t*t) +
		1.243800e10/(t*t*t) - 8.621949e11/(t*t*t*t))
	atm := pressureKPa / kPaPerAtmosphere
	vapourAtm := math.Exp(11.8571 - 3840.70/t - 216961/(t*t))
	theta := 0.000975 - 1.426e-5*waterC + 6.436e-8*waterC*waterC
	return atOneAtmosphere * (atm - vapourAtm) * (1 - theta*atm) / ((1 - vapourAtm) * (1 - theta)), nil
}

// AirOxygenMgPerL returns the oxygen in mg per litre of water-saturated air, as
// in the pores of a moist medium, at 0 to 40 °C and 50 to 110 kPa.
//
//	x·(P − e°)·M/(R·T): Dalton's law and the gas law
func AirOxygenMgPerL(airC, pressureKPa float64) (float64, error) {
	if err := firstError(
		within("air temperature", airC, 0, 40, "°C"),
		within("air pressure", pressureKPa, air.LowestPressureKPa, air.HighestPressureKPa, "kPa"),
	); err != nil {
		return 0, err
	}
	// kPa·g/mol over J/(mol K)·K is g/L.
	return 1000 * oxygenInDryAir * (pressureKPa - air.SaturationKPa(airC)) * oxygenGPerMol /
		(gasJPerMolK * (airC + kelvinAt0C)), nil
}

// Breath is what a flush does for the air around the roots.
type Breath struct {
	AirML       float64 // fresh air drawn in: as much as drains
	OxygenMg    float64 // in that air
	DissolvedMg float64 // in the water that stays in the pot, if it came saturated with air
}

// Breathe returns the air that a pour draws into the pot, at 0 to 40 °C and 50
// to 110 kPa: V mL that drain draw V mL of air in behind them, by conservation
// of volume. A litre of air holds 25 to 34 times the oxygen of a litre of
// water, so water that was aerated before it was poured makes little
// difference.
func (d Drainage) Breathe(airC, pressureKPa float64) (Breath, error) {
	inAir, errAir := AirOxygenMgPerL(airC, pressureKPa)
	inWater, errWater := DissolvedOxygenMgPerL(airC, pressureKPa)
	if err := firstError(errAir, errWater); err != nil {
		return Breath{}, err
	}
	return Breath{
		AirML:       d.DrainedML,
		OxygenMg:    inAir * d.DrainedML / 1000,
		DissolvedMg: inWater * d.CapturedML / 1000,
	}, nil
}
