package growth

import (
	"fmt"
	"math"

	"velamen/science/basis"
)

// Rate is a rate of growth that is known with a normal error.
type Rate struct {
	MMPerDay float64
	Variance float64 // mm²/day²; +Inf when nothing is known
}

// SD returns the standard deviation in mm/day.
func (r Rate) SD() float64 { return math.Sqrt(r.Variance) }

// ChanceFaster returns the probability that the rate exceeds the given one.
func (r Rate) ChanceFaster(thanMMPerDay float64) float64 {
	if r.Variance == 0 {
		if r.MMPerDay > thanMMPerDay {
			return 1
		}
		return 0
	}
	return normalBelow((r.MMPerDay - thanMMPerDay) / r.SD())
}

// PriorRate returns what may be thought of the rate of a marked root before it
// is measured twice, from the range of rates of roots in full growth. The range
// is read as a lognormal distribution with the given middle, nine roots in ten
// between its ends. GrowingShare of the roots are taken to follow it and the
// others to stand still, so that the prior does not decide the verdict; mean and
// variance are those of this mixture. Errors: a range that fails its Check or
// is not above zero.
//
//	m = μ·e^(s²/2),  v = m²·(e^(s²) − 1),  s = ln(high/low)/(2·1.645)   moments of the lognormal
//	mean p·m, variance p·(v + m²) − (p·m)²                              moments of the mixture
func PriorRate(growing basis.Value) (Rate, error) {
	if err := checkGroup(growing); err != nil {
		return Rate{}, err
	}
	logSD := math.Log(growing.High/growing.Low) / (2 * normalQuantile(0.95))
	mean := growing.Value * math.Exp(logSD*logSD/2)
	variance := mean * mean * math.Expm1(logSD*logSD)
	p := GrowingShare.Value
	return Rate{MMPerDay: p * mean, Variance: p*(variance+mean*mean) - p*p*mean*mean}, nil
}

func checkGroup(growing basis.Value) error {
	if err := growing.Check(); err != nil {
		return fmt.Errorf("growth: rate of growing roots: %w", err)
	}
	// From a hundredth of a millimetre to a hand's breadth a day.
	if err := within("low rate of growing roots", growing.Low, 0.01, 100, "mm/day"); err != nil {
		return err
	}
	return within("high rate of growing roots", growing.High, growing.Low, 100, "mm/day")
}

// normalBelow returns the standard normal distribution function at z.
func normalBelow(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// normalQuantile returns the z below which a standard normal variable falls
// with probability p.
func normalQuantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }
