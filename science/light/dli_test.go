package light_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/science/light"
)

func ExampleSteadyDLI() {
	dli, _ := light.SteadyDLI(100, 12)
	fmt.Printf("%.2f mol m⁻² day⁻¹\n", dli)
	// Output: 4.32 mol m⁻² day⁻¹
}

func TestDLIVectors(t *testing.T) {
	shapes := map[string]light.Shape{"steady": light.Steady, "clear day": light.ClearDayPeak}
	for _, r := range rows(t, "dli.csv") {
		q := light.Quantity{Amount: r.Number(t, "level"), Unit: ok(light.ParseUnit(r["unit"]))}
		by := light.Lighting{Source: light.Sun, Shape: shapes[r["shape"]], Hours: r.Number(t, "hours")}
		near(t, fmt.Sprintf("%s %v for %v h (%s)", r["shape"], q, by.Hours, r["basis"]),
			ok(light.Convert(q, light.DLI, by)).Value, r.Number(t, "dli"), r.Number(t, "tolerance"))
	}
	// A bright-day figure read as steady overstates the day by π/2.
	near(t, "overstatement", ok(light.SteadyDLI(200, 12))/ok(light.ClearDayDLI(200, 12)), math.Pi/2, 1e-12)
	near(t, "peak for 5.48 mol", ok(light.PPFDForDLI(5.48, 12, light.ClearDayPeak)), 199.3, 0.2) // 0.005 of 5.48
}

func ExampleLoggedDLI() {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	at := func(h float64) time.Time { return start.Add(time.Duration(h * float64(time.Hour))) }
	// A lamp of 150 µmol from 6 to 16 h; the battery failed from 16 to 20 h.
	readings := []light.Reading{
		{At: at(0), PPFD: 0}, {At: at(5.99), PPFD: 0}, {At: at(6), PPFD: 150}, {At: at(11), PPFD: 150},
		{At: at(16), PPFD: 150}, {At: at(20), PPFD: 0}, {At: at(24), PPFD: 0},
	}
	logged, _ := light.LoggedDLI(readings[:5], start, at(24), 6*time.Hour)
	fmt.Printf("%.2f mol in %v, not covered:\n", logged.Mol, logged.Covered)
	for _, gap := range logged.Gaps {
		fmt.Println(gap.From.Format("15:04"), "to", gap.To.Format("15:04 on 2 January"))
	}
	// Output:
	// 5.40 mol in 16h0m0s, not covered:
	// 16:00 to 00:00 on 2 March
}

func TestLoggedDLIAgainstClosedForms(t *testing.T) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	rapid.Check(t, func(t *rapid.T) {
		// Readings of a straight line at irregular times: the trapezoid rule is
		// exact, also with the ends of the span between two readings.
		a, b := rapid.Float64Range(0, 1000).Draw(t, "level"), rapid.Float64Range(0, 0.02).Draw(t, "slope per s")
		var readings []light.Reading
		at := -time.Duration(rapid.IntRange(0, 3600).Draw(t, "lead")) * time.Second
		for at < 25*time.Hour {
			readings = append(readings, light.Reading{At: start.Add(at), PPFD: a + b*(at.Seconds()+3600)})
			at += time.Duration(rapid.IntRange(1, 7200).Draw(t, "step")) * time.Second
		}
		readings = append(readings, light.Reading{At: start.Add(at), PPFD: a + b*(at.Seconds()+3600)})
		logged := ok(light.LoggedDLI(readings, start, start.Add(24*time.Hour), 2*time.Hour))
		want := (a + b*(43200+3600)) * 86400 / 1e6
		if math.Abs(logged.Mol-want) > 1e-6*want+1e-9 || logged.Covered != 24*time.Hour || len(logged.Gaps) != 0 {
			t.Fatalf("%+v, want %v mol", logged, want)
		}
		// Without some readings, what is covered and what is reported missing
		// still make up the day.
		cut := rapid.IntRange(1, len(readings)-1).Draw(t, "cut")
		holes := append(append([]light.Reading{}, readings[:cut/2]...), readings[cut:]...)
		patchy := ok(light.LoggedDLI(holes, start, start.Add(24*time.Hour), time.Nanosecond))
		sum := patchy.Covered
		for _, gap := range patchy.Gaps {
			sum += gap.To.Sub(gap.From)
		}
		if sum != 24*time.Hour {
			t.Fatalf("covered and missing add up to %v", sum)
		}
	})
}

func TestLoggedDLIRefusesWhatCannotBe(t *testing.T) {
	start := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	end := start.Add(24 * time.Hour)
	readings := []light.Reading{{start, 1}, {start, 2}}
	for name, err := range map[string]error{
		"same time twice": second(light.LoggedDLI(readings, start, end, time.Hour)),
		"negative light":  second(light.LoggedDLI([]light.Reading{{start, -1}}, start, end, time.Hour)),
		"empty span":      second(light.LoggedDLI(nil, end, end, time.Hour)),
		"no gap allowed":  second(light.LoggedDLI(nil, start, end, 0)),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
	// A logger that starts 5 min late and stops 5 min early has no gap worth
	// reporting, but what it covers is not the whole day.
	var every10 []light.Reading
	for at := start.Add(5 * time.Minute); at.Before(end); at = at.Add(10 * time.Minute) {
		every10 = append(every10, light.Reading{At: at, PPFD: 100})
	}
	if edge := ok(light.LoggedDLI(every10, start, end, 15*time.Minute)); len(edge.Gaps) != 0 || edge.Covered != 24*time.Hour-10*time.Minute {
		t.Errorf("short edges: %+v", edge)
	}
	// No readings at all are one gap, not darkness.
	empty := ok(light.LoggedDLI(nil, start, end, time.Hour))
	if len(empty.Gaps) != 1 || empty.Gaps[0] != (light.Gap{From: start, To: end}) {
		t.Errorf("no readings: %+v", empty)
	}
}
