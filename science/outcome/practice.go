package outcome

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Tally counts how the plants of one practice came through.
type Tally struct {
	Practice          string
	Plants, Recovered int
}

// check allows 0 ≤ Recovered ≤ Plants.
func (t Tally) check() error {
	if t.Plants < 0 || t.Recovered < 0 || t.Recovered > t.Plants || t.Plants > 1_000_000 {
		return fmt.Errorf("outcome: practice %q: %d of %d plants recovered (allowed: 0 to the number of plants, at most 1000000)",
			t.Practice, t.Recovered, t.Plants)
	}
	return nil
}

// CountBy tallies the plants that had shown the sign by a day. A plant that
// died counts as not recovered. Undecided plants are in no count: not watched
// until the day, gone, or seen between a look before the day and one after it.
//
// Leaving them out would by itself count too many as recovered: of plants that
// were repotted lately, those that rooted soon are decided and the others are
// not. So the share among the decided is that of the cumulative incidence by the
// day, in which every plant counts for as long as it was watched (see
// AalenJohansen, with each ending on the day it was found), rounded to whole
// plants.
func CountBy(practice string, records []Recovery, day float64) (tally Tally, undecided int, err error) {
	if err := Check(records); err != nil {
		return Tally{}, 0, err
	}
	if err := checkDay("day of the count", day); err != nil {
		return Tally{}, 0, err
	}
	tally.Practice = practice
	for _, r := range records {
		switch {
		case r.Ending == Seen && r.ByDay <= day:
			tally.Recovered++
			tally.Plants++
		case r.Ending == Died, r.AfterDay >= day:
			tally.Plants++
		default:
			undecided++
		}
	}
	if undecided == 0 || tally.Plants == 0 {
		return tally, undecided, nil
	}
	curve, err := AalenJohansen(AtDayFound(records), LogLog, 0.95)
	if err != nil {
		return Tally{}, 0, err
	}
	at, err := curve.At(math.Min(day, curve.LastDay))
	if err != nil {
		return Tally{}, 0, err
	}
	tally.Recovered = int(math.Round(at.Seen.Share * float64(tally.Plants)))
	return tally, undecided, nil
}

// Beta is what is held to be known of the share of plants that recover: as
// much as if Recovered and Lost plants had been seen to, besides nothing at
// all. Both lie from 0.01 to 10⁷. Beta{1, 1} holds every share for equally likely.
type Beta struct{ Recovered, Lost float64 }

// check allows pseudo-plants for which every number below stays finite.
func (b Beta) check() error {
	if err := within("pseudo-plants recovered", b.Recovered, 0.01, 1e7); err != nil {
		return err
	}
	return within("pseudo-plants lost", b.Lost, 0.01, 1e7)
}

// plus adds the plants of a tally: the rule of Bayes for a binomial count.
func (b Beta) plus(t Tally) Beta {
	return Beta{b.Recovered + float64(t.Recovered), b.Lost + float64(t.Plants-t.Recovered)}
}

// Plants is how many plants the knowledge is worth.
func (b Beta) Plants() float64 { return b.Recovered + b.Lost }

// Mean is the expected share.
func (b Beta) Mean() float64 { return b.Recovered / b.Plants() }

// interval returns the central interval of the level.
func (b Beta) interval(level float64) (low, high float64) {
	return mathext.InvRegIncBeta(b.Recovered, b.Lost, (1-level)/2), mathext.InvRegIncBeta(b.Recovered, b.Lost, (1+level)/2)
}

// below returns the chance that the share lies below x.
func (b Beta) below(x float64) float64 {
	switch {
	case x <= 0:
		return 0
	case x >= 1:
		return 1
	}
	return mathext.RegIncBeta(b.Recovered, b.Lost, x)
}

// Share is the recovered share of one practice after shrinking.
type Share struct {
	Tally
	Mean, Low, High float64
	// FromPrior is the part of the mean that the prior speaks for: 1 for a
	// practice without plants, near 0 for one with many.
	FromPrior float64
}

// ShrinkShares returns the recovered share of each practice, drawn toward the
// prior the more the fewer its plants, with central intervals of the level.
func ShrinkShares(tallies []Tally, prior Beta, level float64) ([]Share, error) {
	if err := prior.check(); err != nil {
		return nil, err
	}
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	shares := make([]Share, len(tallies))
	for i, t := range tallies {
		if err := t.check(); err != nil {
			return nil, err
		}
		posterior := prior.plus(t)
		low, high := posterior.interval(level)
		shares[i] = Share{Tally: t, Mean: posterior.Mean(), Low: low, High: high, FromPrior: prior.Plants() / posterior.Plants()}
	}
	return shares, nil
}

