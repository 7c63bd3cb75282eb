package outcome_test

import (
	"fmt"
	"math/rand/v2"

	"velamen/science/basis"
	"velamen/science/outcome"
)

// shelf are ten repots of one spring: days to the first new root tip, as seen
// at looks about a week apart.
var shelf = []outcome.Recovery{
	outcome.SeenBetween("P. schilleriana", 14, 21),
	outcome.SeenBetween("P. amabilis", 21, 28),
	outcome.SeenBetween("P. stuartiana", 21, 29),
	outcome.SeenBetween("P. equestris", 28, 35),
	outcome.SeenBetween("P. lueddemanniana", 0, 21),
	outcome.SeenBetween("P. sanderiana", 35, 50),
	outcome.SeenBetween("P. aphrodite", 28, 42),
	outcome.NotSeenBy("P. lindenii", 63),
	outcome.LeftAfter("P. mannii", 28),
	outcome.DiedBetween("P. violacea", 21, 35),
}

func ExampleTurnbull() {
	// Among plants that live: a death is only a last look.
	curve, err := outcome.Turnbull(outcome.DeathsAsUnseen(shelf))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range curve.Masses {
		fmt.Printf("%.2f after day %v, by day %v\n", m.Share, m.AfterDay, m.ByDay)
	}
	median := curve.Median()
	fmt.Printf("half by some day after %v and no later than %v\n", median.AfterDay, median.ByDay)
	// Output:
	// 0.20 after day 14, by day 21
	// 0.15 after day 21, by day 28
	// 0.32 after day 28, by day 29
	// 0.19 after day 35, by day 42
	// 0.14 after day 63, by day +Inf
	// half by some day after 28 and no later than 29
}

func ExampleTurnbullBand() {
	bands, _ := outcome.TurnbullBand(outcome.DeathsAsUnseen(shelf), []float64{21, 42}, 400, 0.9, rand.NewPCG(1, 1))
	for _, b := range bands {
		fmt.Printf("day %v: %.1f to %.1f still without roots\n", b.Day, b.Low, b.High)
	}
	// Output:
	// day 21: 0.6 to 1.0 still without roots
	// day 42: 0.0 to 0.6 still without roots
}

func ExampleKaplanMeier() {
	curve, _ := outcome.KaplanMeier(outcome.AtDayFound(outcome.DeathsAsUnseen(shelf)), outcome.LogLog, 0.95)
	for _, s := range curve.Steps {
		fmt.Printf("day %v: %.2f (%.2f to %.2f)\n", s.Day, s.Unseen, s.Low, s.High)
	}
	median := curve.Median()
	fmt.Println("median", median.Estimate.Day, "from", median.Low.Day, "to", median.High.Day)
	// Output:
	// day 21: 0.80 (0.41 to 0.95)
	// day 28: 0.69 (0.30 to 0.89)
	// day 29: 0.55 (0.19 to 0.81)
	// day 35: 0.41 (0.10 to 0.71)
	// day 42: 0.27 (0.04 to 0.59)
	// day 50: 0.14 (0.01 to 0.45)
	// median 35 from 21 to 50
}

func ExampleAalenJohansen() {
	curve, _ := outcome.AalenJohansen(outcome.AtDayFound(shelf), outcome.LogLog, 0.95)
	end, _ := curve.At(60)
	fmt.Printf("rooted %.3f, died %.3f, neither %.3f\n", end.Seen.Share, end.Died.Share, end.Unended)
	// Output: rooted 0.767, died 0.117, neither 0.117
}

func ExampleNelsonAalen() {
	hazards, _ := outcome.NelsonAalen(outcome.AtDayFound(outcome.DeathsAsUnseen(shelf)))
	last := hazards[len(hazards)-1]
	fmt.Printf("day %v: %.2f ± %.2f\n", last.Day, last.Cumulative, last.StandardError)
	// Output: day 50: 1.63 ± 0.71
}

