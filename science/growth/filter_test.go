package growth_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/growth"
)

// entered is a run of readings for the filter.
type entered struct {
	days, lengths, errorVars []float64
}

func drawEntered(t *rapid.T) entered {
	n := rapid.IntRange(1, 12).Draw(t, "readings")
	var e entered
	day := 0.0
	for range n {
		day += rapid.Float64Range(0.5, 30).Draw(t, "days later")
		e.days = append(e.days, day)
		e.lengths = append(e.lengths, rapid.Float64Range(0, 200).Draw(t, "length"))
		e.errorVars = append(e.errorVars, rapid.Float64Range(0.01, 9).Draw(t, "error variance"))
	}
	return e
}

func drawTrend(t *rapid.T) growth.Trend {
	return growth.Trend{
		RateNoise:   rapid.Float64Range(0, 0.02).Draw(t, "rate noise"),
		LengthNoise: rapid.Float64Range(0, 1).Draw(t, "length noise"),
	}
}

var weakPrior = growth.Rate{MMPerDay: 0.7, Variance: 0.8}

// run filters and returns a copy of the steps.
func run(t failer, trend growth.Trend, prior growth.Rate, e entered) ([]growth.Step, float64) {
	t.Helper()
	filter := growth.Filter{Trend: trend}
	if err := filter.Run(growth.Unmeasured(0, prior), e.days, e.lengths, e.errorVars); err != nil {
		t.Fatal(err)
	}
	return filter.Steps, filter.LogLikelihood
}

// Going ahead in two hops is going ahead in one: the discretisation is exact.
func TestAheadIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trend := drawTrend(t)
		b := growth.Belief{LengthMM: 10, RateMMPerDay: 0.5, LengthVar: 2, Covariance: 0.3, RateVar: 0.4}
		halfway := rapid.Float64Range(0, 30).Draw(t, "halfway")
		end := halfway + rapid.Float64Range(0, 30).Draw(t, "rest")
		once, twice := trend.Ahead(b, end), trend.Ahead(trend.Ahead(b, halfway), end)
		near(t, "length", twice.LengthMM, once.LengthMM, 1e-9*once.LengthMM)
		near(t, "length variance", twice.LengthVar, once.LengthVar, 1e-9*once.LengthVar)
		near(t, "covariance", twice.Covariance, once.Covariance, 1e-9*once.Covariance)
		near(t, "rate variance", twice.RateVar, once.RateVar, 1e-9*once.RateVar)
	})
}

// Two readings of one moment are one reading at their precision-weighted mean.
func TestTwoReadingsAreOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := growth.Belief{LengthMM: 10, RateMMPerDay: 0.5, LengthVar: 2, Covariance: 0.3, RateVar: 0.4}
		y1, y2 := rapid.Float64Range(0, 30).Draw(t, "first"), rapid.Float64Range(0, 30).Draw(t, "second")
		v1, v2 := rapid.Float64Range(0.01, 4).Draw(t, "its variance"), rapid.Float64Range(0.01, 4).Draw(t, "its variance")
		after, _ := b.Read(y1, v1)
		after, _ = after.Read(y2, v2)
		together, _ := b.Read((y1/v1+y2/v2)/(1/v1+1/v2), 1/(1/v1+1/v2))
		near(t, "length", after.LengthMM, together.LengthMM, 1e-9)
		near(t, "rate", after.RateMMPerDay, together.RateMMPerDay, 1e-9)
		near(t, "rate variance", after.RateVar, together.RateVar, 1e-9)
	})
}

// A diffuse start is what very large variances of the length come to.
func TestDiffuseStartIsALimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trend, e := drawTrend(t), drawEntered(t)
		diffuse, _ := run(t, trend, weakPrior, e)
		filter := growth.Filter{Trend: trend}
		vague := growth.Belief{LengthVar: 1e10, RateMMPerDay: weakPrior.MMPerDay, RateVar: weakPrior.Variance}
		if err := filter.Run(vague, e.days, e.lengths, e.errorVars); err != nil {
			t.Fatal(err)
		}
		for i, s := range filter.Steps {
			near(t, "length", diffuse[i].LengthMM, s.LengthMM, 1e-5)
			near(t, "rate", diffuse[i].RateMMPerDay, s.RateMMPerDay, 1e-5)
			near(t, "rate variance", diffuse[i].RateVar, s.RateVar, 1e-5)
		}
	})
}

