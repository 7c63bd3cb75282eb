package pot

import "math"

// CaptureShare returns the share of the deficit that one generous pour fills
// when the medium is wet to the given share of capacity and of the given age.
//
//	f(S) = f_dry + (f_wet − f_dry)·min(1, S/S_crit)
//
// The straight line and S_crit are assumptions; see Parameters.
func (p *Pot) CaptureShare(wetness, age float64) float64 {
	wet := min(1, wetness/p.criticalWetness)
	return between(p.fresh.CaptureDry, p.aged.CaptureDry, age)*(1-wet) +
		between(p.fresh.CaptureWet, p.aged.CaptureWet, age)*wet
}

func between(fresh, aged, age float64) float64 { return fresh + (aged-fresh)*age }

// captureML returns what the film keeps of a pour: the capture share of the
// whole deficit, but no more than was poured and no more than there is room
// for. The room inside the particles is filled later, through the film.
func (p *Pot) captureML(s *State, pouredML float64) float64 {
	deficitML := max(0, p.capacityML-s.WaterML())
	roomML := max(0, p.filmCapacityML-s.FilmML)
	return min(pouredML, p.CaptureShare(p.Wetness(s), s.Age)*deficitML, roomML)
}

// uptakePerHour returns the rate at which the particles take water up: slow
// while they are dry and repel it, faster once they are moist, both rising with
// age. The rates of fresh and aged media differ by up to a factor of ten, so
// they are joined by equal ratios, not equal steps.
func (p *Pot) uptakePerHour(moist bool, age float64) float64 {
	fresh, quickens := p.fresh.UptakeDryPerDay, p.dryQuickens
	if moist {
		fresh, quickens = p.fresh.UptakeMoistPerDay, p.wetQuickens
	}
	if quickens > 0 {
		fresh *= math.Exp(quickens * age)
	}
	return fresh / 24
}
