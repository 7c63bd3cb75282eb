package water

import (
	"fmt"
	"slices"
)

// Salt is one pure substance of a recipe.
type Salt struct {
	Name         string
	Formula      string
	GramsPerMole float64
	PerMole      Ions // moles of each species from one mole dissolved
}

// salt adds up the molar mass from the ions and the water of crystallisation.
func salt(name, formula string, waters float64, perMole Ions) Salt {
	grams := waters * weightWater
	for i, moles := range perMole {
		grams += moles * species[i].gramsPerMole
	}
	return Salt{Name: name, Formula: formula, GramsPerMole: grams, PerMole: perMole}
}

var salts = []Salt{
	salt("potassium nitrate", "KNO3", 0, Ions{K: 1, NO3: 1}),
	salt("calcium nitrate tetrahydrate", "Ca(NO3)2·4H2O", 4, Ions{Ca: 1, NO3: 2}),
	salt("calcium nitrate, greenhouse grade", "5Ca(NO3)2·NH4NO3·10H2O", 10, Ions{Ca: 5, NH4: 1, NO3: 11}),
	salt("magnesium nitrate hexahydrate", "Mg(NO3)2·6H2O", 6, Ions{Mg: 1, NO3: 2}),
	salt("ammonium nitrate", "NH4NO3", 0, Ions{NH4: 1, NO3: 1}),
	salt("ammonium sulphate", "(NH4)2SO4", 0, Ions{NH4: 2, SO4: 1}),
	salt("monopotassium phosphate", "KH2PO4", 0, Ions{K: 1, H2PO4: 1}),
	salt("monoammonium phosphate", "NH4H2PO4", 0, Ions{NH4: 1, H2PO4: 1}),
	salt("potassium sulphate", "K2SO4", 0, Ions{K: 2, SO4: 1}),
	salt("potassium chloride", "KCl", 0, Ions{K: 1, Cl: 1}),
	salt("magnesium sulphate heptahydrate", "MgSO4·7H2O", 7, Ions{Mg: 1, SO4: 1}),
	salt("magnesium chloride hexahydrate", "MgCl2·6H2O", 6, Ions{Mg: 1, Cl: 2}),
	salt("gypsum", "CaSO4·2H2O", 2, Ions{Ca: 1, SO4: 1}),
	salt("calcium chloride dihydrate", "CaCl2·2H2O", 2, Ions{Ca: 1, Cl: 2}),
	salt("sodium chloride", "NaCl", 0, Ions{Na: 1, Cl: 1}),
	salt("sodium sulphate", "Na2SO4", 0, Ions{Na: 2, SO4: 1}),
	salt("sodium bicarbonate", "NaHCO3", 0, Ions{Na: 1, HCO3: 1}),
	salt("potassium bicarbonate", "KHCO3", 0, Ions{K: 1, HCO3: 1}),
	// Only the nitrogen of urea is followed, so its mass is not that of its
	// species.
	{Name: "urea", Formula: "CO(NH2)2", GramsPerMole: weightUrea, PerMole: Ions{UreaN: 2}},
}

// Salts returns the substances this package knows, in a new slice.
func Salts() []Salt { return slices.Clone(salts) }

// SaltByFormula returns the salt with this formula, water of crystallisation
// included: "MgSO4·7H2O".
func SaltByFormula(formula string) (Salt, error) {
	for _, s := range salts {
		if s.Formula == formula {
			return s, nil
		}
	}
	return Salt{}, fmt.Errorf("water: no salt with the formula %q", formula)
}

// Portion is one line of a recipe.
type Portion struct {
	Salt          Salt
	GramsPerLitre float64
}

// Dissolve returns the ions of a recipe in pure water. Everything is taken to
// dissolve; each portion may be 0 to 1000 g/L.
func Dissolve(recipe ...Portion) (Ions, error) {
	var c Ions
	for _, p := range recipe {
		if err := within("strength of "+p.Salt.Name, p.GramsPerLitre, 0, 1000, "g/L"); err != nil {
			return Ions{}, err
		}
		if !(p.Salt.GramsPerMole > 0) {
			return Ions{}, fmt.Errorf("water: salt %q has no molar mass", p.Salt.Name)
		}
		mmol := 1000 * p.GramsPerLitre / p.Salt.GramsPerMole
		for i, moles := range p.Salt.PerMole {
			c[i] += mmol * moles
		}
	}
	return c, c.Check()
}
