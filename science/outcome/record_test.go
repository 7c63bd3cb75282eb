package outcome_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"velamen/science/basis"
	"velamen/science/outcome"
)

func TestRecordsThatCannotBeRight(t *testing.T) {
	nan := math.NaN()
	for _, row := range []struct {
		record outcome.Recovery
		says   string
	}{
		{outcome.SeenBetween("Lady", 21, 14), "cross"},
		{outcome.SeenBetween("Lady", -1, 14), "day -1 lies outside 0"},
		{outcome.SeenOn("Lady", 0), "above 0"},
		{outcome.SeenBetween("Lady", nan, 14), "not numbers"},
		{outcome.SeenBetween("Lady", 7, nan), "not numbers"},
		{outcome.SeenBetween("Lady", 7, math.Inf(1)), "above 0"},
		{outcome.SeenBetween("Lady", 7, 40_000), "36600"},
		{outcome.DiedOn("Lady", -3), "before it was repotted"},
		{outcome.DiedBetween("Lady", 14, 7), "cross"},
		{outcome.NotSeenBy("Lady", -2), "day -2 lies outside 0"},
		{outcome.LeftAfter("Lady", math.Inf(1)), "lies outside"},
		{outcome.Recovery{Plant: "Lady", AfterDay: 3, ByDay: 8, Ending: outcome.NotYet}, "yet ended"},
		{outcome.Recovery{Plant: "Lady", AfterDay: 3, ByDay: 8}, "no ending"},
	} {
		err := outcome.Check([]outcome.Recovery{outcome.SeenOn("first", 8), row.record})
		var bad *outcome.RecordError
		if !errors.As(err, &bad) || bad.Index != 1 || bad.Plant != "Lady" || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%+v: got error %v, want one naming record 2, Lady, and saying %q", row.record, err, row.says)
		}
	}
	if err := outcome.Check([]outcome.Recovery{
		outcome.SeenBetween("a", 0, 7), outcome.SeenOn("b", 0.5), outcome.NotSeenBy("c", 0), outcome.LeftAfter("d", 3), outcome.DiedBetween("e", 0, 1),
	}); err != nil {
		t.Errorf("good records: %v", err)
	}
}

func TestMethodsRefuse(t *testing.T) {
	good := []outcome.Recovery{outcome.SeenOn("a", 10), outcome.NotSeenBy("b", 20)}
	interval := []outcome.Recovery{outcome.SeenBetween("a", 7, 14)}
	dead := []outcome.Recovery{outcome.DiedOn("a", 10)}
	curve := must[outcome.Curve](t)(outcome.KaplanMeier(good, outcome.LogLog, 0.95))
	masses := must[outcome.IntervalCurve](t)(outcome.Turnbull(good))
	incidence := must[outcome.IncidenceCurve](t)(outcome.AalenJohansen(good, outcome.LogLog, 0.95))
	uniform := outcome.Beta{Recovered: 1, Lost: 1}
	tally := outcome.Tally{Practice: "bark", Plants: 3, Recovered: 2}
	effects := []outcome.Effect{{"", 1, 1}, {"", 2, 1}}
	drop := func(_ any, err error) error { return err }
	for name, err := range map[string]error{
		"Kaplan–Meier without records":    drop(outcome.KaplanMeier(nil, outcome.LogLog, 0.95)),
		"Kaplan–Meier of an interval":     drop(outcome.KaplanMeier(interval, outcome.LogLog, 0.95)),
		"Kaplan–Meier of a death":         drop(outcome.KaplanMeier(dead, outcome.LogLog, 0.95)),
		"Kaplan–Meier without a form":     drop(outcome.KaplanMeier(good, 0, 0.95)),
		"Kaplan–Meier at level 95":        drop(outcome.KaplanMeier(good, outcome.LogLog, 95)),
		"Nelson–Aalen of an interval":     drop(outcome.NelsonAalen(interval)),
		"Nelson–Aalen of a death":         drop(outcome.NelsonAalen(dead)),
		"log-rank without a second group": drop(outcome.LogRank(good, nil, outcome.Even)),
		"log-rank without a weighting":    drop(outcome.LogRank(good, good, 0)),
		"log-rank without a sign":         drop(outcome.LogRank(good[1:], good[1:], outcome.Even)),
		"Turnbull without records":        drop(outcome.Turnbull(nil)),
		"Turnbull of a death":             drop(outcome.Turnbull(dead)),
		"Aalen–Johansen of an interval":   drop(outcome.AalenJohansen(interval, outcome.LogLog, 0.95)),
		"curve beyond the last look":      drop(curve.At(21)),
		"curve before the repot":          drop(curve.At(-1)),
		"curve on no day":                 drop(curve.At(math.NaN())),
		"incidence beyond the last look":  drop(incidence.At(21)),
		"mean beyond the last look":       drop(curve.RestrictedMean(21)),
		"mean of no days":                 drop(curve.RestrictedMean(0)),
		"difference worth nothing":        drop(outcome.RestrictedMeanDifference(curve, curve, 20, 0, 0.95)),
		"band without a source":           drop(outcome.TurnbullBand(good, []float64{5}, 100, 0.95, nil)),
		"share of more than all":          drop(outcome.ShrinkShares([]outcome.Tally{{"", 2, 3}}, uniform, 0.9)),
		"prior of nothing":                drop(outcome.ShrinkShares([]outcome.Tally{tally}, outcome.Beta{}, 0.9)),
		"fit with an empty fallback":      drop(outcome.FitPrior([]outcome.Tally{tally}, outcome.Beta{})),
		"difference worth 100 %":          drop(outcome.CompareShares(tally, tally, uniform, 1, 0.9)),
		"power for no difference":         drop(outcome.PlantsToTellShares(0.5, 0.5, 0.95)),
		"one effect":                      drop(outcome.Spread(effects[:1])),
		"effect without standard error":   drop(outcome.Spread([]outcome.Effect{{"", 1, 0}, {"", 2, 1}})),
		"effect that is no number":        drop(outcome.ShrinkEffects([]outcome.Effect{{"", math.NaN(), 1}, {"", 2, 1}}, 1)),
		"negative spread":                 drop(outcome.ShrinkEffects(effects, -1)),
		"negative plant-days":             drop(outcome.RatePrior{Events: 2, PlantDays: 80}.Plus(1, -1)),
		"rate without a prior":            drop(outcome.RatePrior{}.Rate(0.9)),
		"prior with a median of 0 days":   drop(outcome.NewLogNormalPrior(basis.Assumed(0, 0, 1, "d"), outcome.PriorPlants)),
		"prior without a spread":          drop(outcome.NewLogNormalPrior(basis.Exactly(30, "d", basis.Given, ""), outcome.PriorPlants)),
		"prior updated with a death":      drop(firstRootPrior(t).Update(dead, 0.9)),
		"covariate without plants":        drop(outcome.NumberImbalance("roots", nil, []float64{1})),
		"covariate that is no number":     drop(outcome.NumberImbalance("roots", []float64{math.NaN()}, []float64{1})),
		"label covariate without plants":  drop(outcome.LabelImbalance("season", []string{"spring"}, nil)),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, _, err := outcome.JamesStein([]float64{1, 2, 3}, 1); err == nil {
		t.Error("James–Stein of three: no error")
	}
	if _, _, err := masses.Unseen(-1); err == nil {
		t.Error("Turnbull before the repot: no error")
	}
	if _, _, err := outcome.CountBy("bark", interval, -1); err == nil {
		t.Error("count before the repot: no error")
	}
}