func TestFilterDoesNotLookAhead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trend, e := drawTrend(t), drawEntered(t)
		all, _ := run(t, trend, weakPrior, e)
		n := rapid.IntRange(1, len(e.days)).Draw(t, "first readings")
		first, _ := run(t, trend, weakPrior, entered{e.days[:n], e.lengths[:n], e.errorVars[:n]})
		for i, s := range first {
			if s != all[i] {
				t.Fatalf("step %d is %+v, and %+v once later readings are known", i, s, all[i])
			}
		}
	})
}

// In centimetres everything scales and no probability changes; the likelihood
// shifts by the logarithm of the unit for each reading that was foretold.
func TestUnitsDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trend, e := drawTrend(t), drawEntered(t)
		const c = 0.1
		inCM := entered{days: e.days}
		for i := range e.days {
			inCM.lengths = append(inCM.lengths, c*e.lengths[i])
			inCM.errorVars = append(inCM.errorVars, c*c*e.errorVars[i])
		}
		mm, logMM := run(t, trend, weakPrior, e)
		cm, logCM := run(t, growth.Trend{RateNoise: c * c * trend.RateNoise, LengthNoise: c * c * trend.LengthNoise},
			growth.Rate{MMPerDay: c * weakPrior.MMPerDay, Variance: c * c * weakPrior.Variance}, inCM)
		for i := range mm {
			near(t, "length", cm[i].LengthMM, c*mm[i].LengthMM, 1e-9*(1+math.Abs(mm[i].LengthMM)))
			near(t, "chance", cm[i].ChanceFaster(c*0.1), mm[i].ChanceFaster(0.1), 1e-9)
		}
		near(t, "log-likelihood", logCM, logMM-float64(len(mm)-1)*math.Log(c), 1e-9*(1+math.Abs(logMM)))
		// Smoothing and forecasting scale too.
		a, b := growth.Smooth(nil, mm), growth.Smooth(nil, cm)
		for i := range a {
			near(t, "smoothed rate", b[i].RateMMPerDay, c*a[i].RateMMPerDay, 1e-9*(1+math.Abs(a[i].RateMMPerDay)))
		}
	})
}

// Moving the mark from which a root is measured moves the lengths and nothing
// else.
func TestOriginDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trend, e := drawTrend(t), drawEntered(t)
		here, logHere := run(t, trend, weakPrior, e)
		moved := entered{days: e.days, errorVars: e.errorVars}
		for _, length := range e.lengths {
			moved.lengths = append(moved.lengths, length+25)
		}
		there, logThere := run(t, trend, weakPrior, moved)
		for i := range here {
			near(t, "rate", there[i].RateMMPerDay, here[i].RateMMPerDay, 1e-9)
			near(t, "length", there[i].LengthMM, here[i].LengthMM+25, 1e-9)
		}
		near(t, "log-likelihood", logThere, logHere, 1e-9*(1+math.Abs(logHere)))
	})
}

// Better readings never make anything less certain: not the length, not the
// rate, not the forecast, on any day, before or after smoothing.
func TestTighterErrorNeverWidens(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trend, e := drawTrend(t), drawEntered(t)
		tighter := entered{days: e.days, lengths: e.lengths}
		for _, v := range e.errorVars {
			tighter.errorVars = append(tighter.errorVars, v*rapid.Float64Range(0.05, 1).Draw(t, "share"))
		}
		loose, _ := run(t, trend, weakPrior, e)
		tight, _ := run(t, trend, weakPrior, tighter)
		smoothLoose, smoothTight := growth.Smooth(nil, loose), growth.Smooth(nil, tight)
		narrower := func(what string, tight, loose float64) {
			if tight > loose*(1+1e-9)+1e-12 {
				t.Fatalf("%s widened from %v to %v", what, loose, tight)
			}
		}
		for i := range loose {
			narrower("length", tight[i].LengthVar, loose[i].LengthVar)
			narrower("rate", tight[i].RateVar, loose[i].RateVar)
			narrower("forecast", trend.Ahead(tight[i].Belief, tight[i].Day+9).LengthVar, trend.Ahead(loose[i].Belief, loose[i].Day+9).LengthVar)
			narrower("smoothed length", smoothTight[i].LengthVar, smoothLoose[i].LengthVar)
			narrower("smoothed rate", smoothTight[i].RateVar, smoothLoose[i].RateVar)
		}
	})
}

func TestSmoothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trend, e := drawTrend(t), drawEntered(t)
		steps, _ := run(t, trend, weakPrior, e)
		smoothed := growth.Smooth(nil, steps)
		last := len(steps) - 1
		if smoothed[last] != steps[last].Belief {
			t.Fatalf("the last day has no later reading, yet %+v became %+v", steps[last].Belief, smoothed[last])
		}
		for i, b := range smoothed {
			s := steps[i]
			if b.LengthVar > s.LengthVar*(1+1e-9) || b.RateVar > s.RateVar*(1+1e-9)+1e-12 {
				t.Fatalf("knowing more, day %v became less certain: %+v from %+v", s.Day, b, s.Belief)
			}
			if b.LengthVar < 0 || b.RateVar < -1e-12 {
				t.Fatalf("negative variance %+v", b)
			}
		}
		// Room that is already in use is kept.
		before := []growth.Belief{{LengthMM: 42}}
		if both := growth.Smooth(before, steps); both[0].LengthMM != 42 || both[1] != smoothed[0] {
			t.Fatal("smoothing did not append")
		}
	})
}

// Readings on a straight line without noise are met exactly.
func TestStraightLine(t *testing.T) {
	e := entered{days: []float64{0, 3, 10, 24, 31}, errorVars: repeat(1e-6, 5)}
	for _, day := range e.days {
		e.lengths = append(e.lengths, 12+0.8*day)
	}
	steps, _ := run(t, growth.Trend{}, growth.Rate{MMPerDay: 0, Variance: 1}, e)
	last := steps[len(steps)-1]
	// The prior at zero weighs (1e-6/Σ(t−t̄)²)/1 ≈ 1e-9 of the slope.
	near(t, "rate", last.RateMMPerDay, 0.8, 1e-8)
	near(t, "length", last.LengthMM, 12+0.8*31, 1e-6)
}

func TestFilterRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, e := range map[string]entered{
		"a day before the one before": {[]float64{5, 3}, []float64{1, 2}, []float64{1, 1}},
		"a day before the start":      {[]float64{-1}, []float64{1}, []float64{1}},
		"no day":                      {[]float64{nan}, []float64{1}, []float64{1}},
		"no end of days":              {[]float64{inf}, []float64{1}, []float64{1}},
		"no length":                   {[]float64{1}, []float64{nan}, []float64{1}},
		"endless length":              {[]float64{1}, []float64{inf}, []float64{1}},
		"no error":                    {[]float64{1}, []float64{1}, []float64{0}},
		"an error that is no number":  {[]float64{1}, []float64{1}, []float64{nan}},
		"slices that differ":          {[]float64{1, 2}, []float64{1}, []float64{1}},
	} {
		filter := growth.Filter{}
		if err := filter.Run(growth.Unmeasured(0, weakPrior), e.days, e.lengths, e.errorVars); err == nil {
			t.Errorf("%s is accepted", name)
		}
		if len(filter.Steps) != 0 {
			t.Errorf("%s leaves %d steps behind", name, len(filter.Steps))
		}
	}
}

func TestForecastRefuses(t *testing.T) {
	b := growth.Belief{Day: 10, LengthMM: 20, LengthVar: 1, RateVar: 1}
	trend := growth.Trend{}
	for name, err := range map[string]error{
		"the past":        second(trend.Forecast(b, 9, 0.9, 0.5)),
		"certainty":       second(trend.Forecast(b, 11, 1, 0.5)),
		"no error":        second(trend.Forecast(b, 11, 0.9, 0)),
		"no day":          second(trend.Forecast(b, math.NaN(), 0.9, 0.5)),
		"unknown lengths": second(trend.Forecast(growth.Unmeasured(0, weakPrior), 11, 0.9, 0.5)),
	} {
		if err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// The log-likelihood keeps its digits however many and however small the
// variances are.
func TestLogLikelihoodOfManyReadings(t *testing.T) {
	const n = 3000
	e := entered{errorVars: repeat(1e-4, n)}
	var sum float64
	for i := range n {
		e.days = append(e.days, float64(i))
		e.lengths = append(e.lengths, 5+0.01*float64(i%7))
	}
	steps, got := run(t, growth.Trend{RateNoise: 1e-9}, weakPrior, e)
	for _, s := range steps[1:] {
		sum -= (math.Log(2*math.Pi*s.Surprise.Var) + square(s.Surprise.MM)/s.Surprise.Var) / 2
	}
	near(t, "log-likelihood", got, sum, 1e-9*math.Abs(sum))
}
