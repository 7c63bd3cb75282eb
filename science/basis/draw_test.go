package basis_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/basis"
)

// The triangle's mean and variance are (a+b+c)/3 and (a²+b²+c²−ab−ac−bc)/18
// (any handbook of distributions).
func TestDrawsFormATriangle(t *testing.T) {
	v := basis.Assumed(2, 1, 5, "1")
	c := basis.ChanceOf("a triangle")
	const n = 200_000
	var sum, squares float64
	for range n {
		x := v.At(c.Next())
		if x < v.Low || x > v.High {
			t.Fatalf("drew %v outside %v to %v", x, v.Low, v.High)
		}
		sum += x
		squares += x * x
	}
	mean := sum / n
	variance := squares/n - mean*mean
	wantMean, wantVariance := (1.0+2+5)/3, (1.0+4+25-2-5-10)/18
	if math.Abs(mean-wantMean) > 0.01 || math.Abs(variance-wantVariance) > 0.02 {
		t.Errorf("mean %.3f, variance %.3f; want %.3f and %.3f", mean, variance, wantMean, wantVariance)
	}
}

func TestDrawsRiseWithTheShare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-10, 10).Draw(t, "low")
		value := low + rapid.Float64Range(0, 5).Draw(t, "below")
		v := basis.Assumed(value, low, value+rapid.Float64Range(0, 5).Draw(t, "above"), "1")
		a, b := rapid.Float64Range(-0.5, 1.5).Draw(t, "a"), rapid.Float64Range(-0.5, 1.5).Draw(t, "b")
		x, y := v.At(min(a, b)), v.At(max(a, b))
		if x > y || x < v.Low-1e-12 || y > v.High+1e-12 {
			t.Fatalf("%v and %v of %+v", x, y, v)
		}
	})
}

func TestChanceIsEvenAndTheSameForTheSameName(t *testing.T) {
	a, b, other := basis.ChanceOf("one"), basis.ChanceOf("one"), basis.ChanceOf("two")
	same := 0
	for range 100 {
		x := a.Next()
		if x != b.Next() {
			t.Fatal("the same name gives other numbers")
		}
		if x == other.Next() {
			same++
		}
	}
	if same > 0 {
		t.Errorf("%d of 100 numbers of another name are the same", same)
	}
	const n = 100_000
	var tenths [10]float64
	var normal, squares, lag, before float64
	c := basis.ChanceOf("even")
	for range n {
		u := c.Next()
		tenths[int(u*10)]++
		lag += (u - 0.5) * (before - 0.5)
		before = u
		z := c.Normal()
		normal += z
		squares += z * z
		if k := c.Below(3); k < 0 || k > 2 {
			t.Fatalf("%d is not below 3", k)
		}
	}
	chi := 0.0
	for _, count := range tenths {
		chi += (count - n/10) * (count - n/10) / (n / 10)
	}
	if chi > 27.9 { // 99.9 % of chi-squared with nine degrees of freedom
		t.Errorf("tenths %v: chi-squared %.1f", tenths, chi)
	}
	if math.Abs(lag/n)*12 > 0.02 || math.Abs(normal/n) > 0.02 || math.Abs(squares/n-1) > 0.02 {
		t.Errorf("correlation %.4f, normal mean %.4f, variance %.4f", lag/n*12, normal/n, squares/n)
	}
}
