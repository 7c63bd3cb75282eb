package outcome_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/outcome"
)

func practices(t *testing.T) []outcome.Tally {
	t.Helper()
	var tallies []outcome.Tally
	for _, row := range checktable.Rows(t, "practices.csv") {
		tallies = append(tallies, outcome.Tally{Plants: int(row.Number(t, "plants")), Recovered: int(row.Number(t, "recovered"))})
	}
	return tallies
}

// scipy 1.10, computed independently; see SOURCE.md.
func TestSixPractices(t *testing.T) {
	uniform := outcome.Beta{Recovered: 1, Lost: 1}
	fit := must[outcome.Fit](t)(outcome.FitPrior(practices(t), uniform))
	equal(t, "between", fit.Between, outcome.Fitted)
	printed(t, "alpha", fit.Prior.Recovered, "1.957574")
	printed(t, "beta", fit.Prior.Lost, "1.322828")
	for column, prior := range map[string]outcome.Beta{"fitted": fit.Prior, "uniform": uniform, "four_two": {Recovered: 4, Lost: 2}} {
		shares := must[[]outcome.Share](t)(outcome.ShrinkShares(practices(t), prior, 0.9))
		for i, row := range checktable.Rows(t, "practices.csv") {
			near(t, column+" mean of "+row["recovered"]+" of "+row["plants"], shares[i].Mean, row.Number(t, column), 0.5e-6+1e-9)
		}
	}
	shares := must[[]outcome.Share](t)(outcome.ShrinkShares(practices(t), uniform, 0.9))
	printed(t, "5 of 6, low", shares[0].Low, ".479297")
	printed(t, "5 of 6, high", shares[0].High, ".946624")
	printed(t, "0 of 2, low", shares[2].Low, ".016952")
	printed(t, "0 of 2, high", shares[2].High, ".631597")
	near(t, "0 of 2, from the prior", shares[2].FromPrior, 0.5, 1e-12)
}

// Beta-binomial maximum likelihood on the batting data, scipy 1.10, computed
// independently.
func TestBattingPrior(t *testing.T) {
	var tallies []outcome.Tally
	for _, row := range checktable.Rows(t, "batting.csv") {
		tallies = append(tallies, outcome.Tally{Plants: 45, Recovered: int(row.Number(t, "hits"))})
	}
	fit := must[outcome.Fit](t)(outcome.FitPrior(tallies, outcome.Beta{Recovered: 1, Lost: 1}))
	printed(t, "alpha", fit.Prior.Recovered, "210.551")
	printed(t, "beta", fit.Prior.Lost, "582.686")
	shares := must[[]outcome.Share](t)(outcome.ShrinkShares(tallies, fit.Prior, 0.9))
	printed(t, "18 hits", shares[0].Mean, ".272657")
	printed(t, "7 hits", shares[17].Mean, ".259534")
}

// scipy 1.10, computed independently.
func TestChanceThatOnePracticeIsBetter(t *testing.T) {
	for _, row := range []struct {
		first, second outcome.Tally
		prior         outcome.Beta
		want          string
	}{
		{outcome.Tally{Plants: 8, Recovered: 7}, outcome.Tally{Plants: 5, Recovered: 2}, outcome.Beta{Recovered: 1, Lost: 1}, ".953047"},
		{outcome.Tally{Plants: 8, Recovered: 7}, outcome.Tally{Plants: 5, Recovered: 2}, outcome.Beta{Recovered: 4, Lost: 2}, ".908198"},
		{outcome.Tally{Plants: 3, Recovered: 3}, outcome.Tally{Plants: 4, Recovered: 1}, outcome.Beta{Recovered: 1, Lost: 1}, ".960317"},
	} {
		d := must[outcome.ShareDifference](t)(outcome.CompareShares(row.first, row.second, row.prior, 0.25, 0.9))
		printed(t, "chance", d.ChanceFirstHigher, row.want)
	}
}

