package outcome

import "math"

// Incidence is the share of plants to which something has happened by a day,
// with its standard error and pointwise interval.
type Incidence struct{ Share, StandardError, Low, High float64 }

// IncidenceStep is the estimate from its day until the next step. Unended,
// Seen.Share and Died.Share sum to 1.
type IncidenceStep struct {
	Day                      float64
	AtRisk, SeenNow, DiedNow int
	// Unended is the share alive without the sign after the day.
	Unended    float64
	Seen, Died Incidence
}

// IncidenceCurve is the share of plants that have shown the sign, and the
// share that died first, by day: none until the first step, and constant
// between steps.
type IncidenceCurve struct {
	Steps   []IncidenceStep
	Plants  int
	LastDay float64
}

// AalenJohansen returns the cumulative incidence of the sign and of death as
// competing endings. Taking 1 − KaplanMeier with deaths as last looks instead
// would answer what happened had no plant died, and give too high a share.
//
// The standard errors are of the delta-method form (see incidenceVariance);
// without deaths they are Greenwood's. The intervals are those of the form for
// the share to which it has not happened. Records need exact days; see
// AtDayFound.
func AalenJohansen(records []Recovery, form Form, level float64) (IncidenceCurve, error) {
	if err := checkExact(records); err != nil {
		return IncidenceCurve{}, err
	}
	if err := checkInterval(form, level); err != nil {
		return IncidenceCurve{}, err
	}
	z := twoSided(level)
	curve := IncidenceCurve{Plants: len(records), LastDay: lastDay(records)}
	unended := 1.0
	var seen, died incidenceVariance
	for _, t := range tallies(records) {
		n, ended := float64(t.atRisk), float64(t.seen+t.died)
		seen.add(unended, n, float64(t.seen), ended)
		died.add(unended, n, float64(t.died), ended)
		unended *= 1 - ended/n
		curve.Steps = append(curve.Steps, IncidenceStep{
			Day: t.day, AtRisk: t.atRisk, SeenNow: t.seen, DiedNow: t.died,
			Unended: unended,
			Seen:    seen.incidence(form, z),
			Died:    died.incidence(form, z),
		})
	}
	return curve, nil
}

// incidenceVariance gathers the share F of one kind of ending and the sums
// behind its variance, with S⁻ the unended share just before a day u, n at
// risk, d_k endings of this kind and d of any kind on it:
//
//	F(t)     = Σ S⁻ d_k/n
//	Var F(t) = Σ (F(t) − F(u))² d/(n(n − d)) + Σ S⁻² (n − d_k) d_k/n³ − 2 Σ (F(t) − F(u)) S⁻ d_k/n²
//
// Aalen & Johansen 1978; variance by the delta method as in Marubini &
// Valsecchi, Analysing Survival Data, 1995, §10.3 (both from memory).
// Expanding the square lets every sum run on.
type incidenceVariance struct {
	share             float64
	hazard, hazardF   float64 // Σ d/(n(n−d)), Σ F(u) d/(n(n−d))
	hazardFF          float64 // Σ F(u)² d/(n(n−d))
	binomial          float64 // Σ S⁻² (n−d_k) d_k/n³
	crossed, crossedF float64 // Σ S⁻ d_k/n², Σ F(u) S⁻ d_k/n²
}

// add counts one day.
func (v *incidenceVariance) add(unendedBefore, n, kind, ended float64) {
	v.share += unendedBefore * kind / n
	if n > ended { // else no later day follows, and on this one F(t) − F(u) is 0
		h := ended / (n * (n - ended))
		v.hazard += h
		v.hazardF += h * v.share
		v.hazardFF += h * v.share * v.share
	}
	v.binomial += unendedBefore * unendedBefore * (n - kind) * kind / (n * n * n)
	cross := unendedBefore * kind / (n * n)
	v.crossed += cross
	v.crossedF += cross * v.share
}

// incidence returns the estimate as of the last day added.
func (v *incidenceVariance) incidence(form Form, z float64) Incidence {
	f := v.share
	variance := f*f*v.hazard - 2*f*v.hazardF + v.hazardFF + v.binomial - 2*(f*v.crossed-v.crossedF)
	in := Incidence{Share: math.Min(1, f), StandardError: math.Sqrt(math.Max(0, variance))}
	switch {
	case f <= 0 || in.StandardError == 0:
		in.Low, in.High = in.Share, in.Share
	case f >= 1:
		in.High = 1
	default:
		notLow, notHigh := form.interval(1-f, in.StandardError, z)
		in.Low, in.High = 1-notHigh, 1-notLow
	}
	return in
}

// At returns the step in force on a day: the last one no later than it. A day
// beyond LastDay is an error.
func (c IncidenceCurve) At(day float64) (IncidenceStep, error) {
	if err := within("day of the curve", day, 0, c.LastDay); err != nil {
		return IncidenceStep{}, err
	}
	at := IncidenceStep{AtRisk: c.Plants, Unended: 1}
	for _, s := range c.Steps {
		if s.Day > day {
			break
		}
		at = s
	}
	return at, nil
}
