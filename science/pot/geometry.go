package pot

import "math"

// Geometry is the space that a medium fills in a pot or basket.
type Geometry struct {
	VolumeML   float64 // of the medium
	SurfaceCM2 float64 // open surface of the medium, cm²
	WallCM2    float64 // breathing wall behind the medium, cm²; 0 for plastic and glazed pots
	HeightMM   float64 // of the medium above the pot's base
}

// Round is a round pot, a frustum, by its inside measures.
type Round struct {
	TopCM       float64 // diameter at the rim, 0.5 to 80 cm
	BaseCM      float64 // diameter at the base, 0.5 to 80 cm
	HeightCM    float64 // inside, base to rim, 0.5 to 80 cm
	HeadspaceMM float64 // rim to medium, mm, less than the height; 10 to 15 is usual
	WallShare   float64 // share of the wall that breathes: 0 plastic or glaze, 1 unglazed clay
}

// Square is a square pot or slatted basket by its inside measures.
type Square struct {
	TopCM       float64 // side at the rim, 0.5 to 80 cm
	BaseCM      float64 // side at the base, 0.5 to 80 cm
	HeightCM    float64 // inside, base to rim, 0.5 to 80 cm
	HeadspaceMM float64 // rim to medium, mm, less than the height
	WallShare   float64 // share of the wall that breathes: 0 plastic, open share of a basket, 1 clay
}

// Geometry returns the medium's space in a round pot.
//
//	V = π·h/12·(D² + D·d + d²), wall = π·(D+d)/2·√(h² + ((D−d)/2)²): the frustum of a cone
func (r Round) Geometry() (Geometry, error) {
	fillCM, heightCM, err := fillLine(r.TopCM, r.BaseCM, r.HeightCM, r.HeadspaceMM, r.WallShare)
	if err != nil {
		return Geometry{}, err
	}
	d, base := fillCM, r.BaseCM
	return Geometry{
		VolumeML:   math.Pi * heightCM / 12 * (d*d + d*base + base*base),
		SurfaceCM2: math.Pi / 4 * d * d,
		WallCM2:    r.WallShare * math.Pi * (d + base) / 2 * math.Hypot(heightCM, (d-base)/2),
		HeightMM:   10 * heightCM,
	}, nil
}

// Geometry returns the medium's space in a square pot.
//
//	V = h/3·(A₁ + A₂ + √(A₁·A₂)), wall = four trapezia: the frustum of a pyramid
func (s Square) Geometry() (Geometry, error) {
	fillCM, heightCM, err := fillLine(s.TopCM, s.BaseCM, s.HeightCM, s.HeadspaceMM, s.WallShare)
	if err != nil {
		return Geometry{}, err
	}
	d, base := fillCM, s.BaseCM
	return Geometry{
		VolumeML:   heightCM / 3 * (d*d + base*base + d*base),
		SurfaceCM2: d * d,
		WallCM2:    s.WallShare * 2 * (d + base) * math.Hypot(heightCM, (d-base)/2),
		HeightMM:   10 * heightCM,
	}, nil
}

// fillLine checks the measures of a tapered pot and returns its width at the
// surface of the medium and the height of the medium, both in cm.
func fillLine(topCM, baseCM, heightCM, headspaceMM, wallShare float64) (fillCM, mediumCM float64, err error) {
	err = firstError(
		within("width at the rim", topCM, SmallestCM, LargestCM, "cm"),
		within("width at the base", baseCM, SmallestCM, LargestCM, "cm"),
		within("height", heightCM, SmallestCM, LargestCM, "cm"),
		within("headspace", headspaceMM, 0, 10*heightCM-5, "mm"),
		within("breathing share of the wall", wallShare, 0, 1, "1"),
	)
	mediumCM = heightCM - headspaceMM/10
	return baseCM + (topCM-baseCM)*mediumCM/heightCM, mediumCM, err
}

// check reports a Geometry that no pot within the limits can have.
func (g Geometry) check() error {
	return firstError(
		within("volume of the medium", g.VolumeML, 0.01, LargestCM*LargestCM*LargestCM, "mL"),
		within("surface of the medium", g.SurfaceCM2, 0.05, LargestCM*LargestCM, "cm²"),
		within("breathing wall", g.WallCM2, 0, 8*LargestCM*LargestCM, "cm²"),
		within("height of the medium", g.HeightMM, 5, 10*LargestCM, "mm"),
	)
}
