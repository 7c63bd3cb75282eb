package growth_test

import (
	"fmt"

	"velamen/science/basis"
	"velamen/science/growth"
)

// Two marked roots of a Phalaenopsis, eleven weeks after the repot. On day 63
// another root was measured in place of the first, and a slug had been at the
// second.
func ExampleJudge_Plant() {
	judge, err := growth.NewJudge(growth.PhalaenopsisRate)
	if err != nil {
		fmt.Println(err)
		return
	}
	first := growth.Root{Readings: ruler(42, 12, 49, 15.5, 56, 19, 63, 14, 70, 26, 77, 29.5)}
	second := growth.Root{
		Readings: ruler(42, 8, 49, 9, 56, 10.5),
		Tips:     []growth.TipEvent{{Day: 60, Change: growth.Chewed}},
	}
	v, err := judge.Plant([]growth.Root{first, second}, 77)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v, chance at least %.2f, mean rate %.2f ± %.2f mm/day\n", v.State, v.AtLeast, v.Mean.MMPerDay, v.Mean.SD())
	for i, r := range v.Roots {
		fmt.Printf("root %d: %v, %d readings used, %d in question, chance %.2f\n", i+1, r.Status, r.Readings, r.Questions, r.Chance)
	}
	fmt.Printf("next reading on day %.0f: %v\n", v.Next.Day, v.Next.Rule)
	// Output:
	// growing, chance at least 1.00, mean rate 0.50 ± 0.07 mm/day
	// root 1: followed, 5 readings used, 1 in question, chance 1.00
	// root 2: tip lost, 3 readings used, 0 in question, chance 0.00
	// next reading on day 80: growth would show by then
}

// The question behind a reading that was set aside.
func ExampleJudge_Root() {
	judge, err := growth.NewJudge(growth.PhalaenopsisRate)
	if err != nil {
		fmt.Println(err)
		return
	}
	t, err := judge.Root(growth.Root{Readings: ruler(42, 12, 49, 15.5, 56, 19, 63, 14)}, 63)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, q := range t.Questions {
		fmt.Printf("day %.0f: %.0f mm, %v (%.0f mm on day %.0f; %.1f mm may be error)\n",
			q.Reading.Day, q.Reading.LengthMM, q.Kind, q.AgainstMM, q.AgainstDay, q.LimitMM)
		for _, cause := range q.Kind.Causes() {
			fmt.Printf("  perhaps %v\n", cause)
		}
	}
	// Output:
	// day 63: 14 mm, shorter than before (19 mm on day 56; 1.4 mm may be error)
	//   perhaps the tip was lost
	//   perhaps another root was measured
	//   perhaps a typing mistake, in this reading or the one it contradicts
}

// The trend of one root with a forecast for the week after.
func ExampleFilter_Run() {
	filter := growth.Filter{Trend: growth.Trend{RateNoise: growth.RateNoise.Value}}
	days := []float64{0, 7, 14, 21, 28}
	lengthsMM := []float64{20, 24.5, 30, 35, 39.5}
	errorVars := []float64{0.25, 0.25, 0.25, 0.25, 0.25}
	prior, err := growth.PriorRate(growth.VandaRate)
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := filter.Run(growth.Unmeasured(days[0], prior), days, lengthsMM, errorVars); err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range filter.Steps {
		fmt.Printf("day %2.0f: %.1f mm, %.2f mm/day, chance above 0.1 mm/day %.3f\n",
			s.Day, s.LengthMM, s.RateMMPerDay, s.ChanceFaster(growth.GrowingRate.Value))
	}
	last := filter.Steps[len(filter.Steps)-1].Belief
	f, err := filter.Trend.Forecast(last, 35, 0.9, growth.RulerStraightErrorMM.Value)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("day 35: %.1f mm (%.1f to %.1f)\n", f.LengthMM, f.LowMM, f.HighMM)
	// Output:
	// day  0: 20.0 mm, 1.39 mm/day, chance above 0.1 mm/day 0.762
	// day  7: 24.5 mm, 0.65 mm/day, chance above 0.1 mm/day 1.000
	// day 14: 29.8 mm, 0.72 mm/day, chance above 0.1 mm/day 1.000
	// day 21: 35.0 mm, 0.73 mm/day, chance above 0.1 mm/day 1.000
	// day 28: 39.7 mm, 0.69 mm/day, chance above 0.1 mm/day 1.000
	// day 35: 44.5 mm (43.2 to 45.8)
}

