package pot

import (
	"errors"
	"math"
)

// ErrNoPot is returned for a Pot that no constructor made.
var ErrNoPot = errors.New("pot: the pot is empty; make it with New or NewMount")

// Pot is a filled pot, basket or mount, ready to be simulated. It does not
// change: what changes is its State. Several goroutines may share one.
type Pot struct {
	volumeML, surfaceCM2, airSpaceML, dryMediumG float64

	filmCapacityML, particleCapacityML float64
	tanks                              int
	bypass                             float64

	readyMM, totalMM  float64 // FAO-56 REW and TEW of the surface
	mlPerMM           float64 // mL in 1 mm over the surface
	wallMLPerMM       float64 // mL that 1 mm of potential takes through the wall of a full pot
	vapourML          float64 // what saturated air can fill of a mount
	saltHours         float64 // time constant of salt inside particles
	fresh, aged       Wettability
	ages              bool
	capacityML        float64 // film and particles
	rootReadyML       float64 // deficit up to which roots get all they want
	storesPerParticle float64 // 1 + particle over film capacity
	swapML            float64 // mL that a full difference of filling moves in the end

	// Reciprocals, since every hour would divide by the same figures.
	perCapacity, perFilm, perParticle, perMLPerMM, perTank, perSaltHour float64
	perFallingMM, perFallingML                                          float64 // of the falling stages of surface and roots
	wallPerMM                                                           float64 // share of a pot's water lost through the wall by 1 mm of potential

	// Plain copies of the parameters that every hour needs.
	wetRoots, uptakeECmS, uptakeSwitch, floorMMPerHour, releasePerHour, agePerHour, vapourPerHour float64
	ageingDays, soakCapture, criticalWetness                                                      float64
	dryQuickens, wetQuickens                                                                      float64 // logarithm of the rate of uptake aged over fresh

	// And those that a planned flush needs.
	waitShortestMin, waitLongestMin, pourSaving, stopRatio, penAccuracyMS float64
	mostPours                                                             int
}

// New fills a pot or basket with a medium. rootsML is the volume that roots
// take from the medium, 0 if unknown, at most half the volume.
func New(geometry Geometry, medium Medium, rootsML float64, parameters Parameters) (*Pot, error) {
	if err := firstError(
		parameters.check(), geometry.check(), medium.check(),
		within("volume of the roots", rootsML, 0, geometry.VolumeML/2, "mL"),
	); err != nil {
		return nil, err
	}
	volumeML := geometry.VolumeML - rootsML
	capacity := medium.capacity(geometry.HeightMM)
	inside := medium.CapacityLab * medium.ParticleShare

	p := &Pot{}
	p.volumeML = volumeML
	p.surfaceCM2 = geometry.SurfaceCM2
	p.airSpaceML = (medium.Porosity - capacity) * volumeML
	p.dryMediumG = medium.BulkDensity * volumeML
	p.filmCapacityML = (capacity - inside) * volumeML
	p.particleCapacityML = inside * volumeML
	p.tanks = medium.Tanks
	p.bypass = medium.Bypass
	p.fresh, p.aged = medium.Fresh, medium.Aged
	p.mlPerMM = mlPerMMPerCM2 * geometry.SurfaceCM2
	// The surface cannot lose more than the whole pot holds.
	p.totalMM = min(capacity*min(medium.DryingMM, geometry.HeightMM),
		(p.filmCapacityML+p.particleCapacityML)/p.mlPerMM)
	p.readyMM = min(medium.ReadyMM, p.totalMM)
	p.wallMLPerMM = medium.WallContact * mlPerMMPerCM2 * geometry.WallCM2
	p.saltHours = chipHours(medium.HalfThicknessMM, parameters.SaltDiffusivity.Value)
	p.derive(&parameters)
	return p, nil
}

