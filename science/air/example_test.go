package air_test

import (
	"fmt"

	"velamen/science/air"
	"velamen/science/basis"
)

// FAO-56 Example 3: saturation on a day between 15 and 24.5 °C.
func ExampleMeanSaturationKPa() {
	fmt.Printf("e°(24.5) = %.3f kPa, e°(15) = %.3f kPa\n", air.SaturationKPa(24.5), air.SaturationKPa(15))
	fmt.Printf("mean of the day %.2f kPa, at the mean temperature only %.2f kPa\n",
		air.MeanSaturationKPa(15, 24.5), air.SaturationKPa(19.75))
	// Output:
	// e°(24.5) = 3.075 kPa, e°(15) = 1.705 kPa
	// mean of the day 2.39 kPa, at the mean temperature only 2.30 kPa
}

// FAO-56 Example 4: a psychrometer with a fan at 1200 m reads 25.6 °C dry and
// 19.5 °C wet.
func ExampleRHFromWetBulb() {
	pressureKPa, err := air.PressureKPa(1200)
	if err != nil {
		fmt.Println(err)
		return
	}
	rhPercent, err := air.RHFromWetBulb(25.6, 19.5, pressureKPa, air.Aspirated)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("P = %.1f kPa, ea = %.2f kPa, RH = %.1f %%\n", pressureKPa, air.VapourKPa(25.6, rhPercent), rhPercent)
	// Output: P = 87.9 kPa, ea = 1.91 kPa, RH = 58.2 %
}

// A leaf that the sun has warmed 3 K above the air loses water to a much larger
// deficit than the air's own.
func ExampleLeafVPDKPa() {
	fmt.Printf("air %.2f kPa, leaf at 28 °C %.2f kPa\n", air.VPDKPa(25, 60), air.LeafVPDKPa(28, 25, 60))
	// Output: air 1.27 kPa, leaf at 28 °C 1.88 kPa
}

// The humidity that holds a deficit of 0.4 kPa, and a deficit no air can have.
func ExampleRHForVPD() {
	for _, airC := range []float64{18, 20, 22, 25} {
		rhPercent, err := air.RHForVPD(airC, 0.4)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%g °C: %.0f %%\n", airC, rhPercent)
	}
	_, err := air.RHForVPD(18, 2.5)
	fmt.Println(err)
	// Output:
	// 18 °C: 81 %
	// 20 °C: 83 %
	// 22 °C: 85 %
	// 25 °C: 87 %
	// air: vapour pressure deficit 2.5 kPa is outside 0 to 2.06399 kPa
}

func ExampleState_Describe() {
	state, err := air.NewState(22, 55, 101.325)
	if err != nil {
		fmt.Println(err)
		return
	}
	d := state.Describe()
	fmt.Printf("VPD %.2f kPa, dew point %.1f °C, wet bulb %.1f °C\n", d.VPDKPa, d.DewPointC, d.WetBulbC)
	fmt.Printf("%.1f g water per m³, %.1f kJ per kg dry air\n", d.AbsoluteHumidityGPerM3, d.EnthalpyKJPerKg)
	// Output:
	// VPD 1.19 kPa, dew point 12.5 °C, wet bulb 16.2 °C
	// 10.7 g water per m³, 45.2 kJ per kg dry air
}

// How much water a humidifier needs in a spare room of 30 m³ in winter, with
// the range that unmeasured air changes leave open.
func ExampleRoom_HumidifierLitresPerDay() {
	inside, err := air.NewState(22, 60, 101.325)
	if err != nil {
		fmt.Println(err)
		return
	}
	outside, err := air.NewState(5, 80, 101.325)
	if err != nil {
		fmt.Println(err)
		return
	}
	perDay := func(airChanges []float64) float64 {
		litres, err := air.Room{VolumeM3: 30, AirChangesPerHour: airChanges[0]}.HumidifierLitresPerDay(inside, outside)
		if err != nil {
			fmt.Println(err)
		}
		return litres
	}
	changes := air.HomeAirChangesPerHour
	low, high := basis.Spread(perDay, changes)
	fmt.Printf("%.1f L/day (%.1f to %.1f), cooling the air by %.0f W\n",
		perDay([]float64{changes.Value}), low, high, air.EvaporativeCoolingW(perDay([]float64{changes.Value})))
	// Output: 3.4 L/day (1.7 to 5.3), cooling the air by 95 W
}

// Whether that humidity will run down the windows at 5 °C outside.
func ExampleState_CondensationOn() {
	inside, err := air.NewState(22, 60, 101.325)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, window := range []struct {
		name string
		u    basis.Value
	}{{"single pane", air.SingleGlazingU}, {"double pane", air.DoubleGlazingU}} {
		glassC, err := air.GlassInnerC(22, 5, window.u.Value, air.InsideSurfaceResistance.Value)
		if err != nil {
			fmt.Println(err)
			return
		}
		c, err := inside.CondensationOn(glassC)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s at %.1f °C, dew point %.1f °C: condensation %v, dry up to %.0f %%\n",
			window.name, c.SurfaceC, c.DewPointC, c.Forms, c.HighestRHPercent)
	}
	// Output:
	// single pane at 9.4 °C, dew point 13.9 °C: condensation true, dry up to 45 %
	// double pane at 15.8 °C, dew point 13.9 °C: condensation false, dry up to 68 %
}
