package water

import "fmt"

// HardnessMgCaCO3 returns the total hardness, mg/L as CaCO3: calcium and
// magnesium, each counted as if it were calcium carbonate (Standard Methods
// 2340 B, from memory).
func (c Ions) HardnessMgCaCO3() float64 { return (c[Ca] + c[Mg]) * weightCaCO3 }

// AlkalinityMeqL returns the alkalinity to pH 4.5, meq/L: what acid can be
// added before the pH falls freely (Standard Methods 2320, from memory).
// Bicarbonate and HPO4 take up one proton, carbonate two; free acid counts
// negative. Organic anions are left out.
func (c Ions) AlkalinityMeqL() float64 { return c[HCO3] + 2*c[CO3] + c[HPO4] - c[H] }

// AlkalinityMgCaCO3 returns the alkalinity in mg/L as CaCO3.
func (c Ions) AlkalinityMgCaCO3() float64 { return c.AlkalinityMeqL() * mgCaCO3PerMeq }

// mgCaCO3PerMeq is half a mole of calcium carbonate; extension leaflets round
// it to 50.
const mgCaCO3PerMeq = weightCaCO3 / 2

// AlkalinityUnit is a unit in which a water report may state alkalinity.
type AlkalinityUnit uint8

// Units of alkalinity.
const (
	AlkalinityAsCaCO3 AlkalinityUnit = iota // mg/L CaCO3
	AlkalinityAsMeq                         // meq/L
	AlkalinityAsHCO3                        // mg/L HCO3
)

// MgCaCO3 returns the alkalinity in mg/L as CaCO3 of a figure in this unit.
func (u AlkalinityUnit) MgCaCO3(figure float64) (float64, error) {
	perUnit, err := u.size()
	return figure * perUnit, err
}

// Figure returns the number to write in this unit for an alkalinity in mg/L as
// CaCO3.
func (u AlkalinityUnit) Figure(mgCaCO3 float64) (float64, error) {
	perUnit, err := u.size()
	if err != nil {
		return 0, err
	}
	return mgCaCO3 / perUnit, nil
}

func (u AlkalinityUnit) size() (float64, error) {
	switch u {
	case AlkalinityAsCaCO3:
		return 1, nil
	case AlkalinityAsMeq:
		return mgCaCO3PerMeq, nil
	case AlkalinityAsHCO3:
		return mgCaCO3PerMeq / species[HCO3].gramsPerMole, nil
	}
	return 0, fmt.Errorf("water: unknown alkalinity unit %d", u)
}

// HardnessUnit is a unit in which water suppliers state hardness.
type HardnessUnit uint8

// Units of hardness.
const (
	HardnessAsCaCO3 HardnessUnit = iota // mg/L CaCO3
	GermanDegrees                       // °dH, 10 mg/L CaO
	FrenchDegrees                       // °fH, 10 mg/L CaCO3
	ClarkDegrees                        // one grain of CaCO3 per imperial gallon
	USGrains                            // one grain of CaCO3 per US gallon
	HardnessAsMmol                      // mmol/L of Ca + Mg
)

var hardnessUnits = [...]struct {
	symbol  string
	mgCaCO3 float64 // one unit, in mg/L CaCO3
}{
	HardnessAsCaCO3: {"mg/L CaCO3", 1},
	GermanDegrees:   {"°dH", 10 * weightCaCO3 / (weightCa + weightO)},
	FrenchDegrees:   {"°fH", 10},
	ClarkDegrees:    {"°Clark", mgPerGrain / LitresPerImperialGallon},
	USGrains:        {"gpg", mgPerGrain / LitresPerUSGallon},
	HardnessAsMmol:  {"mmol/L", weightCaCO3},
}

// String returns the symbol used on water reports.
func (u HardnessUnit) String() string {
	if int(u) >= len(hardnessUnits) {
		return fmt.Sprintf("HardnessUnit(%d)", uint8(u))
	}
	return hardnessUnits[u].symbol
}

// MgCaCO3 returns the hardness in mg/L as CaCO3 of a figure in this unit.
func (u HardnessUnit) MgCaCO3(figure float64) (float64, error) {
	if int(u) >= len(hardnessUnits) {
		return 0, fmt.Errorf("water: unknown hardness unit %d", u)
	}
	return figure * hardnessUnits[u].mgCaCO3, nil
}

// Figure returns the number to write in this unit for a hardness in mg/L as
// CaCO3.
func (u HardnessUnit) Figure(mgCaCO3 float64) (float64, error) {
	if int(u) >= len(hardnessUnits) {
		return 0, fmt.Errorf("water: unknown hardness unit %d", u)
	}
	return mgCaCO3 / hardnessUnits[u].mgCaCO3, nil
}