// derive fills in what follows from the rest, so that no hour computes it.
func (p *Pot) derive(parameters *Parameters) {
	p.capacityML = p.filmCapacityML + p.particleCapacityML
	p.rootReadyML = p.capacityML * (1 - parameters.RootWetness.Value)
	p.storesPerParticle = 1 + p.particleCapacityML/p.filmCapacityML
	p.swapML = p.particleCapacityML / p.storesPerParticle
	p.ages = p.fresh != p.aged

	p.perCapacity = 1 / p.capacityML
	p.perFilm = 1 / p.filmCapacityML
	if p.particleCapacityML > 0 { // without it the next two are never used
		p.perParticle = 1 / p.particleCapacityML
		p.perSaltHour = 1 / p.saltHours
	}
	p.perMLPerMM = 1 / p.mlPerMM
	p.perTank = 1 / float64(p.tanks)
	// Without a falling stage these are infinite, and all is lost at once.
	p.perFallingMM = 1 / (p.totalMM - p.readyMM)
	p.perFallingML = 1 / (p.capacityML - p.rootReadyML)
	p.wallPerMM = p.wallMLPerMM / p.capacityML

	p.wetRoots = parameters.WetRoots.Value
	p.uptakeECmS = parameters.UptakeECmS.Value
	p.uptakeSwitch = parameters.UptakeSwitch.Value
	p.floorMMPerHour = parameters.FloorMM.Value / 24
	p.releasePerHour = parameters.ReleasePerDay.Value / 24
	p.agePerHour = 1 / (24 * parameters.AgeingDays.Value)
	p.vapourPerHour = 1 / parameters.VapourHours.Value
	p.ageingDays = parameters.AgeingDays.Value
	p.soakCapture = parameters.SoakCapture.Value
	p.criticalWetness = parameters.CriticalWetness.Value
	if p.ages {
		p.dryQuickens = math.Log(p.aged.UptakeDryPerDay / p.fresh.UptakeDryPerDay)
		p.wetQuickens = math.Log(p.aged.UptakeMoistPerDay / p.fresh.UptakeMoistPerDay)
	}
	p.waitShortestMin, p.waitLongestMin = parameters.WaitShortestMin.Value, parameters.WaitLongestMin.Value
	p.pourSaving, p.mostPours = parameters.PourSaving.Value, int(parameters.MostPours.Value)
	p.stopRatio, p.penAccuracyMS = parameters.StopRatio.Value, parameters.PenAccuracyMS.Value
}

// VolumeML returns the volume of the medium without the roots; for a mount,
// the volume of the water it can hold.
func (p *Pot) VolumeML() float64 { return p.volumeML }

// CapacityML returns the water held when film and particles are full: one
// holding.
func (p *Pot) CapacityML() float64 { return p.capacityML }

// FilmCapacityML returns the water that the spaces between the particles hold.
func (p *Pot) FilmCapacityML() float64 { return p.filmCapacityML }

// SurfaceCM2 returns the open surface that evaporates and catches rain.
func (p *Pot) SurfaceCM2() float64 { return p.surfaceCM2 }

// AirSpaceML returns the air in the medium at capacity; 0 for a mount.
func (p *Pot) AirSpaceML() float64 { return p.airSpaceML }

// DryMediumG returns the mass of the dry medium, for turning the weight of a
// pot into water; 0 for a mount, which has to be weighed dry.
func (p *Pot) DryMediumG() float64 { return p.dryMediumG }

// RainML returns the water that rain of the given depth, 0 to 1000 mm, brings
// onto the surface: depth times area. A mount that hangs upright in rain
// without wind gets less.
func (p *Pot) RainML(depthMM float64) (float64, error) {
	if err := within("depth of rain", depthMM, 0, 1000, "mm"); err != nil {
		return 0, err
	}
	return depthMM * p.mlPerMM, nil
}

func (p *Pot) made() error {
	if p == nil || !(p.capacityML > 0) {
		return ErrNoPot
	}
	return nil
}

// ChipHours returns the time constant in hours with which salt leaves a
// particle of the given half thickness (0.02 to 50 mm): the slowest term of
// diffusion out of a slab.
//
//	τ = 4·L²/(π²·D): slab of half thickness L, diffusivity D in m²/s (1e-11 to 2e-9)
func ChipHours(halfThicknessMM, diffusivityM2PerS float64) (float64, error) {
	if err := firstError(
		within("half thickness of particles", halfThicknessMM, smallestParticleMM, largestParticleMM, "mm"),
		within("salt diffusivity", diffusivityM2PerS, 1e-11, 2e-9, "m²/s"),
	); err != nil {
		return 0, err
	}
	return chipHours(halfThicknessMM, diffusivityM2PerS), nil
}

func chipHours(halfThicknessMM, diffusivityM2PerS float64) float64 {
	metres := halfThicknessMM / 1000
	return 4 * metres * metres / (math.Pi * math.Pi * diffusivityM2PerS) / secondsPerHour
}
