package care_test

import (
	"math"
	"testing"
	"time"

	"velamen/internal/care"
)

func TestShortfallsCountHoursAndDistance(t *testing.T) {
	w := care.OpenWants()
	w.Day.HighC, w.Night.LowC, w.Day.LowRH, w.Night.LowRH, w.MostPPFD = 26, 14, 55, 65, 200
	spread := func(v float64) care.Spread { return care.Spread{Min: v - 1, Mean: v, Max: v + 1, Count: 6} }
	at := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	var hours []care.ClimateHour
	for h := range 24 {
		one := care.ClimateHour{Start: at.Add(time.Duration(h) * time.Hour), Lit: h >= 6 && h < 18, TempC: spread(20), RHPercent: spread(70)}
		if one.Lit {
			one.PPFD = spread(100)
		}
		switch h {
		case 2, 3:
			one.TempC = spread(12) // 2 °C too cold
		case 12, 13, 14:
			one.TempC = spread(32) // 6 °C too warm
		case 15:
			one.RHPercent, one.PPFD = spread(50), spread(260) // 5 % too dry, 60 µmol too bright
		case 23:
			one.TempC, one.RHPercent = care.Spread{}, care.Spread{} // nothing measured
		}
		hours = append(hours, one)
	}
	got := w.Shortfalls(hours)
	want := []struct {
		words        string
		hours, all   int
		beyond, fell float64
	}{
		{"too warm by day", 3, 12, 6, 6}, {"too cold by night", 2, 11, 2, 4. / 3}, {"too bright by day", 1, 12, 60, .6}, {"too dry by day", 1, 12, 5, .5},
	}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i, one := range want {
		if s := got[i]; s.Words() != one.words || s.Hours != one.hours || s.All != one.all || math.Abs(s.Beyond-one.beyond) > 1e-9 || math.Abs(s.Weight()-one.fell) > 1e-9 {
			t.Errorf("%+v, want %+v", s, one)
		}
	}
	cold := care.OpenWants()
	cold.Day.HighC, cold.Night.HighC = 15, 15
	lit, dark := care.SuitedBy([]care.AirWants{w, w, cold}, hours)
	// By day the cold one is never suited, the other in all but four hours; by
	// night they have both only the hour without a reading, and each is suited
	// in turn.
	if lit != (care.Suited{None: 4, Hours: 12}) || dark != (care.Suited{All: 1, Hours: 12}) {
		t.Errorf("suited %+v by day, %+v by night", lit, dark)
	}
	if both, either := w.Both(cold), w.Either(cold); both.Day.HighC != 15 || either.Day.HighC != 26 || both.Night.LowC != 14 || either.Night.LowC > -1000 {
		t.Errorf("both %+v, either %+v", both, either)
	}
	if left := care.OpenWants().Shortfalls(hours); len(left) > 0 {
		t.Errorf("who asks for nothing lacks %+v", left)
	}
}
