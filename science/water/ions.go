package water

import (
	"fmt"
	"math"
)

// Ions is a solution: the concentration of each species in mmol/L, indexed by
// Ion. The zero value is pure water.
type Ions [IonCount]float64

// maxMmolPerL bounds a single species, far above any solution a plant sees, so
// that a slip of three decimal places is caught.
const maxMmolPerL = 20000

// FromMgPerL returns the solution with the given mass concentrations, mg/L of
// each ion as written (nitrate as NO3, not as nitrogen; UreaN as nitrogen).
// Species left out are absent.
func FromMgPerL(analysis map[Ion]float64) (Ions, error) {
	return fromAnalysis(analysis, func(i Ion) (float64, error) { return species[i].gramsPerMole, nil })
}

// FromMeqPerL returns the solution with the given equivalent concentrations,
// meq/L (mmol of charge per litre). UreaN carries no charge and is refused.
func FromMeqPerL(analysis map[Ion]float64) (Ions, error) {
	return fromAnalysis(analysis, func(i Ion) (float64, error) {
		if species[i].charge == 0 {
			return 0, fmt.Errorf("water: %v has no charge and cannot be given in meq/L", i)
		}
		return math.Abs(chargeOf[i]), nil
	})
}

// fromAnalysis divides each given figure by its amount per mmol.
func fromAnalysis(analysis map[Ion]float64, perMmol func(Ion) (float64, error)) (Ions, error) {
	var c Ions
	seen := 0
	for i := range IonCount {
		figure, given := analysis[i]
		if !given {
			continue
		}
		seen++
		unit, err := perMmol(i)
		if err != nil {
			return Ions{}, err
		}
		c[i] = figure / unit
	}
	if seen != len(analysis) {
		return Ions{}, fmt.Errorf("water: the analysis names %d unknown species", len(analysis)-seen)
	}
	return c, c.Check()
}

// Check reports a concentration that is negative, not a number or absurd.
func (c Ions) Check() error {
	for i, mmol := range c {
		if !(mmol >= 0 && mmol <= maxMmolPerL) {
			return within("concentration of "+Ion(i).String(), mmol, 0, maxMmolPerL, "mmol/L")
		}
	}
	return nil
}

// MgPerL returns the mass concentration of one species, mg/L.
func (c Ions) MgPerL(i Ion) float64 { return c[i] * species[i].gramsPerMole }

// MeqPerL returns the equivalent concentration of one species, meq/L, without
// sign.
func (c Ions) MeqPerL(i Ion) float64 { return c[i] * math.Abs(chargeOf[i]) }

// Plus returns the solution that holds both: feed dissolved in a water, with
// the volume unchanged.
func (c Ions) Plus(other Ions) Ions {
	for i := range c {
		c[i] += other[i]
	}
	return c
}

// ChargeBalance is the test of an analysis: cations and anions must carry the
// same charge.
type ChargeBalance struct {
	CationsMeqL float64
	AnionsMeqL  float64
	// ErrorPercent is 100·(cations − anions)/(cations + anions), zero for pure
	// water (Standard Methods 1030 E, from memory). Beyond ±5 an analysis has
	// left something out or slipped.
	ErrorPercent float64
}

// ChargeBalance returns the sums of charge on each side and their difference.
func (c Ions) ChargeBalance() ChargeBalance {
	var b ChargeBalance
	for i, mmol := range c {
		if z := chargeOf[i]; z > 0 {
			b.CationsMeqL += z * mmol
		} else {
			b.AnionsMeqL -= z * mmol
		}
	}
	if sum := b.CationsMeqL + b.AnionsMeqL; sum > 0 {
		b.ErrorPercent = 100 * (b.CationsMeqL - b.AnionsMeqL) / sum
	}
	return b
}

// IonicStrength returns I = ½·Σ z²·c in mol/L.
func (c Ions) IonicStrength() float64 {
	var sum float64
	for i, mmol := range c {
		sum += chargeOf[i] * chargeOf[i] * mmol
	}
	return sum / 2000
}
