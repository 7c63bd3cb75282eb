package pot_test

import (
	"fmt"
	"math"
	"syscall"
	"testing"
	"time"

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
// three times before, through three more days and one more reading: a look,
// which re-weights them, and a weighing, after which more than every second
// pot has to be drawn anew as well.
func BenchmarkReweighFiveHundredPots(b *testing.B) {
	const pots = 500
	learned := make([]*pot.Ensemble, 50)
	next := map[string][]pot.Event{"a look": make([]pot.Event, 50), "a weighing": make([]pot.Event, 50)}
	for i := range learned {
		h := newHidden(b, fmt.Sprint("benchmark pot ", i), []reading{atTheBench, drained, beforeFlush, {200, pot.LookedIn}, {200, pot.WeighedIt}})
		n := len(h.events)
		learned[i] = h.ensemble(b)
		next["a look"][i], next["a weighing"][i] = h.events[n-2], h.events[n-1]
		take(b, learned[i], h.events[:n-2]...)
	}
	for name, events := range next {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			redrawn := 0
			var used time.Duration
			for b.Loop() {
				redrawn = 0
				for i := range pots {
					b.StopTimer()
					e := learned[i%len(learned)].Clone()
					before, began := e.Redrawn(), cpuTime()
					b.StartTimer()
					take(b, e, events[i%len(events)])
					used += cpuTime() - began
					redrawn += e.Redrawn() - before
				}
			}
			b.ReportMetric(float64(redrawn)/pots, "redrawn/pot")
			b.ReportMetric(used.Seconds()/float64(b.N), "cpu-s/op")
		})
	}
}

// cpuTime is what the process has used of the processors: it tells what work
// takes where others use them, too.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
