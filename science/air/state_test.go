package air_test

import (
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/air"
)

// Runs of PsychroLib 2.5.0; the tolerances are what 0.5 % of saturation
// pressure is worth, since the library uses the ASHRAE formulation.
func TestStatesAgainstLibrary(t *testing.T) {
	fromDew := mustState(t)(air.StateFromDewPoint(25, 15, 101.325)).Describe()
	near(t, "25 °C with dew point 15 °C: RH", fromDew.RHPercent, 53.813, agreement*53.813)
	near(t, "25 °C with dew point 15 °C: W", fromDew.HumidityRatio, 0.0106475, 1.02*agreement*0.0106475)
	near(t, "25 °C with dew point 15 °C: wet bulb", fromDew.WetBulbC, 18.5037, wetToleranceK(fromDew))
	near(t, "25 °C with dew point 15 °C: dew point", fromDew.DewPointC, 15, 1e-10)

	high := mustState(t)(air.NewState(20, 50, 84.556)).Describe()
	near(t, "1500 m: W", high.HumidityRatio, 0.008722, 1.02*agreement*0.008722)
	near(t, "1500 m: wet bulb", high.WetBulbC, 13.3453, wetToleranceK(high))
	near(t, "1500 m: dew point", high.DewPointC, 9.2724, dewToleranceK(9.2724, 9.2724))

	// The same air by the psychrometer equation of FAO-56 and by ASHRAE's wet
	// bulb: 58.2 and 58.524 %, 0.6 % apart because FAO-56 rounds its a.
	wet := mustState(t)(air.StateFromWetBulb(25.6, 19.5, 87.9, air.Aspirated)).Describe()
	near(t, "FAO-56 Example 4 air: RH", wet.RHPercent, 58.524, 0.01*58.524)
	near(t, "FAO-56 Example 4 air: vapour", wet.VapourKPa, 1.92214, 0.01*1.92214)

	desert := mustState(t)(air.NewState(40, 13.979, 101.325)).Describe()
	// Chart readings: the dew point to half a degree, the rest to the last digit.
	near(t, "ASHRAE Example 1: dew point on the chart", desert.DewPointC, 7, 0.5)
	near(t, "ASHRAE Example 1: wet bulb", desert.WetBulbC, 20, wetToleranceK(desert))
	near(t, "ASHRAE Example 1: enthalpy on the chart", desert.EnthalpyKJPerKg, 56.7, 0.1)
	near(t, "ASHRAE Example 1: volume on the chart", desert.SpecificVolumeM3PerKg, 0.896, 0.0005)
	near(t, "ASHRAE Example 1: humidity ratio by the library", desert.HumidityRatio, 0.0064008, 1.02*agreement*0.0064008)
	near(t, "ASHRAE Example 1: dew point by the library", desert.DewPointC, 7.4336, dewToleranceK(7.4336, 7.4336))
	near(t, "ASHRAE Example 1: vapour by the library", desert.VapourKPa, 1.03217, agreement*1.03217)

	mild := mustState(t)(air.NewState(25, 50.681, 101.325)).Describe()
	near(t, "25 °C with wet bulb 18 °C: dew point", mild.DewPointC, 14.0722, dewToleranceK(14.0722, 14.0722))
	near(t, "25 °C with wet bulb 18 °C: wet bulb", mild.WetBulbC, 18, wetToleranceK(mild))

	cool := mustState(t)(air.NewState(7, 61, 100)).Describe()
	near(t, "7 °C, 61 %, 100 kPa: wet bulb", cool.WetBulbC, 3.92667, wetToleranceK(cool))
}

// A psychrometer with less wind on its bulb cools less, so the same reading
// means drier air.
func TestVentilationOfThePsychrometer(t *testing.T) {
	last := math.Inf(1)
	for _, ventilation := range []air.Psychrometer{air.Aspirated, air.NaturallyVentilated, air.IndoorUnventilated} {
		rh := must(t)(air.RHFromWetBulb(25.6, 19.5, 87.9, ventilation))
		if rh >= last {
			t.Errorf("%v reads %v %%, no drier than the better ventilated %v %%", ventilation, rh, last)
		}
		last = rh
	}
	// e°(19.5) − 0.0008·87.9·6.1 over e°(25.6): 2.26688 − 0.42895 = 1.83793 kPa.
	near(t, "naturally ventilated, computed independently", air.VapourKPa(25.6,
		must(t)(air.RHFromWetBulb(25.6, 19.5, 87.9, air.NaturallyVentilated))), 1.83793, 0.000005)
	near(t, "indoor, computed independently", air.VapourKPa(25.6,
		must(t)(air.RHFromWetBulb(25.6, 19.5, 87.9, air.IndoorUnventilated))), 1.62345, 0.000005)
}

