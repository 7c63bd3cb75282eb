package outcome

import "math"

// Reach is the day on which a share is reached, if it is within the watch.
type Reach struct {
	Day     float64
	Reached bool
}

// Quantile is a day with its interval. Any of the three may not have been
// reached: the median of plants of which fewer than half have rooted.
type Quantile struct {
	Estimate, Low, High Reach
}

// Median returns the day by which half of the plants showed the sign, with the
// interval of Brookmeyer and Crowley (1982, from memory): the days on which
// the lower and the upper limit of the curve come down to a half.
func (c Curve) Median() Quantile {
	return Quantile{
		Estimate: c.fallsTo(0.5, func(s Step) float64 { return s.Unseen }),
		Low:      c.fallsTo(0.5, func(s Step) float64 { return s.Low }),
		High:     c.fallsTo(0.5, func(s Step) float64 { return s.High }),
	}
}

// fallsTo returns the first day on which a line comes down to the share. If it
// comes to lie on it exactly, every day until the next fall would do, and the
// middle of them is returned: the rule of the survival package of R.
func (c Curve) fallsTo(share float64, line func(Step) float64) Reach {
	// The product of fractions such as 6/7 · 7/12 misses a half by rounding.
	const rounding = 1e-9
	for i, s := range c.Steps {
		y := line(s)
		if y > share+rounding {
			continue
		}
		if math.Abs(y-share) <= rounding {
			for _, later := range c.Steps[i+1:] {
				if line(later) < share-rounding {
					return Reach{(s.Day + later.Day) / 2, true}
				}
			}
		}
		return Reach{s.Day, true}
	}
	return Reach{}
}
