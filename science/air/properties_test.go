package air_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/air"
)

// Generators over the whole range of a State.
var (
	anyAirC        = rapid.Float64Range(air.LowestAirC, air.HighestAirC)
	anyRHPercent   = rapid.Float64Range(0, 100)
	anyPressureKPa = rapid.Float64Range(air.LowestPressureKPa, air.HighestPressureKPa)
)

func TestSaturationFormulationsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC := rapid.Float64Range(0, 50).Draw(t, "airC")
		fao, ashrae := air.SaturationKPa(airC), air.SaturationASHRAEKPa(airC)
		if math.Abs(fao-ashrae) > 0.005*ashrae {
			t.Fatalf("at %v °C FAO-56 gives %v kPa and ASHRAE %v", airC, fao, ashrae)
		}
	})
}

// The two standard atmospheres start from 20 and 15 °C at sea level. Air that is
// 5 K warmer thins out more slowly with height, by the share 5/288 of the
// exponent g·z/(R·T); at sea level they differ by 101.3 against 101.325 kPa.
func TestPressureFormulationsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		altitudeM := rapid.Float64Range(air.LowestAltitudeM, 5000).Draw(t, "altitudeM")
		fao, err := air.PressureKPa(altitudeM)
		if err != nil {
			t.Fatal(err)
		}
		ashrae, err := air.PressureASHRAEKPa(altitudeM)
		if err != nil {
			t.Fatal(err)
		}
		warmer := 9.80665 * altitudeM / (287.04 * 288.15) * 5 / 288.15
		if math.Abs(math.Log(fao/ashrae)-warmer) > 0.0005 {
			t.Fatalf("at %v m FAO-56 gives %v kPa and ASHRAE %v", altitudeM, fao, ashrae)
		}
	})
}

func TestSaturationRisesAndItsSlopeIsItsDerivative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC := anyAirC.Draw(t, "airC")
		const h = 1e-3
		slope := (air.SaturationKPa(airC+h) - air.SaturationKPa(airC-h)) / (2 * h)
		if slope <= 0 {
			t.Fatalf("saturation does not rise at %v °C", airC)
		}
		// The central difference errs by h²/6 of the third derivative, below
		// 1e-8 of the slope; rounding adds about 1e-12/h of the pressure.
		if got := air.SaturationSlopeKPaPerK(airC); math.Abs(got-slope) > 1e-7*slope {
			t.Fatalf("slope at %v °C is %v, difference quotient %v", airC, got, slope)
		}
	})
}

func TestDewPointInvertsSaturation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC := anyAirC.Draw(t, "airC")
		if got := air.DewPointC(air.SaturationKPa(airC)); math.Abs(got-airC) > 1e-10 {
			t.Fatalf("dew point of air saturated at %v °C is %v", airC, got)
		}
	})
	if dry := air.DewPointC(0); air.SaturationKPa(dry) != 0 {
		t.Errorf("dew point of dry air %v °C still has a vapour pressure of %v", dry, air.SaturationKPa(dry))
	}
}

// A day's mean saturation exceeds saturation at the mean temperature.
func TestSaturationIsConvex(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low, high := anyAirC.Draw(t, "lowestC"), anyAirC.Draw(t, "highestC")
		mean, atMean := air.MeanSaturationKPa(low, high), air.SaturationKPa((low+high)/2)
		if mean < atMean*(1-1e-14) {
			t.Fatalf("mean saturation %v kPa lies below %v kPa at the mean temperature", mean, atMean)
		}
	})
}

func TestRHForVPDInvertsVPD(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC, rh := anyAirC.Draw(t, "airC"), anyRHPercent.Draw(t, "rhPercent")
		got, err := air.RHForVPD(airC, air.VPDKPa(airC, rh))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-rh) > 1e-9 {
			t.Fatalf("%v %% at %v °C comes back as %v %%", rh, airC, got)
		}
	})
}

func TestRHForLeafVPDInvertsLeafVPD(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC, leafC := anyAirC.Draw(t, "airC"), anyAirC.Draw(t, "leafC")
		vpdKPa := rapid.Float64Range(0, 20).Draw(t, "vpdKPa")
		rh, err := air.RHForLeafVPD(leafC, airC, vpdKPa)
		reachable := air.LeafVPDKPa(leafC, airC, 100) <= vpdKPa && vpdKPa <= air.LeafVPDKPa(leafC, airC, 0)
		if reachable != (err == nil) {
			t.Fatalf("%v kPa can be reached: %v, but the error is %v", vpdKPa, reachable, err)
		}
		if err == nil && math.Abs(air.LeafVPDKPa(leafC, airC, rh)-vpdKPa) > 1e-12*air.SaturationKPa(leafC)+1e-12*air.SaturationKPa(airC) {
			t.Fatalf("%v %% gives %v kPa, want %v", rh, air.LeafVPDKPa(leafC, airC, rh), vpdKPa)
		}
	})
}

func TestLeafAtAirTemperatureHasTheAirsDeficit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC, rh := anyAirC.Draw(t, "airC"), anyRHPercent.Draw(t, "rhPercent")
		if leaf, own := air.LeafVPDKPa(airC, airC, rh), air.VPDKPa(airC, rh); math.Abs(leaf-own) > 1e-14*air.SaturationKPa(airC) {
			t.Fatalf("leaf deficit %v, air deficit %v", leaf, own)
		}
	})
}

