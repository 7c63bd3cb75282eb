package leaf

import (
	"errors"
	"math"
)

const (
	rootTolerance  = 1e-13
	rootIterations = 100
)

var (
	errNoBracket     = errors.New("the ends do not bracket a balance")
	errNotConverging = errors.New("the search did not converge")
)

// root returns x between low and high where f passes zero, to 10⁻¹³ or the
// last digits of x. f must not have the same sign at both ends.
//
// Method: Chandrupatla, Advances in Engineering Software 28:145, 1997 (from
// memory): inverse quadratic interpolation where three points show that it is
// safe, bisection otherwise. The bracket is kept throughout, so the search
// cannot leave it, and it ends after at most some fifty halvings.
func root(f func(float64) float64, low, high float64) (float64, error) {
	newest, oldest := high, low
	fNewest, fOldest := f(newest), f(oldest)
	switch {
	case fNewest == 0:
		return newest, nil
	case fOldest == 0:
		return oldest, nil
	case math.IsNaN(fNewest) || math.IsNaN(fOldest) || math.Signbit(fNewest) == math.Signbit(fOldest):
		return 0, errNoBracket
	}
	share := 0.5
	for range rootIterations {
		x := newest + share*(oldest-newest)
		fx := f(x)
		// third is the point that the new one replaces: it lies outside the
		// bracket and serves for interpolation only.
		var third, fThird float64
		if math.Signbit(fx) == math.Signbit(fNewest) {
			third, fThird = newest, fNewest
		} else {
			third, fThird = oldest, fOldest
			oldest, fOldest = newest, fNewest
		}
		newest, fNewest = x, fx

		best, fBest := newest, fNewest
		if math.Abs(fOldest) < math.Abs(fNewest) {
			best, fBest = oldest, fOldest
		}
		tolerance := 4*epsilon*math.Abs(best) + rootTolerance
		limit := tolerance / math.Abs(oldest-newest)
		if fBest == 0 || limit > 0.5 {
			return best, nil
		}
		position := (newest - oldest) / (third - oldest)
		level := (fNewest - fOldest) / (fThird - fOldest)
		share = 0.5
		if level*level < position && (1-level)*(1-level) < 1-position {
			share = fNewest/(fOldest-fNewest)*fThird/(fOldest-fThird) +
				(third-newest)/(oldest-newest)*fNewest/(fThird-fNewest)*fOldest/(fThird-fOldest)
		}
		share = min(max(share, limit), 1-limit)
	}
	return 0, errNotConverging
}

// epsilon is the distance from 1 to the next float64.
const epsilon = 0x1p-52
