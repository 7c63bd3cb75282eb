package leaf

import (
	"math"
	"testing"
)

// solveTealeaves repeats the search until conductances agree with the mean of
// leaf and air temperature: tealeaves states them in mol m⁻² s⁻¹ Pa⁻¹, to be
// turned into m/s at that mean.
func solveTealeaves(t *testing.T, widthM, stomatalMol, cuticularMol float64, around Surroundings) Result {
	t.Helper()
	p := tealeaves(around.AirC, around.RHPercent)
	var got Result
	share := 1.0
	for range 8 {
		var err error
		got, err = p.Solve(Leaf{WidthM: widthM, StomatalMol: stomatalMol * share, CuticularMol: cuticularMol * share}, around)
		if err != nil {
			t.Fatal(err)
		}
		air := around.AirC + kelvin
		share = (air + got.LeafC + kelvin) / 2 / air
	}
	return got
}

// The orchid-like leaves indoors. Printed to 1e-4 °C, 1e-3 W/m², 1e-5 mmol and
// 1e-6 m/s. R's uniroot stops at 1.2e-4 K. Fluxes get half their last digit
// and 1e-4 of their size: all rows are 0.7e-4 above ours, as if conductances
// had been entered with four digits (0.1974 for 0.197385 µmol m⁻² s⁻¹ Pa⁻¹).
func TestTealeavesIndoorLeaves(t *testing.T) {
	for _, row := range table(t, "tealeaves_indoor.csv") {
		around := Surroundings{AirC: row[0], RHPercent: row[1], PressureKPa: 101.3246, SpeedMS: row[3], AbsorbedWM2: row[2]}
		got := solveTealeaves(t, row[4]/dimensionShare.Value, row[5]/1000, row[6]/1000, around)
		near(t, "leaf °C", got.LeafC, row[7], 2e-4)
		near(t, "latent", got.LatentWM2, row[8], 0.5e-3+1e-4*row[8])
		near(t, "mmol", got.TranspirationMol*1000, row[9], 0.5e-5+1e-4*row[9])
		lower, upper := tealeaves(around.AirC, around.RHPercent).Boundary(row[4], around, row[7])
		layerMS := (lower.VapourMol + upper.VapourMol) * gasTealeaves * (row[0] + kelvin) / 101324.6
		near(t, "boundary layer m/s", layerMS, row[10], 1.5e-6)
	}
}

// The same leaves by the closed form with the constants used for it there.
func TestIndoorLeavesInClosedForm(t *testing.T) {
	for _, row := range table(t, "tealeaves_indoor.csv") {
		if row[11] == 0 {
			continue
		}
		airC, pressureKPa := row[0], 101.3246
		saturation := 0.61121 * math.Exp(17.502*airC/(240.97+airC))
		slope := saturation * 17.502 * 240.97 / ((240.97 + airC) * (240.97 + airC))
		flow := math.Sqrt(row[3] / row[4])
		cuticle := row[6] / 2000
		vapour := series(row[5]/1000+cuticle, forcedVapour*flow) + series(cuticle, forcedVapour*flow)
		latent := molarMassWater * (2501 - 2.361*airC)
		dry := 2*forcedHeat*flow*heatCapacityAir + radiated(0.97, 5.67e-8, airC, airC)
		deficit := saturation * (1 - row[1]/100)
		rise := isothermal(row[2], deficit, slope, dry, latent/pressureKPa, row[5]/1000+cuticle, cuticle, forcedVapour*flow)
		// Printed to 1e-5 mmol and 1e-3 °C.
		near(t, "mmol", vapour*(deficit+slope*rise)/pressureKPa*1000, row[11], 2e-5)
		near(t, "leaf °C", airC+rise, row[12], 1e-3)
	}
}

// Our physics against tealeaves on the same leaves: two independent boundary
// layers. Measured: transpiration within 2.3 %, temperature within 0.12 K.
func TestStandardPhysicsAgainstTealeaves(t *testing.T) {
	for _, row := range table(t, "tealeaves_indoor.csv") {
		around := Surroundings{AirC: row[0], RHPercent: row[1], PressureKPa: 101.3246, SpeedMS: row[3], AbsorbedWM2: row[2]}
		got, err := Solve(Leaf{WidthM: row[4] / dimensionShare.Value, StomatalMol: row[5] / 1000, CuticularMol: row[6] / 1000}, around)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "transpiration over tealeaves", got.TranspirationMol*1000/row[9], 1, 0.025)
		near(t, "leaf °C", got.LeafC, row[7], 0.15)
	}
}

// The documented defaults of tealeaves 1.0.6: an outdoor leaf with stomata on
// both faces. Its two faces are put together into one conductance to vapour,
// and the long wave from a sky 20 K cooler becomes part of what is absorbed.
func TestTealeavesDocumentedDefaults(t *testing.T) {
	tests := []struct {
		source                 string
		airC, stomata          float64 // °C, µmol m⁻² s⁻¹ Pa⁻¹
		absorbs                float64
		leafK, sensible, latnt float64 // 0 where not documented
		mmol                   float64
	}{
		{"README, absorptance 0.5", 25, 5, 0.5, 301.4181, 107.355, 348.508, 7.94791},
		{"README, g_sw 4", 25, 4, 0.5, 302.1106, 0, 0, 7.244854},
		{"tests/testthat/test-benchmarks.R, absorptance 0.8", 25, 5, 0.8, 305.8332, 0, 0, 0},
		{"README, 293.15 K, g_sw 2", 20, 2, 0.5, 300.2217, 0, 0, 0},
		{"README, 293.15 K, g_sw 4", 20, 4, 0.5, 298.3474, 0, 0, 0},
	}
	for _, test := range tests {
		t.Run(test.source, func(t *testing.T) {
			const dimension, pressureKPa, enough = 0.1, 101.3246, stomatalHighMol
			airK := test.airC + kelvin
			around := Surroundings{AirC: test.airC, RHPercent: 50, PressureKPa: pressureKPa, SpeedMS: 2}
			around.AbsorbedWM2 = test.absorbs*1.2*1000 + 0.97*5.67e-8*(fourth(airK-20)-fourth(airK))
			p := tealeaves(test.airC, 50)
			faces := p.Boundary
			p.Boundary = func(d float64, around Surroundings, leafC float64) (lower, upper Face) {
				lower, upper = faces(d, around, leafC)
				each := (test.stomata/2 + 0.1/2) * 1e-6 * pressureKPa * 1000 * (airK + leafC + kelvin) / 2 / airK
				both := series(each, lower.VapourMol) + series(each, upper.VapourMol)
				// So that in series with our stomata it makes "both".
				lower.VapourMol = 1 / (1/both - 1/enough)
				return lower, upper
			}
			got, err := p.Solve(Leaf{WidthM: dimension / dimensionShare.Value, StomatalMol: enough}, around)
			if err != nil {
				t.Fatal(err)
			}
			// Printed to 1e-4 K by a search that steps by 1.2e-4 K and comes
			// from below: 2.5e-4 K in all. At some 33 and 18 W m⁻² K⁻¹ that
			// is 0.01 W/m² of sensible and latent heat.
			near(t, "leaf K", got.LeafC+kelvin, test.leafK, 2.5e-4)
			if test.sensible != 0 {
				near(t, "sensible", got.SensibleWM2, test.sensible, 0.01)
				near(t, "latent", got.LatentWM2, test.latnt, 0.02)
			}
			if test.mmol != 0 {
				near(t, "mmol", got.TranspirationMol*1000, test.mmol, 2e-4)
			}
		})
	}
}
