package pot_test

import (
	"math"
	"testing"

	"velamen/science/pot"
)

// sponge is a pot whose water is all in the film and that catches one share
// whatever its wetness: the law of repeated pours without anything else.
func sponge(t *testing.T, share float64) *pot.Pot {
	m := plain(1, 0)
	m.Fresh.CaptureDry, m.Fresh.CaptureWet = share, share
	m.Aged = m.Fresh
	return filled(t, twelve, m)
}

// S after each flush, S_n = 1 − (1 − S₀)(1 − f)ⁿ; computed independently,
// printed to 0.01.
func TestRepeatedFlushesFillGeometrically(t *testing.T) {
	for share, want := range map[float64][]float64{
		0.2: {0.20, 0.36, 0.49, 0.59, 0.67},
		0.6: {0.60, 0.84, 0.94},
	} {
		p := sponge(t, share)
		s := stateOf(t, p, 0, 0, 0)
		for n, expected := range want {
			if _, err := p.Flush(&s, 5000, 0); err != nil {
				t.Fatal(err)
			}
			if got := p.Wetness(&s); math.Abs(got-expected) > 0.005 {
				t.Errorf("share %g, flush %d: wetness %.4f, want %.2f", share, n+1, got, expected)
			}
		}
	}
}

// wetnessAt turns moisture by wet weight into a share of capacity for nursery
// bark of 0.18 g/cm³ that holds 0.48 of its volume: θ = Db·MC/(1 − MC).
func wetnessAt(moisture float64) float64 { return 0.18 * moisture / (1 - moisture) / 0.48 }

// The moisture basis itself: 25, 33, 50, 67 % are θ 0.060, 0.089, 0.180, 0.365
// and θ 0.48 is 72.7 %; computed independently.
func TestMoistureBasis(t *testing.T) {
	for moisture, theta := range map[float64]float64{0.25: 0.060, 0.33: 0.089, 0.50: 0.180, 0.67: 0.365, 0.727: 0.48} {
		if got := 0.48 * wetnessAt(moisture); math.Abs(got-theta) > 0.001 {
			t.Errorf("%.0f %%: theta %.4f, want %.3f", 100*moisture, got, theta)
		}
	}
}

// In bark and coir at 33 % moisture or more, the first irrigation caught more
// than all later ones together (Schulker et al. 2020, Agronomy 10:1389,
// abstract).
func TestFirstFlushCatchesMoreThanTheRest(t *testing.T) {
	for name, wetting := range map[string]pot.Wettability{"bark": freshBarkWetting, "coir": coirWetting} {
		m := plain(1, 0)
		m.Fresh, m.Aged = wetting, wetting
		p := filled(t, twelve, m)
		for _, moisture := range []float64{0.33, 0.50, 0.67} {
			s := stateOf(t, p, wetnessAt(moisture), 0, 0)
			var first, rest float64
			for n := range 40 {
				d, err := p.Flush(&s, 5000, 0)
				if err != nil {
					t.Fatal(err)
				}
				if n == 0 {
					first = d.CapturedML
				} else {
					rest += d.CapturedML
				}
			}
			if first <= rest {
				t.Errorf("%s at %.0f %%: first flush %.1f mL, all later ones %.1f mL", name, 100*moisture, first, rest)
			}
		}
	}
}

// Coir took water up nearly independently of its initial moisture, and bark
// lost only 5 to 10 % from 67 to 33 % (Schulker et al. 2021, Agronomy 11:1355,
// summary); air-dry bark hardly wets (Airhart et al. 1978, HortScience 13:432,
// abstract).
func TestCaptureAgainstInitialMoisture(t *testing.T) {
	pots := map[string]*pot.Pot{}
	for name, wetting := range map[string]pot.Wettability{"bark": freshBarkWetting, "coir": coirWetting} {
		m := plain(1, 0)
		m.Fresh, m.Aged = wetting, wetting
		pots[name] = filled(t, twelve, m)
	}
	drop := func(name string, moisture float64) float64 {
		p := pots[name]
		return 1 - p.CaptureShare(wetnessAt(moisture), 0)/p.CaptureShare(wetnessAt(0.67), 0)
	}
	if got := drop("coir", 0.33); got > 0.05 {
		t.Errorf("coir catches %.1f %% less at 33 %% moisture, want nearly the same", 100*got)
	}
	if got := drop("bark", 0.33); got < 0.05 || got > 0.10 {
		t.Errorf("bark catches %.1f %% less at 33 %% moisture, want 5 to 10 %%", 100*got)
	}
	if got := drop("bark", 0); got < 0.5 {
		t.Errorf("air-dry bark catches only %.1f %% less, want a collapse", 100*got)
	}
}

