package growth

import (
	"fmt"
	"math"
)

// Step is one reading as the filter saw it: the belief after it, the error
// variance it was given, and how it compared with what was expected.
type Step struct {
	Belief
	ErrorVar float64 // mm²
	Surprise Surprise
}

// Filter runs the trend over the readings of one root after another. It keeps
// its room between runs, so that runs after the first allocate nothing.
type Filter struct {
	Trend Trend
	// Steps of the last run, one for each reading. The next run overwrites them.
	Steps []Step
	// LogLikelihood of the last run, natural logarithm. A first reading of
	// which nothing was expected adds nothing to it.
	LogLikelihood float64
}

// Run filters readings given as three slices of one length, oldest first:
// days, lengths in mm and error variances in mm². start is the belief before
// the first of them. Errors: slices of unequal length, a day before the one
// before it, a figure that is not finite, an error variance that is not above
// zero.
//
//	log L = −½·Σ (ln 2π + ln F + v²/F)   Durbin & Koopman 2012, section 7.2 (from memory)
func (f *Filter) Run(start Belief, days, lengthsMM, errorVars []float64) error {
	f.Steps, f.LogLikelihood = f.Steps[:0], 0
	if len(lengthsMM) != len(days) || len(errorVars) != len(days) {
		return fmt.Errorf("growth: %d days, %d lengths and %d error variances do not belong together",
			len(days), len(lengthsMM), len(errorVars))
	}
	b := start
	// The logarithm of a product of variances costs less than the sum of their
	// logarithms; it is taken before the product can leave the range of numbers.
	product, squares, terms := 1.0, 0.0, 0
	for i, day := range days {
		length, errorVar := lengthsMM[i], errorVars[i]
		if !(day >= b.Day) || !(errorVar > 0) || math.IsInf(day+errorVar, 0) || math.IsNaN(length-length) {
			return f.unusable(i, b.Day, day, length, errorVar)
		}
		var s Surprise
		b, s = f.Trend.Ahead(b, day).Read(length, errorVar)
		f.Steps = append(f.Steps, Step{Belief: b, ErrorVar: errorVar, Surprise: s})
		if s.Var == 0 {
			continue
		}
		if product > 1e100 || product < 1e-100 {
			f.LogLikelihood -= math.Log(product) / 2
			product = 1
		}
		product *= s.Var
		squares += s.MM * s.MM / s.Var
		terms++
	}
	f.LogLikelihood -= (float64(terms)*math.Log(2*math.Pi) + math.Log(product) + squares) / 2
	return nil
}

func (f *Filter) unusable(i int, before, day, length, errorVar float64) error {
	f.Steps = f.Steps[:0]
	return fmt.Errorf("growth: reading %d cannot be filtered: day %g (not before %g), length %g mm, error variance %g mm² (above zero)",
		i, day, before, length, errorVar)
}

// Smooth appends to dst the beliefs that all the steps together give for the
// day of each of them, and returns it. The steps must be of one unbroken run of
// the filter. Unlike a step, a smoothed belief knows of later readings.
//
//	ℓ̂ = ℓ + P·Tᵀ·r,  V = P − P·Tᵀ·N·T·P   Durbin & Koopman 2012, section 4.4 (from memory)
//
// written from the filtered state, which is finite even after a diffuse start.
func Smooth(dst []Belief, steps []Step) []Belief {
	first := len(dst)
	for _, s := range steps {
		dst = append(dst, s.Belief)
	}
	smoothed := dst[first:]
	// r and N gather the later surprises; both are zero after the last reading.
	var r0, r1, n00, n01, n11 float64
	for i := len(steps) - 1; i >= 0; i-- {
		if i+1 < len(steps) {
			d := steps[i+1].Day - steps[i].Day
			r1 += d * r0
			n11 += d * (2*n01 + d*n00)
			n01 += d * n00
		}
		b := &smoothed[i]
		p00, p01, p11 := b.LengthVar, b.Covariance, b.RateVar
		b.LengthMM += p00*r0 + p01*r1
		b.RateMMPerDay += p01*r0 + p11*r1
		b.LengthVar -= p00*p00*n00 + 2*p00*p01*n01 + p01*p01*n11
		b.Covariance -= p00*p01*n00 + (p00*p11+p01*p01)*n01 + p01*p11*n11
		b.RateVar -= p01*p01*n00 + 2*p01*p11*n01 + p11*p11*n11

		s := steps[i]
		if s.Surprise.Var == 0 {
			// The first reading: nothing before it is smoothed.
			continue
		}
		// The gain is the covariance after the reading over its error variance.
		keep, k1 := 1-p00/s.ErrorVar, p01/s.ErrorVar
		r0 = s.Surprise.MM/s.Surprise.Var + keep*r0 - k1*r1
		n00 = 1/s.Surprise.Var + keep*keep*n00 - 2*keep*k1*n01 + k1*k1*n11
		n01 = keep*n01 - k1*n11
	}
	return dst
}
