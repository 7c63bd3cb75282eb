package pest_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/pest"
)

type day struct{ lowC, highC float64 }

func drawDay(t *rapid.T) day {
	low := rapid.Float64Range(-20, 40).Draw(t, "low")
	return day{low, low + rapid.Float64Range(0, 20).Draw(t, "swing")}
}

func drawThresholds(t *rapid.T) pest.Thresholds {
	lower := rapid.Float64Range(0, 20).Draw(t, "lower")
	return pest.Thresholds{LowerC: lower, UpperC: lower + rapid.Float64Range(0.5, 30).Draw(t, "span")}
}

// must unwraps a sum that has no reason to fail.
func must(t *rapid.T) func(float64, error) float64 {
	return func(x float64, err error) float64 {
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
}

const rounding = 1e-9

func TestWarmerNeverGathersLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, th, sum := drawDay(t), drawThresholds(t), must(t)
		upLow := rapid.Float64Range(0, 10).Draw(t, "warmer night")
		upHigh := upLow + rapid.Float64Range(0, 10).Draw(t, "warmer afternoon still")
		low, high := d.lowC+upLow, d.highC+upHigh
		for name, pair := range map[string][2]float64{
			"sine":     {sum(pest.Sine(d.lowC, d.highC, th)), sum(pest.Sine(low, high, th))},
			"triangle": {sum(pest.Triangle(d.lowC, d.highC, th)), sum(pest.Triangle(low, high, th))},
			"average":  {sum(pest.Average(d.lowC, d.highC, th.LowerC)), sum(pest.Average(low, high, th.LowerC))},
			"clipped":  {sum(pest.AverageClipped(d.lowC, d.highC, th.LowerC, th.UpperC)), sum(pest.AverageClipped(low, high, th.LowerC, th.UpperC))},
			"mean":     {sum(pest.FromMean(d.lowC, th)), sum(pest.FromMean(low, th))},
		} {
			if pair[1] < pair[0]-rounding {
				t.Fatalf("%s: %v for %v, but %v when warmer (%v–%v)", name, pair[0], d, pair[1], low, high)
			}
		}
	})
}

// Without an upper threshold the day's gain is a convex function of
// temperature, so the more a method spreads the day between its ends, the more
// it counts: all at the middle, evenly, like a sine, all at the two ends.
// With an upper threshold no such order holds (8–34 °C against 18–33 °C in the
// independent rows).
func TestMethodsAreOrderedWithoutAnUpperThreshold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, sum := drawDay(t), must(t)
		th := pest.Above(rapid.Float64Range(-10, 45).Draw(t, "lower"))
		chain := []float64{
			sum(pest.Average(d.lowC, d.highC, th.LowerC)),
			sum(pest.Triangle(d.lowC, d.highC, th)),
			sum(pest.Sine(d.lowC, d.highC, th)),
			sum(pest.AverageClipped(d.lowC, d.highC, th.LowerC, th.UpperC)),
		}
		for i := 1; i < len(chain); i++ {
			if chain[i] < chain[i-1]-rounding {
				t.Fatalf("order broken for %v above %v: %v", d, th.LowerC, chain)
			}
		}
	})
}

func TestBandsOfTemperatureAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, sum, whole := drawDay(t), must(t), drawThresholds(t)
		middle := whole.LowerC + (whole.UpperC-whole.LowerC)*rapid.Float64Range(0.01, 0.99).Draw(t, "share")
		lower := pest.Thresholds{LowerC: whole.LowerC, UpperC: middle}
		upper := pest.Thresholds{LowerC: middle, UpperC: whole.UpperC}
		for name, method := range map[string]func(low, high float64, th pest.Thresholds) (float64, error){
			"sine": pest.Sine, "triangle": pest.Triangle,
		} {
			all := sum(method(d.lowC, d.highC, whole))
			parts := sum(method(d.lowC, d.highC, lower)) + sum(method(d.lowC, d.highC, upper))
			difference := sum(method(d.lowC, d.highC, pest.Above(whole.LowerC))) - sum(method(d.lowC, d.highC, pest.Above(whole.UpperC)))
			if !near(all, parts, rounding) || !near(all, difference, rounding) {
				t.Fatalf("%s of %v: whole %v, parts %v, D(L)−D(U) %v", name, d, all, parts, difference)
			}
		}
	})
}

