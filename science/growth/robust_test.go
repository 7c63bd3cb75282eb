package growth_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"velamen/internal/checktable"
	"velamen/science/growth"
)

// Four invented root series and the Nile flows. Everything was computed
// independently in Python (S, Var, Z and the slopes also with scipy 1.10.1) and
// is compared to half a unit of its last digit. A cell of NaN was not computed.
func TestSenAndMannKendall(t *testing.T) {
	years, flows := columns(t, checktable.Rows(t, "nile.csv"), "year", "flow")
	none := math.NaN()
	for _, row := range []struct {
		name          string
		days, lengths []float64
		s             int
		variance      float64
		varianceUnit  float64
		z, zUnit      float64
		normalP       float64
		normalPUnit   float64
		exactP        float64
		exactPUnit    float64
		sen, senUnit  float64
		low, high     float64
		bandUnit      float64
		intercept     float64
		clipped       bool
	}{
		{
			name: "grows", days: []float64{0, 4, 9, 15, 16, 24, 31, 45}, lengths: []float64{12.0, 15.1, 18.6, 24.2, 24.6, 30.9, 36.0, 47.4},
			s: 28, variance: 65.3333, varianceUnit: 1e-4, z: 3.340384, zUnit: 1e-6, normalP: 0.000837, normalPUnit: 1e-6, exactP: 4.9603e-05, exactPUnit: 1e-9,
			sen: 0.7870833, senUnit: 1e-7, low: 0.745672, high: 0.812281, bandUnit: 1e-6, intercept: 11.990625,
		},
		{
			name: "stops", days: []float64{0, 5, 9, 14, 20, 27, 33, 41, 50}, lengths: []float64{10, 14.8, 19.1, 23.7, 28.0, 30.1, 30.4, 30.2, 30.5},
			s: 34, variance: 92, varianceUnit: 1, z: 3.440488, zUnit: 1e-6, normalP: 0.000581, normalPUnit: 1e-6, exactP: none,
			sen: 0.4493056, senUnit: 1e-7, low: 0.152701, high: 0.837430, bandUnit: 1e-6, intercept: 15.056250,
		},
		{
			name: "stops, last four", days: []float64{27, 33, 41, 50}, lengths: []float64{30.1, 30.4, 30.2, 30.5},
			s: 4, variance: 8.6667, varianceUnit: 1e-4, z: 1.019049, zUnit: 1e-6, normalP: 0.30818, normalPUnit: 1e-5, exactP: 0.33333, exactPUnit: 1e-5,
			sen: 0.0122671, senUnit: 1e-7, low: -0.025, high: 0.05, bandUnit: 1e-3, intercept: none, clipped: true,
		},
		{
			name: "ties", days: []float64{0, 3, 7, 10, 14, 21, 28}, lengths: []float64{5, 6, 6, 8, 8, 8, 9},
			s: 17, variance: 39.6667, varianceUnit: 1e-4, z: 2.540429, zUnit: 1e-6, normalP: 0.011072, normalPUnit: 1e-6, exactP: none,
			sen: 0.1428571, senUnit: 1e-7, low: 0.018218, high: 0.285714, bandUnit: 1e-6, intercept: none,
		},
		{
			name: "typing mistake", days: []float64{0, 3, 7, 12, 18, 21, 30, 41}, lengths: []float64{4, 5.5, 8, 10.5, 41, 15, 19.5, 20},
			s: 22, variance: none, z: 2.598076, zUnit: 1e-6, normalP: 0.009375, normalPUnit: 1e-6, exactP: none,
			sen: 0.5, senUnit: 1e-7, low: 0.329587, high: 0.570176, bandUnit: 1e-6, intercept: none,
		},
		{
			// The interval of scipy rounds the ranks; Gilbert's was
			// not computed.
			name: "Nile", days: years, lengths: flows,
			s: -1387, variance: 112728.3333, varianceUnit: 1e-4, z: -4.128067, zUnit: 1e-6, normalP: 3.6583e-05, normalPUnit: 1e-9, exactP: none,
			sen: -2.6, senUnit: 1e-7, low: none, high: none, intercept: none,
		},
	} {
		check := func(what string, got, want, unit float64) {
			t.Helper()
			if !math.IsNaN(want) {
				near(t, row.name+": "+what, got, want, unit/2)
			}
		}
		m := must[growth.MannKendall](t)(growth.Trending(row.days, row.lengths))
		if m.S != row.s {
			t.Errorf("%s: S is %d, want %d", row.name, m.S, row.s)
		}
		check("variance", m.Variance, row.variance, row.varianceUnit)
		check("Z", m.Z, row.z, row.zUnit)
		check("normal p", m.NormalP, row.normalP, row.normalPUnit)
		check("exact p", m.ExactP, row.exactP, row.exactPUnit)

		s := must[growth.SenSlope](t)(growth.Sen(row.days, row.lengths, 0.95))
		check("slope", s.MMPerDay, row.sen, row.senUnit)
		check("low", s.LowMMPerDay, row.low, row.bandUnit)
		check("high", s.HighMMPerDay, row.high, row.bandUnit)
		check("intercept", s.InterceptMM, row.intercept, 1e-6)
		if s.Clipped != row.clipped {
			t.Errorf("%s: clipped is %v", row.name, s.Clipped)
		}
	}
}

