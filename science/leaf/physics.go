package leaf

import "velamen/science/air"

// Physics holds everything on which handbooks of the leaf energy balance
// differ. [Standard] is what this package uses; other sets serve to repeat
// published examples exactly.
type Physics struct {
	// SaturationKPa is the vapour pressure over water at a temperature in °C.
	SaturationKPa func(temperatureC float64) float64
	// LatentJPerMol is the heat taken up by a mole of evaporating water.
	LatentJPerMol func(airC, leafC float64) float64
	// Boundary returns the boundary layers of the lower and the upper face
	// of a leaf of the given characteristic dimension.
	Boundary func(dimensionM float64, around Surroundings, leafC float64) (lower, upper Face)

	HeatCapacityJPerMolK float64 // of air at constant pressure
	Emissivity           float64 // of the leaf for heat radiation, above 0
	StefanBoltzmann      float64 // W m⁻² K⁻⁴
}

// Standard returns the physics of this package: FAO-56 saturation, boundary
// layers after Campbell & Norman, latent heat at air temperature.
func Standard() Physics {
	return Physics{
		SaturationKPa:        air.SaturationKPa,
		LatentJPerMol:        func(airC, _ float64) float64 { return latentJPerMol(airC) },
		Boundary:             standardBoundary,
		HeatCapacityJPerMolK: heatCapacityAir,
		Emissivity:           emissivity.Value,
		StefanBoltzmann:      stefanBoltzmann,
	}
}

func standardBoundary(dimensionM float64, around Surroundings, leafC float64) (lower, upper Face) {
	face := BoundaryLayer(dimensionM, around.SpeedMS, leafC-around.AirC, around.PressureKPa)
	return face, face
}

// latentJPerMol is λ = 2501 − 2.361 T in J/g, times the molar mass of water
// (the linear form behind FAO-56 equation 8's 2.45 MJ/kg at 20 °C).
func latentJPerMol(airC float64) float64 { return molarMassWater * (2501 - 2.361*airC) }

// radiated returns ε σ 2 (Tl⁴ − Ta⁴) over the temperature difference, in
// W m⁻² K⁻¹: the conductance of both faces to heat radiation, exactly. Written
// without a subtraction, so that small differences keep their digits.
func radiated(emissivity, stefanBoltzmann, airC, leafC float64) float64 {
	a, l := airC+kelvin, leafC+kelvin
	return 2 * emissivity * stefanBoltzmann * (l + a) * (l*l + a*a)
}

// warmest returns by how many degrees a leaf can exceed the air at most: what
// it would be if it lost the absorbed light by radiation alone, and that at the
// rate of the first degree; zero if it absorbs none.
func (p Physics) warmest(around Surroundings) float64 {
	return max(0, around.AbsorbedWM2/radiated(p.Emissivity, p.StefanBoltzmann, around.AirC, around.AirC))
}
