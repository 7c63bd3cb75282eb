package basis_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/basis"
)

func ExampleSpread() {
	// Supply σ = h·r·c/t with headroom 1.0–1.6 and the other factors exact.
	headroom := basis.Assumed(1.25, 1.0, 1.6, "1")
	low, high := basis.Spread(func(in []float64) float64 { return in[0] * 0.5 * 0.85 }, headroom)
	fmt.Printf("%.3f to %.3f\n", low, high)
	// Output: 0.425 to 0.680
}

// For a sum of independent terms the rule is exact: variances add.
func TestSpreadOfASumIsTheRootOfTheSumOfSquares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "terms")
		values := make([]basis.Value, n)
		var wantDown, wantUp, centre float64
		for i := range values {
			v := rapid.Float64Range(-10, 10).Draw(t, "value")
			down := rapid.Float64Range(0, 5).Draw(t, "down")
			up := rapid.Float64Range(0, 5).Draw(t, "up")
			values[i] = basis.Assumed(v, v-down, v+up, "1")
			centre += v
			wantDown += down * down
			wantUp += up * up
		}
		low, high := basis.Spread(func(in []float64) float64 {
			var sum float64
			for _, x := range in {
				sum += x
			}
			return sum
		}, values...)
		if math.Abs(centre-low-math.Sqrt(wantDown)) > 1e-9 || math.Abs(high-centre-math.Sqrt(wantUp)) > 1e-9 {
			t.Fatalf("spread %v to %v around %v, want -%v +%v", low, high, centre, math.Sqrt(wantDown), math.Sqrt(wantUp))
		}
	})
}

func TestWeakest(t *testing.T) {
	if got := basis.Weakest(basis.Published, basis.Assumption, basis.Given); got != basis.Assumption {
		t.Errorf("weakest of published, assumption, given is %v", got)
	}
	if got := basis.Weakest(); got != 0 {
		t.Errorf("weakest of nothing is %v, want none", got)
	}
}

func TestCheckRefusesWhatCannotBeTrusted(t *testing.T) {
	good := basis.Value{Value: 1, Low: 0, High: 2, Unit: "mm", Grade: basis.Published, Source: "a table"}
	if err := good.Check(); err != nil {
		t.Fatalf("good value refused: %v", err)
	}
	for name, spoil := range map[string]func(*basis.Value){
		"value above its range": func(v *basis.Value) { v.Value = 3 },
		"range upside down":     func(v *basis.Value) { v.Low, v.High = 2, 0 },
		"not a number":          func(v *basis.Value) { v.Value = math.NaN() },
		"infinite end":          func(v *basis.Value) { v.High = math.Inf(1) },
		"no grade":              func(v *basis.Value) { v.Grade = 0 },
		"published, no source":  func(v *basis.Value) { v.Source = "" },
		"remembered, no source": func(v *basis.Value) { v.Grade, v.Source = basis.FromMemory, "" },
	} {
		bad := good
		spoil(&bad)
		if bad.Check() == nil {
			t.Errorf("%s: accepted %+v", name, bad)
		}
	}
}

func ExampleWithin() {
	fmt.Println(basis.Within("air", "relative humidity", 140, 0, 100, "%"))
	fmt.Println(basis.Within("air", "relative humidity", 40, 0, 100, "%"))
	// Output:
	// air: relative humidity 140 % is outside 0 to 100 %
	// <nil>
}

func TestWithinRefusesWhatIsNoNumber(t *testing.T) {
	if basis.Within("air", "temperature", math.NaN(), -40, 60, "°C") == nil {
		t.Error("NaN lies within −40 to 60 °C")
	}
}
