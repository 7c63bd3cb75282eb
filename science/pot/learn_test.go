package pot_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/basis"
	"velamen/science/pot"
)

type failer interface {
	Helper()
	Fatal(args ...any)
}

// possible is a 12 cm pot of bark and moss of which little is known: the ranges
// are of the size that the culture tables have.
func possible(tb failer, parts float64) (figures int, draw func(u []float64) (pot.Candidate, error)) {
	tb.Helper()
	shape := twelve
	geometry, err := shape.Geometry()
	if err != nil {
		tb.Fatal(err)
	}
	mixed, err := pot.Mix(pot.Component{Medium: bark(), Parts: 3}, pot.Component{Medium: moss(), Parts: parts})
	if err != nil {
		tb.Fatal(err)
	}
	around := func(v float64, down, up float64) basis.Value { return basis.Assumed(v, v*down, v*up, "1") }
	capacity := around(mixed.CapacityLab, 0.75, 1.25)
	capture := around(1, 0.6, 1.2)
	loss, supply, evaporation := basis.Assumed(1, 0.6, 1.7, "1"), basis.Assumed(1.25, 1, 1.6, "1"), basis.Assumed(1, 0.4, 1.8, "1")
	film := basis.Assumed(0.08, 0.03, 0.15, "1")
	return 9, func(u []float64) (pot.Candidate, error) {
		parameters := pot.Defaults()
		set := func(v *basis.Value, u float64) { v.Value = v.At(u) }
		set(&parameters.RootWetness, u[5])
		set(&parameters.UptakeECmS, u[6])
		set(&parameters.ReleasePerDay, u[7])
		medium := mixed
		medium.CapacityLab = min(medium.Porosity, capacity.At(u[0]))
		for _, w := range []*pot.Wettability{&medium.Fresh, &medium.Aged} {
			w.CaptureDry, w.CaptureWet = min(1, w.CaptureDry*capture.At(u[1])), min(1, w.CaptureWet*capture.At(u[1]))
		}
		p, err := pot.New(geometry, medium, 0, parameters)
		if err != nil {
			return pot.Candidate{}, err
		}
		start, err := p.Fill(film.At(u[8]), film.At(u[8]), 0.5, 0.3)
		return pot.Candidate{Pot: p, Start: start, Loss: loss.At(u[2]), Supply: supply.At(u[3]), Evaporation: evaporation.At(u[4])}, err
	}
}

// weatherOf is a weather in which the plant drinks by day.
func weatherOf(days int) pot.Weather {
	var w pot.Weather
	for h := range 24 * days {
		loss, potential := 0.1, 0.04
		if h%24 >= 7 && h%24 < 19 {
			loss, potential = 1.2, 0.09
		}
		w.LossML, w.SupplyShare, w.PotentialMM = append(w.LossML, loss), append(w.SupplyShare, 0.6), append(w.PotentialMM, potential)
	}
	return w
}

func dayOf(w pot.Weather) pot.Weather {
	return pot.Weather{LossML: w.LossML[:24], SupplyShare: w.SupplyShare[:24], PotentialMM: w.PotentialMM[:24]}
}

// ensemble draws one of so many members for ten days.
func ensemble(tb testing.TB, members int, name string) *pot.Ensemble {
	tb.Helper()
	figures, draw := possible(tb, 1)
	e, err := pot.NewEnsemble(members, figures, draw, weatherOf(12), pot.DefaultInstruments(), 150, basis.ChanceOf(name))
	if err != nil {
		tb.Fatal(err)
	}
	return e
}

func take(tb testing.TB, e *pot.Ensemble, events ...pot.Event) {
	tb.Helper()
	if err := e.Take(events...); err != nil {
		tb.Fatal(err)
	}
}

var firstFlush = []pot.Event{{Hour: 8, What: pot.Watered, Value: 400, ECmS: 0.05}, {Hour: 9, What: pot.Watered, Value: 200, ECmS: 0.05}}

// The weights are those of Bayes' rule: with the likelihood of one look, known
// in closed form, the share of the members that are wet changes as it must.
func TestALookWeightsByItsLikelihood(t *testing.T) {
	e := ensemble(t, 2000, "a look")
	take(t, e, firstFlush...)
	if err := e.Pass(60); err != nil {
		t.Fatal(err)
	}
	tools := pot.DefaultInstruments()
	chance := func(wetness float64, called int) float64 {
		border := []float64{math.Inf(-1), tools.DryBelow.Value, tools.DampAbove.Value, tools.WetAbove.Value, math.Inf(1)}
		below := func(x float64) float64 { return 0.5 * math.Erfc(-x/tools.LookSpread.Value/math.Sqrt2) }
		return tools.LookSlip.Value/4 + (1-tools.LookSlip.Value)*(below(border[called+1]-wetness)-below(border[called]-wetness))
	}
	wetness := e.WetnessesForTest()
	for called := range pot.Looks {
		var sum, mean float64
		for _, w := range wetness {
			sum += chance(w, called)
			mean += chance(w, called) * w
		}
		looked := e.Clone()
		take(t, looked, pot.Event{Hour: 60, What: pot.LookedIn, Value: float64(called)})
		got := looked.MeanWetnessForTest()
		// Where few members explain the look, it was resampled, and the mean
		// carries the noise of that.
		if want, off := mean/sum, 1e-9; math.Abs(got-want) > off && (looked.Redrawn() == 0 || math.Abs(got-want) > 0.03) {
			t.Errorf("called %d: mean wetness %.4f, want %.4f (resampled %d times)", called, got, want, looked.Redrawn())
		}
	}
}

