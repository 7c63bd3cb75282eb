package air_test

import (
	"testing"

	"velamen/internal/checktable"
	"velamen/science/air"
)

func TestFAO56Tables(t *testing.T) {
	compute := map[string]func(t *testing.T, input float64) float64{
		"pressure": func(t *testing.T, altitudeM float64) float64 {
			return must(t)(air.PressureKPa(altitudeM))
		},
		"psychrometric": func(t *testing.T, altitudeM float64) float64 {
			return air.PsychrometricKPaPerK(must(t)(air.PressureKPa(altitudeM)))
		},
		"saturation": func(_ *testing.T, airC float64) float64 { return air.SaturationKPa(airC) },
		"slope":      func(_ *testing.T, airC float64) float64 { return air.SaturationSlopeKPaPerK(airC) },
		"saturated-g-per-m3": func(_ *testing.T, airC float64) float64 {
			return air.AbsoluteHumidityGPerM3(airC, air.SaturationKPa(airC))
		},
	}
	checkTable(t, "fao56.csv", compute)
}

func TestASHRAETables(t *testing.T) {
	const seaLevelKPa = 101.325
	saturatedRatio := func(airC float64) float64 {
		return air.HumidityRatio(air.SaturationASHRAEKPa(airC), seaLevelKPa)
	}
	compute := map[string]func(t *testing.T, input float64) float64{
		"saturation-pa":   func(_ *testing.T, airC float64) float64 { return 1000 * air.SaturationASHRAEKPa(airC) },
		"saturated-ratio": func(_ *testing.T, airC float64) float64 { return saturatedRatio(airC) },
		"saturated-j-per-kg": func(_ *testing.T, airC float64) float64 {
			return 1000 * air.EnthalpyKJPerKg(airC, saturatedRatio(airC))
		},
		"dry-volume": func(_ *testing.T, airC float64) float64 { return air.SpecificVolumeM3PerKg(airC, 0, seaLevelKPa) },
		"pressure-pa": func(t *testing.T, altitudeM float64) float64 {
			return 1000 * must(t)(air.PressureASHRAEKPa(altitudeM))
		},
	}
	checkTable(t, "ashrae.csv", compute)
}

func checkTable(t *testing.T, name string, compute map[string]func(*testing.T, float64) float64) {
	used := map[string]int{}
	for _, row := range checktable.Rows(t, name) {
		quantity := row["quantity"]
		f, known := compute[quantity]
		if !known {
			t.Fatalf("%s holds the unknown quantity %q", name, quantity)
		}
		used[quantity]++
		near(t, quantity+" at "+row["input"]+" ("+row["source"]+")",
			f(t, row.Number(t, "input")), row.Number(t, "expected"), row.Number(t, "tolerance"))
	}
	for quantity := range compute {
		if used[quantity] == 0 {
			t.Errorf("%s has no row for %q", name, quantity)
		}
	}
}

