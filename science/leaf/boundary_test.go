package leaf

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Forced and free conductance after Campbell & Norman 1998, as computed
// independently from the equations; three digits, so ± half of the last (0.3675 was rounded up).
func TestCampbellNormanValues(t *testing.T) {
	tests := []struct{ dimensionM, speedMS, differenceK, vapour float64 }{
		{0.08, 0.05, 0, 0.116},
		{0.08, 0.1, 0, 0.164},
		{0.08, 0.2, 0, 0.232},
		{0.08, 0.5, 0, 0.368},
		{0.08, 1, 0, 0.520},
		{0.02, 0.1, 0, 0.329},
	}
	for _, test := range tests {
		near(t, "forced vapour", BoundaryLayer(test.dimensionM, test.speedMS, test.differenceK, standardKPa).VapourMol, test.vapour, 0.501e-3)
	}
	for differenceK, want := range map[float64]float64{0.5: 0.087, 1: 0.103, 2: 0.123, 5: 0.155} {
		// The free term alone: what the fourth power gains over forced.
		both := fourth(BoundaryLayer(0.08, 0.1, differenceK, standardKPa).VapourMol)
		forced := fourth(BoundaryLayer(0.08, 0.1, 0, standardKPa).VapourMol)
		near(t, "free vapour", math.Sqrt(math.Sqrt(both-forced)), want, 0.5e-3)
	}
}

// Leuning et al. 1995, Plant, Cell & Environment 18:1183, in m/s. First the
// documented outputs for a leaf of 68 mm (vezy.github.io/DynACof, Gb_hForced
// and Gb_hFree; all digits printed), then our forced term beside theirs.
func TestLeuningBoundaryLayer(t *testing.T) {
	forced := func(speedMS, widthM float64) float64 { return 0.003 * math.Sqrt(speedMS/widthM) }
	free := func(differenceK, widthM float64) float64 {
		return 0.5 * 21.5e-6 * math.Pow(1.6e8*differenceK*widthM*widthM*widthM, 0.25) / widthM
	}
	near(t, "forced", forced(3, 0.068), 0.01992633, 0.5e-8)
	near(t, "free", free(1, 0.068), 0.002367616, 0.5e-9)

	// 41.57 mol/m³ at 20 °C. Two textbooks' coefficients differ by 8 % forced
	// and 4 % free.
	ours := BoundaryLayer(0.068, 3, 0, standardKPa).HeatMol
	near(t, "forced over Leuning", ours/(forced(3, 0.068)*41.57), 1.08, 0.01)
	calm := fourth(BoundaryLayer(0.068, 0.1, 1, standardKPa).HeatMol) - fourth(BoundaryLayer(0.068, 0.1, 0, standardKPa).HeatMol)
	near(t, "free over Leuning", math.Sqrt(math.Sqrt(calm))/(free(1, 0.068)*41.57), 1, 0.05)
}

// The power of mixed convection: nowhere more than 2.5 % from power 3.5, which
// the R package tealeaves uses, and never as much as the sum.
func TestMixedConvectionPower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(0.005, 0.3).Draw(t, "dimension")
		speed := rapid.Float64Range(0.05, 3).Draw(t, "speed")
		difference := rapid.Float64Range(0, 15).Draw(t, "difference")
		forced, free := forcedHeat*math.Sqrt(speed/d), freeHeat*math.Pow(difference/d, 0.25)
		got := BoundaryLayer(d, speed, difference, standardKPa).HeatMol
		other := math.Pow(math.Pow(forced, 3.5)+math.Pow(free, 3.5), 1/3.5)
		if got > other*(1+1e-12) || got < 0.975*other {
			t.Fatalf("%v, with power 3.5 %v", got, other)
		}
		if got < max(forced, free)*(1-1e-12) {
			t.Fatalf("%v is less than %v or %v", got, forced, free)
		}
	})
}

func TestBoundaryLayerNeverVanishes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(0.0005, 0.5).Draw(t, "dimension")
		speed := rapid.Float64Range(0, 20).Draw(t, "speed")
		difference := rapid.Float64Range(-20, 20).Draw(t, "difference")
		pressure := rapid.Float64Range(50, 110).Draw(t, "pressure")
		got := BoundaryLayer(d, speed, difference, pressure)
		still := BoundaryLayer(d, 0, 0, pressure)
		if !(still.HeatMol > 0.02 && still.VapourMol > still.HeatMol) {
			t.Fatalf("still air: %+v", still)
		}
		if got.HeatMol < still.HeatMol || got.VapourMol < still.VapourMol {
			t.Fatalf("%+v is less than in still air, %+v", got, still)
		}
		if same := BoundaryLayer(d, speed, -difference, pressure); same != got {
			t.Fatalf("warm %+v, cool %+v", got, same)
		}
	})
}
