package care

import (
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/leaf"
)

// leafClasses maps the culture tables' classes to those of the leaf chapter.
var leafClasses = map[culture.StomatalClass]leaf.Class{
	culture.PhalaenopsisStomata:  leaf.Phalaenopsis,
	culture.ThickCAMStomata:      leaf.CattleyaVanda,
	culture.ThinC3Stomata:        leaf.ThinC3,
	culture.CymbidiumStomata:     leaf.Cymbidium,
	culture.PaphiopedilumStomata: leaf.Paphiopedilum,
}

// transpiration is how a subject's leaves lose water over a typical day.
type transpiration struct {
	stomata leaf.Stomata
	widthM  float64
	nightC  float64
	day     *day
	usual   float64 // g/m² per day in the usual climate
	failed  error   // the first hour that could not be solved
}

func (s *subject) newTranspiration() (*transpiration, error) {
	stomata, err := leafClasses[s.group.Derived.Stomata.Is].Stomata(true)
	if err != nil {
		return nil, err
	}
	d, err := s.newDay()
	if err != nil {
		return nil, err
	}
	t := &transpiration{stomata: stomata, widthM: s.plant.LeafWidthCm.Value / 100, nightC: s.space.NightC.Value, day: d}
	t.usual = t.lossGM2(s.usual())
	return t, t.failed
}

// lossGM2 returns the water lost per m² of leaf and day in a climate.
func (t *transpiration) lossGM2(c course.Climate) float64 {
	t.day.set(c, t.nightC)
	d, err := leaf.DailyLoss(t.stomata, t.widthM, t.day.Climate)
	if err != nil && t.failed == nil {
		t.failed = err
	}
	return d.LossGM2
}

// demand returns the loss in a climate as a share of the usual.
func (t *transpiration) demand(c course.Climate) float64 {
	if t.usual <= 0 {
		return 1
	}
	return t.lossGM2(c) / t.usual
}

// nightOpen reports whether the stomata open at night.
func (t *transpiration) nightOpen() bool { return t.stomata.Photosynthesis == leaf.CAM }

// bulbSurfaceCm2 is the surface reckoned with for one pseudobulb.
var bulbSurfaceCm2 = basis.Assumed(40, 15, 120, "cm²")

// parts are the leaves and bulbs that store and lose a plant's water.
func (s *subject) parts() []leaf.Part {
	organ := leaf.ThinC3Leaf
	switch s.group.Leaf.Is {
	case culture.ThickLeaf:
		organ = leaf.ThickCAMLeaf
	case culture.LeatheryLeaf:
		organ = leaf.LeatheryC3Leaf
	case culture.Leafless:
		organ = leaf.SoftLeaf
	}
	parts := []leaf.Part{{Organ: organ, AreaM2: s.leafAreaM2()}}
	if n := s.plant.Pseudobulbs.Value; n > 0 {
		parts = append(parts, leaf.Part{Organ: leaf.Pseudobulb, AreaM2: n * bulbSurfaceCm2.Value / 1e4})
	}
	return parts
}

// leafAreaM2 is the area left after the repot.
func (s *subject) leafAreaM2() float64 {
	return s.leafAreaBeforeM2() * s.plant.Repot.LeavesKept.Value
}

// leafAreaBeforeM2 is the area before it.
func (s *subject) leafAreaBeforeM2() float64 { return s.plant.LeafAreaCm2.Value / 1e4 }

// hourlyLossML fills 24 hours with the share of what all leaves lost before the
// repot that the roots bring. The day must have been set.
func (s *subject) hourlyLossML(dst []float64, t *transpiration, share float64) error {
	if err := leaf.HourlyLossGM2(dst, t.stomata, t.widthM, t.day.Climate); err != nil {
		return err
	}
	for h := range dst {
		dst[h] *= share * s.leafAreaBeforeM2() * s.knows.loss()
	}
	return nil
}
