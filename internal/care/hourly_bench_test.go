package care_test

import (
	"testing"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/leaf"
	"velamen/science/pot"
)

// One pot, 42 days hour by hour: what the leaves lose in each hour's own
// climate, and what that and the air do to the water and salt of the pot.
func BenchmarkPotWithLeafDemand(b *testing.B) {
	const hours = 42 * 24
	tables, err := culture.Load()
	if err != nil {
		b.Fatal(err)
	}
	given := func(v float64, unit string) basis.Value { return basis.Exactly(v, unit, basis.Given, "") }
	home, err := care.FillHome(tables, care.Home{
		Container: &care.Container{NominalCm: given(12, "cm"), Material: "clay"},
		Medium:    []care.Component{{Medium: "medium bark", Parts: 7}, {Medium: "medium perlite", Parts: 3}},
	}, true)
	if err != nil {
		b.Fatal(err)
	}
	start, err := care.FreshFromBag(home, 0.2)
	if err != nil {
		b.Fatal(err)
	}
	climate := leaf.Climate{
		AirC: make([]float64, hours), RHPercent: make([]float64, hours), PPFD: make([]float64, hours), SpeedMS: make([]float64, hours),
		LightHeatJPerUmol: 0.24, PressureKPa: 101.3,
	}
	forcing := pot.Forcing{DemandML: make([]float64, hours), PotentialEvaporationMM: make([]float64, hours), RHPercent: climate.RHPercent}
	for h := range hours {
		// Every hour differs from every other, as measured ones do.
		wobble := float64(h*7919%1000) / 1000
		climate.AirC[h], climate.RHPercent[h], climate.SpeedMS[h] = 17+wobble, 65+5*wobble, 0.1+0.2*wobble
		if hour := h % 24; hour >= 6 && hour < 18 {
			climate.AirC[h], climate.RHPercent[h], climate.PPFD[h] = 26+wobble, 50+5*wobble, 150+100*wobble
		}
		forcing.PotentialEvaporationMM[h] = (1 + wobble) / 24
	}
	stomata, err := leaf.Phalaenopsis.Stomata(true)
	if err != nil {
		b.Fatal(err)
	}
	var pours []pot.Pour
	for hour := 8; hour < hours; hour += 72 {
		pours = append(pours, pot.Pour{Hour: hour, ML: 300, ECmS: 0.05})
	}
	out := pot.Series{Wetness: make([]float64, hours), ECmS: make([]float64, hours)}
	b.ReportAllocs()
	for b.Loop() {
		if err := leaf.HourlyLossGM2(forcing.DemandML, stomata, 0.08, climate); err != nil {
			b.Fatal(err)
		}
		for h := range forcing.DemandML {
			forcing.DemandML[h] *= 0.06 // m² of leaf
		}
		if _, err := pot.Simulate(home, start, forcing, pours, out); err != nil {
			b.Fatal(err)
		}
	}
}