// For two uniform shares the difference has a triangular law, with quantiles
// ±(1 − √(1 − level)). Of two with the arcsine law, Beta(½, ½), the difference
// lies below 0.5 with chance 0.81521847 (double exponential rule over angles in
// Python, computed independently). Bisection stops at 1e-6.
func TestDifferenceOfUnknownShares(t *testing.T) {
	d := must[outcome.ShareDifference](t)(outcome.CompareShares(outcome.Tally{}, outcome.Tally{}, outcome.Beta{Recovered: 1, Lost: 1}, 0.25, 0.9))
	near(t, "low", d.Low, -(1 - math.Sqrt(0.1)), 1e-6)
	near(t, "high", d.High, 1-math.Sqrt(0.1), 1e-6)
	near(t, "chance", d.ChanceFirstHigher, 0.5, 1e-9)
	equal(t, "answer", d.Verdict.Answer, outcome.NotEnoughPlants)

	d = must[outcome.ShareDifference](t)(outcome.CompareShares(outcome.Tally{}, outcome.Tally{}, outcome.Beta{Recovered: 0.5, Lost: 0.5}, 0.25, 2*0.81521847-1))
	near(t, "low, arcsine law", d.Low, -0.5, 1e-6)
	near(t, "high, arcsine law", d.High, 0.5, 1e-6)
}

func TestFitPriorWithoutADifference(t *testing.T) {
	fallback := outcome.Beta{Recovered: 1, Lost: 1}
	for _, row := range []struct {
		name    string
		tallies []outcome.Tally
		between outcome.Between
		want    outcome.Beta
	}{
		{"all alike: common share, worth the 30 plants", []outcome.Tally{{"", 10, 6}, {"", 10, 6}, {"", 10, 6}}, outcome.NoneSeen, outcome.Beta{Recovered: 18, Lost: 12}},
		{"two practices", []outcome.Tally{{"", 10, 9}, {"", 10, 2}, {"", 0, 0}}, outcome.Undecided, fallback},
		{"every plant recovered", []outcome.Tally{{"", 5, 5}, {"", 4, 4}, {"", 3, 3}}, outcome.Undecided, fallback},
		{"all or none", []outcome.Tally{{"", 5, 5}, {"", 4, 0}, {"", 3, 3}}, outcome.Undecided, fallback},
		{"no plants", nil, outcome.Undecided, fallback},
	} {
		fit := must[outcome.Fit](t)(outcome.FitPrior(row.tallies, fallback))
		equal(t, row.name, fit.Between, row.between)
		near(t, row.name, fit.Prior.Recovered, row.want.Recovered, 1e-9)
		near(t, row.name, fit.Prior.Lost, row.want.Lost, 1e-9)
	}
}

func TestVerdicts(t *testing.T) {
	compare := func(a, b outcome.Tally) outcome.Verdict {
		return must[outcome.ShareDifference](t)(outcome.CompareShares(a, b, outcome.Beta{Recovered: 1, Lost: 1}, 0.25, 0.95)).Verdict
	}
	for _, row := range []struct {
		first, second outcome.Tally
		want          outcome.Answer
	}{
		{outcome.Tally{Plants: 4, Recovered: 3}, outcome.Tally{Plants: 5, Recovered: 2}, outcome.NotEnoughPlants},
		{outcome.Tally{Plants: 20, Recovered: 12}, outcome.Tally{Plants: 20, Recovered: 11}, outcome.NoDifferenceSeen},
		{outcome.Tally{Plants: 6, Recovered: 6}, outcome.Tally{Plants: 7, Recovered: 0}, outcome.Hint},
		{outcome.Tally{Plants: 30, Recovered: 28}, outcome.Tally{Plants: 30, Recovered: 10}, outcome.Differs},
	} {
		v := compare(row.first, row.second)
		equal(t, row.want.String(), v.Answer, row.want)
		equal(t, row.want.String()+": first cases", v.FirstCases, row.first.Plants)
		equal(t, row.want.String()+": least cases", v.LeastCases, 8)
	}
	// Two groups of four about the middle lack the same number, and with them
	// would have as many as the plain rule asks for.
	v := compare(outcome.Tally{Plants: 4, Recovered: 2}, outcome.Tally{Plants: 4, Recovered: 2})
	needed := must[int](t)(outcome.PlantsToTellShares(0.625, 0.375, 0.95))
	equal(t, "first lacks", v.FirstMore, needed-4)
	equal(t, "second lacks", v.SecondMore, needed-4)
}

