package leaf_test

import (
	"fmt"

	"velamen/science/leaf"
)

// A Phalaenopsis leaf 8 cm wide, at night and in a bright hour, in still air.
func ExampleSolve() {
	night := leaf.Surroundings{AirC: 18, RHPercent: 65, PressureKPa: 101.3, SpeedMS: 0.1}
	noon := leaf.Surroundings{AirC: 28, RHPercent: 45, PressureKPa: 101.3, SpeedMS: 0.1, AbsorbedWM2: 48}

	open := leaf.Leaf{WidthM: 0.08, StomatalMol: 0.028, CuticularMol: 0.002}
	shut := leaf.Leaf{WidthM: 0.08, CuticularMol: 0.002}
	for _, c := range []struct {
		name   string
		leaf   leaf.Leaf
		around leaf.Surroundings
	}{{"night", open, night}, {"noon", shut, noon}} {
		r, err := leaf.Solve(c.leaf, c.around)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: leaf %.1f °C, leaf to air %.2f kPa, %.1f g/m² per hour\n", c.name, r.LeafC, r.LeafVPDKPa, r.TranspirationGPerM2H)
	}
	// Output:
	// night: leaf 17.6 °C, leaf to air 0.68 kPa, 11.4 g/m² per hour
	// noon: leaf 30.0 °C, leaf to air 2.54 kPa, 3.2 g/m² per hour
}

// The closed form gives nearly the same, several times faster.
func ExamplePenmanMonteith() {
	r, err := leaf.PenmanMonteith(
		leaf.Leaf{WidthM: 0.08, CuticularMol: 0.002},
		leaf.Surroundings{AirC: 28, RHPercent: 45, PressureKPa: 101.3, SpeedMS: 0.1, AbsorbedWM2: 48})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("leaf %.1f °C, %.1f g/m² per hour\n", r.LeafC, r.TranspirationGPerM2H)
	// Output: leaf 30.0 °C, 3.2 g/m² per hour
}

// From a still room to 1 m/s the boundary layer's conductance quadruples, but it
// is not what holds an orchid's water back.
func ExampleBoundaryLayer() {
	d := leaf.CharacteristicM(0.08)
	for _, speed := range []float64{0, 0.1, 1} {
		fmt.Printf("%.1f m/s: %.2f mol/(m² s) of vapour\n", speed, leaf.BoundaryLayer(d, speed, 1, 101.3).VapourMol)
	}
	// Output:
	// 0.0 m/s: 0.15 mol/(m² s) of vapour
	// 0.1 m/s: 0.20 mol/(m² s) of vapour
	// 1.0 m/s: 0.61 mol/(m² s) of vapour
}

// What a day costs a CAM and a thin C3 leaf, and when.
func ExampleDailyLoss() {
	climate := leaf.Climate{LightHeatJPerUmol: 0.24, PressureKPa: 101.3}
	for hour := range 24 {
		airC, rhPercent, ppfd := 18.0, 65.0, 0.0
		if hour >= 7 && hour < 19 {
			airC, rhPercent, ppfd = 28, 45, 150
		}
		climate.AirC = append(climate.AirC, airC)
		climate.RHPercent = append(climate.RHPercent, rhPercent)
		climate.PPFD = append(climate.PPFD, ppfd)
		climate.SpeedMS = append(climate.SpeedMS, 0.1)
	}
	for _, class := range []leaf.Class{leaf.Phalaenopsis, leaf.ThinC3} {
		stomata, err := class.Stomata(false)
		if err != nil {
			fmt.Println(err)
			return
		}
		day, err := leaf.DailyLoss(stomata, 0.06, climate)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %.0f g/m² a day, %.0f in light, %.0f in the dark\n", stomata.Photosynthesis, day.LossGM2, day.LightLossGM2, day.DarkLossGM2)
	}
	// Output:
	// CAM: 189 g/m² a day, 37 in light, 152 in the dark
	// C3: 646 g/m² a day, 613 in light, 32 in the dark
}

// Hour by hour, into a slice that the caller keeps.
func ExampleHourlyLossGM2() {
	stomata, err := leaf.Phalaenopsis.Stomata(true)
	if err != nil {
		fmt.Println(err)
		return
	}
	loss := make([]float64, 4)
	err = leaf.HourlyLossGM2(loss, stomata, 0.08, leaf.Climate{
		AirC:              []float64{27, 26, 22, 20},
		RHPercent:         []float64{50, 52, 60, 65},
		PPFD:              []float64{120, 60, 0, 0},
		SpeedMS:           []float64{0.1, 0.1, 0.1, 0.1},
		LightHeatJPerUmol: 0.17,
		PressureKPa:       101.3,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f g/m²\n", loss)
	// Output: [14 12 16 14] g/m²
}

// A rootless Phalaenopsis with 500 cm² of leaves, and the same plant in
// moister air.
func ExamplePatienceDays() {
	plant := []leaf.Part{{Organ: leaf.ThickCAMLeaf, AreaM2: 0.05}}
	for _, vpdKPa := range []float64{1.0, 0.5} {
		days, err := leaf.PatienceDays(plant, vpdKPa, 101.3)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.1f kPa: %.0f days (%.0f to %.0f), %v\n", vpdKPa, days.Value, days.Low, days.High, days.Grade)
	}
	// Output:
	// 1.0 kPa: 36 days (15 to 85), assumption
	// 0.5 kPa: 73 days (31 to 170), assumption
}

// A pocket-calculator check: 30 mmol at 1 kPa over a night of 12 hours.
func ExampleFreeLossGM2() {
	grams, err := leaf.FreeLossGM2(0.030, 1.0, 101.3, 12)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f g/m²\n", grams)
	// Output: 230 g/m²
}
