package water

import "fmt"

// Ion names one dissolved species. UreaN is the only one without charge.
type Ion uint8

// The species of a solution. Organic stands for the anions of citric and other
// organic acids, counted in mmol of negative charge. UreaN is the nitrogen of
// urea, in mmol of N, two for each molecule.
const (
	Ca Ion = iota
	Mg
	Na
	K
	NH4
	H
	Cl
	SO4
	HCO3
	CO3
	NO3
	H2PO4
	HPO4
	Organic
	UreaN

	// IonCount is the number of species; range over it to visit them all.
	IonCount
)

// Standard atomic weights, g/mol (IUPAC, to five figures).
const (
	weightH  = 1.008
	weightC  = 12.011
	weightN  = 14.007
	weightO  = 15.999
	weightNa = 22.990
	weightMg = 24.305
	weightP  = 30.974
	weightS  = 32.06
	weightCl = 35.453
	weightK  = 39.098
	weightCa = 40.078

	weightWater = 2*weightH + weightO
	weightUrea  = weightC + weightO + 2*(weightN+2*weightH)
	weightCaCO3 = weightCa + weightC + 3*weightO

	// citrate is C6H8O7, of which one mole carries about 2.6 charges at the
	// pH of a watering solution.
	weightCitricAcid = 6*weightC + 8*weightH + 7*weightO
)

var species = [IonCount]struct {
	symbol       string
	charge       int
	gramsPerMole float64
}{
	Ca:    {"Ca", +2, weightCa},
	Mg:    {"Mg", +2, weightMg},
	Na:    {"Na", +1, weightNa},
	K:     {"K", +1, weightK},
	NH4:   {"NH4", +1, weightN + 4*weightH},
	H:     {"H", +1, weightH},
	Cl:    {"Cl", -1, weightCl},
	SO4:   {"SO4", -2, weightS + 4*weightO},
	HCO3:  {"HCO3", -1, weightH + weightC + 3*weightO},
	CO3:   {"CO3", -2, weightC + 3*weightO},
	NO3:   {"NO3", -1, weightN + 3*weightO},
	H2PO4: {"H2PO4", -1, 2*weightH + weightP + 4*weightO},
	HPO4:  {"HPO4", -2, weightH + weightP + 4*weightO},
	// Per charge, as if all of it were citrate at 2.6 charges per molecule.
	Organic: {"organic", -1, (weightCitricAcid - 2.6*weightH) / 2.6},
	UreaN:   {"urea-N", 0, weightN},
}

// String returns the usual symbol, without the charge: "Ca", "HCO3", "urea-N".
func (i Ion) String() string {
	if i >= IonCount {
		return fmt.Sprintf("Ion(%d)", uint8(i))
	}
	return species[i].symbol
}

// Charge returns the charge number: +2 for Ca, −1 for Cl, 0 for UreaN.
func (i Ion) Charge() int { return species[i].charge }

// GramsPerMole returns the molar mass, for UreaN that of its nitrogen.
func (i Ion) GramsPerMole() float64 { return species[i].gramsPerMole }

// ParseIon returns the species with this symbol, as String writes it.
func ParseIon(symbol string) (Ion, error) {
	for i := range IonCount {
		if species[i].symbol == symbol {
			return i, nil
		}
	}
	return 0, fmt.Errorf("water: no ion is called %q", symbol)
}

// chargeOf holds the charges as floats, for the loops over all species.
var chargeOf = func() (z [IonCount]float64) {
	for i := range IonCount {
		z[i] = float64(species[i].charge)
	}
	return z
}()
