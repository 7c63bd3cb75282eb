package outcome_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/outcome"
)

func TestTurnbullCosmesis(t *testing.T) {
	c := must[outcome.IntervalCurve](t)(outcome.Turnbull(cosmesis(t)))
	rows := checktable.Rows(t, "cosmesis_rt_masses.csv")
	if len(c.Masses) != len(rows) {
		t.Fatalf("got %d masses, want %d", len(c.Masses), len(rows))
	}
	for i, row := range rows {
		at := "(" + row["after"] + ", " + row["by"] + "] "
		printed(t, at+"after", c.Masses[i].AfterDay, row["after"])
		printed(t, at+"by", c.Masses[i].ByDay, row["by"])
		printed(t, at+"share", c.Masses[i].Share, row["share"])
	}
	printed(t, "log-likelihood", c.LogLikelihood, "-58.060022") // EM program in Python, computed independently
	// The printed shares come to 0.414 before the last but one, 0.534 after it.
	equal(t, "median", c.Median(), outcome.Window{AfterDay: 38, ByDay: 40, Reached: true})
}

// The hand set of seven plants; masses and log-likelihood in closed form,
// computed independently, from equal and from random starts.
func TestTurnbullHandSet(t *testing.T) {
	records := []outcome.Recovery{
		outcome.SeenBetween("a", 0, 3), outcome.SeenBetween("b", 2, 5), outcome.SeenBetween("c", 3, 6), outcome.SeenBetween("d", 5, 8),
		outcome.NotSeenBy("e", 4), outcome.SeenBetween("f", 6, 9), outcome.NotSeenBy("g", 8),
	}
	want := []outcome.Mass{{AfterDay: 2, ByDay: 3, Share: 1. / 4}, {AfterDay: 4, ByDay: 5, Share: 1. / 12}, {AfterDay: 5, ByDay: 6, Share: 7. / 24},
		{AfterDay: 6, ByDay: 8, Share: 1. / 24}, {AfterDay: 8, ByDay: 9, Share: 1. / 3}}
	random := rand.New(rand.NewPCG(6, 1976))
	starts := []func() float64{func() float64 { return 1 }}
	for range 3 {
		starts = append(starts, func() float64 { return 0.01 + random.Float64() })
	}
	for _, start := range starts {
		c := must[outcome.IntervalCurve](t)(outcome.TurnbullFrom(records, start))
		if len(c.Masses) != len(want) {
			t.Fatalf("got %d masses, want %d", len(c.Masses), len(want))
		}
		for i, m := range c.Masses {
			equal(t, "after", m.AfterDay, want[i].AfterDay)
			equal(t, "by", m.ByDay, want[i].ByDay)
			// The gap allowed, 1e-10, bounds the shares to about its root.
			near(t, "share", m.Share, want[i].Share, 1e-5)
		}
		near(t, "log-likelihood", c.LogLikelihood, -10*math.Ln2, c.Gap+1e-12)
	}
}

func TestTurnbullUnseenInsideAMass(t *testing.T) {
	c := must[outcome.IntervalCurve](t)(outcome.Turnbull([]outcome.Recovery{
		outcome.SeenBetween("a", 7, 14), outcome.SeenBetween("b", 21, 28), outcome.NotSeenBy("c", 35), outcome.NotSeenBy("d", 35),
	}))
	for _, row := range []struct{ day, least, greatest float64 }{
		{0, 1, 1}, {7, 1, 1}, {10, 0.75, 1}, {14, 0.75, 0.75}, {21, 0.75, 0.75}, {27, 0.5, 0.75}, {28, 0.5, 0.5}, {35, 0.5, 0.5}, {36, 0, 0.5},
	} {
		least, greatest, err := c.Unseen(row.day)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "least", least, row.least, 1e-6)
		near(t, "greatest", greatest, row.greatest, 1e-6)
	}
	// Two of four by day 28, and no more by day 35: any day from 28 to 35 has a
	// half before it.
	equal(t, "median", c.Median(), outcome.Window{AfterDay: 21, ByDay: 35, Reached: true})
}

// With one exact day per plant the percentiles of resampled curves must come
// near the binomial: 20 of 40 plants unseen has a standard error of 0.079, so
// 95 % within about ±0.155 (normal law; the percentiles come in steps of 1/40,
// and 2000 resamples place them within another step).
func TestTurnbullBandOfABinomial(t *testing.T) {
	var records []outcome.Recovery
	for day := range 40 {
		records = append(records, outcome.SeenOn("", float64(day+1)))
	}
	bands := must[[]outcome.Band](t)(outcome.TurnbullBand(records, []float64{0, 20, 40}, 2000, 0.95, rand.NewPCG(1, 2)))
	near(t, "low", bands[1].Low, 0.5-0.155, 0.04)
	near(t, "high", bands[1].High, 0.5+0.155, 0.04)
	equal(t, "before any sign", bands[0], outcome.Band{Day: 0, Low: 1, High: 1})
	equal(t, "after every sign", bands[2].Low, 0)
	equal(t, "after every sign", bands[2].High, 0)

	slices.Reverse(records)
	again := must[[]outcome.Band](t)(outcome.TurnbullBand(records, []float64{0, 20, 40}, 2000, 0.95, rand.NewPCG(1, 2)))
	equal(t, "same seed, other order of records", again[1], bands[1])
	other := must[[]outcome.Band](t)(outcome.TurnbullBand(records, []float64{13}, 100, 0.95, rand.NewPCG(3, 4)))
	third := must[[]outcome.Band](t)(outcome.TurnbullBand(records, []float64{13}, 100, 0.95, rand.NewPCG(5, 6)))
	if other[0] == third[0] {
		t.Error("two seeds gave the same band to the last digit; the source is not used")
	}
}