// One-sided exact P(S ≥ s) without ties, computed independently to five
// decimals.
func TestExactScore(t *testing.T) {
	for _, row := range []struct {
		n, s int
		p    float64
	}{{4, 6, .04167}, {5, 8, .04167}, {5, 10, .00833}, {6, 11, .02778}, {6, 13, .00833}, {7, 13, .03452}, {8, 16, .03051}, {10, 23, .02331}} {
		near(t, "exact chance", growth.ChanceOfScore(row.n, row.s), row.p, 0.000005)
	}
	if p := growth.ChanceOfScore(3, 3); p <= 0.05 {
		t.Errorf("three readings in order have p = %v: fewer than four can never be significant", p)
	}
}

// At 40 readings the two ways of reckoning must have met.
func TestExactMeetsNormalWhereItEnds(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		days, lengths := make([]float64, 40), make([]float64, 40)
		for i := range days {
			days[i], lengths[i] = float64(i), random.NormFloat64()+0.02*float64(i)
		}
		m := must[growth.MannKendall](t)(growth.Trending(days, lengths))
		near(t, "normal p", m.NormalP, m.ExactP, 0.005)
	}
}

func TestRobustLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 30).Draw(t, "n")
		days, lengths := make([]float64, n), make([]float64, n)
		for i := range days {
			// Halves are exact in binary, so equal slopes stay equal.
			days[i] = float64(3 * i)
			lengths[i] = float64(rapid.IntRange(0, 100).Draw(t, "half mm")) / 2
		}
		s := must[growth.SenSlope](t)(growth.Sen(days, lengths, 0.9))
		m := must[growth.MannKendall](t)(growth.Trending(days, lengths))
		if s.LowMMPerDay > s.MMPerDay || s.MMPerDay > s.HighMMPerDay {
			t.Fatalf("slope %v outside its interval %v to %v", s.MMPerDay, s.LowMMPerDay, s.HighMMPerDay)
		}
		if wide := must[growth.SenSlope](t)(growth.Sen(days, lengths, 0.99)); wide.LowMMPerDay > s.LowMMPerDay || wide.HighMMPerDay < s.HighMMPerDay {
			t.Fatalf("99 %% interval %v to %v does not hold the 90 %% one", wide.LowMMPerDay, wide.HighMMPerDay)
		}

		order := rapid.Permutation(indices(n)).Draw(t, "order")
		shuffledDays, shuffled := pick(days, order), pick(lengths, order)
		if again := must[growth.SenSlope](t)(growth.Sen(shuffledDays, shuffled, 0.9)); again != s {
			t.Fatalf("order of entries changed %+v to %+v", s, again)
		}

		// Time running backwards turns the trend round.
		backwards := make([]float64, n)
		for i, day := range days {
			backwards[i] = -day
		}
		back := must[growth.MannKendall](t)(growth.Trending(backwards, lengths))
		if back.S != -m.S || back.NormalP != m.NormalP || back.ExactP != m.ExactP {
			t.Fatalf("forwards %+v, backwards %+v", m, back)
		}
		near(t, "slope backwards", must[growth.SenSlope](t)(growth.Sen(backwards, lengths, 0.9)).MMPerDay, -s.MMPerDay, 1e-12)
	})
}

// Up to a quarter of readings may be typing mistakes without carrying the slope
// off: the breakdown point of the median of pairs is 1 − 1/√2 = 29 % (from memory).
func TestSenWithstandsMistakes(t *testing.T) {
	days, lengths := make([]float64, 12), make([]float64, 12)
	for i := range days {
		days[i], lengths[i] = float64(7*i), 10+0.5*float64(7*i)
	}
	lengths[2], lengths[5], lengths[9] = 900, 0, 4000
	near(t, "slope", must[growth.SenSlope](t)(growth.Sen(days, lengths, 0.95)).MMPerDay, 0.5, 1e-12)
}

func TestRobustRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, in := range map[string][2][]float64{
		"one reading":  {{1}, {2}},
		"unequal":      {{1, 2}, {2}},
		"one day only": {{1, 1}, {2, 3}},
		"no length":    {{1, 2}, {2, nan}},
		"no day":       {{1, inf}, {2, 3}},
	} {
		if _, err := growth.Sen(in[0], in[1], 0.95); err == nil {
			t.Errorf("Sen accepts %s", name)
		}
		if _, err := growth.Trending(in[0], in[1]); err == nil {
			t.Errorf("Trending accepts %s", name)
		}
	}
	if _, err := growth.Sen([]float64{1, 2}, []float64{1, 2}, 1); err == nil {
		t.Error("Sen accepts a coverage of one")
	}
}

func indices(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

func pick[T any](from []T, order []int) []T {
	picked := make([]T, len(order))
	for i, j := range order {
		picked[i] = from[j]
	}
	return picked
}
