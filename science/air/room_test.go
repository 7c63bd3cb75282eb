package air_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/air"
)

const seaLevelKPa = 101.325

// Computed independently with PsychroLib 2.5.0, which takes relative humidity
// over ice below 0 °C and uses the ASHRAE saturation pressure. Given the same
// vapour, this package must agree to half a unit of the last digit; given the
// same relative humidity, within what 0.5 % in both saturation pressures
// explains. The row with frost outside can only be compared by its vapour.
func TestHumidifierFigures(t *testing.T) {
	sameVapour := func(airC, rhPercent float64) air.State {
		rh := rhPercent * air.SaturationASHRAEKPa(airC) / air.SaturationKPa(airC)
		return mustState(t)(air.NewState(airC, rh, seaLevelKPa))
	}
	for _, row := range []struct {
		name              string
		room              air.Room
		insideC, insideRH float64
		outC, outRH       float64
		litres, tolerance float64
	}{
		{"spare room", air.Room{VolumeM3: 30, AirChangesPerHour: 0.5}, 22, 60, 5, 80, 2.37, 0.005},
		{"draughty spare room", air.Room{VolumeM3: 30, AirChangesPerHour: 1}, 22, 60, 5, 80, 4.73, 0.005},
		{"tight room, freezing outside", air.Room{VolumeM3: 30, AirChangesPerHour: 0.35}, 22, 60, 0, 80, 2.04, 0.005},
		{"larger room, frost outside", air.Room{VolumeM3: 60, AirChangesPerHour: 0.5}, 20, 50, -5, 80, 4.53, 0.005},
		{"closed glass case in a room", air.Room{VolumeM3: 0.5, AirChangesPerHour: 1}, 24, 80, 22, 45, 0.11, 0.005},
		{"open glass case in a room", air.Room{VolumeM3: 0.5, AirChangesPerHour: 10}, 24, 80, 22, 45, 1.06, 0.005},
	} {
		inside, outside := sameVapour(row.insideC, row.insideRH), sameVapour(row.outC, row.outRH)
		near(t, row.name, must(t)(row.room.HumidifierLitresPerDay(inside, outside)), row.litres, row.tolerance)
		if row.outC < 0 {
			continue
		}
		share := agreement * (inside.HumidityRatio() + outside.HumidityRatio()) / (inside.HumidityRatio() - outside.HumidityRatio())
		inside = mustState(t)(air.NewState(row.insideC, row.insideRH, seaLevelKPa))
		outside = mustState(t)(air.NewState(row.outC, row.outRH, seaLevelKPa))
		near(t, row.name+", same RH", must(t)(row.room.HumidifierLitresPerDay(inside, outside)), row.litres, row.tolerance+share*row.litres)
	}

	from := mustState(t)(air.NewState(22, 40, seaLevelKPa))
	to := mustState(t)(air.NewState(22, 60, seaLevelKPa))
	near(t, "once from 40 to 60 %", must(t)(air.Room{VolumeM3: 30}.LitresToRaise(from, to)), 0.118, 0.0005)
	near(t, "cooling by 0.0986 kg/h", air.EvaporativeCoolingW(24*0.0986), 67, 0.5)
}

func TestHumidifierLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPressureKPa.Draw(t, "pressureKPa")
		inside := mustState(t)(air.NewState(anyAirC.Draw(t, "insideC"), anyRHPercent.Draw(t, "insideRH"), p))
		outside := mustState(t)(air.NewState(anyAirC.Draw(t, "outsideC"), anyRHPercent.Draw(t, "outsideRH"), p))
		room := air.Room{VolumeM3: rapid.Float64Range(0.1, 1000).Draw(t, "m³"), AirChangesPerHour: rapid.Float64Range(0.01, 10).Draw(t, "1/h")}
		litres, err := room.HumidifierLitresPerDay(inside, outside)
		if err != nil {
			t.Fatal(err)
		}
		if wetter := outside.HumidityRatio() >= inside.HumidityRatio(); wetter != (litres == 0) {
			t.Fatalf("outside at least as wet: %v, yet %v L/day", wetter, litres)
		}
		back, err := room.HumidifierLitresPerDay(outside, inside)
		if err != nil {
			t.Fatal(err)
		}
		if litres > 0 && back > 0 {
			t.Fatalf("water is needed both ways: %v and %v L/day", litres, back)
		}
		double := air.Room{VolumeM3: 2 * room.VolumeM3, AirChangesPerHour: room.AirChangesPerHour / 2}
		same, err := double.HumidifierLitresPerDay(inside, outside)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(same-litres) > 1e-12*litres {
			t.Fatalf("twice the room at half the exchange needs %v, not %v L/day", same, litres)
		}
		// One air change replaces the room's dry air once, so a day's need is
		// the one-off rise from the outside air times the air changes in a day.
		once, err := room.LitresToRaise(outside, inside)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(once*24*room.AirChangesPerHour-litres) > 1e-12*litres {
			t.Fatalf("one-off %v L does not fit %v L/day", once, litres)
		}
	})
}