// The equations of moist air, fed with the ASHRAE saturation pressure, must
// reproduce the library's figures to half a unit of their last digit.
func TestMoistAirWithASHRAESaturation(t *testing.T) {
	const pressureKPa = 101.325
	for _, row := range checktable.Rows(t, "moist-air.csv") {
		at := row["airC"] + " °C " + row["rhPercent"] + " %: "
		airC := row.Number(t, "airC")
		saturationKPa := air.SaturationASHRAEKPa(airC)
		vapourKPa := saturationKPa * row.Number(t, "rhPercent") / 100
		ratio := air.HumidityRatio(vapourKPa, pressureKPa)
		near(t, at+"saturation", 1000*saturationKPa, row.Number(t, "saturationPa"), 0.005)
		near(t, at+"vapour", 1000*vapourKPa, row.Number(t, "vapourPa"), 0.005)
		near(t, at+"deficit", 1000*(saturationKPa-vapourKPa), row.Number(t, "vpdPa"), 0.005)
		near(t, at+"humidity ratio", ratio, row.Number(t, "humidityRatio"), 0.0000005)
		near(t, at+"enthalpy", 1000*air.EnthalpyKJPerKg(airC, ratio), row.Number(t, "enthalpyJPerKg"), 0.05)
		near(t, at+"density", air.DensityKgPerM3(airC, ratio, pressureKPa), row.Number(t, "densityKgPerM3"), 0.000005)
		near(t, at+"volume", air.SpecificVolumeM3PerKg(airC, ratio, pressureKPa), row.Number(t, "volumeM3PerKg"), 0.000005)

		// How far, in kelvin, the wet bulb of this package would move from the
		// library's. The library stops its bisection at 0.001 K.
		near(t, at+"wet bulb error", wetBulbErrorK(airC, row.Number(t, "wetBulbC"), ratio, pressureKPa), 0, 0.001)
		// The library stops its Newton steps at 0.001 K too.
		dewKPa := air.SaturationASHRAEKPa(row.Number(t, "dewPointC"))
		near(t, at+"dew point error", (dewKPa-vapourKPa)/air.SaturationSlopeKPaPerK(row.Number(t, "dewPointC")), 0, 0.001)
	}
}

// wetBulbErrorK returns the length of the Newton step that would carry wetC to
// the solution, with the ASHRAE saturation pressure.
func wetBulbErrorK(airC, wetC, ratio, pressureKPa float64) float64 {
	saturatedRatio := func(c float64) float64 { return air.HumidityRatio(air.SaturationASHRAEKPa(c), pressureKPa) }
	const h = 1e-4
	saturatedSlope := (saturatedRatio(wetC+h) - saturatedRatio(wetC-h)) / (2 * h)
	imbalance, slope := air.WetBulbImbalance(airC, wetC, ratio, saturatedRatio(wetC), saturatedSlope)
	return imbalance / slope
}

// The engine's path, with FAO-56 saturation, must differ from the library by no
// more than 0.5 % in saturation pressure explains: the agreement promised in
// the package documentation.
func TestEngineAgainstLibrary(t *testing.T) {
	const pressureKPa = 101.325
	for _, row := range checktable.Rows(t, "moist-air.csv") {
		state := mustState(t)(air.NewState(row.Number(t, "airC"), row.Number(t, "rhPercent"), pressureKPa))
		got, at := state.Describe(), row["airC"]+" °C "+row["rhPercent"]+" %: "
		near(t, at+"saturation", 1000*got.SaturationKPa, row.Number(t, "saturationPa"), agreement*row.Number(t, "saturationPa"))
		near(t, at+"vapour", 1000*got.VapourKPa, row.Number(t, "vapourPa"), agreement*row.Number(t, "vapourPa"))
		near(t, at+"deficit", 1000*got.VPDKPa, row.Number(t, "vpdPa"), agreement*row.Number(t, "vpdPa"))
		ratioTolerance := agreement * got.HumidityRatio * pressureKPa / (pressureKPa - got.VapourKPa)
		near(t, at+"humidity ratio", got.HumidityRatio, row.Number(t, "humidityRatio"), ratioTolerance)
		near(t, at+"enthalpy", 1000*got.EnthalpyKJPerKg, row.Number(t, "enthalpyJPerKg"), 1000*(2501+1.86*got.AirC)*ratioTolerance)
		near(t, at+"density", got.DensityKgPerM3, row.Number(t, "densityKgPerM3"), 0.608*ratioTolerance*got.DensityKgPerM3+0.000005)
		near(t, at+"volume", got.SpecificVolumeM3PerKg, row.Number(t, "volumeM3PerKg"), 1.608*ratioTolerance*got.SpecificVolumeM3PerKg+0.000005)
		near(t, at+"dew point", got.DewPointC, row.Number(t, "dewPointC"), dewToleranceK(got.DewPointC, got.DewPointC))
		near(t, at+"wet bulb", got.WetBulbC, row.Number(t, "wetBulbC"), wetToleranceK(got))
	}
}
