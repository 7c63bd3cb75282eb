package leaf

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func stomata(t rapid.TB, c Class, wellWatered bool) Stomata {
	t.Helper()
	s, err := c.Stomata(wellWatered)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func conductance(t rapid.TB, s Stomata, ppfd, vpdKPa float64, late bool) float64 {
	t.Helper()
	g, err := s.ConductanceMol(ppfd, vpdKPa, late)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// At the deficit for which they are quoted, the table's values come back: full
// light or darkness give the open one, the other the closed one.
func TestTableValuesComeBack(t *testing.T) {
	for c := range classCount {
		row, err := Conductances(c)
		if err != nil {
			t.Fatal(err)
		}
		s := stomata(t, c, false)
		open, closed := row.OpenMmol.Value/1000, row.ClosedMmol.Value/1000
		dark, bright := conductance(t, s, 0, 1, false), conductance(t, s, ppfdHigh, 1, false)
		switch row.Photosynthesis {
		case CAM:
			near(t, row.Name+" in the dark", dark, open, 1e-15)
			near(t, row.Name+" in light", bright, closed, 1e-3*open)
		case C3:
			near(t, row.Name+" in the dark", dark, closed, 1e-15)
			// Half opening at 50 µmol leaves 2 % shut at 2500.
			near(t, row.Name+" in light", bright, open, 0.021*open)
		case Unknown:
			near(t, row.Name+" in the dark", dark, (open+closed)/2, 1e-15)
			near(t, row.Name+" in light", bright, (open+closed)/2, 0.011*open)
		}
	}
}

// In saturated air the answer to dryness opens stomata to 5/3 of the quoted
// value; that must stay inside the range that is remembered for the class.
func TestOpeningStaysInsideTheRememberedRange(t *testing.T) {
	for c := range classCount {
		row, err := Conductances(c)
		if err != nil {
			t.Fatal(err)
		}
		s := stomata(t, c, true)
		for _, ppfd := range []float64{0, 3, 50, 200, 1000} {
			for _, late := range []bool{false, true} {
				g := conductance(t, s, ppfd, 0, late) * 1000
				if g > row.OpenMmol.High || g < row.ClosedMmol.Low {
					t.Errorf("%s at %v µmol: %v mmol, remembered %v to %v", row.Name, ppfd, g, row.ClosedMmol.Low, row.OpenMmol.High)
				}
			}
		}
	}
}

func TestConductanceAnswersLightAndDryAir(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := stomata(t, Class(rapid.IntRange(0, int(classCount)-1).Draw(t, "class")), false)
		ppfd := rapid.Float64Range(0, 1000).Draw(t, "light")
		vpd := rapid.Float64Range(0, 5).Draw(t, "deficit")
		g := conductance(t, s, ppfd, vpd, false)
		if drier := conductance(t, s, ppfd, vpd+0.5, false); drier > g {
			t.Fatalf("opens in drier air: %v, %v", g, drier)
		}
		// Yet loss, conductance times deficit, rises as air dries.
		if drier := conductance(t, s, ppfd, vpd+0.5, false); drier*(vpd+0.5) <= g*vpd {
			t.Fatalf("loses less in drier air: %v, %v", g*vpd, drier*(vpd+0.5))
		}
		brighter := conductance(t, s, ppfd+20, vpd, false)
		if s.Photosynthesis == C3 && brighter <= g || s.Photosynthesis == CAM && brighter >= g {
			t.Fatalf("%v in more light: %v, %v", s.Photosynthesis, g, brighter)
		}
		if g < s.ClosedMol {
			t.Fatalf("%v is tighter than shut", g)
		}
	})
}

// The unknown type is the mean of the two others.
func TestUnknownIsTheMean(t *testing.T) {
	s := stomata(t, UnknownClass, false)
	c3, cam := s, s
	c3.Photosynthesis, cam.Photosynthesis = C3, CAM
	for _, ppfd := range []float64{0, 2, 30, 400} {
		want := (conductance(t, c3, ppfd, 1.7, false) + conductance(t, cam, ppfd, 1.7, false)) / 2
		near(t, "mean", conductance(t, s, ppfd, 1.7, false), want, 1e-15)
	}
}

func TestLateAfternoonOpensWellWateredPhalaenopsisOnly(t *testing.T) {
	near(t, "watered", conductance(t, stomata(t, Phalaenopsis, true), 150, 1, true), 0.015, 1e-15)
	for _, s := range []Stomata{stomata(t, Phalaenopsis, false), stomata(t, CattleyaVanda, true)} {
		if late, noon := conductance(t, s, 150, 1, true), conductance(t, s, 150, 1, false); late != noon {
			t.Errorf("late %v, noon %v", late, noon)
		}
	}
}

func TestStomataOutOfRangeAreNamed(t *testing.T) {
	tests := []struct {
		change func(*Stomata)
		want   string
	}{
		{func(s *Stomata) { s.Photosynthesis = 9 }, "photosynthesis 9 is outside"},
		{func(s *Stomata) { s.OpenMol = 30 }, "open conductance 30"},
		{func(s *Stomata) { s.ClosedMol = 0.5 }, "closed conductance 0.5 mol/(m² s) is outside 0 to 0.03"},
		{func(s *Stomata) { s.LateAfternoonMol = math.NaN() }, "late-afternoon conductance NaN"},
		{func(s *Stomata) { s.LateHours = -1 }, "late-afternoon hours -1"},
		{func(s *Stomata) { s.HalfOpeningPPFD = 0 }, "half-opening light 0"},
		{func(s *Stomata) { s.HalfClosurePPFD = 0 }, "half-closure light 0"},
		{func(s *Stomata) { s.HalvingVPDKPa = 0 }, "halving deficit 0"},
		{func(s *Stomata) { s.ReferenceVPDKPa = -1 }, "reference deficit -1"},
	}
	for _, test := range tests {
		s := stomata(t, Phalaenopsis, true)
		test.change(&s)
		if _, err := s.ConductanceMol(0, 1, false); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("error %v, want %q", err, test.want)
		}
	}
	if _, err := Class(99).Stomata(true); err == nil {
		t.Error("class 99 has stomata")
	}
}
