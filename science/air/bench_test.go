package air_test

import (
	"testing"

	"velamen/science/air"
)

// A year of hours, as the engine sees them.
func yearOfAirC() []float64 {
	airC := make([]float64, 8760)
	for i := range airC {
		airC[i] = 15 + float64(i%24)*0.5
	}
	return airC
}

func BenchmarkSaturationKPa(b *testing.B) {
	airC := yearOfAirC()
	var sum float64
	i := 0
	for b.Loop() {
		sum += air.SaturationKPa(airC[i])
		if i++; i == len(airC) {
			i = 0
		}
	}
	_ = sum
}

func BenchmarkWetBulbC(b *testing.B) {
	airC := yearOfAirC()
	var sum float64
	i := 0
	for b.Loop() {
		sum += air.WetBulbC(airC[i], 55, 101.3)
		if i++; i == len(airC) {
			i = 0
		}
	}
	_ = sum
}

func BenchmarkDescribe(b *testing.B) {
	state := air.State{AirC: 22, RHPercent: 55, PressureKPa: 101.3}
	var sum float64
	for b.Loop() {
		sum += state.Describe().WetBulbC
	}
	_ = sum
}
