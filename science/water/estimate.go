package water

import "math"

// Estimate is a water guessed from three readings a grower can take. It is not
// an analysis: nitrate, potassium and the split of the rest are not in it.
type Estimate struct {
	Ions Ions
	// Low and High enclose each ion when the assumptions and the meter run
	// through their ranges.
	Low, High Ions
	// ECFromHardnessMS is the least conductivity, mS/cm, that the stated
	// hardness and alkalinity can have.
	ECFromHardnessMS float64
	// Contradictory is set when the meter reads more than a tenth below that:
	// one of the three figures, or its unit, is wrong. The ions then follow
	// hardness and alkalinity alone.
	Contradictory bool
	// SodiumWater is set when sodium outweighs calcium and magnesium, as in
	// water from an ion-exchange softener, which is unfit for the plants.
	SodiumWater bool
}

// contradictionShare is how far below the least possible conductivity a meter
// may read before the figures are called contradictory: the model's own error
// in hard water plus a pocket meter's.
const contradictionShare = 0.10

// EstimateIons guesses the ions of a water from its conductivity (mS/cm at
// 25 °C, up to 5), hardness and alkalinity (mg/L as CaCO3, up to 2000).
//
// The rule: alkalinity is bicarbonate. Hardness is calcium and magnesium in the
// ratio MainsCaToMg. If hardness exceeds alkalinity the difference is balanced
// by chloride and sulphate in the ratio MainsChlorideShare, otherwise by sodium.
// What conductivity is left over is sodium with chloride and sulphate in the
// same ratio.
func EstimateIons(ecMS, hardnessMgCaCO3, alkalinityMgCaCO3 float64) (Estimate, error) {
	if err := within("conductivity", ecMS, 0, 5, "mS/cm"); err != nil {
		return Estimate{}, err
	}
	if err := within("hardness", hardnessMgCaCO3, 0, 2000, "mg/L CaCO3"); err != nil {
		return Estimate{}, err
	}
	if err := within("alkalinity", alkalinityMgCaCO3, 0, 2000, "mg/L CaCO3"); err != nil {
		return Estimate{}, err
	}
	guess := guess{hardnessMgCaCO3 / weightCaCO3, alkalinityMgCaCO3 / mgCaCO3PerMeq}

	bare := guess.without(MainsCaToMg.Value, MainsChlorideShare.Value)
	least, err := bare.ECmS()
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{ECFromHardnessMS: least, Contradictory: ecMS < (1-contradictionShare)*least}
	if e.Ions, err = guess.ions(ecMS, MainsCaToMg.Value, MainsChlorideShare.Value); err != nil {
		return Estimate{}, err
	}
	e.Low, e.High = e.Ions, e.Ions
	for _, ratio := range [...]float64{MainsCaToMg.Low, MainsCaToMg.High} {
		for _, chloride := range [...]float64{MainsChlorideShare.Low, MainsChlorideShare.High} {
			for _, percent := range [...]float64{PocketMeterPercent.Low, PocketMeterPercent.High} {
				corner, err := guess.ions(ecMS*(1+percent/100), ratio, chloride)
				if err != nil {
					return Estimate{}, err
				}
				for i, mmol := range corner {
					e.Low[i], e.High[i] = math.Min(e.Low[i], mmol), math.Max(e.High[i], mmol)
				}
			}
		}
	}
	e.SodiumWater = e.Ions[Na] > 2*(e.Ions[Ca]+e.Ions[Mg])
	return e, nil
}

// guess is what is known for sure.
type guess struct {
	hardnessMmolL  float64
	alkalinityMeqL float64
}

// without returns the water before any further sodium salt.
func (g guess) without(caToMg, chloride float64) Ions {
	c := Ions{Ca: g.hardnessMmolL * caToMg / (1 + caToMg), Mg: g.hardnessMmolL / (1 + caToMg), HCO3: g.alkalinityMeqL}
	if excess := 2*g.hardnessMmolL - g.alkalinityMeqL; excess > 0 {
		c[Cl], c[SO4] = excess*chloride, excess*(1-chloride)/2
	} else {
		c[Na] = -excess
	}
	return c
}

// ions adds the sodium salts that bring the water to the conductivity.
func (g guess) ions(ecMS, caToMg, chloride float64) (Ions, error) {
	bare := g.without(caToMg, chloride)
	withSalt := func(meq float64) Ions {
		return bare.Plus(Ions{Na: meq, Cl: meq * chloride, SO4: meq * (1 - chloride) / 2})
	}
	least, err := bare.ECmS()
	if err != nil || least >= ecMS {
		return bare, err
	}
	high := 1.0
	for {
		ec, err := withSalt(high).ECmS()
		if err != nil {
			return Ions{}, err
		}
		if ec >= ecMS {
			break
		}
		high *= 2
	}
	meq, err := bisect(0, high, ecMS, func(meq float64) (float64, error) { return withSalt(meq).ECmS() })
	return withSalt(meq), err
}
