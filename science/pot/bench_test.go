package pot_test

import (
	"math"
	"testing"

	"velamen/science/basis"
	"velamen/science/pot"
)

// sixWeeks is a clay pot of fresh bark and moss, flushed every third day.
func sixWeeks(b *testing.B) (*pot.Pot, pot.State, pot.Forcing, []pot.Pour) {
	b.Helper()
	mixed, err := pot.Mix(pot.Component{Medium: bark(), Parts: 3}, pot.Component{Medium: moss(), Parts: 1})
	if err != nil {
		b.Fatal(err)
	}
	shape := twelve
	shape.WallShare = 1
	p := filled(b, shape, mixed)
	// Every hour differs, so that nothing is computed once for all hours.
	forcing := steady(42*24, 5, 1.2)
	for hour := range forcing.DemandML {
		day := 1 + 0.8*math.Sin(float64(hour)*2*math.Pi/24.37)
		forcing.DemandML[hour] *= day
		forcing.PotentialEvaporationMM[hour] *= day
	}
	var pours []pot.Pour
	for hour := 8; hour < 42*24; hour += 72 {
		pours = append(pours, pot.Pour{Hour: hour, ML: 400, ECmS: 0.4})
	}
	return p, stateOf(b, p, 0.9, 0.3, 0.5), forcing, pours
}

func BenchmarkSimulateSixWeeks(b *testing.B) {
	clay, start, forcing, pours := sixWeeks(b)
	plastic := filled(b, twelve, moss())
	mount, err := pot.NewMount(cork(10), pot.Defaults())
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		pot   *pot.Pot
		start pot.State
	}{
		{"ageing mix in clay", clay, start},
		{"moss in plastic", plastic, stateOf(b, plastic, 0.9, 0.9, 0.5)},
		{"mount", mount, stateOf(b, mount, 0.9, 0.9, 0.5)},
	} {
		b.Run(c.name, func(b *testing.B) {
			out := pot.Series{Wetness: make([]float64, 1008), FilmML: make([]float64, 1008), ParticleML: make([]float64, 1008), ECmS: make([]float64, 1008)}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := pot.Simulate(c.pot, c.start, forcing, pours, out); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkPlanFlush(b *testing.B) {
	p := filled(b, twelve, bark())
	state := stateOf(b, p, 0.7, 0.9, 1.8)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := pot.PlanFlush(p, state, pot.FlushTarget{ECmS: 0.8, CaptureShare: 0.9, InputECmS: 0.1, LimitML: 3000}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLongestInterval(b *testing.B) {
	p, start, forcing, _ := sixWeeks(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := pot.LongestInterval(p, start, forcing, pot.Rhythm{
			LongestDays: 14, PourHour: 8, PourML: 400, PourECmS: 0.3, LeastWetness: 0.3, MostECmS: 1.5,
		}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReweighFiveHundredPots brings 500 pots of 200 members each, weighed
// three times before, through three more days and a fourth weighing. It is to
// stay under a second on one core.
func BenchmarkReweighFiveHundredPots(b *testing.B) {
	const pots = 500
	figures, draw := possible(b, 1)
	learned := make([]*pot.Ensemble, 20)
	for i := range learned {
		e, err := pot.NewEnsemble(200, figures, draw, weatherOf(12), pot.DefaultInstruments(), 150, basis.Chance(i))
		if err != nil {
			b.Fatal(err)
		}
		take(b, e, pot.Event{What: pot.WeighedIt, Value: 190 + float64(i)})
		take(b, e, firstFlush...)
		take(b, e, pot.Event{Hour: 10, What: pot.WeighedIt, Value: 400 + 2*float64(i)}, pot.Event{Hour: 60, What: pot.WeighedIt, Value: 370 + float64(i)})
		learned[i] = e
	}
	b.ReportAllocs()
	redrawn := 0
	for b.Loop() {
		redrawn = 0
		for i := range pots {
			b.StopTimer()
			e := learned[i%len(learned)].Clone()
			before := e.Redrawn()
			b.StartTimer()
			take(b, e, pot.Event{Hour: 132, What: pot.WeighedIt, Value: 340 + float64(i%len(learned))})
			redrawn += e.Redrawn() - before
		}
	}
	b.ReportMetric(float64(redrawn)/pots, "resamplings/pot")
}
