package leaf

import (
	"fmt"

	"velamen/science/basis"
)

// Physical constants.
const (
	kelvin          = 273.15
	stefanBoltzmann = 5.670374419e-8 // W m⁻² K⁻⁴, CODATA 2018
	molarMassWater  = 18.0153        // g/mol
	heatCapacityAir = 29.3           // J mol⁻¹ K⁻¹, Campbell & Norman 1998, Table A.1, from memory
	standardKPa     = 101.325
)

// Boundary-layer coefficients per face, mol m⁻² s⁻¹ with speed in m/s, size in
// m and temperature difference in K: Campbell & Norman 1998, Table 7.6, from
// memory. Free convection is that of a warm face turned up or a cool face
// turned down.
const (
	forcedHeat   = 0.135
	forcedVapour = 0.147
	freeHeat     = 0.050
	freeVapour   = 0.055
)

const (
	campbellNorman = "Campbell & Norman 1998, An Introduction to Environmental Biophysics, 2nd ed."
	orchidReviews  = "orchid physiology reviews incl. Zhang et al. 2018, Plant Diversity; low confidence"
)

// Physical parameters of leaves and light.
var (
	emissivity = basis.Value{Value: 0.97, Low: 0.94, High: 0.99, Unit: "1", Grade: basis.FromMemory, Source: campbellNorman}
	// dimensionShare turns the greatest width into the characteristic
	// dimension of the boundary layer.
	dimensionShare = basis.Value{Value: 0.72, Low: 0.6, High: 0.9, Unit: "1", Grade: basis.FromMemory, Source: campbellNorman}
	// stillSpeed is the least speed of room air: 0.05 to 0.15 m/s is called a
	// still room.
	stillSpeed = basis.Value{Value: 0.05, Low: 0.02, High: 0.10, Unit: "m/s", Grade: basis.FromMemory, Source: "comfort guidance after ASHRAE Standard 55"}
)

// How stomata answer light and dry air. No orchid figure stands behind these.
var (
	halfOpening     = basis.Assumed(50, 20, 120, "µmol/(m² s)") // C3 stomata half open
	halfClosure     = basis.Assumed(5, 2, 15, "µmol/(m² s)")    // CAM stomata half closed
	halvingVPD      = basis.Assumed(1.5, 0.7, 3.0, "kPa")       // D0 of the answer to dry air
	referenceVPD    = basis.Assumed(1.0, 0.6, 1.5, "kPa")       // at which open conductances are quoted
	lateHours       = basis.Value{Value: 3, Low: 2, High: 4, Unit: "h", Grade: basis.FromMemory, Source: orchidReviews}
	noLateAfternoon = basis.Assumed(0, 0, 0, "mmol/(m² s)")
)

// Class is a kind of orchid leaf by its stomata.
type Class uint8

const (
	// UnknownClass stands for any orchid whose kind is not known.
	UnknownClass Class = iota
	// Phalaenopsis and its like: CAM, thick and soft leaves.
	Phalaenopsis
	// CattleyaVanda are the hard-leaved CAM orchids.
	CattleyaVanda
	// ThinC3 are Oncidium types and thin-leaved Dendrobium.
	ThinC3
	// Cymbidium: C3, leathery.
	Cymbidium
	// Paphiopedilum: C3 with low conductance.
	Paphiopedilum
	classCount
)

// ClassConductance is the table row of a class: conductances to water vapour
// in mmol m⁻² s⁻¹ of projected area.
type ClassConductance struct {
	Name           string
	Photosynthesis Photosynthesis
	// OpenMmol holds in the open phase: in full light (C3) or in the dark
	// (CAM), in air that lacks 1 kPa.
	OpenMmol basis.Value
	// ClosedMmol holds in the closed phase and includes the cuticle.
	ClosedMmol basis.Value
	// LateAfternoonMmol holds in the last hours of light, in CAM plants that
	// are well watered.
	LateAfternoonMmol basis.Value
}

func recalled(value, low, high float64) basis.Value {
	return basis.Value{Value: value, Low: low, High: high, Unit: "mmol/(m² s)", Grade: basis.FromMemory, Source: orchidReviews}
}