// How long to wait before a ruler can show growth at all.
func ExampleDaysToShow() {
	for _, m := range []growth.Method{growth.RulerStraight, growth.RulerInPot} {
		errorMM, err := m.ErrorMM()
		if err != nil {
			fmt.Println(err)
			return
		}
		change, err := growth.SmallestChangeMM(errorMM.Value, errorMM.Value)
		if err != nil {
			fmt.Println(err)
			return
		}
		days, err := growth.DaysToShow(0.3, errorMM.Value)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%v: %.1f mm, at 0.3 mm/day after %.0f days\n", m, change, days)
	}
	// Output:
	// ruler, straight root: 1.4 mm, at 0.3 mm/day after 5 days
	// ruler, root in the pot: 5.5 mm, at 0.3 mm/day after 18 days
}

// A root photographed on a ruler that lay 1 to 3 cm behind it.
func ExamplePhotograph_Length() {
	p := growth.Photograph{
		ScaleMM: 50, ScalePixels: 1000, RootPixels: 860,
		TiltDegrees:     basis.Assumed(10, 0, 20, "°"),
		ScaleDistanceMM: basis.Assumed(300, 270, 330, "mm"),
		RootInFrontMM:   basis.Assumed(20, 10, 30, "mm"),
	}
	length, err := p.Length()
	if err != nil {
		fmt.Println(err)
		return
	}
	reading, err := p.Reading(42)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("by the scale alone 43.0 mm, corrected %.1f mm (%.1f to %.1f), basis: %v\n",
		length.Value, length.Low, length.High, length.Grade)
	fmt.Printf("to be entered with an error of %.1f mm\n", reading.ErrorMM)
	// Output:
	// by the scale alone 43.0 mm, corrected 40.8 mm (39.1 to 43.3), basis: assumption
	// to be entered with an error of 1.2 mm
}

// A slope that a typing mistake does not move.
func ExampleSen() {
	days := []float64{0, 3, 7, 12, 18, 21, 30, 41}
	lengthsMM := []float64{4, 5.5, 8, 10.5, 41, 15, 19.5, 20}
	s, err := growth.Sen(days, lengthsMM, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := growth.Trending(days, lengthsMM)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f mm/day (%.2f to %.2f), exact p %.3f\n", s.MMPerDay, s.LowMMPerDay, s.HighMMPerDay, m.ExactP)
	// Output:
	// 0.50 mm/day (0.33 to 0.57), exact p 0.006
}

// What a grower's own roots make of the range from memory.
func ExampleLearn() {
	prior, err := growth.PriorRate(growth.CattleyaRate)
	if err != nil {
		fmt.Println(err)
		return
	}
	measured := []growth.Rate{
		{MMPerDay: 2.1, Variance: 0.01}, {MMPerDay: 2.6, Variance: 0.02}, {MMPerDay: 1.8, Variance: 0.01},
		{MMPerDay: 2.4, Variance: 0.05}, {MMPerDay: 2.9, Variance: 0.02}, {MMPerDay: 2.2, Variance: 0.01},
	}
	learned := growth.Learn(prior, measured)
	fmt.Printf("%.2f ± %.2f mm/day before, %.2f ± %.2f after\n", prior.MMPerDay, prior.SD(), learned.MMPerDay, learned.SD())
	// Output:
	// 1.09 ± 1.29 mm/day before, 1.91 ± 0.99 after
}
