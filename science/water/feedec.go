package water

import "math"

// ECmSIn returns the conductivity at 25 °C, mS/cm, of the feed at a strength in
// g/L in a given water. The ions add; the conductivities very nearly do.
func (l Label) ECmSIn(base Ions, gramsPerLitre float64) (float64, error) {
	f, err := l.AtGramsPerLitre(gramsPerLitre)
	if err != nil {
		return 0, err
	}
	return base.Plus(f.Ions).ECmS()
}

// GramsPerLitreForEC returns the strength at which the feed in a given water
// reaches a conductivity in mS/cm. Refused when the water alone conducts more,
// when the feed does not conduct (urea), or when the laws end first.
func (l Label) GramsPerLitreForEC(base Ions, targetMS float64) (float64, error) {
	if err := l.Check(); err != nil {
		return 0, err
	}
	lowEC, err := base.ECmS()
	if err != nil {
		return 0, err
	}
	solution := func(gramsPerLitre float64) (float64, error) {
		return base.Plus(l.at(gramsPerLitre).Ions).ECmS()
	}
	low, high := 0.0, 0.0
	highEC := lowEC
	if err := within("conductivity of the feed solution", targetMS, lowEC, math.Max(lowEC, 20), "mS/cm"); err != nil {
		return 0, err
	}
	// Find a strength that is too much. Beyond the range of the laws the
	// last figure computed is the highest that can be asked for.
	for trial := 0.05; highEC < targetMS; trial *= 1.5 {
		ec, err := solution(trial)
		if err != nil || trial > maxFeedGramsPerLitre {
			return 0, within("conductivity of the feed solution", targetMS, lowEC, highEC, "mS/cm")
		}
		low, high, highEC = high, trial, ec
	}
	return bisect(low, high, targetMS, solution)
}

// bisect returns the x between low and high at which f reaches target, f(low)
// and f(high) lying on either side of it.
func bisect(low, high, target float64, f func(float64) (float64, error)) (float64, error) {
	atLow, err := f(low)
	if err != nil {
		return 0, err
	}
	atHigh, err := f(high)
	if err != nil {
		return 0, err
	}
	rising := atLow < atHigh
	for range 60 {
		middle := (low + high) / 2
		value, err := f(middle)
		if err != nil {
			return 0, err
		}
		if value < target == rising {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2, nil
}
