package leaf

import "fmt"

// coldestK bounds the search below air temperature. Dry air of 60 °C cools a
// wet leaf by less than 40 K.
const coldestK = -80.0

// Solve returns the temperature and the fluxes of a leaf, by the physics of
// this package. It fails only when an input is out of range.
func Solve(l Leaf, around Surroundings) (Result, error) { return Standard().Solve(l, around) }

// Solve finds the leaf temperature Tl at which the leaf gains as much as it
// loses,
//
//	absorbed = 2 ε σ (Tl⁴ − Ta⁴) + cp (gbH,lower + gbH,upper)(Tl − Ta) + λ E
//	E = gv (e(Tl) − ea)/P
//	gv = series(gs + gc/2, gbw,lower) + series(gc/2, gbw,upper)
//
// (Campbell & Norman 1998, chapter 14, written per face after Schymanski & Or
// 2017). The search is bracketed between a temperature at which radiation alone
// would carry off more than the light, and one below the air's at which the
// leaf gains heat; it converges to 10⁻¹³ K, and the balance closes to better
// than 10⁻⁹ of the sum of its terms.
//
// In the orchid domain there is one balance. A film of water half a metre wide
// in hot dry still air can have three, because free convection dies away as
// leaf and air become equally warm; the search then returns one of them.
func (p Physics) Solve(l Leaf, around Surroundings) (Result, error) {
	if err := firstError(l.check(), around.check()); err != nil {
		return Result{}, err
	}
	return p.balance(l, around)
}

// balance is Solve without the check of ranges.
func (p Physics) balance(l Leaf, around Surroundings) (Result, error) {
	dimensionM := CharacteristicM(l.WidthM)
	vapourKPa := around.RHPercent / 100 * p.SaturationKPa(around.AirC)
	surplus := func(riseK float64) float64 {
		r := p.fluxes(l, around, dimensionM, vapourKPa, riseK)
		return r.NetRadiationWM2 - r.SensibleWM2 - r.LatentWM2
	}

	high := p.warmest(around)
	low, step := 0.0, 2.0
	for surplus(low) < 0 {
		if low == coldestK {
			return Result{}, fmt.Errorf("leaf: no balance above %v K below air at %v °C", -coldestK, around.AirC)
		}
		low = max(low-step, coldestK)
		step *= 2
	}
	riseK, err := root(surplus, low, high)
	if err != nil {
		return Result{}, fmt.Errorf("leaf: temperature at air %v °C, absorbed %v W/m²: %w", around.AirC, around.AbsorbedWM2, err)
	}
	return p.fluxes(l, around, dimensionM, vapourKPa, riseK), nil
}

// fluxes returns every flux of a leaf that is riseK warmer than the air.
func (p Physics) fluxes(l Leaf, around Surroundings, dimensionM, vapourKPa, riseK float64) Result {
	leafC := around.AirC + riseK
	lower, upper := p.Boundary(dimensionM, around, leafC)
	cuticle := l.CuticularMol / 2
	heatMol := lower.HeatMol + upper.HeatMol
	vapourMol := series(l.StomatalMol+cuticle, lower.VapourMol) + series(cuticle, upper.VapourMol)
	deficitKPa := p.SaturationKPa(leafC) - vapourKPa
	transpirationMol := vapourMol * deficitKPa / around.PressureKPa
	return Result{
		LeafC:                leafC,
		TranspirationMol:     transpirationMol,
		TranspirationGPerM2H: transpirationMol * gramsPerHour,
		NetRadiationWM2:      around.AbsorbedWM2 - radiated(p.Emissivity, p.StefanBoltzmann, around.AirC, leafC)*riseK,
		SensibleWM2:          p.HeatCapacityJPerMolK * heatMol * riseK,
		LatentWM2:            p.LatentJPerMol(around.AirC, leafC) * transpirationMol,
		LeafVPDKPa:           deficitKPa,
		BoundaryHeatMol:      heatMol,
		VapourMol:            vapourMol,
	}
}
