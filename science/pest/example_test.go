package pest_test

import (
	"fmt"
	"time"

	"velamen/science/basis"
	"velamen/science/pest"
)

// One autumn day on a glazed balcony, 8 to 20 °C, for a mite that develops
// above 12.5 °C. The mean would count 1.5 and miss nearly half of the warmth.
func ExampleSine() {
	bySine, _ := pest.Sine(8, 20, pest.Above(12.5))
	byMean, _ := pest.FromMean(14, pest.Above(12.5))
	fmt.Printf("sine %.2f, mean %.2f °C·d\n", bySine, byMean)
	// Output: sine 2.72, mean 1.50 °C·d
}

// A logger that writes every six hours needs no assumption about the day.
func ExampleFromSamples() {
	degreeDays, _ := pest.FromSamples([]float64{11, 14, 19, 15}, 4, pest.Above(12.5))
	fmt.Printf("%.2f °C·d\n", degreeDays)
	// Output: 2.62 °C·d
}

func ExampleAccumulate() {
	minC, maxC := []float64{14, 15, 13}, []float64{24, 26, 22}
	running := make([]float64, 3)
	if err := pest.Accumulate(running, minC, maxC, pest.Above(12.5)); err != nil {
		fmt.Println(err)
	}
	fmt.Println(running)
	// Output: [6.5 14.5 19.5]
}

// Studies disagree about thresholds, so a stage has a range and so have its
// days.
func ExampleStage_DaysAt() {
	egg := pest.Stage{
		LowerC:     basis.Assumed(12.9, 12, 14, "°C"),
		DegreeDays: basis.Assumed(63, 60, 67, "°C·d"),
	}
	for _, meanC := range []float64{14, 18, 24} {
		d, _ := egg.DaysAt(meanC)
		if d.Paused {
			fmt.Printf("%v °C: paused, no date promised\n", meanC)
			continue
		}
		fmt.Printf("%v °C: %.0f to %.0f days (%v)\n", meanC, d.ShortestDays, d.LongestDays, d.Grade)
	}
	// Output:
	// 14 °C: paused, no date promised
	// 18 °C: 10 to 17 days (assumption)
	// 24 °C: 5 to 7 days (assumption)
}

// Mites were wiped off on 3 March in a room at 20 °C.
func ExampleAfterTreatment() {
	source := "Egyptian Academic Journal of Biological Sciences A, article 12844"
	published := func(value float64, unit string) basis.Value {
		return basis.Exactly(value, unit, basis.Published, source)
	}
	mite := pest.LifeCycle{
		Egg:        pest.Stage{LowerC: published(12.87, "°C"), DegreeDays: published(63.35, "°C·d")},
		Generation: pest.Stage{LowerC: published(12.50, "°C"), DegreeDays: published(146.48, "°C·d")},
	}
	forecast := pest.Temperatures{
		Start: time.Date(2025, time.March, 3, 9, 0, 0, 0, time.UTC),
		MeanC: []float64{20, 20, 20, 20, 20, 20, 20},
	}
	plan, err := pest.AfterTreatment(mite, forecast)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range plan.Passes {
		fmt.Printf("repeat on %s, no later than %s\n", p.Due.Format("2 January"), p.Latest.Format("2 January"))
	}
	fmt.Printf("watch until %s, beyond the forecast: %v\n", plan.WatchUntil.Format("2 January"), plan.Extrapolated)
	// Output:
	// repeat on 13 March, no later than 14 March
	// repeat on 23 March, no later than 24 March
	// watch until 2 April, beyond the forecast: true
}

func ExampleRoutineLook() {
	last := time.Date(2025, time.March, 3, 18, 0, 0, 0, time.UTC)
	fmt.Println(pest.RoutineLook(last).Format("2 January"))
	// Output: 17 March
}

func ExampleCleared() {
	generation := pest.Stage{
		LowerC:     basis.Assumed(12.5, 12, 13, "°C"),
		DegreeDays: basis.Assumed(146, 140, 153, "°C·d"),
	}
	day := func(n int) time.Time { return time.Date(2025, time.March, 3+n, 0, 0, 0, 0, time.UTC) }
	record := pest.Temperatures{Start: day(0)}
	for range 30 {
		record.MeanC = append(record.MeanC, 21)
	}
	checks := []pest.Sighting{{Day: day(0), Found: true}, {Day: day(9)}, {Day: day(18)}}
	c, _ := pest.Cleared(checks, generation, record)
	fmt.Printf("%d clean checks over %.0f of %.0f °C·d: cleared %v\n", c.CleanChecks, c.GatheredDegreeDays, c.NeededDegreeDays, c.Cleared)
	// Output: 2 clean checks over 72 of 153 °C·d: cleared false
}
