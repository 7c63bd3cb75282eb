package pot_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/internal/checktable"
	"velamen/science/pot"
)

func TestTanksInSeries(t *testing.T) {
	const tolerance = 0.0005 // half the last printed digit
	for _, row := range checktable.Rows(t, "tanks.csv") {
		tanks := int(row.Number(t, "tanks"))
		p := filled(t, twelve, plain(tanks, 0))
		s := stateOf(t, p, 1, 1, 1)
		if _, err := p.Flush(&s, row.Number(t, "volumes")*p.CapacityML(), 0); err != nil {
			t.Fatal(err)
		}
		outlet := s.FilmSalt[tanks-1] / (p.CapacityML() / float64(tanks))
		left := s.Salt() / p.CapacityML()
		if want := row.Number(t, "outlet"); math.Abs(outlet-want) > tolerance {
			t.Errorf("%s volumes, %d tanks: outlet %.4f, want %.3f", row["volumes"], tanks, outlet, want)
		}
		if want := row.Number(t, "left"); math.Abs(left-want) > tolerance {
			t.Errorf("%s volumes, %d tanks: left %.4f, want %.3f", row["volumes"], tanks, left, want)
		}
	}
}

func TestVolumesToLeave(t *testing.T) {
	for _, row := range checktable.Rows(t, "bypass.csv") {
		p := filled(t, twelve, plain(int(row.Number(t, "tanks")), row.Number(t, "bypass")))
		leftAfter := func(volumes float64) float64 {
			s := stateOf(t, p, 1, 1, 1)
			if _, err := p.Flush(&s, volumes*p.CapacityML(), 0); err != nil {
				t.Fatal(err)
			}
			return s.Salt() / p.CapacityML()
		}
		volumes, left := row.Number(t, "volumes"), row.Number(t, "left")
		const half = 0.005 // half the last printed digit of the volume
		if leftAfter(volumes-half) < left || leftAfter(volumes+half) > left {
			t.Errorf("bypass %s, %s tanks: %.2f ± %.3f volumes leave %.4f to %.4f, want %.2f", row["bypass"], row["tanks"],
				volumes, half, leftAfter(volumes-half), leftAfter(volumes+half), left)
		}
	}
}

// A moss pot holds 250 mL at 1.8 mS/cm; two volumes of 0.10 through two tanks
// leave 0.10 + 1.70·0.055 = 0.19 mS/cm. Computed independently.
func TestMossPotFlushedWithTwoVolumes(t *testing.T) {
	p := filled(t, twelve, plain(2, 0))
	s := stateOf(t, p, 1, 1, 1.8)
	if _, err := p.Flush(&s, 2*p.CapacityML(), 0.10); err != nil {
		t.Fatal(err)
	}
	if got := p.ECmS(&s); math.Abs(got-0.19) > 0.005 {
		t.Errorf("left at %.4f mS/cm, want 0.19", got)
	}
}

// Twice the pot's volume through one tank with bypass 0.7 leaves 1.8, 6.5, 22
// and 42 % for media that hold 0.15, 0.22, 0.40 and 0.70 of it. Computed
// independently; the tolerance is half the last digit.
func TestTwoPotVolumes(t *testing.T) {
	for _, c := range []struct{ theta, left, half float64 }{
		{0.15, 0.018, 0.0005}, {0.22, 0.065, 0.0005}, {0.40, 0.22, 0.005}, {0.70, 0.42, 0.005},
	} {
		p := filled(t, twelve, plain(1, 0.7))
		s := stateOf(t, p, 1, 1, 1)
		if _, err := p.Flush(&s, 2/c.theta*p.CapacityML(), 0); err != nil {
			t.Fatal(err)
		}
		if got := s.Salt() / p.CapacityML(); math.Abs(got-c.left) > c.half {
			t.Errorf("theta %.2f: %.4f left, want %g", c.theta, got, c.left)
		}
	}
}

