package pot

import "math"

// displace pushes passedML of water of the given EC through well-mixed tanks
// in series and returns the salt that leaves the last one. tankML is the water
// in each tank, above 0; salt holds the salt of each and is updated.
//
// With n = passed/tank, a tank keeps e^(−n) of its salt, and e^(−n)·nᵏ/k! of it
// comes to lie k tanks further down: the exact solution for constant inflow,
// from residence-time theory. Every term is a share of something that was
// there, so nothing turns negative and what does not stay has left.
func displace(salt []float64, tankML, passedML, ECmS float64) (saltOut float64) {
	// Beyond 700 nothing of the old water is left to the last digit, and the
	// powers below would overflow.
	n := min(700, passedML/tankML)
	var moved [MaxTanks]float64  // share of a tank's salt that lies k tanks further down
	var beyond [MaxTanks]float64 // share that lies more than k tanks further down
	// Taken from 1 − e^(−n) without cancellation, so that a drop that passes
	// brings no more salt than it holds.
	share, further := math.Exp(-n), -math.Expm1(-n)
	for k := range salt {
		if k > 0 {
			share *= n / float64(k)
			further = max(0, further-share)
		}
		moved[k], beyond[k] = share, further
	}
	// From the last tank up, so that each still finds what those above held.
	stayed := 0.0
	for k := len(salt) - 1; k >= 0; k-- {
		saltOut += salt[k] * beyond[len(salt)-1-k]
		var sum float64
		for i := 0; i <= k; i++ {
			sum += salt[i] * moved[k-i]
		}
		brought := ECmS * tankML * beyond[k]
		stayed += brought
		salt[k] = sum + brought
	}
	return saltOut + max(0, ECmS*passedML-stayed)
}
