package batch_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/water/batch"
)

func drawWants(t *rapid.T, most int) []batch.Want {
	var list []batch.Want
	for range rapid.IntRange(0, most).Draw(t, "wants") {
		target := float64(rapid.IntRange(1, 30).Draw(t, "target"))
		list = append(list, batch.Want{
			Target: target, Low: target * rapid.Float64Range(0.6, 1).Draw(t, "low"), High: target * rapid.Float64Range(1, 1.4).Draw(t, "high"),
			Litres: rapid.Float64Range(0, 3).Draw(t, "litres"),
		})
	}
	return list
}

// Every want is in one can that serves it.
func TestCansServeTheirMembers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wants := drawWants(t, 40)
		met := make([]int, len(wants))
		litres := 0.0
		for _, g := range batch.Fewest(wants) {
			for _, i := range g.Members {
				met[i]++
				if w := wants[i]; g.Target < w.Low-1e-12 || g.Target > w.High+1e-12 || g.Low < w.Low-1e-12 || g.High > w.High+1e-12 {
					t.Fatalf("%+v does not serve %+v", g, w)
				}
				litres -= wants[i].Litres
			}
			litres += g.Litres
		}
		for i, n := range met {
			if n != 1 {
				t.Fatalf("want %d is in %d cans", i, n)
			}
		}
		if math.Abs(litres) > 1e-9 {
			t.Fatalf("%g L are lost", litres)
		}
	})
}

// No fewer cans would do: every way to share the wants out is tried.
func TestNoFewerCansWouldDo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wants := drawWants(t, 7)
		least := len(wants)
		var share func(i int, lows, highs []float64)
		share = func(i int, lows, highs []float64) {
			if len(lows) >= least {
				return
			}
			if i == len(wants) {
				least = len(lows)
				return
			}
			w := wants[i]
			for k := range lows {
				low, high := math.Max(lows[k], w.Low), math.Min(highs[k], w.High)
				if low <= high {
					wasLow, wasHigh := lows[k], highs[k]
					lows[k], highs[k] = low, high
					share(i+1, lows, highs)
					lows[k], highs[k] = wasLow, wasHigh
				}
			}
			share(i+1, append(lows, w.Low), append(highs, w.High))
		}
		share(0, nil, nil)
		if got := len(batch.Fewest(wants)); got != least {
			t.Fatalf("%d cans, %d would do: %+v", got, least, wants)
		}
	})
}
