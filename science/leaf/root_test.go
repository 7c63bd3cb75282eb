package leaf

import (
	"errors"
	"math"
	"testing"
)

func TestRootFindsKnownZeros(t *testing.T) {
	tests := []struct {
		name      string
		f         func(float64) float64
		low, high float64
		want      float64
	}{
		{"line", func(x float64) float64 { return 3 - x }, -10, 10, 3},
		{"cube root of two", func(x float64) float64 { return x*x*x - 2 }, 0, 2, math.Cbrt(2)},
		{"cos x = x", func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151607},
		{"flat triple zero", func(x float64) float64 { return x * x * x }, -1, 2, 0},
		{"step", func(x float64) float64 { return math.Copysign(1, x-0.3) }, -50, 100, 0.3},
		{"at the end", func(x float64) float64 { return x - 5 }, 0, 5, 5},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			calls := 0
			got, err := root(func(x float64) float64 { calls++; return test.f(x) }, test.low, test.high)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "root", got, test.want, 1e-12)
			if calls > 70 {
				t.Errorf("%d calls", calls)
			}
		})
	}
}

func TestRootNeedsABracket(t *testing.T) {
	for _, f := range []func(float64) float64{
		func(x float64) float64 { return x*x + 1 },
		func(float64) float64 { return math.NaN() },
	} {
		if _, err := root(f, -1, 1); !errors.Is(err, errNoBracket) {
			t.Errorf("error %v", err)
		}
	}
}
