package pot

import (
	"errors"
	"math"
)

// ErrNoMedium is returned when a mix has no components.
var ErrNoMedium = errors.New("pot: a mix needs at least one component")

// Wettability says how a medium takes up water.
type Wettability struct {
	CaptureDry        float64 // share of the deficit that one generous pour fills when the medium is dry, 0.01 to 1
	CaptureWet        float64 // the same when it is moist, CaptureDry to 1
	UptakeDryPerDay   float64 // rate at which dry particles fill while the film around them is full, 1/day
	UptakeMoistPerDay float64 // the same above the uptake switch, at least UptakeDryPerDay
}

// Medium is what fills a pot: one material, or a mix of several.
type Medium struct {
	Porosity      float64 // pore space that water can reach, m³/m³ of medium, 0.2 to 0.99
	CapacityLab   float64 // container capacity in a core 76 mm tall, m³/m³, 0.02 to Porosity
	ParticleShare float64 // share of CapacityLab held inside particles, 0 to 0.95
	BulkDensity   float64 // dry, g/cm³, 0.005 to 2

	HalfThicknessMM float64 // of a particle, the way salt has to go, 0.02 to 50 mm
	Tanks           int     // well-mixed tanks in series that its drainage resembles, 1 to MaxTanks
	Bypass          float64 // share of draining water that runs past without mixing, 0 to 0.95

	ReadyMM     float64 // water that evaporates from the surface at the full rate (FAO-56 REW), 0.1 to 50 mm
	DryingMM    float64 // depth that the surface can dry (FAO-56 Ze), 1 to 800 mm; the whole height for moss
	WallContact float64 // share of a breathing wall that the medium wets, 0 to 1

	Fresh Wettability // as it comes from the bag
	Aged  Wettability // after Parameters.AgeingDays moist days; the same as Fresh for what does not change
}

// Component is a medium with its part of a mix by volume. The parts need not
// add up to one: 3 and 1 is three parts to one.
type Component struct {
	Medium Medium
	Parts  float64
}

// Mix returns the medium that the components make by volume.
//
// Pore space, capacity, bulk density and the figures of the surface are means
// by volume; capture is a mean by water held, uptake and thickness by water
// held inside particles. Fine particles that fall into the gaps of coarse ones
// are not modelled: a real mix of very different sizes fills less volume and
// holds less air than this.
func Mix(components ...Component) (Medium, error) {
	if len(components) == 0 {
		return Medium{}, ErrNoMedium
	}
	var parts, water, inside float64
	for _, c := range components {
		if err := firstError(within("parts of a component", c.Parts, 0, 1e6, "1"), c.Medium.check()); err != nil {
			return Medium{}, err
		}
		parts += c.Parts
		water += c.Parts * c.Medium.CapacityLab
		inside += c.Parts * c.Medium.CapacityLab * c.Medium.ParticleShare
	}
	if err := within("sum of the parts", parts, 1e-6, 1e7, "1"); err != nil {
		return Medium{}, err
	}
	var mixed Medium
	var tanks, thicknessSquared float64
	for _, c := range components {
		m := c.Medium
		byVolume := c.Parts / parts
		byWater := c.Parts * m.CapacityLab / water
		byInside := byVolume
		if inside > 0 {
			byInside = c.Parts * m.CapacityLab * m.ParticleShare / inside
		}
		mixed.Porosity += byVolume * m.Porosity
		mixed.CapacityLab += byVolume * m.CapacityLab
		mixed.ParticleShare += byWater * m.ParticleShare
		mixed.BulkDensity += byVolume * m.BulkDensity
		// Times add up, and the time goes with the square of the thickness.
		thicknessSquared += byInside * m.HalfThicknessMM * m.HalfThicknessMM
		tanks += byVolume * float64(m.Tanks)
		mixed.Bypass += byVolume * m.Bypass
		mixed.ReadyMM += byVolume * m.ReadyMM
		mixed.DryingMM += byVolume * m.DryingMM
		mixed.WallContact += byVolume * m.WallContact
		mixed.Fresh.add(m.Fresh, byWater, byInside)
		mixed.Aged.add(m.Aged, byWater, byInside)
	}
	mixed.HalfThicknessMM = math.Sqrt(thicknessSquared)
	mixed.Tanks = int(math.Round(tanks))
	return mixed, nil
}

func (w *Wettability) add(other Wettability, byWater, byInside float64) {
	w.CaptureDry += byWater * other.CaptureDry
	w.CaptureWet += byWater * other.CaptureWet
	w.UptakeDryPerDay += byInside * other.UptakeDryPerDay
	w.UptakeMoistPerDay += byInside * other.UptakeMoistPerDay
}

// AirSpaceLab returns the share of the volume that is air at container
// capacity in a core 76 mm tall, m³/m³.
func (m Medium) AirSpaceLab() float64 { return m.Porosity - m.CapacityLab }

// check reports the first figure that no medium can have.
func (m Medium) check() error {
	if err := firstError(
		within("porosity", m.Porosity, 0.2, 0.99, "m³/m³"),
		within("container capacity", m.CapacityLab, 0.02, m.Porosity, "m³/m³"),
		within("share of capacity inside particles", m.ParticleShare, 0, 0.95, "1"),
		within("bulk density", m.BulkDensity, 0.005, 2, "g/cm³"),
		within("half thickness of particles", m.HalfThicknessMM, smallestParticleMM, largestParticleMM, "mm"),
		within("number of tanks", float64(m.Tanks), 1, MaxTanks, "1"),
		within("bypass", m.Bypass, 0, 0.95, "1"),
		within("readily evaporable water", m.ReadyMM, 0.1, 50, "mm"),
		within("drying depth", m.DryingMM, 1, 10*LargestCM, "mm"),
		within("wall contact", m.WallContact, 0, 1, "1"),
		m.Fresh.check(&freshNames),
	); err != nil {
		return err
	}
	// Ageing only ever improves wettability; a medium that got worse would
	// need its own law.
	return firstError(
		m.Aged.check(&agedNames),
		within("capture of the aged dry medium", m.Aged.CaptureDry, m.Fresh.CaptureDry, 1, "1"),
		within("capture of the aged moist medium", m.Aged.CaptureWet, m.Fresh.CaptureWet, 1, "1"),
		within("uptake of aged dry particles", m.Aged.UptakeDryPerDay, m.Fresh.UptakeDryPerDay, fastestUptakePerDay, "1/day"),
		within("uptake of aged moist particles", m.Aged.UptakeMoistPerDay, m.Fresh.UptakeMoistPerDay, fastestUptakePerDay, "1/day"),
	)
}

// The four figures of a wettability as errors name them.
var (
	freshNames = [4]string{"capture of the fresh dry medium", "capture of the fresh moist medium", "uptake of fresh dry particles", "uptake of fresh moist particles"}
	agedNames  = [4]string{"capture of the aged dry medium", "capture of the aged moist medium", "uptake of aged dry particles", "uptake of aged moist particles"}
	mountNames = [4]string{"capture of the mount's dry medium", "capture of the mount's moist medium", "uptake of mount's dry particles", "uptake of mount's moist particles"}
)

func (w *Wettability) check(names *[4]string) error {
	return firstError(
		within(names[0], w.CaptureDry, smallestCaptureShare, 1, "1"),
		within(names[1], w.CaptureWet, w.CaptureDry, 1, "1"),
		within(names[2], w.UptakeDryPerDay, slowestUptakePerDay, fastestUptakePerDay, "1/day"),
		within(names[3], w.UptakeMoistPerDay, w.UptakeDryPerDay, fastestUptakePerDay, "1/day"),
	)
}
