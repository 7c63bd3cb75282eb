package pot_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/pot"
)

func TestSoakConservesWaterAndSalt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		room := p.CapacityML() - start.WaterML()
		if room+1 > pot.LargestPourML {
			t.Skip("no bath is big enough")
		}
		bathML := rapid.Float64Range(room+1, pot.LargestPourML).Draw(t, "bath")
		s := start
		bath, err := p.Soak(&s, rapid.Float64Range(0.1, 72).Draw(t, "hours"), bathML, rapid.Float64Range(0, 3).Draw(t, "EC"))
		if err != nil {
			t.Fatal(err)
		}
		waterBefore, waterAfter := start.WaterML()+bathML, s.WaterML()+bath.LeftML
		saltBefore, saltAfter := start.Salt()+bath.SaltIn, s.Salt()+bath.SaltOut
		if math.Abs(waterAfter-waterBefore) > 1e-9*waterBefore || math.Abs(saltAfter-saltBefore) > 1e-9*(saltBefore+1e-9) {
			t.Fatalf("water %g to %g, salt %g to %g", waterBefore, waterAfter, saltBefore, saltAfter)
		}
		if s.FilmML < start.FilmML || s.ParticleML < start.ParticleML || p.Wetness(&s) > 1 || bath.LeftML < 0 || s.ParticleSalt < 0 {
			t.Fatalf("from %+v to %+v", start, s)
		}
		if _, err := p.Flush(&s, 100, 0); err != nil {
			t.Fatalf("the soaked state cannot be used: %v", err)
		}
	})
}

// Several short baths shed more salt from coarse chips than one as long as all
// of them: each starts clean.
func TestSeveralBathsShedMoreSalt(t *testing.T) {
	p := filled(t, twelve, bark())
	once, often := stateOf(t, p, 0.5, 0.9, 4), stateOf(t, p, 0.5, 0.9, 4)
	if _, err := p.Soak(&once, 24, 1000, 0); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if _, err := p.Soak(&often, 8, 1000, 0); err != nil {
			t.Fatal(err)
		}
	}
	if often.Salt() >= 0.7*once.Salt() {
		t.Errorf("three baths leave %.0f, one leaves %.0f mS/cm·mL", often.Salt(), once.Salt())
	}
}

func TestSoakNeedsEnoughWater(t *testing.T) {
	p := filled(t, twelve, bark())
	s := stateOf(t, p, 0, 0, 0)
	if _, err := p.Soak(&s, 12, 20, 0); err == nil {
		t.Error("a bath smaller than what the medium takes was accepted")
	}
}

func ExamplePot_Soak() {
	geometry, _ := pot.Round{TopCM: 11.4, BaseCM: 8.6, HeightCM: 10.3, HeadspaceMM: 12}.Geometry()
	p, _ := pot.New(geometry, bark(), 0, pot.Defaults())
	poured, _ := p.Fill(0, 0, 0, 0)
	soaked := poured
	d, _ := p.Flush(&poured, 1500, 0.05)
	bath, _ := p.Soak(&soaked, 24, 1500, 0.05)
	fmt.Printf("dry bark keeps %.0f mL of a pour and %.0f mL of a day's soak; full, it holds %.0f mL\n",
		d.CapturedML, bath.TakenML, p.CapacityML())
	// Output: dry bark keeps 28 mL of a pour and 59 mL of a day's soak; full, it holds 140 mL
}