func TestFahrenheitDaysAreNineFifths(t *testing.T) {
	fahrenheit := func(c float64) float64 { return c*9/5 + 32 }
	rapid.Check(t, func(t *rapid.T) {
		d, th, sum := drawDay(t), drawThresholds(t), must(t)
		next := rapid.Float64Range(-20, 40).Draw(t, "next")
		th.CutOff = rapid.SampledFrom([]pest.CutOff{pest.Horizontal, pest.Vertical}).Draw(t, "cut-off")
		thF := pest.Thresholds{LowerC: fahrenheit(th.LowerC), UpperC: fahrenheit(th.UpperC), CutOff: th.CutOff}
		lowF, highF, nextF := fahrenheit(d.lowC), fahrenheit(d.highC), fahrenheit(next)
		for column, method := range byColumn {
			inC, inF := sum(method(d.lowC, d.highC, next, th)), sum(method(lowF, highF, nextF, thF))
			if !near(inC, inF*5/9, rounding) && !touchesUpper(d, next, th) {
				t.Fatalf("%s: %v °C·d, %v °F·d", column, inC, inF)
			}
		}
	})
}

// touchesUpper: a steady temperature exactly on the upper threshold jumps in
// the vertical form, so rounding of the scale decides there.
func touchesUpper(d day, next float64, th pest.Thresholds) bool {
	return th.CutOff == pest.Vertical &&
		(near(d.lowC, th.UpperC, 1e-6) || near(d.highC, th.UpperC, 1e-6) || near(next, th.UpperC, 1e-6))
}

// A curve sampled finely must give what its formula gives.
func TestCurvesAgreeWithTheirOwnSamples(t *testing.T) {
	const n = 4000
	rapid.Check(t, func(t *rapid.T) {
		d, th, sum := drawDay(t), drawThresholds(t), must(t)
		th.CutOff = rapid.SampledFrom([]pest.CutOff{pest.Horizontal, pest.Vertical}).Draw(t, "cut-off")
		wave, line := make([]float64, n), make([]float64, n)
		mean, amplitude := (d.lowC+d.highC)/2, (d.highC-d.lowC)/2
		for i := range n {
			share := (float64(i) + 0.5) / n
			wave[i] = mean - amplitude*math.Cos(2*math.Pi*share)
			line[i] = d.lowC + 2*amplitude*(1-math.Abs(2*share-1))
		}
		// The vertical step of up to 30 K is caught to within two samples of
		// each crossing; the rest is far smaller.
		tolerance := 1e-4
		if th.CutOff == pest.Vertical {
			tolerance += (th.UpperC - th.LowerC) * 4 / n
			if touchesUpper(d, d.highC, th) {
				return
			}
		}
		if got, want := sum(pest.Sine(d.lowC, d.highC, th)), sum(pest.FromSamples(wave, n, th)); !near(got, want, tolerance) {
			t.Fatalf("sine of %v in %v: %v, sampled %v", d, th, got, want)
		}
		if got, want := sum(pest.Triangle(d.lowC, d.highC, th)), sum(pest.FromSamples(line, n, th)); !near(got, want, tolerance) {
			t.Fatalf("triangle of %v in %v: %v, sampled %v", d, th, got, want)
		}
	})
}

func TestEqualMinimaMakeHalfDaysWholeAndVerticalNeverExceedsHorizontal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, th, sum := drawDay(t), drawThresholds(t), must(t)
		if !near(sum(pest.DoubleSine(d.lowC, d.highC, d.lowC, th)), sum(pest.Sine(d.lowC, d.highC, th)), rounding) ||
			!near(sum(pest.DoubleTriangle(d.lowC, d.highC, d.lowC, th)), sum(pest.Triangle(d.lowC, d.highC, th)), rounding) {
			t.Fatalf("half-days of %v differ from the whole day", d)
		}
		vertical := th
		vertical.CutOff = pest.Vertical
		v, h := sum(pest.Sine(d.lowC, d.highC, vertical)), sum(pest.Sine(d.lowC, d.highC, th))
		if v < 0 || v > h+rounding || h > th.UpperC-th.LowerC+rounding {
			t.Fatalf("vertical %v, horizontal %v, most %v", v, h, th.UpperC-th.LowerC)
		}
	})
}

