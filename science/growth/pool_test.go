package growth_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"velamen/science/growth"
)

var unknown = growth.Rate{Variance: math.Inf(1)}

// The eight schools of D. B. Rubin, Journal of Educational Statistics 6:377–401
// (1981; citation from memory): effects with standard errors, as any normal figures. The pooled values
// were computed independently with scipy, to the digits given.
var schools = func() []growth.Rate {
	effects := []float64{28, 8, -3, 7, -1, 1, 18, 12}
	errors := []float64{15, 10, 16, 11, 9, 11, 10, 18}
	rates := make([]growth.Rate, len(effects))
	for i := range effects {
		rates[i] = growth.Rate{MMPerDay: effects[i], Variance: errors[i] * errors[i]}
	}
	return rates
}()

func TestPoolEightSchools(t *testing.T) {
	pool := growth.PoolRates(unknown, schools)
	near(t, "mean", pool.Mean.MMPerDay, 7.685617, 0.0000005)
	near(t, "its standard error", pool.Mean.SD(), 4.071919, 0.0000005)
	near(t, "variance between", pool.Between, 0, 0)
	for _, row := range []struct {
		between float64
		effects []float64
	}{
		{5, []float64{9.8659, 7.8808, 6.8856, 7.7053, 5.7635, 6.6779, 9.8808, 8.1482}},
		{10, []float64{14.2414, 8.0632, 5.0011, 7.6168, 3.0842, 4.9018, 13.0632, 9.0400}},
	} {
		pool := growth.PoolAt(unknown, schools, row.between*row.between)
		for i, want := range row.effects {
			near(t, "effect", pool.Root(schools[i]).MMPerDay, want, 0.00005)
		}
	}
	near(t, "mean at τ = 5", growth.PoolAt(unknown, schools, 25).Mean.MMPerDay, 7.85098, 0.000005)
}

// Q of the schools is 4.707079 (computed independently, as above), below its 7
// degrees of freedom. With errors a third of those, Q is 9·4.707079 and the
// moment estimate no longer zero.
func TestVarianceBetween(t *testing.T) {
	sharper := make([]growth.Rate, len(schools))
	var weights, weights2 float64
	for i, r := range schools {
		sharper[i] = growth.Rate{MMPerDay: r.MMPerDay, Variance: r.Variance / 9}
		weights += 9 / r.Variance
		weights2 += 81 / (r.Variance * r.Variance)
	}
	want := (9*4.707079 - 7) / (weights - weights2/weights)
	// Half a unit of the last digit of Q.
	near(t, "variance between", growth.PoolRates(unknown, sharper).Between, want, 9*0.0000005/(weights-weights2/weights))
}

func TestPoolLimits(t *testing.T) {
	prior := growth.Rate{MMPerDay: 0.7, Variance: 0.8}
	if got := growth.PoolRates(prior, nil).Mean; got != prior {
		t.Errorf("no roots give %+v, not the prior", got)
	}
	if got := growth.PoolRates(unknown, []growth.Rate{unknown}).Mean; !math.IsInf(got.Variance, 1) {
		t.Errorf("nothing known gives %+v", got)
	}
	// One root alone: prior and reading by their precisions.
	one := growth.Rate{MMPerDay: 0.2, Variance: 0.2}
	pool := growth.PoolRates(prior, []growth.Rate{one})
	near(t, "one root", pool.Root(one).MMPerDay, (0.7/0.8+one.MMPerDay/one.Variance)/(1/0.8+1/one.Variance), 1e-12)
	// A root of which nothing is known takes the mean of the others.
	two := growth.PoolRates(prior, []growth.Rate{one, unknown})
	near(t, "unknown root", two.Root(unknown).MMPerDay, pool.Mean.MMPerDay, 1e-12)
	// Roots far apart keep their own rates.
	apart := []growth.Rate{{MMPerDay: 0, Variance: 1e-6}, {MMPerDay: 5, Variance: 1e-6}}
	far := growth.PoolRates(prior, apart)
	near(t, "slow root", far.Root(apart[0]).MMPerDay, 0, 1e-5)
	near(t, "fast root", far.Root(apart[1]).MMPerDay, 5, 1e-5)
	near(t, "their mean", far.MeanOf(apart).MMPerDay, 2.5, 1e-5)
	near(t, "its variance", far.MeanOf(apart).Variance, 1e-6/2, 1e-9)
}

