package growth

import (
	"fmt"
	"math"
	"slices"
)

// MannKendall is a test for a trend that uses only which of two readings is
// longer. Fewer than four readings can never be significant.
type MannKendall struct {
	// S is the number of pairs that rise less that of pairs that fall.
	S int
	// Variance of S when there is no trend, and Z with its continuity
	// correction.
	Variance, Z float64
	// NormalP is the two-sided probability of an S as far from zero without a
	// trend, by the normal approximation.
	NormalP float64
	// ExactP is the same counted out over all orders; only when HasExact, for
	// up to 40 readings of which no two are equal.
	ExactP   float64
	HasExact bool
}

// mostExact is where the normal approximation has become as good.
const mostExact = 40

// Trending tests lengths in mm over days, in any order, for a trend. Errors: as
// for Sen, or two readings of one day, of which only one may be given.
//
//	S = Σ sign(yⱼ−yᵢ),  Var S = (n(n−1)(2n+5) − Σ t(t−1)(2t+5))/18,  Z = (S∓1)/√Var   Gilbert 1987, section 16.4 (from memory)
func Trending(days, lengthsMM []float64) (MannKendall, error) {
	series, err := newSeries(days, lengthsMM)
	if err != nil {
		return MannKendall{}, err
	}
	for i := range series[1:] {
		if series[i].day == series[i+1].day {
			return MannKendall{}, fmt.Errorf("growth: two readings on day %g; give one for each day", series[i].day)
		}
	}
	m := MannKendall{S: series.score(), Variance: series.variance(), NormalP: 1}
	switch {
	case m.Variance == 0 || m.S == 0:
	case m.S > 0:
		m.Z = float64(m.S-1) / math.Sqrt(m.Variance)
	default:
		m.Z = float64(m.S+1) / math.Sqrt(m.Variance)
	}
	m.NormalP = 2 * normalBelow(-math.Abs(m.Z))
	if len(series) <= mostExact && !series.tied() {
		m.HasExact = true
		m.ExactP = min(1, 2*chanceOfScore(len(series), max(m.S, -m.S)))
	}
	return m, nil
}

func (s series) score() int {
	score := 0
	for j, later := range s {
		for _, earlier := range s[:j] {
			switch {
			case later.lengthMM > earlier.lengthMM:
				score++
			case later.lengthMM < earlier.lengthMM:
				score--
			}
		}
	}
	return score
}

// variance of S without a trend, less what groups of equal lengths take away.
func (s series) variance() float64 {
	term := func(n int) float64 { return float64(n) * float64(n-1) * float64(2*n+5) }
	sum := term(len(s))
	for _, size := range s.ties() {
		sum -= term(size)
	}
	return sum / 18
}

func (s series) tied() bool { return len(s.ties()) < len(s) }

// ties returns the sizes of the groups of equal lengths; singles count as one.
func (s series) ties() []int {
	lengths := make([]float64, len(s))
	for i, p := range s {
		lengths[i] = p.lengthMM
	}
	slices.Sort(lengths)
	var sizes []int
	for i, length := range lengths {
		if i > 0 && length == lengths[i-1] {
			sizes[len(sizes)-1]++
		} else {
			sizes = append(sizes, 1)
		}
	}
	return sizes
}

// chanceOfScore returns the probability that n readings in random order, no two
// equal, score at least s. Putting the k-th reading in its place among the
// others makes any of 0 to k−1 falling pairs with equal chance, and n readings
// with i falling pairs score n(n−1)/2 − 2i.
func chanceOfScore(n, s int) float64 {
	pairs := n * (n - 1) / 2
	chance := make([]float64, pairs+1)
	next := make([]float64, pairs+1)
	chance[0] = 1
	for k := 2; k <= n; k++ {
		window := 0.0
		for falling := range next {
			window += chance[falling]
			if falling >= k {
				window -= chance[falling-k]
			}
			next[falling] = window / float64(k)
		}
		chance, next = next, chance
	}
	sum := 0.0
	for falling, p := range chance {
		if pairs-2*falling >= s {
			sum += p
		}
	}
	return sum
}