// A weight without a second one says next to nothing, because nobody knows what
// vessel and plant weigh: what is shared by all weighings cancels.
func TestTheTareCancels(t *testing.T) {
	tools := pot.DefaultInstruments()
	tools.TareSpread.Value = 1e4 // nothing at all is known of it
	readings := func(tare float64) *pot.Ensemble {
		figures, draw := possible(t, 1)
		e, err := pot.NewEnsemble(200, figures, draw, weatherOf(12), tools, 150, basis.ChanceOf("tare"))
		if err != nil {
			t.Fatal(err)
		}
		take(t, e, firstFlush...)
		take(t, e, pot.Event{Hour: 10, What: pot.WeighedIt, Value: tare + 420}, pot.Event{Hour: 100, What: pot.WeighedIt, Value: tare + 370})
		return e
	}
	light, heavy := readings(100), readings(900)
	for figure := range 9 {
		a, b := light.Figure(figure), heavy.Figure(figure)
		if math.Abs(a.Middle-b.Middle) > 0.01 {
			t.Errorf("figure %d: %.2f for a light vessel, %.2f for a heavy one", figure, a.Middle, b.Middle)
		}
	}
}

func TestTheSameReadingsGiveTheSameEnsemble(t *testing.T) {
	once := func() []float64 {
		e := ensemble(t, 100, "again")
		take(t, e, append(append([]pot.Event{{Hour: 0, What: pot.WeighedIt, Value: 300}}, firstFlush...),
			pot.Event{Hour: 10, What: pot.ReadDrainage, Value: 0.4}, pot.Event{Hour: 10, What: pot.WeighedIt, Value: 610}, pot.Event{Hour: 124, What: pot.WeighedIt, Value: 480})...)
		return e.Mean()
	}
	a, b := once(), once()
	for i := range a {
		if a[i] != b[i] {
			t.Fatalf("figure %d is %v and then %v", i, a[i], b[i])
		}
	}
}

// Whatever is read, nothing turns into something that is no number, members
// stay within their ranges, and a copy is not changed.
func TestNoReadingBreaksAnEnsemble(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		figures, draw := possible(t, 1)
		e, err := pot.NewEnsemble(20, figures, draw, weatherOf(8), pot.DefaultInstruments(), rapid.Float64Range(10, 2000).Draw(t, "tare"), basis.Chance(rapid.Uint64().Draw(t, "seed")))
		if err != nil {
			t.Fatal(err)
		}
		hour := 0
		for range rapid.IntRange(0, 8).Draw(t, "events") {
			hour += rapid.IntRange(0, 20).Draw(t, "wait")
			v := pot.Event{Hour: hour, What: pot.Happened(rapid.IntRange(0, 3).Draw(t, "what"))}
			switch v.What {
			case pot.Watered:
				v.Value, v.ECmS = rapid.Float64Range(0, 3000).Draw(t, "mL"), rapid.Float64Range(0, 5).Draw(t, "EC")
			case pot.WeighedIt:
				v.Value = rapid.Float64Range(1, 5000).Draw(t, "g")
			case pot.ReadDrainage:
				v.Value = rapid.Float64Range(0, 10).Draw(t, "drained")
			case pot.LookedIn:
				v.Value = float64(rapid.IntRange(0, 3).Draw(t, "look"))
			}
			if err := e.Take(v); err != nil {
				t.Fatal(err)
			}
		}
		before := e.Mean()
		c := e.Clone()
		if err := c.Take(pot.Event{Hour: hour, What: pot.WeighedIt, Value: 200}); err != nil {
			t.Fatal(err)
		}
		if n := e.Effective(); !(n >= 1 && n <= 20.0001) {
			t.Fatalf("%v members count", n)
		}
		for i, u := range e.Mean() {
			if !(u >= 0 && u <= 1) || u != before[i] {
				t.Fatalf("figure %d is at %v of its range, before the copy learned at %v", i, u, before[i])
			}
		}
		bands, err := e.Bands(nil, 24, 24)
		if err != nil {
			t.Fatal(err)
		}
		for h, s := range bands.Wetness {
			if !(s.Low >= 0 && s.Low <= s.Middle && s.Middle <= s.High && s.High <= 1) {
				t.Fatalf("hour %d: %+v", h, s)
			}
		}
	})
}