func TestRoomErrors(t *testing.T) {
	good := mustState(t)(air.NewState(20, 50, seaLevelKPa))
	high := mustState(t)(air.NewState(20, 50, 84.5))
	room := air.Room{VolumeM3: 30, AirChangesPerHour: 0.5}
	for _, row := range []struct {
		room            air.Room
		inside, outside air.State
		words           string
	}{
		{air.Room{VolumeM3: 0, AirChangesPerHour: 1}, good, good, "room volume 0 m³"},
		{air.Room{VolumeM3: 30, AirChangesPerHour: -1}, good, good, "air changes per hour -1 1/h"},
		{air.Room{VolumeM3: math.NaN(), AirChangesPerHour: 1}, good, good, "room volume NaN m³"},
		{room, air.State{}, good, "air pressure 0 kPa"},
		{room, good, air.State{AirC: 20, RHPercent: 130, PressureKPa: 101}, "relative humidity 130 %"},
		{room, good, high, "outside air pressure 84.5 kPa is outside 100.825 to 101.825 kPa"},
	} {
		_, daily := row.room.HumidifierLitresPerDay(row.inside, row.outside)
		_, once := row.room.LitresToRaise(row.outside, row.inside)
		for _, err := range []error{daily, once} {
			if err == nil || !strings.Contains(err.Error(), row.words) {
				t.Errorf("want an error with %q, got %v", row.words, err)
			}
		}
	}
}

// The inner face lies between the two airs: at the inside air when nothing
// resists there, at the outside air when everything does.
func TestGlassInnerFace(t *testing.T) {
	near(t, "no inside resistance", must(t)(air.GlassInnerC(20, -5, 5.7, 0)), 20, 0)
	near(t, "all resistance inside", must(t)(air.GlassInnerC(20, -5, 5, 0.2)), -5, 1e-12)
	// By hand: 20 − 5.7·0.13·25 = 1.475; 20 − 2.8·0.13·25 = 10.9.
	single := must(t)(air.GlassInnerC(20, -5, air.SingleGlazingU.Value, air.InsideSurfaceResistance.Value))
	double := must(t)(air.GlassInnerC(20, -5, air.DoubleGlazingU.Value, air.InsideSurfaceResistance.Value))
	near(t, "single pane, computed by hand", single, 1.475, 1e-9)
	near(t, "double pane, computed by hand", double, 10.9, 1e-9)

	valueError := func(_ float64, err error) error { return err }
	for words, err := range map[string]error{
		"inside temperature 99 °C":                 valueError(air.GlassInnerC(99, 0, 2, 0.1)),
		"outside temperature NaN °C":               valueError(air.GlassInnerC(20, math.NaN(), 2, 0.1)),
		"heat transmittance of the glass 0 W":      valueError(air.GlassInnerC(20, 0, 0, 0.1)),
		"inside surface resistance 0.6 m² K/W":     valueError(air.GlassInnerC(20, 0, 2, 0.6)),
		"inside surface resistance -0.1 m² K/W is": valueError(air.GlassInnerC(20, 0, 2, -0.1)),
	} {
		if err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("want an error with %q, got %v", words, err)
		}
	}
}

func TestCondensationStartsAtTheDewPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := mustState(t)(air.NewState(rapid.Float64Range(0, 40).Draw(t, "airC"), rapid.Float64Range(5, 99).Draw(t, "rhPercent"), seaLevelKPa))
		dewC := air.DewPointC(s.VapourKPa())
		warm, err := s.CondensationOn(dewC + 0.01)
		if err != nil {
			t.Fatal(err)
		}
		cold, err := s.CondensationOn(dewC - 0.01)
		if err != nil {
			t.Fatal(err)
		}
		// Frost may grow a little above the dew point, never dew.
		if warm.Forms && dewC+0.01 >= 0 {
			t.Fatalf("dew forms above the dew point %v °C", dewC)
		}
		if !cold.Forms {
			t.Fatalf("nothing forms below the dew point %v °C", dewC)
		}
		if cold.HighestRHPercent > s.RHPercent {
			t.Fatalf("the limit of %v %% lies above the %v %% at which it is wet", cold.HighestRHPercent, s.RHPercent)
		}
	})
}

// The limit rises with the surface temperature, also where ice takes over.
func TestCondensationLimitRisesWithTheSurface(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := mustState(t)(air.NewState(25, 50, seaLevelKPa))
		surfaceC := rapid.OneOf(rapid.Float64Range(-40, 24), rapid.Float64Range(-0.2, 0.2)).Draw(t, "surfaceC")
		here, err := s.CondensationOn(surfaceC)
		if err != nil {
			t.Fatal(err)
		}
		warmer, err := s.CondensationOn(surfaceC + 0.01)
		if err != nil {
			t.Fatal(err)
		}
		if warmer.HighestRHPercent <= here.HighestRHPercent {
			t.Fatalf("limit falls from %v to %v %% above %v °C", here.HighestRHPercent, warmer.HighestRHPercent, surfaceC)
		}
	})
	s := mustState(t)(air.NewState(25, 100, seaLevelKPa))
	if c, err := s.CondensationOn(25); err != nil || c.Forms || c.HighestRHPercent != 100 {
		t.Errorf("surface as warm as the air: %+v, %v", c, err)
	}
	if _, err := s.CondensationOn(-41); err == nil {
		t.Error("a surface of −41 °C was accepted")
	}
	if _, err := (air.State{}).CondensationOn(0); err == nil {
		t.Error("a state without pressure was accepted")
	}
}

// Frost: at −10 °C ASHRAE gives 259.9 Pa over ice and FAO-56 286.5 Pa over
// supercooled water, so air between them frosts the glass above its dew point.
func TestFrostFormsAboveTheDewPoint(t *testing.T) {
	between := 0.273 / air.SaturationKPa(20) * 100
	c, err := mustState(t)(air.NewState(20, between, seaLevelKPa)).CondensationOn(-10)
	if err != nil {
		t.Fatal(err)
	}
	if !c.Forms || c.DewPointC >= -10 {
		t.Errorf("want frost with a dew point below −10 °C, got %+v", c)
	}
}