// Two practices: soaked in seaweed extract before potting, or not.
func ExampleRestrictedMeanDifference() {
	soaked, _ := outcome.KaplanMeier([]outcome.Recovery{
		outcome.SeenOn("a", 21), outcome.SeenOn("b", 28), outcome.SeenOn("c", 30), outcome.SeenOn("d", 35), outcome.NotSeenBy("e", 60),
	}, outcome.LogLog, 0.95)
	plain, _ := outcome.KaplanMeier([]outcome.Recovery{
		outcome.SeenOn("f", 26), outcome.SeenOn("g", 33), outcome.SeenOn("h", 45), outcome.SeenOn("i", 58), outcome.NotSeenBy("j", 60),
	}, outcome.LogLog, 0.95)
	d, _ := outcome.RestrictedMeanDifference(soaked, plain, 60, 10, 0.95)
	fmt.Printf("%.1f days (%.1f to %.1f): %v\n", d.Difference.Days, d.Low, d.High, d.Verdict.Answer)
	fmt.Printf("to see 10 days: %d more soaked, %d more plain\n", d.Verdict.FirstMore, d.Verdict.SecondMore)
	// Output:
	// -9.6 days (-33.5 to 14.3): not enough plants to tell
	// to see 10 days: 33 more soaked, 33 more plain
}

func ExampleLogRank() {
	moss := []outcome.Recovery{outcome.SeenOn("a", 21), outcome.SeenOn("b", 28), outcome.SeenOn("c", 30), outcome.SeenOn("d", 35), outcome.SeenOn("e", 40), outcome.SeenOn("f", 42)}
	bark := []outcome.Recovery{outcome.SeenOn("g", 26), outcome.SeenOn("h", 33), outcome.SeenOn("i", 45), outcome.SeenOn("j", 58), outcome.NotSeenBy("k", 62)}
	test, _ := outcome.LogRank(moss, bark, outcome.Even)
	fmt.Printf("moss: %v rooted, %.1f expected at an even pace; p = %.2f\n", test.FirstObserved, test.FirstExpected, test.P)
	// Output: moss: 6 rooted, 3.7 expected at an even pace; p = 0.09
}

// Six media, few plants each: the share of one with two plants leans on the
// others.
func ExampleShrinkShares() {
	tallies := []outcome.Tally{
		{Practice: "fine bark", Plants: 6, Recovered: 5}, {Practice: "coarse bark", Plants: 5, Recovered: 2}, {Practice: "charcoal", Plants: 2, Recovered: 0},
		{Practice: "moss", Plants: 8, Recovered: 7}, {Practice: "cork mount", Plants: 3, Recovered: 3}, {Practice: "clay", Plants: 4, Recovered: 1},
	}
	fit, _ := outcome.FitPrior(tallies, outcome.Beta{Recovered: 1, Lost: 1})
	shares, _ := outcome.ShrinkShares(tallies, fit.Prior, 0.9)
	for _, s := range shares {
		fmt.Printf("%-11s %d of %d → %.2f (%.2f to %.2f)\n", s.Practice, s.Recovered, s.Plants, s.Mean, s.Low, s.High)
	}
	// Output:
	// fine bark   5 of 6 → 0.75 (0.50 to 0.94)
	// coarse bark 2 of 5 → 0.48 (0.21 to 0.75)
	// charcoal    0 of 2 → 0.37 (0.09 to 0.72)
	// moss        7 of 8 → 0.79 (0.58 to 0.95)
	// cork mount  3 of 3 → 0.79 (0.49 to 0.98)
	// clay        1 of 4 → 0.41 (0.14 to 0.70)
}

func ExampleCompareShares() {
	moss := outcome.Tally{Practice: "moss", Plants: 8, Recovered: 7}
	bark := outcome.Tally{Practice: "coarse bark", Plants: 5, Recovered: 2}
	d, _ := outcome.CompareShares(moss, bark, outcome.Beta{Recovered: 1, Lost: 1}, 0.25, 0.95)
	fmt.Printf("moss better with chance %.2f; difference %.2f (%.2f to %.2f): %v\n",
		d.ChanceFirstHigher, d.Difference, d.Low, d.High, d.Verdict.Answer)
	fmt.Printf("to see a quarter: %d more in moss, %d more in bark\n", d.Verdict.FirstMore, d.Verdict.SecondMore)
	// Output:
	// moss better with chance 0.95; difference 0.37 (-0.06 to 0.75): not enough plants to tell
	// to see a quarter: 48 more in moss, 51 more in bark
}

