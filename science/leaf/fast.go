package leaf

import "velamen/science/air"

// PenmanMonteith returns the balance of a leaf in closed form: the isothermal
// Penman–Monteith equation with heat from two faces and vapour from one
// (Monteith & Unsworth; Schymanski & Or 2017),
//
//	λE = (s Rni + cp gHr D)/(s + cp gHr P/(λ gv))
//	Tl − Ta = (Rni − λE)/(cp gHr)
//
// where gHr joins the boundary layers of both faces to the radiative
// conductance. It is applied twice. The first pass takes the slope s of
// saturation and the radiative conductance at air temperature and free
// convection for a difference of 1 K; the second takes all three for the leaf
// temperature that the first one gave, as chords from air to leaf instead of
// tangents. Over the orchid domain (5 to 40 °C, 20 to 95 % RH, up to 150 W/m²
// and 0.15 mol m⁻² s⁻¹) its transpiration is within 3.5 % of [Solve] and its
// temperature within 0.21 K, in 99 of 100 cases within 1.25 % and 0.12 K. Inputs
// out of range are errors.
func PenmanMonteith(l Leaf, around Surroundings) (Result, error) {
	if err := firstError(l.check(), around.check()); err != nil {
		return Result{}, err
	}
	b := newBoundary(CharacteristicM(l.WidthM), around.PressureKPa)
	f := b.fast(hour{
		airC: around.AirC, saturationKPa: air.SaturationKPa(around.AirC), rhPercent: around.RHPercent,
		speedMS: around.SpeedMS, absorbedWM2: around.AbsorbedWM2,
	}, l.StomatalMol, l.CuticularMol/2)
	leafC := around.AirC + f.riseK
	latent := f.transpirationMol * latentJPerMol(around.AirC)
	return Result{
		LeafC:                leafC,
		TranspirationMol:     f.transpirationMol,
		TranspirationGPerM2H: f.transpirationMol * gramsPerHour,
		NetRadiationWM2:      latent + heatCapacityAir*f.heatMol*f.riseK,
		SensibleWM2:          heatCapacityAir * f.heatMol * f.riseK,
		LatentWM2:            latent,
		LeafVPDKPa:           air.LeafVPDKPa(leafC, around.AirC, around.RHPercent),
		BoundaryHeatMol:      f.heatMol,
		VapourMol:            f.vapourMol,
	}, nil
}

// Constants of FAO-56 equations 11 and 13, needed here to get the slope from a
// saturation pressure already at hand instead of a second exponential.
const (
	tetensPoleC = 237.3
	tetensSlope = 17.27 * tetensPoleC
)

// hour is one row of climate, with the saturation at air temperature worked
// out by the caller, who needs it too.
type hour struct {
	airC, saturationKPa, rhPercent, speedMS, absorbedWM2 float64
}

// fast is a balance in closed form.
type fast struct {
	riseK, transpirationMol, heatMol, vapourMol float64
}

// fast applies the closed form twice to one leaf and hour. cuticleMol is the
// conductance of one face.
//
// Written for speed: one division per pass, and in the first pass, which is
// but a guess, the vapour conductance of the boundary layer follows from that
// of heat.
func (b *boundary) fast(h hour, stomatalMol, cuticleMol float64) fast {
	deficitKPa := h.saturationKPa * (1 - h.rhPercent/100)
	latentPerKPa := latentJPerMol(h.airC) * b.perKPa
	lowerMol := stomatalMol + cuticleMol

	// Saturation about air temperature: slope s (FAO-56 equation 13) and its
	// two next derivatives.
	q := 1 / (h.airC + tetensPoleC)
	k := q * (tetensSlope*q - 2)
	s := tetensSlope * h.saturationKPa * q * q
	s2 := s * k
	s3 := s2*k + s*q*q*(2-2*tetensSlope*q)

	heat := b.heat(h.speedMS, firstDifferenceK)
	riseK := isothermal(h.absorbedWM2, deficitKPa, s,
		2*heatCapacityAir*heat+radiated(emissivity.Value, stefanBoltzmann, h.airC, h.airC),
		latentPerKPa, lowerMol, cuticleMol, heat*(forcedVapour/forcedHeat))

	heat, vapour := b.at(h.speedMS, riseK)
	chord := s + riseK*(s2/2+riseK*s3/6)
	riseK = isothermal(h.absorbedWM2, deficitKPa, chord,
		2*heatCapacityAir*heat+radiated(emissivity.Value, stefanBoltzmann, h.airC, h.airC+riseK),
		latentPerKPa, lowerMol, cuticleMol, vapour)

	vapourMol := vapour * (lowerMol/(lowerMol+vapour) + cuticleMol/(cuticleMol+vapour))
	return fast{
		riseK:            riseK,
		transpirationMol: vapourMol * (deficitKPa + chord*riseK) * b.perKPa,
		heatMol:          2 * heat,
		vapourMol:        vapourMol,
	}
}

// firstDifferenceK is the difference of leaf and air with which the closed
// form sets out.
const firstDifferenceK = 1.0

// isothermal returns the excess x of leaf over air temperature that solves the
// linear balance
//
//	net = dry x + λ/P gv (deficit + slope x)
//	gv = series(lower, layer) + series(upper, layer)
//
// net is the radiation absorbed at air temperature and dry the conductance to
// heat by air and radiation, W m⁻² K⁻¹. It is the Penman–Monteith equation
// above, solved for x and with the fractions of gv multiplied out.
func isothermal(netWM2, deficitKPa, slopeKPaPerK, dryWM2K, latentPerKPa, lowerMol, upperMol, layerMol float64) float64 {
	lowerSum, upperSum := lowerMol+layerMol, upperMol+layerMol
	under := lowerSum * upperSum
	wet := latentPerKPa * layerMol * (lowerMol*upperSum + upperMol*lowerSum)
	return (netWM2*under - wet*deficitKPa) / (dryWM2K*under + wet*slopeKPaPerK)
}
