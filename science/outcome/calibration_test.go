package outcome_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"velamen/science/outcome"
)

// weekly draws plants that are looked at weekly: log-normal days to a root with
// median 30 and log-sd 0.63, the figures of one group.
func weekly(r *rand.Rand, plants int, watched func() float64) []outcome.Recovery {
	list := make([]outcome.Recovery, plants)
	for i := range list {
		day := 7 * math.Ceil(math.Exp(math.Log(30)+0.63*r.NormFloat64())/7)
		if until := watched(); day <= until {
			list[i] = outcome.SeenOn("", day)
		} else {
			list[i] = outcome.NotSeenBy("", until)
		}
	}
	return list
}

// Two groups that do not differ must seldom be told apart, however few plants
// they have: 1 in 20 is meant, and 1 in 12 allowed for the uneven and the small.
func TestFewPlantsAreSeldomToldApart(t *testing.T) {
	r := rand.New(rand.NewPCG(1908, 47))
	for _, sizes := range [][2]int{{1, 1}, {1, 9}, {2, 2}, {3, 3}, {5, 5}, {8, 8}, {8, 20}} {
		const trials = 1500
		told := 0
		for range trials {
			first := must[outcome.Curve](t)(outcome.KaplanMeier(weekly(r, sizes[0], func() float64 { return 364 }), outcome.LogLog, 0.95))
			second := must[outcome.Curve](t)(outcome.KaplanMeier(weekly(r, sizes[1], func() float64 { return 364 }), outcome.LogLog, 0.95))
			d := must[outcome.MeanDifference](t)(outcome.RestrictedMeanDifference(first, second, math.Min(90, math.Min(last(first), last(second))), 5, 0.95))
			if a := d.Verdict.Answer; a == outcome.Hint || a == outcome.Differs {
				told++
			}
		}
		if share := float64(told) / trials; share > 1.0/12 {
			t.Errorf("%d plants against %d: %.3f of pairs without a difference are told apart", sizes[0], sizes[1], share)
		}
	}
}

// last is the last day for which a mean can be had: none is bounded once every
// plant has shown the sign.
func last(c outcome.Curve) float64 {
	if c.Steps[len(c.Steps)-1].Unseen == 0 {
		return math.Inf(1)
	}
	return c.LastDay
}

// Plants that are repotted all year round, looked at as of a day on which many
// have not been watched for long: the share that rooted by day 60 is still the
// true one, Φ(log(56/30)/0.63) = 0.839 at weekly looks.
func TestCountOfPlantsStillWatchedIsNotTooHigh(t *testing.T) {
	r := rand.New(rand.NewPCG(1958, 53))
	var recovered, plants float64
	for range 400 {
		tally, _, err := outcome.CountBy("", weekly(r, 60, func() float64 { return 120 * r.Float64() }), 60)
		if err != nil {
			t.Fatal(err)
		}
		recovered, plants = recovered+float64(tally.Recovered), plants+float64(tally.Plants)
	}
	truth := 0.5 * math.Erfc(-math.Log(56.0/30)/0.63/math.Sqrt2)
	near(t, "share by day 60", recovered/plants, truth, 0.015)
}
