package pot_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/pot"
)

// The water that learning follows alone is that of a run with its salt.
func TestWaterAloneGoesAsWithSalt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		filling := rapid.Float64Range(0, 1)
		start, err := p.Fill(filling.Draw(t, "film"), filling.Draw(t, "particles"), 1, filling.Draw(t, "age"))
		if err != nil {
			t.Fatal(err)
		}
		const hours = 60
		var w pot.Weather
		scale := math.Pow(10, rapid.Float64Range(-2, 2).Draw(t, "scale"))
		for range hours / 12 {
			loss, potential := scale*rapid.Float64Range(0, 1).Draw(t, "loss"), rapid.Float64Range(0, 1).Draw(t, "potential")
			humidity := rapid.Float64Range(0, 100).Draw(t, "humidity")
			for range 12 {
				w.LossML, w.SupplyShare, w.PotentialMM = append(w.LossML, loss), append(w.SupplyShare, 0.8), append(w.PotentialMM, potential)
				w.RHPercent = append(w.RHPercent, humidity)
			}
		}
		of := pot.Candidate{Pot: p, Loss: 1.1, Supply: 1.2, Evaporation: 0.9}
		alone, both := start, start
		p.PassWaterForTest(&alone, &w, &of, hours)
		p.PassHoursForTest(&both, &w, &of, hours)
		close := func(what string, a, b float64) {
			if math.Abs(a-b) > 1e-9*p.CapacityML() { // some processors round a product and sum at once
				t.Errorf("%s: %v alone, %v with salt", what, a, b)
			}
		}
		close("film", alone.FilmML, both.FilmML)
		close("particles", alone.ParticleML, both.ParticleML)
		close("surface", alone.DepletionMM, both.DepletionMM)
		close("age", alone.Age, both.Age)
	})
}