// LF examples of 60 of 400 mL and 150 of 500 mL; definition from University of
// Florida IFAS EP529, figures computed independently.
func TestLeachingFraction(t *testing.T) {
	for _, c := range []struct{ poured, drained, want float64 }{{400, 60, 0.15}, {500, 150, 0.30}, {0, 0, 0}} {
		d := pot.Drainage{PouredML: c.poured, CapturedML: c.poured - c.drained, DrainedML: c.drained}
		if got := d.LeachingFraction(); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%g of %g mL: LF %g, want %g", c.drained, c.poured, got, c.want)
		}
	}
}

// Feed every day at a steady leaching fraction, with roots that take water
// alone: what comes in must leave in the drainage, so its EC tends to
// EC_in/LF: 5.25, 10.5 and 21 mS/cm for 2.1 at 0.4, 0.2 and 0.1. Computed
// independently. (Poinsettias fed so for 70 days drained 6, 9 and 15: roots
// also take salt.)
func TestDrainageTendsToInputOverLeachingFraction(t *testing.T) {
	for fraction, want := range map[float64]float64{0.4: 5.25, 0.2: 10.5, 0.1: 21} {
		m := plain(1, 0)
		m.Fresh.CaptureDry, m.Fresh.CaptureWet = 1, 1
		m.Aged = m.Fresh
		p := filled(t, twelve, m, func(p *pot.Parameters) { p.UptakeECmS.Value, p.UptakeECmS.Low = 0, 0 })
		const days, demandML = 400, 60
		pours := make([]pot.Pour, days)
		for day := range pours {
			pours[day] = pot.Pour{Hour: 24 * day, ML: demandML / (1 - fraction), ECmS: 2.1}
		}
		trace, err := pot.Record(p, stateOf(t, p, 1, 1, 2.1), steady(24*days, demandML, 0), pours)
		if err != nil {
			t.Fatal(err)
		}
		last := trace.Marks[days-1].Drainage
		if got := last.LeachingFraction(); math.Abs(got-fraction) > 1e-6 {
			t.Errorf("leaching fraction %g, meant %g", got, fraction)
		}
		if math.Abs(last.MeanECmS-want) > 0.01*want {
			t.Errorf("LF %g: drainage at %.3f mS/cm, want %.2f", fraction, last.MeanECmS, want)
		}
	}
}

func TestFractionsAddUpToTheDrainage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		s := drawState(t, p)
		volume := rapid.Float64Range(0, min(pot.LargestPourML, 8*p.CapacityML()+100)).Draw(t, "mL")
		ECmS := rapid.Float64Range(0, 3).Draw(t, "EC")
		cup := max(1, volume/20)
		readings, err := p.Leachates(s, volume, ECmS, cup, nil)
		if err != nil {
			t.Fatal(err)
		}
		d, err := p.Flush(&s, volume, ECmS)
		if err != nil {
			t.Fatal(err)
		}
		var salt float64
		left := d.DrainedML
		for _, reading := range readings {
			salt += reading * min(cup, left)
			left -= min(cup, left)
		}
		if math.Abs(salt-d.SaltOut) > 1e-9*(d.SaltOut+d.SaltIn+1e-9) {
			t.Fatalf("fractions carry %g, the drainage %g mS/cm·mL", salt, d.SaltOut)
		}
	})
}

func TestBiggerFlushNeverLeavesMoreSalt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		volume := rapid.Float64Range(0, pot.LargestPourML)
		less, more := volume.Draw(t, "one volume"), volume.Draw(t, "another")
		if less > more {
			less, more = more, less
		}
		// Salt-free water: no more salt. Water weaker than what is there: no
		// higher EC.
		for _, ECmS := range []float64{0, rapid.Float64Range(0, 1).Draw(t, "EC") * p.ECmS(&start)} {
			a, b := start, start
			if _, err := p.Flush(&a, less, ECmS); err != nil {
				t.Fatal(err)
			}
			if _, err := p.Flush(&b, more, ECmS); err != nil {
				t.Fatal(err)
			}
			slack := 1e-9 * (start.Salt() + ECmS*p.CapacityML())
			if ECmS == 0 && b.Salt() > a.Salt()+slack {
				t.Fatalf("%g mL leave %g, %g mL leave %g", more, b.Salt(), less, a.Salt())
			}
			dry := start.WaterML() < 0.02*p.CapacityML() // EC of a dry pot is a bound, see ECmS
			if !dry && p.ECmS(&b) > p.ECmS(&a)*(1+1e-9)+1e-12 {
				t.Fatalf("%g mL leave %g mS/cm, %g mL leave %g", more, p.ECmS(&b), less, p.ECmS(&a))
			}
			if b.WaterML() < a.WaterML()-1e-9*p.CapacityML() {
				t.Fatalf("%g mL leave %g mL in the pot, %g mL leave %g", more, b.WaterML(), less, a.WaterML())
			}
		}
	})
}

