package care

import (
	"fmt"
	"math"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pot"
)

// PotAlone is a pot or mount that is learned from by itself, without a plant's
// record: what it is, and what the plant and the air take from it.
type PotAlone struct {
	Home  Home
	Fresh bool // medium from the bag; otherwise aged, and just watered

	DemandML    basis.Value // a day, evenly over it
	Evaporation basis.Value // mm a day from a wet surface
	RHPercent   float64
	Driest      float64 // share of capacity at which it counts as dry
	Days        int     // that the events reach over
	TareG       float64 // what vessel and plant are guessed to weigh
	Name        string  // the chance in it is that of this name
}

// PotLearned is what was learned of it.
type PotLearned struct {
	Figures  []LearnedFigure // the last is the time to dry, after a generous pour
	Narrowed float64         // by how much the band of that time became narrower, share
	Counts   float64         // share of the possible pots that count
}

// LearnPot weighs possible pots by what was read off one; see package pot. The
// same events always give the same answer.
func LearnPot(tables culture.Table, a PotAlone, events []pot.Event) (PotLearned, error) {
	s := &subject{tables: tables}
	hours := 24 * a.Days
	weather := pot.Weather{LossML: make([]float64, hours), SupplyShare: make([]float64, hours), PotentialMM: make([]float64, hours), RHPercent: make([]float64, hours)}
	for h := range hours {
		weather.LossML[h], weather.SupplyShare[h], weather.PotentialMM[h], weather.RHPercent[h] = a.DemandML.Value/24, 1, a.Evaporation.Value/24, a.RHPercent
	}
	relative := func(v basis.Value) basis.Value {
		if !(v.Value > 0) {
			return basis.Assumed(1, 0.5, 2, "1")
		}
		return basis.Assumed(1, math.Max(0.2, math.Min(1, v.Low/v.Value)), math.Min(5, math.Max(1, v.High/v.Value)), "1")
	}
	loss, drying := relative(a.DemandML), relative(a.Evaporation)
	home := Measured(tables, a.Home)
	ensemble, err := pot.NewEnsemble(ensembleMembers, drawnFigures, func(u []float64) (pot.Candidate, error) {
		built, err := s.build(home, a.Fresh, picksAt(func(figure int) float64 { return u[figure] }))
		if err != nil {
			return pot.Candidate{}, err
		}
		c := pot.Candidate{Pot: built.pot, Loss: loss.At(u[drawLoss]), Supply: 1, Evaporation: drying.At(u[drawDrying])}
		film, particles, age := bagFilm.At(u[drawStart]), bagParticles.At(u[drawStart]), 0.0
		if !a.Fresh {
			film, particles, age = midwayFilling.At(u[drawStart]), midwayFilling.At(u[drawStart]), 1
		}
		c.Start, err = built.pot.Fill(film, particles, 0.3, age)
		return c, err
	}, weather, pot.DefaultInstruments(), a.TareG, basis.ChanceOf(a.Name))
	if err != nil {
		return PotLearned{}, err
	}
	day := pot.Weather{LossML: weather.LossML[:24], SupplyShare: weather.SupplyShare[:24], PotentialMM: weather.PotentialMM[:24], RHPercent: weather.RHPercent[:24]}
	figures := func(ensemble *pot.Ensemble) ([]LearnedFigure, error) {
		capacity := ensemble.Of(func(_ []float64, p *pot.Pot) float64 { return p.CapacityML() })
		dry, err := ensemble.DryDown(day, math.Min(pot.LargestPourML, 2*capacity.High), a.Driest)
		if err != nil {
			return nil, err
		}
		at := func(figure int, of basis.Value) pot.Span {
			return ensemble.Of(func(u []float64, _ *pot.Pot) float64 { return of.At(u[figure]) })
		}
		quantity := func(name, unit string, v pot.Span) LearnedFigure {
			return LearnedFigure{Name: name, Now: basis.Value{Value: v.Middle, Low: v.Low, High: v.High, Unit: unit, Grade: basis.Assumption}}
		}
		return []LearnedFigure{
			quantity(holdingName, "mL", capacity),
			quantity(captureName, "share", ensemble.Of(func(_ []float64, p *pot.Pot) float64 { return p.CaptureShare(0.5, 0) })),
			quantity("what the plant takes, against what was said", "1", at(drawLoss, loss)),
			quantity(dryingName, "1", at(drawDrying, drying)),
			quantity("until dry after a generous pour", "days", pot.Span{Low: dry.Low / 24, Middle: dry.Middle / 24, High: dry.High / 24}),
		}, nil
	}
	blind := ensemble.Clone() // the same pots after the same pours, with nothing read
	for _, v := range events {
		if v.What == pot.Watered {
			if err := blind.Take(v); err != nil {
				return PotLearned{}, err
			}
		}
	}
	if n := len(events); n > 0 {
		if err := blind.Pass(events[n-1].Hour); err != nil {
			return PotLearned{}, err
		}
	}
	before, err := figures(blind)
	if err != nil {
		return PotLearned{}, err
	}
	if err := ensemble.Take(events...); err != nil {
		return PotLearned{}, fmt.Errorf("learning from the readings: %w", err)
	}
	out := PotLearned{Counts: ensemble.Effective() / ensembleMembers}
	if out.Figures, err = figures(ensemble); err != nil {
		return PotLearned{}, err
	}
	for i := range out.Figures {
		out.Figures[i].Before = before[i].Now
		if len(events) > 0 {
			out.Figures[i].Now.Grade = basis.Measured
		}
	}
	out.Narrowed = out.Figures[len(out.Figures)-1].Narrowed()
	return out, nil
}
