package pot_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/pot"
)

func TestCapacityInTheLaboratoryCoreIsTheGivenOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMedium(t)
		got, err := m.Capacity(76)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-m.CapacityLab) > 1e-9 {
			t.Fatalf("capacity at 76 mm is %.12f, given %.12f", got, m.CapacityLab)
		}
	})
}

func TestTallerPotsHoldASmallerShare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMedium(t)
		height := rapid.Float64Range(5, 800)
		low, high := height.Draw(t, "one height"), height.Draw(t, "another")
		if low > high {
			low, high = high, low
		}
		short, errShort := m.Capacity(low)
		tall, errTall := m.Capacity(high)
		if errShort != nil || errTall != nil {
			t.Fatal(errShort, errTall)
		}
		if tall > short+1e-12 {
			t.Fatalf("%.0f mm holds %g, %.0f mm holds %g", low, short, high, tall)
		}
		if short > m.Porosity+1e-12 || tall < m.CapacityLab*m.ParticleShare-1e-12 {
			t.Fatalf("capacity %g to %g leaves pore space %g or particle water %g",
				short, tall, m.Porosity, m.CapacityLab*m.ParticleShare)
		}
	})
}

func TestMixOfOneIsItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMedium(t)
		mixed, err := pot.Mix(pot.Component{Medium: m, Parts: rapid.Float64Range(0.1, 10).Draw(t, "parts")})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(mixed.HalfThicknessMM-m.HalfThicknessMM) > 1e-9 ||
			math.Abs(mixed.CapacityLab-m.CapacityLab) > 1e-9 || mixed.Tanks != m.Tanks {
			t.Fatalf("mix of one is %+v, want %+v", mixed, m)
		}
	})
}

func TestMixConservesPoresWaterAndMass(t *testing.T) {
	mixed, err := pot.Mix(pot.Component{Medium: bark(), Parts: 3}, pot.Component{Medium: moss(), Parts: 1})
	if err != nil {
		t.Fatal(err)
	}
	for name, pair := range map[string][2]float64{
		"porosity":         {mixed.Porosity, (3*0.78 + 0.95) / 4},
		"capacity":         {mixed.CapacityLab, (3*0.22 + 0.65) / 4},
		"water in grains":  {mixed.CapacityLab * mixed.ParticleShare, (3*0.22*0.5 + 0.65*0.3) / 4},
		"bulk density":     {mixed.BulkDensity, (3*0.20 + 0.04) / 4},
		"air space":        {mixed.AirSpaceLab(), (3*(0.78-0.22) + 0.95 - 0.65) / 4},
		"tanks, rounded":   {float64(mixed.Tanks), 2},
		"capture by water": {mixed.Fresh.CaptureDry, (3*0.22*0.20 + 0.65*0.42) / (3*0.22 + 0.65)},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-12 {
			t.Errorf("%s is %g, want %g", name, pair[0], pair[1])
		}
	}
}

func TestMediaThatCannotBe(t *testing.T) {
	for name, spoil := range map[string]func(*pot.Medium){
		"holds more than its pores":  func(m *pot.Medium) { m.CapacityLab = 0.9 },
		"no tank":                    func(m *pot.Medium) { m.Tanks = 0 },
		"all bypass":                 func(m *pot.Medium) { m.Bypass = 1 },
		"catches better dry":         func(m *pot.Medium) { m.Fresh.CaptureDry = 0.9 },
		"repels more with age":       func(m *pot.Medium) { m.Aged.CaptureWet = 0.5; m.Aged.CaptureDry = 0.3 },
		"thickness is not a number":  func(m *pot.Medium) { m.HalfThicknessMM = math.NaN() },
		"negative uptake by the dry": func(m *pot.Medium) { m.Fresh.UptakeDryPerDay = -1 },
	} {
		m := bark()
		spoil(&m)
		if _, err := m.Capacity(76); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if _, err := pot.Mix(); err == nil {
		t.Error("a mix of nothing was accepted")
	}
	if _, err := pot.Mix(pot.Component{Medium: bark()}); err == nil {
		t.Error("a mix of no parts was accepted")
	}
}

func ExampleMix() {
	mixed, _ := pot.Mix(pot.Component{Medium: bark(), Parts: 3}, pot.Component{Medium: moss(), Parts: 1})
	short, _ := mixed.Capacity(60)
	tall, _ := mixed.Capacity(150)
	fmt.Printf("three bark to one moss: air %.2f; holds %.2f of a 6 cm pot, %.2f of a 15 cm pot\n", mixed.AirSpaceLab(), short, tall)
	// Output: three bark to one moss: air 0.49; holds 0.37 of a 6 cm pot, 0.23 of a 15 cm pot
}