// The days that one practice saved in three springs.
func ExampleShrinkEffects() {
	springs := []outcome.Effect{
		{Name: "first", Estimate: 12, StandardError: 6}, {Name: "second", Estimate: -2, StandardError: 4}, {Name: "third", Estimate: 15, StandardError: 5},
	}
	spread, _ := outcome.Spread(springs)
	shrunk, _ := outcome.ShrinkEffects(springs, spread.BetweenSD)
	fmt.Printf("average %.1f ± %.1f days\n", shrunk.Mean.Estimate, shrunk.Mean.StandardError)
	for _, e := range shrunk.Effects {
		fmt.Printf("%s: %.1f\n", e.Name, e.Estimate)
	}
	// Output:
	// average 7.9 ± 5.8 days
	// first: 10.7
	// second: -0.3
	// third: 13.2
}

// A practice was kept for the strong plants: whatever it seems to do may be
// the roots' doing.
func ExampleImbalances() {
	roots, _ := outcome.NumberImbalance("roots kept", []float64{5, 6, 4, 5}, []float64{2, 3, 4, 1})
	season, _ := outcome.LabelImbalance("season", []string{"spring", "spring", "autumn"}, []string{"spring", "autumn", "spring"})
	for _, im := range outcome.Imbalances(roots, season) {
		fmt.Printf("%s: %v against %v, %.2f apart\n", im.Covariate, im.First, im.Second, im.Distance)
	}
	// Output: roots kept: 5 against 2.5, 0.75 apart
}

func ExampleLogNormalPrior_Update() {
	days := basis.Value{Value: 30, Low: 14, High: 70, Unit: "d", Grade: basis.FromMemory, Source: "growers' rule of thumb"}
	prior, err := outcome.NewLogNormalPrior(days, outcome.PriorPlants)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, own := range [][]outcome.Recovery{nil, shelf[:3], outcome.DeathsAsUnseen(shelf)} {
		outlook, err := prior.Update(own, 0.9)
		if err != nil {
			fmt.Println(err)
			return
		}
		late, _ := outlook.DayBy(0.9)
		fmt.Printf("%d own signs: half by day %.0f (%.0f to %.0f), nine in ten by day %.0f; prior speaks for %.0f %%\n",
			outlook.OwnSigns, outlook.MedianDays, outlook.Low, outlook.High, late, 100*outlook.FromPrior)
	}
	// Output:
	// 0 own signs: half by day 30 (17 to 54), nine in ten by day 67; prior speaks for 100 %
	// 3 own signs: half by day 26 (19 to 34), nine in ten by day 45; prior speaks for 50 %
	// 7 own signs: half by day 31 (24 to 41), nine in ten by day 61; prior speaks for 30 %
}

func ExampleRatePrior_Plus() {
	// Two deaths in 4000 plant-days are held to be usual; one died in 2600 here.
	deaths, _ := outcome.RatePrior{Events: 2, PlantDays: 4000}.Plus(1, 2600)
	rate, _ := deaths.Rate(0.9)
	survives, _ := deaths.StillNone(180)
	fmt.Printf("%.1f deaths in 10000 plant-days (%.1f to %.1f); half a year is survived with chance %.2f\n",
		1e4*rate.PerPlantDay, 1e4*rate.Low, 1e4*rate.High, survives)
	// Output: 4.5 deaths in 10000 plant-days (1.2 to 9.5); half a year is survived with chance 0.92
}

// A slip of the pen is named, not computed with.
func ExampleCheck() {
	fmt.Println(outcome.Check([]outcome.Recovery{outcome.SeenBetween("P. amabilis", 28, 21)}))
	// Output: outcome: record 1 ("P. amabilis"): was seen by day 21 but not yet on day 28: the days cross
}