func TestWetBulbLiesBetweenDewPointAndAir(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC, rh, p := anyAirC.Draw(t, "airC"), anyRHPercent.Draw(t, "rhPercent"), anyPressureKPa.Draw(t, "pressureKPa")
		wet, dew := air.WetBulbC(airC, rh, p), air.DewPointC(air.VapourKPa(airC, rh))
		if !(dew-1e-8 <= wet && wet <= airC+1e-8) {
			t.Fatalf("wet bulb %v outside dew point %v to air %v °C", wet, dew, airC)
		}
		if rh < 99.9 && air.WetBulbC(airC, rh+0.1, p) <= wet {
			t.Fatalf("wet bulb does not rise with humidity at %v °C, %v %%", airC, rh)
		}
	})
}

func TestWetBulbOfSaturatedAirIsItsTemperature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC, p := anyAirC.Draw(t, "airC"), anyPressureKPa.Draw(t, "pressureKPa")
		if wet := air.WetBulbC(airC, 100, p); math.Abs(wet-airC) > 1e-9 {
			t.Fatalf("saturated air of %v °C has a wet bulb of %v °C", airC, wet)
		}
	})
}

// Equation 33 as the handbook prints it, not the multiplied form that is solved.
func TestWetBulbSatisfiesTheHandbookEquation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC, rh, p := anyAirC.Draw(t, "airC"), anyRHPercent.Draw(t, "rhPercent"), anyPressureKPa.Draw(t, "pressureKPa")
		wet := air.WetBulbC(airC, rh, p)
		saturated := air.HumidityRatio(air.SaturationKPa(wet), p)
		ratio := ((2501-2.326*wet)*saturated - 1.006*(airC-wet)) / (2501 + 1.86*airC - 4.186*wet)
		if want := air.HumidityRatio(air.VapourKPa(airC, rh), p); math.Abs(ratio-want) > 1e-11 {
			t.Fatalf("wet bulb %v °C belongs to a ratio of %v, the air has %v", wet, ratio, want)
		}
	})
}

// An aspirated psychrometer is built to read the thermodynamic wet bulb. FAO-56
// fixes its coefficient, while the latent heat in the thermodynamic equation
// falls with temperature, so the vapour they subtract for the same depression
// differs by up to 5 %, most in cold dry air.
func TestAspiratedPsychrometerReadsTheThermodynamicWetBulb(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC := rapid.Float64Range(0, 40).Draw(t, "airC")
		rh := rapid.Float64Range(10, 99).Draw(t, "rhPercent")
		wet := air.WetBulbC(airC, rh, 101.3)
		got, err := air.RHFromWetBulb(airC, wet, 101.3, air.Aspirated)
		if err != nil {
			t.Fatal(err)
		}
		subtractedKPa := air.AspiratedCoefficient.Value * 101.3 * (airC - wet)
		if off := air.VapourKPa(airC, got) - air.VapourKPa(airC, rh); math.Abs(off) > 0.05*subtractedKPa {
			t.Fatalf("%v %% at %v °C reads %v %%", rh, airC, got)
		}
	})
}

func TestDampAirIsLighterAndHoldsMoreHeat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC, p := anyAirC.Draw(t, "airC"), anyPressureKPa.Draw(t, "pressureKPa")
		dry := rapid.Float64Range(0, 99).Draw(t, "dryRHPercent")
		damp := dry + 1
		dryRatio, dampRatio := air.HumidityRatio(air.VapourKPa(airC, dry), p), air.HumidityRatio(air.VapourKPa(airC, damp), p)
		if air.DensityKgPerM3(airC, dampRatio, p) >= air.DensityKgPerM3(airC, dryRatio, p) {
			t.Fatal("damp air is not lighter")
		}
		if air.EnthalpyKJPerKg(airC, dampRatio) <= air.EnthalpyKJPerKg(airC, dryRatio) {
			t.Fatal("damp air does not hold more heat")
		}
	})
}

// Vapour per volume must equal vapour per dry air over volume per dry air. The
// two routes use 0.621945·461.51 = 287.04 and 287.042 J/(kg·K), which agree to 1e-4.
func TestAbsoluteHumidityClosesWithTheMixture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		airC, rh, p := anyAirC.Draw(t, "airC"), anyRHPercent.Draw(t, "rhPercent"), anyPressureKPa.Draw(t, "pressureKPa")
		vapour := air.VapourKPa(airC, rh)
		ratio := air.HumidityRatio(vapour, p)
		direct, byMixture := air.AbsoluteHumidityGPerM3(airC, vapour), 1000*ratio/air.SpecificVolumeM3PerKg(airC, ratio, p)
		if math.Abs(direct-byMixture) > 1e-4*direct {
			t.Fatalf("absolute humidity %v g/m³, by the mixture %v", direct, byMixture)
		}
	})
}

func TestPressureFallsWithAltitude(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		altitudeM := rapid.Float64Range(air.LowestAltitudeM, air.HighestAltitudeM-1).Draw(t, "altitudeM")
		below, err := air.PressureKPa(altitudeM)
		if err != nil {
			t.Fatal(err)
		}
		above, err := air.PressureKPa(altitudeM + 1)
		if err != nil {
			t.Fatal(err)
		}
		if above >= below {
			t.Fatalf("pressure does not fall above %v m", altitudeM)
		}
	})
}

func TestHotPathDoesNotAllocate(t *testing.T) {
	var sink float64
	allocations := testing.AllocsPerRun(100, func() {
		sink += air.SaturationKPa(25) + air.SaturationSlopeKPaPerK(25) + air.VPDKPa(25, 50) +
			air.LeafVPDKPa(26, 25, 50) + air.DewPointC(1.5) + air.PsychrometricKPaPerK(101.3) +
			air.WetBulbC(25, 50, 101.3) + air.HumidityRatio(1.5, 101.3)
	})
	if allocations != 0 || math.IsNaN(sink) {
		t.Errorf("the hot path allocates %v times (sum %v)", allocations, sink)
	}
}