var classes = [classCount]ClassConductance{
	UnknownClass: {
		"unknown", Unknown,
		basis.Assumed(40, 15, 150, "mmol/(m² s)"), basis.Assumed(3, 1, 15, "mmol/(m² s)"), noLateAfternoon,
	},
	Phalaenopsis:  {"Phalaenopsis", CAM, recalled(30, 15, 50), recalled(2, 1, 5), recalled(15, 10, 25)},
	CattleyaVanda: {"Cattleya and Vanda types", CAM, recalled(30, 15, 60), recalled(2, 1, 4), noLateAfternoon},
	ThinC3:        {"Oncidium types and thin Dendrobium", C3, recalled(80, 50, 150), recalled(6, 4, 15), noLateAfternoon},
	Cymbidium:     {"Cymbidium", C3, recalled(50, 30, 100), recalled(5, 3, 10), noLateAfternoon},
	Paphiopedilum: {"Paphiopedilum", C3, recalled(30, 15, 60), recalled(4, 2, 8), noLateAfternoon},
}

// Conductances returns the table row of a class.
func Conductances(c Class) (ClassConductance, error) {
	if c >= classCount {
		return ClassConductance{}, fmt.Errorf("leaf: class %d is outside 0 to %d", c, classCount-1)
	}
	return classes[c], nil
}

// Organ is a kind of organ by the water it stores and the rate it leaks.
type Organ uint8

const (
	// ThickCAMLeaf: Phalaenopsis, Cattleya, Vanda.
	ThickCAMLeaf Organ = iota
	// LeatheryC3Leaf: Cymbidium, Paphiopedilum.
	LeatheryC3Leaf
	// ThinC3Leaf: Oncidium types, thin Dendrobium, Coelogyne.
	ThinC3Leaf
	// SoftLeaf is a leaf grown in a flask or damaged, still without a sound
	// cuticle.
	SoftLeaf
	// Pseudobulb, with its sheaths, by its own surface.
	Pseudobulb
	organCount
)

// Store is the table row of an organ.
type Store struct {
	Name string
	// ThicknessMM is the volume over the projected area of a leaf, or over
	// the whole surface of a pseudobulb.
	ThicknessMM basis.Value
	// WaterShare is the share of fresh mass that is water.
	WaterShare basis.Value
	// MinimumMmol is the conductance left with stomata shut, per the same
	// area, mmol m⁻² s⁻¹.
	MinimumMmol basis.Value
}

const storeSource = "orchid anatomy and water-content surveys, fresh-mass basis"

func thickness(value, low, high float64) basis.Value {
	return basis.Value{Value: value, Low: low, High: high, Unit: "mm", Grade: basis.FromMemory, Source: storeSource}
}

func waterShare(value, low, high float64) basis.Value {
	return basis.Value{Value: value, Low: low, High: high, Unit: "1", Grade: basis.FromMemory, Source: storeSource}
}

func leak(value, low, high float64) basis.Value {
	return basis.Assumed(value, low, high, "mmol/(m² s)")
}

// A leathery leaf stands between the thick and the thin one for which figures
// are remembered. The thickness of a pseudobulb is volume over surface of an
// egg 2 to 5 cm across; nobody's figure.
var stores = [organCount]Store{
	ThickCAMLeaf:   {"thick CAM leaf", thickness(2, 1.5, 3), waterShare(0.93, 0.85, 0.95), leak(1, 0.5, 2)},
	LeatheryC3Leaf: {"leathery C3 leaf", basis.Assumed(0.6, 0.4, 1.0, "mm"), basis.Assumed(0.80, 0.75, 0.88, "1"), leak(2.5, 2, 3)},
	ThinC3Leaf:     {"thin C3 leaf", thickness(0.3, 0.2, 0.4), waterShare(0.80, 0.75, 0.82), leak(4.5, 3, 6)},
	SoftLeaf:       {"soft or damaged leaf", basis.Assumed(0.6, 0.2, 2, "mm"), waterShare(0.88, 0.75, 0.95), leak(15, 10, 20)},
	Pseudobulb:     {"pseudobulb", basis.Assumed(6, 3.5, 9, "mm"), waterShare(0.92, 0.88, 0.95), leak(1, 0.5, 2)},
}

// Stores returns the table row of an organ.
func Stores(o Organ) (Store, error) {
	if o >= organCount {
		return Store{}, fmt.Errorf("leaf: organ %d is outside 0 to %d", o, organCount-1)
	}
	return stores[o], nil
}

// lossBorne is the share of stored water an organ gives up before harm is
// feared: leaf water content fell below half in CAM orchids over 7 weeks of
// drought and was restored by watering (Botanical Studies 2019,
// doi 10.1186/s40529-019-0255-0), so 30 % is a cautious line.
var lossBorne = basis.Assumed(0.30, 0.20, 0.40, "1")
