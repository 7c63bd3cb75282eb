package pest_test

import (
	"math"
	"testing"

	"velamen/science/pest"
)

// yearOfDays is a temperate year that crosses both thresholds.
func yearOfDays() (minC, maxC []float64) {
	for day := range 365 {
		meanC := 16 - 10*math.Cos(2*math.Pi*float64(day)/365)
		minC, maxC = append(minC, meanC-6), append(maxC, meanC+8)
	}
	return minC, maxC
}

func BenchmarkAccumulateYear(b *testing.B) {
	minC, maxC := yearOfDays()
	running, th := make([]float64, len(minC)), pest.Thresholds{LowerC: 12.5, UpperC: 30}
	b.ReportAllocs()
	for b.Loop() {
		if err := pest.Accumulate(running, minC, maxC, th); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFromSamplesYearOfHours(b *testing.B) {
	hourlyC := make([]float64, 365*24)
	for hour := range hourlyC {
		hourlyC[hour] = 18 - 6*math.Cos(2*math.Pi*float64(hour)/24)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := pest.FromSamples(hourlyC, 24, pest.Thresholds{LowerC: 12.5, UpperC: 30}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAfterTreatment(b *testing.B) {
	cycle, coming := mite(), steady(18, 90)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := pest.AfterTreatment(cycle, coming); err != nil {
			b.Fatal(err)
		}
	}
}

func TestAccumulateDoesNotAllocate(t *testing.T) {
	minC, maxC := yearOfDays()
	running := make([]float64, len(minC))
	if n := testing.AllocsPerRun(10, func() {
		if err := pest.Accumulate(running, minC, maxC, pest.Above(12.5)); err != nil {
			t.Error(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
