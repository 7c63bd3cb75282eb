package outcome

import (
	"fmt"
	"math"
)

// Mass is the share of plants that showed the sign after AfterDay and no later
// than ByDay; on that very day when both are equal, never so far when ByDay is
// +Inf. When, inside, the records cannot say.
type Mass struct{ AfterDay, ByDay, Share float64 }

// IntervalCurve is the most likely share without the sign for records that
// were only seen at looks.
type IntervalCurve struct {
	Masses        []Mass // in order of time, shares above 0 that sum to 1
	Plants        int
	LogLikelihood float64
	// Gap bounds how far the log-likelihood lies below its maximum.
	Gap        float64
	Iterations int
}

// Limits of the computation.
const (
	mostIterations = 20_000
	// The log-likelihood is found to within leastGap or, for many plants,
	// gapPerSquare times the square of their number: a share near 1/plants is
	// a difference of two numbers near 1, and its rounding shows in the gap.
	leastGap     = 1e-10
	gapPerSquare = 1e-15
	// Shares below it are what an unfinished step leaves of a zero.
	leastShare = 1e-9
)

// Turnbull returns the non-parametric maximum-likelihood curve from intervals,
// open ends and exact days together. With exact days alone it equals
// KaplanMeier. Deaths are refused; see DeathsAsUnseen. Iterating stops when
// the conditions for the maximum hold (see Gap); that they do not come to hold
// is an error.
func Turnbull(records []Recovery) (IntervalCurve, error) {
	if err := checkSome(records); err != nil {
		return IntervalCurve{}, err
	}
	if err := checkNoDeaths(records); err != nil {
		return IntervalCurve{}, err
	}
	return turnbull(records)
}

// turnbull is Turnbull for records that have been checked.
func turnbull(records []Recovery) (IntervalCurve, error) {
	in, spans := intersect(records)
	return climb(records, in, newMixture(spans, len(in.starts)))
}

// climb goes from the shares of a mixture to the most likely ones.
func climb(records []Recovery, in innermost, m *mixture) (IntervalCurve, error) {
	gap, iterations := m.renewSlope(), 0
	allowed := math.Max(leastGap, gapPerSquare*m.plants*m.plants)
	for ; gap > allowed; iterations++ {
		if iterations == mostIterations {
			return IntervalCurve{}, fmt.Errorf("outcome: %d records: after %d steps the log-likelihood may still lie %.2g below its maximum (allowed: %.2g)",
				len(records), iterations, gap, allowed)
		}
		m.selfConsistency()
		m.convexMinorant()
		gap = m.renewSlope()
	}
	c := IntervalCurve{Plants: len(records), LogLikelihood: m.logLikelihood(m.cumulative), Gap: gap, Iterations: iterations}
	for j, share := range m.share {
		if share > leastShare {
			c.Masses = append(c.Masses, in.mass(j, share))
		}
	}
	return c, nil
}

// Unseen returns the least and the greatest share without the sign after a
// day. They differ only on days inside one of the masses, where the records
// cannot say how much of it had come. A day beyond the last look may lie inside
// the open mass: then the least is 0.
func (c IntervalCurve) Unseen(day float64) (least, greatest float64, err error) {
	if err := checkDay("day of the curve", day); err != nil {
		return 0, 0, err
	}
	if first := c.Masses[0]; first.AfterDay >= day && first.ByDay > day {
		return 1, 1, nil // exactly, where a sum of shares would round
	}
	for i := len(c.Masses) - 1; i >= 0; i-- {
		m := c.Masses[i]
		if m.ByDay <= day {
			break
		}
		greatest += m.Share
		if m.AfterDay >= day {
			least += m.Share
		}
	}
	return math.Min(1, least), math.Min(1, greatest), nil
}

// Window is a span of days (AfterDay, ByDay] in which a share was reached.
type Window struct {
	AfterDay, ByDay float64
	Reached         bool
}

// Median returns the days between which half of the plants had shown the sign.
// When fewer than half have, it is not reached.
func (c IntervalCurve) Median() Window {
	const rounding = 1e-6 // shares are known to about this
	var seen float64
	for i, m := range c.Masses {
		seen += m.Share
		switch {
		case seen < 0.5-rounding:
			continue
		case math.IsInf(m.ByDay, 1):
			return Window{}
		case seen <= 0.5+rounding && i+1 < len(c.Masses):
			// Exactly half: any day until the next mass begins is a median.
			return Window{m.AfterDay, c.Masses[i+1].AfterDay, true}
		}
		return Window{m.AfterDay, m.ByDay, true}
	}
	return Window{}
}