// Groups without any sign have no spread to call plants from; the rule still
// asks for enough signs.
func TestVerdictWithoutSigns(t *testing.T) {
	none := []outcome.Recovery{outcome.NotSeenBy("a", 60), outcome.NotSeenBy("b", 60)}
	some := []outcome.Recovery{outcome.SeenOn("c", 20), outcome.SeenOn("d", 30), outcome.NotSeenBy("e", 60), outcome.NotSeenBy("f", 60)}
	first := must[outcome.Curve](t)(outcome.KaplanMeier(none, outcome.LogLog, 0.95))
	second := must[outcome.Curve](t)(outcome.KaplanMeier(some, outcome.LogLog, 0.95))
	d := must[outcome.MeanDifference](t)(outcome.RestrictedMeanDifference(first, first, 60, 14, 0.95))
	equal(t, "answer", d.Verdict.Answer, outcome.NotEnoughPlants)
	equal(t, "lacking", d.Verdict.FirstMore, 8)
	d = must[outcome.MeanDifference](t)(outcome.RestrictedMeanDifference(first, second, 60, 40, 0.95))
	equal(t, "lacking at half a sign a plant", d.Verdict.SecondMore, 12)
}

// The formula with z from Python's statistics.NormalDist, computed
// independently; the comments give its value before rounding up.
func TestPlantsToTellShares(t *testing.T) {
	for _, row := range []struct {
		p, q, level float64
		want        int
	}{
		{0.5, 0.25, 0.95, 55},  // 54.942
		{0.9, 0.6, 0.95, 29},   // 28.779
		{0.65, 0.8, 0.95, 136}, // 135.175
		{0.8, 0.4, 0.9, 16},    // 15.456
	} {
		equal(t, "plants", must[int](t)(outcome.PlantsToTellShares(row.p, row.q, row.level)), row.want)
	}
}

// With the plants called for, about four in five simulated trials tell the
// shares apart by the usual test of two proportions. 4000 trials place the
// share within 0.02; the test's own approximation at 55 plants adds 0.02.
func TestPowerBySimulation(t *testing.T) {
	const p, q, trials = 0.5, 0.25, 4000
	n := must[int](t)(outcome.PlantsToTellShares(p, q, 0.95))
	random := rand.New(rand.NewPCG(20, 25))
	draw := func(share float64) float64 {
		recovered := 0
		for range n {
			if random.Float64() < share {
				recovered++
			}
		}
		return float64(recovered) / float64(n)
	}
	told := 0
	for range trials {
		a, b := draw(p), draw(q)
		if math.Abs(a-b) > 1.959964*math.Sqrt((a*(1-a)+b*(1-b))/float64(n)) {
			told++
		}
	}
	near(t, "share of trials that tell", float64(told)/trials, 0.8, 0.04)
}

func TestCountBy(t *testing.T) {
	tally, undecided, err := outcome.CountBy("bark", []outcome.Recovery{
		outcome.SeenBetween("rooted in time", 14, 21),
		outcome.SeenBetween("rooted later", 60, 67),
		outcome.SeenBetween("rooted about then", 28, 35),
		outcome.DiedBetween("died", 7, 14),
		outcome.NotSeenBy("not yet", 40),
		outcome.NotSeenBy("repotted lately", 12),
		outcome.LeftAfter("given away", 20),
	}, 30)
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "tally", tally, outcome.Tally{Practice: "bark", Plants: 4, Recovered: 1})
	equal(t, "undecided", undecided, 3)
}
