package leaf

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Loss per square metre from conductance and deficit alone, computed
// independently from E = g D/P at 101.325 kPa with 18.015 g/mol and 24 h or
// 12 h; printed to whole grams, so ± 0.5 and for the sum of a plant ± 0.5 g.
func TestFirstGuessOfTranspiration(t *testing.T) {
	tests := []struct{ mmol, vpdKPa, hours, want float64 }{
		{30, 1.0, 12, 230},
		{30, 0.6, 12, 138},
		{2, 1.5, 12, 23},
		{100, 1.0, 12, 768},
	}
	for _, test := range tests {
		got, err := FreeLossGM2(test.mmol/1000, test.vpdKPa, standardKPa, test.hours)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "loss", got, test.want, 0.5)
	}
	// 1 mmol m⁻² s⁻¹ is 64.85 g m⁻² h⁻¹ with 18.015 g/mol; ours has 18.0153.
	near(t, "g/h of 1 mmol", gramsPerHour/1000, 64.85, 0.006)
	night, _ := FreeLossGM2(0.030, 1.0, standardKPa, 12)
	light, _ := FreeLossGM2(0.002, 1.5, standardKPa, 12)
	// 500 cm² of Phalaenopsis: "about 13 g a day".
	near(t, "plant", 0.05*(night+light), 13, 0.5)
	if _, err := FreeLossGM2(-1, 1, 101, 1); err == nil {
		t.Error("a negative conductance passed")
	}
}

// Days to lose 30 % of leaf water, computed independently from
// N = 0.3 W/(g_min D/P · 18.015 · 86400), at 101.3 kPa: whole days, or tenths
// for thin leaves, so ± half of the last digit. Water in g/m².
func TestAutonomyTable(t *testing.T) {
	tests := []struct {
		water, mmol, vpdKPa, want, half float64
	}{
		{1860, 0.5, 0.5, 145, 0.5}, {1860, 0.5, 1, 73, 0.5}, {1860, 0.5, 1.5, 48, 0.5},
		{1860, 2, 0.5, 36, 0.5}, {1860, 2, 1, 18, 0.5}, {1860, 2, 1.5, 12, 0.5},
		{1860, 5, 0.5, 15, 0.5}, {1860, 5, 1, 7, 0.5}, {1860, 5, 1.5, 5, 0.5},
		{900, 2, 0.5, 18, 0.5}, {900, 2, 1, 9, 0.5}, {900, 2, 1.5, 6, 0.5},
		{240, 2, 0.5, 4.7, 0.05}, {240, 2, 1, 2.3, 0.05}, {240, 2, 1.5, 1.6, 0.05},
		{240, 5, 0.5, 1.9, 0.05}, {240, 5, 1, 0.9, 0.05}, {240, 5, 1.5, 0.6, 0.05},
	}
	for _, test := range tests {
		perDay, err := FreeLossGM2(test.mmol/1000, test.vpdKPa, 101.3, 24)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "days", lossBorne.Value*test.water/perDay, test.want, test.half)
	}
}

// The product's own row for a thick leaf lies between those of the table for
// 0.5 and 2 mmol; its range reaches at least as far as the leak's does.
func TestPatienceOfAThickLeaf(t *testing.T) {
	got, err := PatienceDays([]Part{{ThickCAMLeaf, 0.05}}, 1, 101.3)
	if err != nil {
		t.Fatal(err)
	}
	// 2 mm of 93 % water at 1 mmol: half of 73 days.
	near(t, "days", got.Value, 36.3, 0.5)
	if got.Low > 18.2 || got.High < 72.5 {
		t.Errorf("%.1f to %.1f days", got.Low, got.High)
	}
	if err := got.Check(); err != nil {
		t.Error(err)
	}
}

func TestPatienceLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := []Part{
			{Organ(rapid.IntRange(0, int(organCount)-1).Draw(t, "organ")), rapid.Float64Range(0.001, 1).Draw(t, "area")},
			{Organ(rapid.IntRange(0, int(organCount)-1).Draw(t, "other")), rapid.Float64Range(0.001, 1).Draw(t, "other area")},
		}
		vpd := rapid.Float64Range(0.05, 3).Draw(t, "deficit")
		days := patience(t, parts, vpd)
		// Halving the deficit doubles the time.
		if twice := patience(t, parts, vpd/2); math.Abs(twice/days-2) > 1e-9 {
			t.Fatalf("%v and %v days", days, twice)
		}
		// A bigger plant of the same build lasts as long.
		if double := patience(t, append(parts, parts...), vpd); math.Abs(double/days-1) > 1e-9 {
			t.Fatalf("%v and %v days", days, double)
		}
		// A mixture lies between its parts.
		a, b := patience(t, parts[:1], vpd), patience(t, parts[1:], vpd)
		if days < min(a, b)*(1-1e-9) || days > max(a, b)*(1+1e-9) {
			t.Fatalf("%v is not between %v and %v", days, a, b)
		}
	})
}

func patience(t rapid.TB, parts []Part, vpdKPa float64) float64 {
	t.Helper()
	v, err := PatienceDays(parts, vpdKPa, standardKPa)
	if err != nil {
		t.Fatal(err)
	}
	if !(v.Low > 0 && v.Low < v.Value && v.Value < v.High) {
		t.Fatalf("%+v", v)
	}
	return v.Value
}

func TestPatienceErrors(t *testing.T) {
	for _, parts := range [][]Part{nil, {{ThinC3Leaf, 0}}, {{Organ(77), 1}}, {{ThinC3Leaf, math.NaN()}}} {
		if v, err := PatienceDays(parts, 1, 101); err == nil {
			t.Errorf("%v: %v", parts, v)
		}
	}
	if _, err := PatienceDays([]Part{{ThinC3Leaf, 1}}, 0, 101); err == nil {
		t.Error("saturated air has an end")
	}
}
