package leaf

import (
	"fmt"
	"math"

	"velamen/science/basis"
)

// waterGPerMM is the mass of a square metre of leaf, 1 mm thick: tissue is
// taken to be as dense as water. Air spaces and starch change that by less
// than the spread of thickness.
const waterGPerMM = 1000.0

// FreeLossGM2 returns the water lost in the given hours by a leaf of the given
// conductance if it were as warm as the air and the boundary layer no
// hindrance: the first guess, good while stomata are far tighter than the
// boundary layer, and the sum a grower can repeat with a pocket calculator.
//
//	E = g D/P   mol m⁻² s⁻¹
//
// Ranges: conductance 0 to 10 mol m⁻² s⁻¹, deficit 0 to 20 kPa, pressure 50 to
// 110 kPa, hours 0 to 8784.
func FreeLossGM2(conductanceMol, vpdKPa, pressureKPa, hours float64) (float64, error) {
	if err := firstError(
		within("conductance", "mol/(m² s)", conductanceMol, stomatalLowMol, stomatalHighMol),
		within("vapour pressure deficit", "kPa", vpdKPa, vpdLowKPa, vpdHighKPa),
		within("air pressure", "kPa", pressureKPa, pressureLowKPa, pressureHighKPa),
		within("hours", "h", hours, 0, 8784)); err != nil {
		return 0, err
	}
	return conductanceMol * vpdKPa / pressureKPa * gramsPerHour * hours, nil
}

// Part is an organ of a plant with its area in m²: projected for leaves, the
// whole surface for pseudobulbs.
type Part struct {
	Organ  Organ
	AreaM2 float64
}

// PatienceDays returns how many days a plant lives on the water stored in its
// parts, without any uptake, until 30 % of it is gone: stomata shut, the air
// short of vpdKPa (0.01 to 20 kPa) at pressureKPa (50 to 110 kPa).
//
//	N = 0.3 Σ A d ρ w / Σ A g_min D/P
//
// Parts share their water: a bulb feeds its leaves. The range follows from
// those of thickness, water content, leak and tolerated loss, each parameter
// taken once per kind of organ; it is worked out on the logarithm, because
// days are a quotient. All organs' leaks are assumptions, and so is the result.
func PatienceDays(parts []Part, vpdKPa, pressureKPa float64) (basis.Value, error) {
	if err := firstError(
		within("vapour pressure deficit", "kPa", vpdKPa, 0.01, vpdHighKPa),
		within("air pressure", "kPa", pressureKPa, pressureLowKPa, pressureHighKPa)); err != nil {
		return basis.Value{}, err
	}
	var areas [organCount]float64
	var total float64
	for _, part := range parts {
		if part.Organ >= organCount {
			return basis.Value{}, fmt.Errorf("leaf: organ %d is outside 0 to %d", part.Organ, organCount-1)
		}
		if err := within("area", "m²", part.AreaM2, 0, 1000); err != nil {
			return basis.Value{}, err
		}
		areas[part.Organ] += part.AreaM2
		total += part.AreaM2
	}
	if total == 0 {
		return basis.Value{}, fmt.Errorf("leaf: the plant has no area to lose water from")
	}

	inputs := []basis.Value{lossBorne}
	for organ := range organCount {
		store := stores[organ]
		inputs = append(inputs, store.ThicknessMM, store.WaterShare, store.MinimumMmol)
	}
	logDays := func(in []float64) float64 {
		var water, loss float64
		for organ, area := range areas {
			row := in[1+3*organ:]
			water += area * row[0] * waterGPerMM * row[1]
			loss += area * row[2] / 1000 * vpdKPa / pressureKPa * gramsPerHour * 24
		}
		return math.Log(in[0] * water / loss)
	}
	centre := make([]float64, len(inputs))
	for i, v := range inputs {
		centre[i] = v.Value
	}
	low, high := basis.Spread(logDays, inputs...)
	return basis.Value{
		Value: math.Exp(logDays(centre)), Low: math.Exp(low), High: math.Exp(high),
		Unit: "d", Grade: basis.Assumption,
	}, nil
}
