package leaf

import "math"

// Face is the boundary layer over one face of a leaf, mol m⁻² s⁻¹.
type Face struct {
	HeatMol   float64
	VapourMol float64
}

// CharacteristicM returns the characteristic dimension of a leaf's boundary
// layer from its greatest width: 0.72 of it (Campbell & Norman 1998, from
// memory).
func CharacteristicM(widthM float64) float64 { return dimensionShare.Value * widthM }

// BoundaryLayer returns the boundary layer over either face of a leaf of the
// given characteristic dimension when leaf and air differ by differenceK.
//
//	forced  g = 0.135 √(u/d) heat, 0.147 √(u/d) vapour
//	free    g = 0.050 (ΔT/d)^¼ heat, 0.055 (ΔT/d)^¼ vapour
//	mixed   g⁴ = forced⁴ + free⁴
//
// Forced and free: Campbell & Norman 1998, Table 7.6, from memory. Indoors the
// two are of one size, and neither their sum (too much: the flows share one
// layer of air) nor the larger alone (too little) is right. The usual rule for
// mixed convection adds powers, of 3 for upright plates, 3.5 for level ones
// and 4 for round bodies (Incropera & DeWitt, section 9.9, from memory). Power
// 4 is used because it makes the free term linear in ΔT and so cheap; where it
// differs most from 3.5, at forced = free, it gives 2.5 % less.
//
// Room air never rests, so a speed below 0.05 m/s counts as 0.05; this also
// keeps the conductance above zero where leaf and air are equally warm. Both
// terms rise with the root of pressure, as they do in molar units when
// diffusivities go as 1/P; the effect of temperature (T^−⅛) is left out. Valid
// for the ranges of the package.
func BoundaryLayer(dimensionM, speedMS, differenceK, pressureKPa float64) Face {
	b := newBoundary(dimensionM, pressureKPa)
	heat, vapour := b.at(speedMS, differenceK)
	return Face{HeatMol: heat, VapourMol: vapour}
}

// boundary holds the fourth powers of the two terms per unit of u² and |ΔT|,
// for one leaf at one pressure.
type boundary struct {
	perKPa                   float64 // 1/P
	forcedHeat, freeHeat     float64
	forcedVapour, freeVapour float64
}

func newBoundary(dimensionM, pressureKPa float64) boundary {
	density := pressureKPa / standardKPa
	density *= density
	return boundary{
		perKPa:       1 / pressureKPa,
		forcedHeat:   density * fourth(forcedHeat) / (dimensionM * dimensionM),
		freeHeat:     density * fourth(freeHeat) / dimensionM,
		forcedVapour: density * fourth(forcedVapour) / (dimensionM * dimensionM),
		freeVapour:   density * fourth(freeVapour) / dimensionM,
	}
}

func (b *boundary) at(speedMS, differenceK float64) (heatMol, vapourMol float64) {
	square, difference := moving(speedMS), math.Abs(differenceK)
	heatMol = math.Sqrt(math.Sqrt(b.forcedHeat*square + b.freeHeat*difference))
	vapourMol = math.Sqrt(math.Sqrt(b.forcedVapour*square + b.freeVapour*difference))
	return heatMol, vapourMol
}

// heat is the first value of at.
func (b *boundary) heat(speedMS, differenceK float64) (heatMol float64) {
	return math.Sqrt(math.Sqrt(b.forcedHeat*moving(speedMS) + b.freeHeat*math.Abs(differenceK)))
}

// moving returns the square of the air speed, at least that of still air.
func moving(speedMS float64) float64 {
	if speedMS < stillSpeed.Value {
		speedMS = stillSpeed.Value
	}
	return speedMS * speedMS
}

func fourth(x float64) float64 { return x * x * x * x }

// series returns the conductance of two in series, zero if either is.
func series(a, b float64) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	return a * b / (a + b)
}
