package outcome

import (
	"fmt"
	"math"
)

// Between says what the practices tell about how much they differ.
type Between uint8

const (
	// Fitted: the practices differ more than chance alone would have them,
	// and the prior was fitted to them.
	Fitted Between = iota + 1
	// NoneSeen: they differ no more than chance would have them. The prior is
	// their common share, worth no more than all their plants.
	NoneSeen
	// Undecided: too few practices, or every one with all of its plants
	// recovered or none. The fallback is returned.
	Undecided
)

// Fit is a prior learned from the practices themselves.
type Fit struct {
	Prior   Beta
	Between Between
}

// FitPrior learns from all practices together what to hold of any one before
// its plants are counted: the Beta prior under which the tallies are most
// likely (empirical Bayes; Efron & Morris 1975 for the idea, the beta-binomial
// of Skellam 1948 for the likelihood, both from memory). Practices without
// plants are passed over. Fewer than three with plants give the fallback.
//
// A prior learned from N plants is never worth more than N plants.
func FitPrior(tallies []Tally, fallback Beta) (Fit, error) {
	if err := fallback.check(); err != nil {
		return Fit{}, err
	}
	var l betaBinomial
	practices, plants, recovered := 0, 0, 0
	for _, t := range tallies {
		if err := t.check(); err != nil {
			return Fit{}, err
		}
		if t.Plants > 0 {
			practices++
		}
		plants, recovered = plants+t.Plants, recovered+t.Recovered
		l.add(t)
	}
	if practices < 3 || recovered == 0 || recovered == plants {
		return Fit{fallback, Undecided}, nil
	}
	// Clumping below one per total plants is a prior worth more than them all.
	least := 1 / float64(plants)
	if l.clumpingSlope(least) <= 0 {
		return Fit{Beta{float64(recovered), float64(plants - recovered)}, NoneSeen}, nil
	}
	low, high := least, 2*least
	for l.clumpingSlope(high) > 0 {
		if low, high = high, 2*high; high > 1e3 {
			return Fit{fallback, Undecided}, nil
		}
	}
	for range 60 {
		middle := math.Sqrt(low * high)
		if l.clumpingSlope(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	share := l.bestShare(low)
	prior := Beta{share / low, (1 - share) / low}
	if err := prior.check(); err != nil {
		return Fit{}, fmt.Errorf("fitting a prior: %w", err)
	}
	return Fit{prior, Fitted}, nil
}

// betaBinomial is the log-likelihood of tallies in the mean share μ and the
// clumping ψ = 1/(α + β). With K_j the practices with more than j recovered,
// L_j with more than j lost and N_j with more than j plants,
//
//	ℓ(μ, ψ) = Σ_j K_j log(μ + jψ) + L_j log(1 − μ + jψ) − N_j log(1 + jψ)
//
// up to a constant: the gamma functions of the beta-binomial written out as
// products, which stay exact as ψ → 0.
type betaBinomial struct{ recovered, lost, plants []float64 }

func (l *betaBinomial) add(t Tally) {
	more := func(counts []float64, number int) []float64 {
		for len(counts) < number {
			counts = append(counts, 0)
		}
		for j := range number {
			counts[j]++
		}
		return counts
	}
	l.recovered = more(l.recovered, t.Recovered)
	l.lost = more(l.lost, t.Plants-t.Recovered)
	l.plants = more(l.plants, t.Plants)
}

// bestShare returns the μ that maximises ℓ for a ψ. ℓ is concave in μ and its
// slope falls from +∞ to −∞, so bisection finds the one zero.
func (l *betaBinomial) bestShare(clumping float64) float64 {
	low, high := 0.0, 1.0
	for range 60 {
		middle := (low + high) / 2
		var slope float64
		for j, count := range l.recovered {
			slope += count / (middle + float64(j)*clumping)
		}
		for j, count := range l.lost {
			slope -= count / (1 - middle + float64(j)*clumping)
		}
		if slope > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// clumpingSlope returns ∂ℓ/∂ψ at the best share, which is the slope of the
// profile of ℓ along ψ.
func (l *betaBinomial) clumpingSlope(clumping float64) float64 {
	share := l.bestShare(clumping)
	var slope float64
	for i, count := range l.recovered {
		j := float64(i)
		slope += count * j / (share + j*clumping)
	}
	for i, count := range l.lost {
		j := float64(i)
		slope += count * j / (1 - share + j*clumping)
	}
	for i, count := range l.plants {
		j := float64(i)
		slope -= count * j / (1 + j*clumping)
	}
	return slope
}
