package growth_test

import (
	"testing"

	"velamen/science/growth"
)

var eight = entered{
	days:      []float64{0, 4, 9, 15, 16, 24, 31, 45},
	lengths:   []float64{12.0, 15.1, 18.6, 24.2, 24.6, 30.9, 36.0, 47.4},
	errorVars: repeat(0.25, 8),
}

// One root of eight readings per run.
func BenchmarkFilter(b *testing.B) {
	filter := growth.Filter{Trend: growth.Trend{RateNoise: 0.001}}
	start := growth.Unmeasured(0, weakPrior)
	b.ReportAllocs()
	for b.Loop() {
		if err := filter.Run(start, eight.days, eight.lengths, eight.errorVars); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "roots/s")
}

func BenchmarkSmooth(b *testing.B) {
	filter := growth.Filter{Trend: growth.Trend{RateNoise: 0.001}}
	if err := filter.Run(growth.Unmeasured(0, weakPrior), eight.days, eight.lengths, eight.errorVars); err != nil {
		b.Fatal(err)
	}
	var smoothed []growth.Belief
	b.ReportAllocs()
	for b.Loop() {
		smoothed = growth.Smooth(smoothed[:0], filter.Steps)
	}
}

// A plant with four roots of eight readings, from entries to verdict.
func BenchmarkPlant(b *testing.B) {
	judge := judgeOf(b, growth.PhalaenopsisRate)
	var root growth.Root
	for i, day := range eight.days {
		root.Readings = append(root.Readings, growth.Reading{Day: day, LengthMM: eight.lengths[i], ErrorMM: 0.5})
	}
	plant := []growth.Root{root, root, root, root}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := judge.Plant(plant, 45); err != nil {
			b.Fatal(err)
		}
	}
}

// A run with room from an earlier one must not allocate.
func TestFilterReusesItsRoom(t *testing.T) {
	filter := growth.Filter{Trend: growth.Trend{RateNoise: 0.001}}
	start := growth.Unmeasured(0, weakPrior)
	once := func() {
		if err := filter.Run(start, eight.days, eight.lengths, eight.errorVars); err != nil {
			t.Fatal(err)
		}
	}
	once()
	if n := testing.AllocsPerRun(100, once); n != 0 {
		t.Errorf("a run allocates %v times", n)
	}
}
