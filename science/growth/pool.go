package growth

import "math"

// Pool is what several roots say together: their rates scatter around a mean.
//
//	r̂ᵢ ~ N(rᵢ, vᵢ),  rᵢ ~ N(μ, τ²),  μ ~ prior   normal–normal model, DerSimonian & Laird 1986
type Pool struct {
	// Mean is μ, with its variance.
	Mean Rate
	// Between is τ², the variance of true rates between roots, mm²/day².
	Between float64
}

// PoolRates pools rates that were measured independently of each other and of
// the prior. A prior of infinite variance says nothing; a rate of infinite
// variance counts for nothing. The variance between roots is the moment
// estimate:
//
//	τ² = max(0, (Q − (k−1))/(Σw − Σw²/Σw)),  w = 1/v,  Q = Σ w·(r̂ − r̄)²   DerSimonian & Laird 1986, equation 8 (from memory)
//
// It is zero when the rates differ no more than their errors explain; the roots
// are then taken to grow alike. The uncertainty of τ² itself is left out.
func PoolRates(prior Rate, rates []Rate) Pool {
	var k int
	var weights, weights2, mean float64
	for _, r := range rates {
		if math.IsInf(r.Variance, 1) {
			continue
		}
		k++
		w := 1 / r.Variance
		weights += w
		weights2 += w * w
		mean += w * r.MMPerDay
	}
	if k < 2 {
		return poolAt(prior, rates, 0)
	}
	mean /= weights
	var q float64
	for _, r := range rates {
		d := r.MMPerDay - mean
		q += d * d / r.Variance
	}
	return poolAt(prior, rates, max(0, (q-float64(k-1))/(weights-weights2/weights)))
}

// poolAt pools with a given variance between roots: every root, and the prior,
// weighs by its precision.
func poolAt(prior Rate, rates []Rate, between float64) Pool {
	precision := 1 / prior.Variance
	sum := precision * prior.MMPerDay
	for _, r := range rates {
		w := 1 / (r.Variance + between)
		precision += w
		sum += w * r.MMPerDay
	}
	if precision == 0 {
		return Pool{Mean: Rate{Variance: math.Inf(1)}, Between: between}
	}
	return Pool{Mean: Rate{MMPerDay: sum / precision, Variance: 1 / precision}, Between: between}
}

// pull returns how much of a root's rate is taken from the mean of its pool:
// b = v/(v + τ²).
func (p Pool) pull(r Rate) float64 {
	if math.IsInf(r.Variance, 1) || p.Between == 0 {
		return 1
	}
	return r.Variance / (r.Variance + p.Between)
}

// Root returns the rate of one of the pooled roots in the light of the others.
//
//	mean (1−b)·r̂ + b·μ,  variance b·τ² + b²·Var μ
func (p Pool) Root(r Rate) Rate {
	b := p.pull(r)
	rate := Rate{MMPerDay: b * p.Mean.MMPerDay, Variance: b*p.Between + b*b*p.Mean.Variance}
	if b < 1 {
		rate.MMPerDay += (1 - b) * r.MMPerDay
	}
	return rate
}

// MeanOf returns the mean true rate of the pooled roots themselves, which is
// known better than μ, the mean of all roots that the plant might have. At
// least one rate must be given.
//
//	mean Σ((1−b)·r̂ + b·μ)/n,  variance (Σ b·τ² + (Σ b)²·Var μ)/n²
func (p Pool) MeanOf(rates []Rate) Rate {
	var mean, scatter, pulls float64
	for _, r := range rates {
		b := p.pull(r)
		mean += p.Root(r).MMPerDay
		scatter += b * p.Between
		pulls += b
	}
	n := float64(len(rates))
	return Rate{MMPerDay: mean / n, Variance: (scatter + pulls*pulls*p.Mean.Variance) / (n * n)}
}

// Learn returns the prior rate of a group after roots of its plants have been
// measured: the mean and the variance of PriorRoots roots of the old prior and
// the measured ones together. A root counts by what its readings told, the
// share v₀/(v₀ + v) of what was unknown before; the measured rates enter as
// their pool's mean and variance between roots, free of reading error.
//
//	m = (k·m₀ + n·μ)/(k + n),  V = (k·V₀ + n·τ²)/(k + n) + k·n·(μ − m₀)²/(k + n)²,  n = Σ v₀/(v₀ + v)
func Learn(prior Rate, rates []Rate) Rate {
	var n float64
	for _, r := range rates {
		n += prior.Variance / (prior.Variance + r.Variance)
	}
	if n == 0 {
		return prior
	}
	pool := PoolRates(Rate{Variance: math.Inf(1)}, rates)
	k := PriorRoots.Value
	apart := pool.Mean.MMPerDay - prior.MMPerDay
	return Rate{
		MMPerDay: (k*prior.MMPerDay + n*pool.Mean.MMPerDay) / (k + n),
		Variance: (k*prior.Variance+n*pool.Between)/(k+n) + k*n*apart*apart/((k+n)*(k+n)),
	}
}
