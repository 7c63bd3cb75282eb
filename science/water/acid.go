package water

import "math"

// Acid is a bottled acid used to lower alkalinity.
type Acid struct {
	Name          string
	MassPercent   float64 // grams of pure acid in 100 g
	DensityKgPerL float64 // zero for a crystalline acid, which is weighed
	GramsPerMole  float64
	// EqPerMole is how many protons a mole gives off at the pH of a watering
	// solution.
	EqPerMole float64
	// Anions are what one mole leaves in the water.
	Anions   Ions
	Cautions Cautions
}

// Cautions are the warnings that belong beside a dose. Their wording is the
// business of whoever shows them.
type Cautions uint8

const (
	// AcidIntoWater: acid is poured into water, never the other way round.
	AcidIntoWater Cautions = 1 << iota
	// GlovesAndGoggles: skin and eyes are covered and the place is aired.
	GlovesAndGoggles
	// OxidiserFumes: nitric acid oxidises and gives off harmful fumes.
	OxidiserFumes
	// LittleBufferLeft: less alkalinity stays than keeps the pH steady.
	LittleBufferLeft
)

// Has reports whether the caution belongs to the dose.
func (c Cautions) Has(one Cautions) bool { return c&one != 0 }

// NitricAcid returns a nitric acid of the given strength and density; 60 % has
// 1.37 kg/L. It leaves nitrate.
func NitricAcid(massPercent, densityKgPerL float64) (Acid, error) {
	return bottled(Acid{Name: "nitric acid", GramsPerMole: weightH + species[NO3].gramsPerMole, EqPerMole: 1,
		Anions: Ions{NO3: 1}, Cautions: OxidiserFumes}, massPercent, densityKgPerL)
}

// PhosphoricAcid returns a phosphoric acid; 85 % has 1.69 kg/L. It gives off one
// proton below about pH 6.5 and leaves H2PO4.
func PhosphoricAcid(massPercent, densityKgPerL float64) (Acid, error) {
	return bottled(Acid{Name: "phosphoric acid", GramsPerMole: weightH + species[H2PO4].gramsPerMole, EqPerMole: 1,
		Anions: Ions{H2PO4: 1}}, massPercent, densityKgPerL)
}

// SulphuricAcid returns a sulphuric acid; battery acid of 35 % has 1.26 kg/L,
// 93 % has 1.835. It leaves sulphate.
func SulphuricAcid(massPercent, densityKgPerL float64) (Acid, error) {
	return bottled(Acid{Name: "sulphuric acid", GramsPerMole: 2*weightH + species[SO4].gramsPerMole, EqPerMole: 2,
		Anions: Ions{SO4: 1}}, massPercent, densityKgPerL)
}

func bottled(a Acid, massPercent, densityKgPerL float64) (Acid, error) {
	if err := within("strength of the "+a.Name, massPercent, 0.1, 100, "%"); err != nil {
		return Acid{}, err
	}
	if err := within("density of the "+a.Name, densityKgPerL, 0.9, 1.9, "kg/L"); err != nil {
		return Acid{}, err
	}
	a.MassPercent, a.DensityKgPerL = massPercent, densityKgPerL
	a.Cautions |= AcidIntoWater | GlovesAndGoggles
	return a, nil
}

// CitricAcidMonohydrate returns crystalline citric acid: the safest at home,
// weak, and eaten by microbes within days. It leaves organic anions and no
// nutrient.
func CitricAcidMonohydrate() Acid {
	return Acid{Name: "citric acid monohydrate", MassPercent: 100, GramsPerMole: weightCitricAcid + weightWater,
		EqPerMole: CitricProtons.Value, Anions: Ions{Organic: CitricProtons.Value}, Cautions: AcidIntoWater}
}

// AcidDose is how much acid a litre of water needs and what that does.
type AcidDose struct {
	MeqPerL       float64
	GramsPerL     float64 // of the product as bottled
	MillilitresPL float64 // of the product; zero for a crystalline acid
	Added         Elements
	Water         Ions // the water after the dose, its carbon dioxide left out
	Cautions      Cautions
}

// DoseToAlkalinity returns the dose that brings a water to an alkalinity in
// mg/L as CaCO3: (now − target)/50.04 meq/L. The target must be at least zero
// and not above the alkalinity the water has.
func (a Acid) DoseToAlkalinity(base Ions, targetMgCaCO3 float64) (AcidDose, error) {
	if err := base.Check(); err != nil {
		return AcidDose{}, err
	}
	if err := within("target alkalinity", targetMgCaCO3, 0, math.Max(0, base.AlkalinityMgCaCO3()), "mg/L CaCO3"); err != nil {
		return AcidDose{}, err
	}
	if err := within("protons of the acid", a.EqPerMole, 0.5, 3, "eq/mol"); err != nil {
		return AcidDose{}, err
	}
	if err := within("strength of the acid", a.MassPercent, 0.1, 100, "%"); err != nil {
		return AcidDose{}, err
	}
	meq := (base.AlkalinityMgCaCO3() - targetMgCaCO3) / mgCaCO3PerMeq
	mmol := meq / a.EqPerMole
	dose := AcidDose{MeqPerL: meq, GramsPerL: mmol * a.GramsPerMole / 1000 / (a.MassPercent / 100), Cautions: a.Cautions}
	if a.DensityKgPerL > 0 {
		dose.MillilitresPL = dose.GramsPerL / a.DensityKgPerL
	}
	var anions Ions
	for i := range anions {
		anions[i] = mmol * a.Anions[i]
	}
	dose.Added = anions.Elements()
	dose.Water = protonated(base, meq).Plus(anions)
	if targetMgCaCO3 < SafeAlkalinity.Low {
		dose.Cautions |= LittleBufferLeft
	}
	return dose, nil
}

// protonated returns the water after meq/L of protons, not more than its
// alkalinity, went to the strongest base left: carbonate, then HPO4, then
// bicarbonate, which leaves as carbon dioxide. Free acid in the water is its own
// cation and stays.
func protonated(c Ions, meq float64) Ions {
	take := func(from, to Ion, gain float64) {
		used := math.Min(meq, c[from])
		c[from] -= used
		c[to] += gain * used
		meq -= used
	}
	take(CO3, HCO3, 1)
	take(HPO4, H2PO4, 1)
	take(HCO3, HCO3, 0)
	return c
}