// Air-dry bark kept wet reached 58 to 70 % of saturation in 48 days (Airhart et
// al. 1978, HortScience 13:432, abstract). The range is the source's own.
func TestAirDryBarkKeptWetFor48Days(t *testing.T) {
	m := bark()
	p := filled(t, twelve, m)
	s := stateOf(t, p, 1, 0, 0)
	dayly := make([]pot.Pour, 48*24)
	for hour := range dayly {
		dayly[hour] = pot.Pour{Hour: hour, ML: 1000}
	}
	out := pot.Series{ParticleML: make([]float64, len(dayly))}
	if _, err := pot.Simulate(p, s, steady(len(dayly), 0, 0), dayly, out); err != nil {
		t.Fatal(err)
	}
	insideML := p.CapacityML() - p.FilmCapacityML()
	if got := out.ParticleML[len(dayly)-1] / insideML; got < 0.58 || got > 0.70 {
		t.Errorf("particles filled to %.3f after 48 days, want 0.58 to 0.70", got)
	}
}

// The final capacity of bark did not depend on how dry it started (Schulker et
// al. 2020, Agronomy 10:1389, abstract): kept watered, a dried pot ends as a
// moist one. One per cent is far less than the scatter of such trials.
func TestDryingDoesNotLowerCapacityForGood(t *testing.T) {
	p := filled(t, twelve, bark())
	const days = 700
	pours := make([]pot.Pour, days)
	for day := range pours {
		pours[day] = pot.Pour{Hour: 24 * day, ML: 1000}
	}
	var ends [2]float64
	for i, filling := range []float64{0, 0.8} {
		r, err := pot.Simulate(p, stateOf(t, p, filling, filling, 0), steady(24*days, 1, 0.2), pours, pot.Series{})
		if err != nil {
			t.Fatal(err)
		}
		ends[i] = p.Wetness(&r.End)
	}
	if math.Abs(ends[0]-ends[1]) > 0.01 {
		t.Errorf("started dry it ends at %.4f, started moist at %.4f", ends[0], ends[1])
	}
}

// A soak of 24 hours fills 2 % of dry particles at 0.02 a day and 22 % at 0.25;
// computed independently, printed to 1 %.
func TestSoakFillsParticlesSlowly(t *testing.T) {
	for perDay, want := range map[float64]float64{0.02: 0.02, 0.25: 0.22} {
		m := bark()
		m.Fresh.UptakeDryPerDay, m.Fresh.UptakeMoistPerDay = perDay, perDay
		m.Aged = m.Fresh
		p := filled(t, twelve, m)
		s := stateOf(t, p, 0, 0, 0)
		bath, err := p.Soak(&s, 24, 5000, 0.1)
		if err != nil {
			t.Fatal(err)
		}
		insideML := p.CapacityML() - p.FilmCapacityML()
		if got := s.ParticleML / insideML; math.Abs(got-want) > 0.005 {
			t.Errorf("%g per day: particles filled to %.4f, want %.2f", perDay, got, want)
		}
		if got := s.FilmML / p.FilmCapacityML(); math.Abs(got-pot.Defaults().SoakCapture.Value) > 1e-12 {
			t.Errorf("film filled to %g", got)
		}
		if math.Abs(s.WaterML()-bath.TakenML) > 1e-9 {
			t.Errorf("the pot holds %g mL, the bath lost %g", s.WaterML(), bath.TakenML)
		}
	}
}

// Fresh bark that is watered as before dries out sooner for weeks: its
// particles are still filling.
func TestFreshBarkIsBehindForWeeks(t *testing.T) {
	p := filled(t, twelve, bark())
	pours := make([]pot.Pour, 14)
	for i := range pours {
		pours[i] = pot.Pour{Hour: 72 * i, ML: 500}
	}
	trace, err := pot.Record(p, stateOf(t, p, 0.1, 0.1, 0), steady(42*24, 4, 1), pours)
	if err != nil {
		t.Fatal(err)
	}
	days := pot.ByDay(trace.Wetness)
	if !(days[3] < days[18] && days[18] < days[39]) {
		t.Errorf("mean wetness on days 4, 19 and 40 is %.3f, %.3f, %.3f; want it to rise for weeks", days[3], days[18], days[39])
	}
}
