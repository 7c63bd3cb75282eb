package pot_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/pot"
)

func TestLostIsTheExponential(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.OneOf(rapid.Float64Range(0, 0.6), rapid.Float64Range(0, 800)).Draw(t, "x")
		got, want := pot.LostForTest(x), -math.Expm1(-x)
		if math.Abs(got-want) > 1e-10 {
			t.Fatalf("lost(%g) = %.15g, want %.15g", x, got, want)
		}
		if further := pot.LostForTest(x * 1.001); further < got-1e-10 {
			t.Fatalf("lost falls from %.17g to %.17g at %g", got, further, x)
		}
	})
}