// ShareDifference compares the recovered shares of two practices.
type ShareDifference struct {
	First, Second Share
	// ChanceFirstHigher is the chance that the first practice is the better.
	ChanceFirstHigher float64
	// Difference is first less second, with its central interval.
	Difference, Low, High float64
	Verdict               Verdict
}

// CompareShares compares two practices, each shrunk toward the prior. worth is
// the smallest difference in the share the grower would act on, 0.05 to 0.9;
// the verdict says how many more plants would show one of that size.
func CompareShares(first, second Tally, prior Beta, worth, level float64) (ShareDifference, error) {
	shares, err := ShrinkShares([]Tally{first, second}, prior, level)
	if err != nil {
		return ShareDifference{}, err
	}
	if err := within("difference worth knowing", worth, 0.05, 0.9); err != nil {
		return ShareDifference{}, err
	}
	a, b := prior.plus(first), prior.plus(second)
	d := ShareDifference{
		First: shares[0], Second: shares[1],
		ChanceFirstHigher: 1 - chanceBelow(a, b, 0),
		Difference:        a.Mean() - b.Mean(),
		Low:               differenceQuantile(a, b, (1-level)/2),
		High:              differenceQuantile(a, b, (1+level)/2),
	}
	// The plants called for lie half the difference to either side of the
	// middle of the two, or as near as the ends of the scale allow.
	middle := math.Min(1-worth/2, math.Max(worth/2, (a.Mean()+b.Mean())/2))
	p, q := middle+worth/2, middle-worth/2
	needed := plantsPerArm(p*(1-p)+q*(1-q), worth, level)
	d.Verdict = judge(d.Low, d.High, first.Plants, second.Plants, first.Plants, second.Plants, needed)
	return d, nil
}

// chanceBelow returns the chance that a − b lies below the difference.
//
// The integral runs over the values x of the sharper of the two for which
// x + difference lies within the scale, in z = log(s/(1 − s)) with s the place
// of x between the ends of that range. Whatever power the density and the
// chance follow there, both fall off exponentially in z and are analytic within
// π of the real line, so the trapezoidal rule with steps of a half or less is
// good to about 1e-9.
func chanceBelow(a, b Beta, difference float64) float64 {
	if a.logitWidth() < b.logitWidth() {
		return 1 - chanceBelow(b, a, -difference)
	}
	low, high := math.Max(0, -difference), math.Min(1, 1-difference)
	if low >= high {
		return (1 + math.Copysign(1, difference)) / 2
	}
	leftPower, rightPower := 1.0, 1.0
	if low == 0 {
		leftPower = math.Min(1, b.Recovered)
	}
	if high == 1 {
		rightPower = math.Min(1, b.Lost)
	}
	const reach = 45 // e⁻⁴⁵ is nothing
	from, to := -reach/leftPower, reach/rightPower
	steps := math.Ceil((to - from) / math.Min(0.5, b.logitWidth()/6))
	h := (to - from) / steps
	constant := math.Log(high-low) - mathext.Lbeta(b.Recovered, b.Lost)
	var sum float64
	for i := 0.0; i <= steps; i++ {
		z := from + i*h
		// Logarithms of s and 1 − s, then of x and 1 − x, without cancellation.
		logS, logRestS := -math.Log1p(math.Exp(-z)), -math.Log1p(math.Exp(z))
		s := math.Exp(logS)
		logX, logRest := math.Log(high)+logS, math.Log1p(-low)+logRestS
		if low > 0 {
			logX = math.Log(low + (high-low)*s)
		}
		if high < 1 {
			logRest = math.Log(1 - high + (high-low)*math.Exp(logRestS))
		}
		density := math.Exp((b.Recovered-1)*logX + (b.Lost-1)*logRest + logS + logRestS + constant)
		if density > 1e-16 {
			sum += density * a.below(math.Max(0, difference)+(high-low)*s)
		}
	}
	// Where x + difference lies above the scale, a is surely below it.
	return math.Min(1, sum*h+1-b.below(high))
}

// logitWidth is about the standard deviation of log(x/(1 − x)).
func (b Beta) logitWidth() float64 { return math.Sqrt(1/b.Recovered + 1/b.Lost) }

// differenceQuantile returns the difference a − b below which the share of the
// chance lies, by bisection.
func differenceQuantile(a, b Beta, share float64) float64 {
	low, high := -1.0, 1.0
	for range 21 { // to 2⁻²⁰, a millionth
		middle := (low + high) / 2
		if chanceBelow(a, b, middle) < share {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}