// Two roots, worked out the other way round: as the conditional mean of two
// normal variables with variance V₀+τ² and covariance V₀, given both readings.
func TestPoolIsAConditionalMean(t *testing.T) {
	prior := growth.Rate{MMPerDay: 0.7, Variance: 0.8}
	const between = 0.3
	a, b := growth.Rate{MMPerDay: 0.1, Variance: 0.2}, growth.Rate{MMPerDay: 1.5, Variance: 0.05}
	s, c := prior.Variance+between, prior.Variance
	// Inverse of the covariance matrix of the readings.
	det := (s+a.Variance)*(s+b.Variance) - c*c
	ia, ib, iab := (s+b.Variance)/det, (s+a.Variance)/det, -c/det
	da, db := a.MMPerDay-prior.MMPerDay, b.MMPerDay-prior.MMPerDay
	// Gains of either true rate from either reading.
	aa, ab := s*ia+c*iab, s*iab+c*ib
	ba, bb := c*ia+s*iab, c*iab+s*ib

	rates := []growth.Rate{a, b}
	pool := growth.PoolAt(prior, rates, between)
	near(t, "first root", pool.Root(a).MMPerDay, prior.MMPerDay+aa*da+ab*db, 1e-12)
	near(t, "its variance", pool.Root(a).Variance, s-aa*s-ab*c, 1e-12)
	near(t, "second root", pool.Root(b).MMPerDay, prior.MMPerDay+ba*da+bb*db, 1e-12)
	near(t, "its variance", pool.Root(b).Variance, s-ba*c-bb*s, 1e-12)
	covariance := c - aa*c - ab*s
	near(t, "variance of the mean", pool.MeanOf(rates).Variance, (s-aa*s-ab*c+s-ba*c-bb*s+2*covariance)/4, 1e-12)
}

// Plants with known truth: rates of their roots scatter around the plant's, and
// are measured with errors that differ. The pooled rates must lie nearer the
// truth than the measured ones, and the stated errors must be honest.
func TestPoolingIsNearerTheTruth(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	prior := growth.Rate{MMPerDay: 0.7, Variance: 0.8}
	const plants, roots = 4000, 5
	var alone, pooled float64
	var covered int
	for range plants {
		mean := prior.MMPerDay + prior.SD()*random.NormFloat64()
		truths, rates := make([]float64, roots), make([]growth.Rate, roots)
		truth := 0.0
		for i := range rates {
			truths[i] = mean + 0.2*random.NormFloat64()
			sd := 0.05 + 0.4*random.Float64()
			rates[i] = growth.Rate{MMPerDay: truths[i] + sd*random.NormFloat64(), Variance: sd * sd}
			truth += truths[i] / roots
		}
		pool := growth.PoolRates(prior, rates)
		for i, r := range rates {
			alone += square(r.MMPerDay-truths[i]) / (plants * roots)
			pooled += square(pool.Root(r).MMPerDay-truths[i]) / (plants * roots)
		}
		if m := pool.MeanOf(rates); math.Abs(m.MMPerDay-truth) <= 1.645*m.SD() {
			covered++
		}
	}
	if pooled > 0.5*alone {
		t.Errorf("mean square error %v pooled, %v alone: not even halved", pooled, alone)
	}
	// Nominal 90 %. The variance between roots is taken as known although five
	// roots hardly tell it, which costs a few percent; 4000 plants scatter the
	// share by 0.5 %.
	if share := float64(covered) / plants; share < 0.84 || share > 0.92 {
		t.Errorf("the 90 %% band of the mean holds the truth in %.1f %% of plants", 100*share)
	}
}

// A group whose roots truly grow at 2.0 ± 0.5 mm/day, measured with error: the
// learned prior must come to both figures, free of the reading error.
func TestLearnFindsTheGroup(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	prior := growth.Rate{MMPerDay: 0.7, Variance: 0.8}
	rates := make([]growth.Rate, 2000)
	for i := range rates {
		sd := 0.1 + 0.6*random.Float64()
		rates[i] = growth.Rate{MMPerDay: 2 + 0.5*random.NormFloat64() + sd*random.NormFloat64(), Variance: sd * sd}
	}
	learned := growth.Learn(prior, rates)
	// Standard error of a mean of 2000 with a scatter of about 0.65: 0.015.
	near(t, "mean", learned.MMPerDay, 2, 0.05)
	// Of their variance: about √(2/2000)·0.42 = 0.013.
	near(t, "variance", learned.Variance, 0.25, 0.045)
}

func TestLearnFromLittle(t *testing.T) {
	prior := growth.Rate{MMPerDay: 0.7, Variance: 0.8}
	if got := growth.Learn(prior, nil); got != prior {
		t.Errorf("no roots turn the prior into %+v", got)
	}
	if got := growth.Learn(prior, []growth.Rate{unknown, unknown}); got != prior {
		t.Errorf("unmeasured roots turn the prior into %+v", got)
	}
	// Three exact roots weigh as much as the prior's three.
	exact := []growth.Rate{{MMPerDay: 1.7, Variance: 1e-12}, {MMPerDay: 1.7, Variance: 1e-12}, {MMPerDay: 1.7, Variance: 1e-12}}
	got := growth.Learn(prior, exact)
	near(t, "mean of half and half", got.MMPerDay, 1.2, 1e-9)
	near(t, "its variance", got.Variance, 0.4+0.25, 1e-9)
}

func square(x float64) float64 { return x * x }