// Every quantity of every state in the range is a finite number, can be
// written as JSON, and the state can be rebuilt from its dew point.
func TestDescribeIsFiniteAndRebuilds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := mustState(t)(air.NewState(anyAirC.Draw(t, "airC"), anyRHPercent.Draw(t, "rhPercent"), anyPressureKPa.Draw(t, "pressureKPa")))
		d := s.Describe()
		fields := reflect.ValueOf(d)
		for i := range fields.NumField() {
			if v := fields.Field(i).Float(); math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%s is %v", fields.Type().Field(i).Name, v)
			}
		}
		if _, err := json.Marshal(d); err != nil {
			t.Fatal(err)
		}
		if math.Abs(d.VapourKPa+d.VPDKPa-d.SaturationKPa) > 1e-14*d.SaturationKPa {
			t.Fatalf("vapour %v and deficit %v do not add up to saturation %v", d.VapourKPa, d.VPDKPa, d.SaturationKPa)
		}
		if d.DewPointC < -100 || d.DewPointC > d.AirC {
			return // too dry for any instrument, or rounded a hair past saturation
		}
		back := mustState(t)(air.StateFromDewPoint(s.AirC, d.DewPointC, s.PressureKPa))
		if math.Abs(back.RHPercent-s.RHPercent) > 1e-9 {
			t.Fatalf("%v %% comes back as %v %%", s.RHPercent, back.RHPercent)
		}
	})
}

func TestErrorsNameQuantityValueAndRange(t *testing.T) {
	nan := math.NaN()
	valueError := func(_ float64, err error) error { return err }
	stateError := func(_ air.State, err error) error { return err }
	for _, row := range []struct {
		err   error
		words string
	}{
		{stateError(air.NewState(61, 50, 101.3)), "air temperature 61 °C is outside -40 to 60 °C"},
		{stateError(air.NewState(nan, 50, 101.3)), "air temperature NaN °C"},
		{stateError(air.NewState(20, 100.5, 101.3)), "relative humidity 100.5 % is outside 0 to 100 %"},
		{stateError(air.NewState(20, -1, 101.3)), "relative humidity -1 %"},
		{stateError(air.NewState(20, nan, 101.3)), "relative humidity NaN %"},
		{stateError(air.NewState(20, 50, 1013)), "air pressure 1013 kPa is outside 50 to 110 kPa"},
		{stateError(air.StateFromDewPoint(20, 21, 101.3)), "dew point 21 °C is outside -100 to 20 °C"},
		{stateError(air.StateFromDewPoint(20, 10, 0)), "air pressure 0 kPa"},
		{stateError(air.StateFromDewPoint(-41, -45, 101.3)), "air temperature -41 °C"},
		{stateError(air.StateFromWetBulb(20, 20.5, 101.3, air.Aspirated)), "wet bulb 20.5 °C is outside -60 to 20 °C"},
		{stateError(air.StateFromWetBulb(30, 5, 101.3, air.Aspirated)), "relative humidity by wet bulb -"},
		{stateError(air.StateFromWetBulb(70, 5, 101.3, air.Aspirated)), "air temperature 70 °C"},
		{stateError(air.StateFromWetBulb(30, 25, 10, air.Aspirated)), "air pressure 10 kPa"},
		{valueError(air.PressureKPa(9001)), "altitude 9001 m is outside -500 to 9000 m"},
		{valueError(air.PressureASHRAEKPa(-501)), "altitude -501 m"},
		{valueError(air.RHForVPD(20, 2.4)), "vapour pressure deficit 2.4 kPa is outside 0 to 2.3"},
		{valueError(air.RHForVPD(20, -0.1)), "vapour pressure deficit -0.1 kPa"},
		{valueError(air.RHForVPD(99, 1)), "air temperature 99 °C"},
		{valueError(air.RHForLeafVPD(99, 20, 1)), "leaf temperature 99 °C"},
		{valueError(air.RHForLeafVPD(25, 20, 0.5)), "vapour pressure deficit 0.5 kPa is outside 0.8"},
	} {
		var outside *air.RangeError
		if !errors.As(row.err, &outside) {
			t.Errorf("want a range error with %q, got %v", row.words, row.err)
		} else if !strings.Contains(row.err.Error(), row.words) {
			t.Errorf("error %q does not say %q", row.err, row.words)
		}
	}
	if err := valueError(air.RHFromWetBulb(20, 15, 101.3, air.Psychrometer(9))); err == nil || !strings.Contains(err.Error(), "psychrometer 9") {
		t.Errorf("unknown psychrometer gives %v", err)
	}
}