// Time constants 4·L²/(π²·D) of 2.0, 5.6 and 32 hours for half thicknesses of
// 3, 5 and 12 mm at 0.5e-9 m²/s; computed independently.
func TestChipHours(t *testing.T) {
	for _, c := range []struct{ mm, hours, half float64 }{{3, 2.0, 0.05}, {5, 5.6, 0.05}, {12, 32, 0.5}} {
		got, err := pot.ChipHours(c.mm, 0.5e-9)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-c.hours) > c.half {
			t.Errorf("%g mm: %.3f hours, want %g", c.mm, got, c.hours)
		}
	}
}

// Salt inside particles comes out between pours: two rinses hours apart carry
// away more than one of twice the volume.
func TestTwoRinsesBeatOne(t *testing.T) {
	p := filled(t, twelve, bark())
	once, twice := stateOf(t, p, 1, 1, 2), stateOf(t, p, 1, 1, 2)
	flush := func(s *pot.State, mL float64) {
		if _, err := p.Flush(s, mL, 0.05); err != nil {
			t.Fatal(err)
		}
	}
	flush(&once, 1000)
	flush(&twice, 500)
	r, err := pot.Simulate(p, twice, steady(4, 0, 0), nil, pot.Series{})
	if err != nil {
		t.Fatal(err)
	}
	flush(&r.End, 500)
	if r.End.Salt() >= once.Salt() {
		t.Errorf("two rinses leave %.1f, one leaves %.1f mS/cm·mL", r.End.Salt(), once.Salt())
	}
}

func TestFlushRefusesNonsense(t *testing.T) {
	p := filled(t, twelve, bark())
	s := stateOf(t, p, 1, 1, 1)
	for name, pour := range map[string][2]float64{
		"negative": {-1, 0}, "a lake": {1e9, 0}, "brine": {100, 300}, "no number": {math.NaN(), 0}, "no EC": {1, math.NaN()},
	} {
		before := s
		if _, err := p.Flush(&s, pour[0], pour[1]); err == nil {
			t.Errorf("%s: accepted", name)
		}
		if s != before {
			t.Errorf("%s: the state changed", name)
		}
	}
	if _, err := (&pot.Pot{}).Flush(&s, 1, 1); err == nil {
		t.Error("an empty pot was flushed")
	}
	s.FilmML = -1
	if _, err := p.Flush(&s, 1, 1); err == nil {
		t.Error("negative water was accepted")
	}
}

func ExamplePot_Flush() {
	geometry, _ := pot.Round{TopCM: 11.4, BaseCM: 8.6, HeightCM: 10.3, HeadspaceMM: 12}.Geometry()
	p, _ := pot.New(geometry, bark(), 0, pot.Defaults())
	state, _ := p.Fill(0.6, 0.8, 1.5, 0)
	d, _ := p.Flush(&state, 500, 0.1)
	fmt.Printf("caught %.0f mL, drained %.0f mL at %.2f mS/cm, last cup %.2f; the pot is left at %.2f\n",
		d.CapturedML, d.DrainedML, d.MeanECmS, d.LastECmS, p.ECmS(&state))
	// Output: caught 25 mL, drained 475 mL at 0.21 mS/cm, last cup 0.11; the pot is left at 0.80
}