func TestWithoutAnUpperThresholdBothCutOffsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, sum := drawDay(t), must(t)
		horizontal := pest.Above(rapid.Float64Range(0, 20).Draw(t, "lower"))
		vertical := horizontal
		vertical.CutOff = pest.Vertical
		if h, v := sum(pest.Sine(d.lowC, d.highC, horizontal)), sum(pest.Sine(d.lowC, d.highC, vertical)); h != v {
			t.Fatalf("horizontal %v, vertical %v", h, v)
		}
	})
}

func TestAccumulateIsTheRunningSumOfSines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, th := rapid.IntRange(1, 40).Draw(t, "days"), drawThresholds(t)
		low, high, running := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range n {
			d := drawDay(t)
			low[i], high[i] = d.lowC, d.highC
		}
		if err := pest.Accumulate(running, low, high, th); err != nil {
			t.Fatal(err)
		}
		var sum float64
		for i := range n {
			sum += must(t)(pest.Sine(low[i], high[i], th))
			if !near(running[i], sum, rounding) {
				t.Fatalf("day %d: %v, want %v", i, running[i], sum)
			}
		}
	})
}

func TestDailySumsRefuseWhatTheyCannotKnow(t *testing.T) {
	nan := math.NaN()
	good := pest.Thresholds{LowerC: 10, UpperC: 30}
	for name, row := range map[string]struct {
		low, high float64
		th        pest.Thresholds
		says      string
	}{
		"minimum above maximum":   {20, 10, good, "above the maximum"},
		"missing minimum":         {nan, 10, good, "missing"},
		"missing maximum":         {5, nan, good, "missing"},
		"absurd maximum":          {5, 1e4, good, "outside"},
		"thresholds upside down":  {5, 10, pest.Thresholds{LowerC: 30, UpperC: 10}, "below the upper"},
		"thresholds equal":        {5, 10, pest.Thresholds{LowerC: 10, UpperC: 10}, "below the upper"},
		"lower threshold missing": {5, 10, pest.Above(nan), "missing"},
		"upper threshold missing": {5, 10, pest.Thresholds{LowerC: 10, UpperC: nan}, "missing"},
		"unknown cut-off":         {5, 10, pest.Thresholds{LowerC: 10, UpperC: 30, CutOff: 7}, "cut-off"},
	} {
		_, sine := pest.Sine(row.low, row.high, row.th)
		_, triangle := pest.Triangle(row.low, row.high, row.th)
		_, double := pest.DoubleSine(row.low, row.high, 5, row.th)
		_, doubleTriangle := pest.DoubleTriangle(row.low, row.high, 5, row.th)
		running := pest.Accumulate(make([]float64, 1), []float64{row.low}, []float64{row.high}, row.th)
		for method, err := range map[string]error{"sine": sine, "triangle": triangle, "double sine": double,
			"double triangle": doubleTriangle, "accumulate": running} {
			if err == nil || !strings.Contains(err.Error(), row.says) {
				t.Errorf("%s, %s: got %v", name, method, err)
			}
		}
	}
	refused := func(name string, err error) {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
	_, err := pest.DoubleSine(5, 10, nan, good)
	refused("missing next minimum", err)
	_, err = pest.Average(20, 10, 5)
	refused("average of a day upside down", err)
	_, err = pest.Average(5, 10, nan)
	refused("average above a missing threshold", err)
	_, err = pest.AverageClipped(nan, 10, 5, 30)
	refused("clipped average of a missing day", err)
	_, err = pest.AverageClipped(5, 10, 30, 30)
	refused("clipped average between equal thresholds", err)
	_, err = pest.FromMean(nan, good)
	refused("missing mean", err)
	_, err = pest.FromMean(20, pest.Thresholds{LowerC: 3, UpperC: 2})
	refused("mean between thresholds upside down", err)
	_, err = pest.FromSamples([]float64{20, nan}, 2, good)
	refused("missing sample", err)
	_, err = pest.FromSamples([]float64{20, 21, 22}, 2, good)
	refused("a day and a half of samples", err)
	_, err = pest.FromSamples(nil, 24, good)
	refused("no samples", err)
	_, err = pest.FromSamples([]float64{20}, 1, pest.Above(nan))
	refused("samples above a missing threshold", err)
	refused("minima without maxima", pest.Accumulate(make([]float64, 2), []float64{1, 2}, []float64{3}, good))
}
