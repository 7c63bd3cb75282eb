package pot

import "math"

// Capacity returns the container capacity in m³/m³ of the medium when it
// stands the given height in mm above a pot's base, 5 to 800 mm: what it holds
// after drainage has stopped.
//
// After drainage the base is saturated and suction rises by 1 kPa for each
// 100 mm of height (Passioura 2006, as quoted in the
// University of Queensland's plant methods book). Particles keep
// their inner water at such suctions; the space between them empties as
//
//	θ(z) = θ_p + (φ − θ_p)·e^(−z/λ),  mean over H: θ_p + (φ − θ_p)·(1 − e^(−H/λ))·λ/H
//
// with θ_p the water inside particles, φ the porosity and λ the height of the
// capillary fringe, fixed by the capacity measured in a core 76 mm tall. The
// exponential form is an assumption; that a taller pot holds a smaller share
// is not.
func (m Medium) Capacity(heightMM float64) (float64, error) {
	if err := firstError(m.check(), within("height of the medium", heightMM, 5, 10*LargestCM, "mm")); err != nil {
		return 0, err
	}
	return m.capacity(heightMM), nil
}

func (m Medium) capacity(heightMM float64) float64 {
	inside := m.CapacityLab * m.ParticleShare
	saturatedShare := (m.CapacityLab - inside) / (m.Porosity - inside)
	if saturatedShare >= 1 {
		return m.CapacityLab // no air even in the core: it stays full at any height
	}
	labFringes := fringesOfMean(saturatedShare)
	return inside + (m.Porosity-inside)*meanOverFringes(labFringes*heightMM/labHeightMM)
}

// meanOverFringes returns (1 − e^(−u))/u, the mean of e^(−z/λ) up to u = H/λ.
func meanOverFringes(u float64) float64 {
	if u < 1e-9 {
		return 1 - u/2
	}
	return -math.Expm1(-u) / u
}

// fringesOfMean inverts meanOverFringes for 0 < mean < 1 by Newton's steps. The
// mean falls and is convex in u, so that steps from below never pass the root;
// they begin at 1/mean − 1, which lies below it because e^u ≥ 1 + u.
func fringesOfMean(mean float64) float64 {
	u := 1/mean - 1
	for range 60 { // five or six do
		slope := u/3 - 0.5
		if u > 1e-4 {
			slope = (math.Exp(-u)*(1+u) - 1) / (u * u)
		}
		next := u + (mean-meanOverFringes(u))/slope
		if !(next > u) {
			break
		}
		u = next
	}
	return u
}
