package air_test

import (
	"testing"

	"velamen/science/air"
)

// The libraries below use other saturation pressures than FAO-56: plantecophys
// one with the 0.42 % by which real moist air departs from an ideal mixture,
// bigleaf that of Sonntag.
func TestAgainstPlantPhysiologyLibraries(t *testing.T) {
	const plantecophys = "plantecophys 1.4-6 (R), its output: "
	for airC, pa := range map[float64]float64{5: 876.03, 10: 1232.75, 15: 1711.72, 20: 2347.09, 25: 3180.32, 30: 4261.31, 35: 5649.51} {
		near(t, plantecophys+"saturation", 1000*air.SaturationKPa(airC), pa, agreement*pa)
	}
	near(t, plantecophys+"VPD at 25 °C, 50 %", air.VPDKPa(25, 50), 1.59016, agreement*1.59016)
	// d(RH) = 100·VPD/es·(error of es)
	near(t, plantecophys+"RH for 1 kPa at 25 °C", must(t)(air.RHForVPD(25, 1)), 68.5566, 100*agreement/3.168)
	near(t, plantecophys+"dew point at 20 °C, 2 kPa", air.DewPointC(air.SaturationKPa(20)-2), -7.60099, dewToleranceK(20, -7.60099))
	near(t, plantecophys+"VPD at 20 °C, dew point 10 °C", air.VPDKPa(20, must(t)(air.RHFromDewPoint(20, 10))), 1.114339, agreement*1.114339)
	near(t, plantecophys+"leaf VPD, leaf 22 °C, air 20 °C and 2 kPa",
		air.LeafVPDKPa(22, 20, must(t)(air.RHForVPD(20, 2))), 2.306956, agreement*2.306956)

	const bigleaf = "bigleaf 0.8.2 (R), its output: "
	// Density of dry air; its gas constant is 287.0586 against 287.042.
	near(t, bigleaf+"density at 25 °C", air.DensityKgPerM3(25, 0, 101.325), 1.18389, 1.18389*(287.0586/287.042-1)+0.000005)
	near(t, bigleaf+"dew point at 25 °C, 1.5 kPa", air.DewPointC(air.SaturationKPa(25)-1.5), 14.616, dewToleranceK(25, 14.616))
	// Its wet bulb is another quantity, that of a bulb with the exchange ratio
	// 0.93 between heat and vapour, and is not compared.
}

// FAO-56 fixes the latent heat at 2.45 MJ/kg; the package documentation says
// what that costs. Elsewhere the heat falls with temperature.
func TestConstantPsychrometricConstant(t *testing.T) {
	for _, row := range []struct {
		airC, pressureKPa, kPaPerK float64
		source                     string
	}{
		{5, 100, 0.0649012, "bigleaf 0.8.2 (R), its output"},
		{20, 100, 0.0658416, "bigleaf 0.8.2 (R), its output"},
		{25, 100, 0.0661611, "bigleaf 0.8.2 (R), its output"},
		{45, 100, 0.0674709, "bigleaf 0.8.2 (R), its output"},
		{0, 101.325, 0.065965, "Monteith and Unsworth, p. 230, in the tests of PlantBiophysics.jl"},
		{20, 101.325, 0.067237, "Monteith and Unsworth, p. 230, in the tests of PlantBiophysics.jl"},
	} {
		near(t, row.source, air.PsychrometricKPaPerK(row.pressureKPa), row.kPaPerK, 0.025*row.kPaPerK)
	}
}
