package outcome

import (
	"fmt"
	"math"
)

// Effect is one estimated difference with its standard error: the days that a
// practice saves in one season, on one group, or in one grower's hands.
type Effect struct {
	Name                    string
	Estimate, StandardError float64
}

func checkEffects(effects []Effect) error {
	if len(effects) < 2 {
		return fmt.Errorf("outcome: %d effects given (allowed: at least 2)", len(effects))
	}
	for _, e := range effects {
		if math.IsNaN(e.Estimate) || math.IsInf(e.Estimate, 0) {
			return fmt.Errorf("outcome: effect %q: estimate %v is not finite", e.Name, e.Estimate)
		}
		if !(e.StandardError > 0) || math.IsInf(e.StandardError, 0) {
			return fmt.Errorf("outcome: effect %q: standard error %v (allowed: above 0 and finite)", e.Name, e.StandardError)
		}
	}
	return nil
}

// Heterogeneity says how much effects differ among themselves.
type Heterogeneity struct {
	// Mean is their average, weighted by exactness, as if they did not differ.
	Mean, StandardError float64
	// Q is the weighted sum of squares about it: near the number of effects
	// less one if chance alone spreads them.
	Q float64
	// BetweenSD is the spread of the true effects, 0 if chance explains all.
	BetweenSD float64
}

// Spread returns how far the true effects seem to differ, by the moments
// estimator of DerSimonian & Laird, Controlled Clinical Trials 7:177–188
// (1986, from memory).
func Spread(effects []Effect) (Heterogeneity, error) {
	if err := checkEffects(effects); err != nil {
		return Heterogeneity{}, err
	}
	var w, ww, wy float64
	for _, e := range effects {
		weight := 1 / (e.StandardError * e.StandardError)
		w += weight
		ww += weight * weight
		wy += weight * e.Estimate
	}
	h := Heterogeneity{Mean: wy / w, StandardError: 1 / math.Sqrt(w)}
	for _, e := range effects {
		deviation := (e.Estimate - h.Mean) / e.StandardError
		h.Q += deviation * deviation
	}
	excess := h.Q - float64(len(effects)-1)
	h.BetweenSD = math.Sqrt(math.Max(0, excess/(w-ww/w)))
	return h, nil
}

// Shrunk are effects drawn toward their average.
type Shrunk struct {
	Mean    Effect   // the average of the true effects
	Effects []Effect // in the order given
}

// ShrinkEffects draws each effect toward their average, the less exact the
// more, for true effects spread normally with betweenSD (see Spread; 0 draws
// them all the way). Gelman and others, Bayesian Data Analysis, 3rd edition
// 2013, eq. 5.17 and 5.20 (from memory), with the average integrated out.
func ShrinkEffects(effects []Effect, betweenSD float64) (Shrunk, error) {
	if err := checkEffects(effects); err != nil {
		return Shrunk{}, err
	}
	if !(betweenSD >= 0) || math.IsInf(betweenSD, 0) {
		return Shrunk{}, fmt.Errorf("outcome: spread of the true effects %v (allowed: 0 and above, finite)", betweenSD)
	}
	between := betweenSD * betweenSD
	var w, wy float64
	for _, e := range effects {
		weight := 1 / (e.StandardError*e.StandardError + between)
		w += weight
		wy += weight * e.Estimate
	}
	mean := Effect{"average", wy / w, 1 / math.Sqrt(w)}
	shrunk := Shrunk{Mean: mean, Effects: make([]Effect, len(effects))}
	for i, e := range effects {
		own := e.StandardError * e.StandardError
		toMean := own / (own + between)
		variance := own*between/(own+between) + toMean*toMean*mean.StandardError*mean.StandardError
		shrunk.Effects[i] = Effect{e.Name, e.Estimate + toMean*(mean.Estimate-e.Estimate), math.Sqrt(variance)}
	}
	return shrunk, nil
}

// JamesStein draws equally exact estimates toward their average by the share
// of their spread that chance explains, and returns them with the part c of
// each deviation that is kept:
//
//	c = 1 − (k − 3) σ² / Σ (y − ȳ)²
//
// Efron & Morris 1975 (from memory), never below 0. It needs no
// normal spread of the true values, and at least four estimates.
func JamesStein(estimates []float64, standardError float64) (shrunk []float64, kept float64, err error) {
	if len(estimates) < 4 {
		return nil, 0, fmt.Errorf("outcome: %d estimates given (allowed: at least 4)", len(estimates))
	}
	if !(standardError > 0) || math.IsInf(standardError, 0) {
		return nil, 0, fmt.Errorf("outcome: standard error %v (allowed: above 0 and finite)", standardError)
	}
	var mean float64
	for i, y := range estimates {
		if math.IsNaN(y) || math.IsInf(y, 0) {
			return nil, 0, fmt.Errorf("outcome: estimate %d is %v (allowed: finite)", i+1, y)
		}
		mean += y / float64(len(estimates))
	}
	var squares float64
	for _, y := range estimates {
		squares += (y - mean) * (y - mean)
	}
	if squares > 0 {
		kept = math.Max(0, 1-float64(len(estimates)-3)*standardError*standardError/squares)
	}
	for _, y := range estimates {
		shrunk = append(shrunk, mean+kept*(y-mean))
	}
	return shrunk, kept, nil
}
