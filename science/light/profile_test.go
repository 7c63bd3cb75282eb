package light_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/science/light"
)

func ExampleHourlyPPFD() {
	// A lamp of 120 µmol from 18:30 for 8 hours, over midnight.
	lamp := light.Lighting{Source: light.WhiteLED, Shape: light.Steady, Hours: 8}
	day, _ := light.HourlyPPFD(nil, light.Quantity{Amount: 120, Unit: light.PPFD}, lamp, 18.5)
	fmt.Println(day[18], day[19], day[2], day[3])
	// Output: 60 120 60 0
}

func ExampleHourlyDaylightPPFD() {
	// A window with 5000 lx around noon of a bright day, 37.8° S in June.
	date := time.Date(2026, 6, 21, 0, 0, 0, 0, melbourneUT)
	level := light.Quantity{Amount: 5000, Unit: light.Lux}
	day, _ := light.HourlyDaylightPPFD(nil, level, light.Lighting{Source: light.Sun}, date, light.Site{LatDeg: -37.8, LonDeg: 145})
	fmt.Printf("%.0f\n", day[6:19])
	// Output: [0 3 27 54 75 88 92 86 70 47 19 0 0]
}

func TestHourlyProfileLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q, by := quantity(t), lighting(t)
		start := rapid.Float64Range(0, 24).Draw(t, "start")
		day := ok(light.HourlyPPFD(nil, q, by, start))
		peak := ok(light.Convert(q, light.PPFD, by)).Value
		var sum float64
		for _, ppfd := range day {
			if ppfd < -1e-12 || ppfd > peak*(1+1e-9) {
				t.Fatalf("%v outside 0 to the peak %v", ppfd, peak)
			}
			sum += ppfd * 0.0036
		}
		// Light is neither lost nor gained over the edge of the day.
		if dli := ok(light.Convert(q, light.DLI, by)).Value; len(day) != 24 || math.Abs(sum-dli) > 1e-9*(1+dli) {
			t.Fatalf("%d hours add up to %v mol of %v", len(day), sum, dli)
		}
		// A whole hour later is the same day turned by one place.
		if start <= 23 {
			later := ok(light.HourlyPPFD(nil, q, by, start+1))
			for h := range day {
				if math.Abs(day[h]-later[(h+1)%24]) > 1e-6 {
					t.Fatalf("an hour later differs at %d: %v, %v", h, day, later)
				}
			}
		}
	})
}

func TestHourlyDaylight(t *testing.T) {
	zone := time.FixedZone("local", -7*3600)
	// Around solar noon the two halves of a day mirror each other.
	day := ok(light.DaylightOn(time.Date(2024, 4, 2, 0, 0, 0, 0, zone), light.Site{LatDeg: 39, LonDeg: -105}))
	start, hours := day.ClockHours()
	near(t, "start", start, day.Rise.Sub(time.Date(2024, 4, 2, 0, 0, 0, 0, zone)).Hours(), 1e-9)
	near(t, "hours", hours, day.Set.Sub(day.Rise).Hours(), 1e-9)
	// Polar night is dark at any level, polar day bright at midnight's side.
	north := light.Site{LatDeg: 78, LonDeg: 15}
	for _, unit := range []light.Unit{light.PPFD, light.DLI} {
		dark := ok(light.HourlyDaylightPPFD(nil, light.Quantity{Amount: 10, Unit: unit}, light.Lighting{Source: light.Sun}, time.Date(2024, 12, 21, 0, 0, 0, 0, time.UTC), north))
		for h, ppfd := range dark {
			near(t, fmt.Sprintf("polar night at %d h", h), ppfd, 0, 0)
		}
	}
	bright := ok(light.HourlyDaylightPPFD(nil, light.Quantity{Amount: 10, Unit: light.DLI}, light.Lighting{Source: light.Sun}, time.Date(2024, 6, 21, 0, 0, 0, 0, time.UTC), north))
	if bright[11] < 10*bright[23] || bright[23] <= 0 {
		t.Errorf("polar day: %v", bright)
	}
}

func TestHourlyRefusesWhatCannotBe(t *testing.T) {
	q := light.Quantity{Amount: 100, Unit: light.PPFD}
	lamp := light.Lighting{Shape: light.Steady, Hours: 12}
	for name, err := range map[string]error{
		"start 25":       second(light.HourlyPPFD(nil, q, lamp, 25)),
		"hours -1":       second(light.HourlyPPFD(nil, q, light.Lighting{Shape: light.Steady, Hours: -1}, 0)),
		"no shape":       second(light.HourlyPPFD(nil, q, light.Lighting{Hours: 1}, 0)),
		"no source":      second(light.HourlyPPFD(nil, light.Quantity{Amount: 100, Unit: light.Lux}, lamp, 0)),
		"1 mol in 0 h":   second(light.HourlyPPFD(nil, light.Quantity{Amount: 1, Unit: light.DLI}, light.Lighting{Shape: light.Steady}, 0)),
		"no such year":   second(light.HourlyDaylightPPFD(nil, q, lamp, time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC), golden)),
		"dark, negative": second(light.HourlyDaylightPPFD(nil, light.Quantity{Amount: -1, Unit: light.PPFD}, lamp, time.Date(2024, 12, 21, 0, 0, 0, 0, time.UTC), light.Site{LatDeg: 80})),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
	none := ok(light.HourlyPPFD(nil, light.Quantity{Unit: light.DLI}, light.Lighting{Shape: light.Steady}, 0))
	near(t, "no light in no time", none[12], 0, 0)
}

func TestHourlyProfileDoesNotAllocate(t *testing.T) {
	dst := make([]float64, 24)
	level := light.Quantity{Amount: 5000, Unit: light.Lux}
	sun := light.Lighting{Source: light.Sun, Shape: light.ClearDayPeak, Hours: 11}
	date := time.Date(2026, 6, 21, 0, 0, 0, 0, melbourneUT)
	if n := testing.AllocsPerRun(100, func() {
		ok(light.HourlyPPFD(dst, level, sun, 7.5))
		ok(light.HourlyDaylightPPFD(dst, level, sun, date, golden))
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkHourlyPPFD(b *testing.B) {
	dst := make([]float64, 24)
	sun := light.Lighting{Source: light.Sun, Shape: light.ClearDayPeak, Hours: 11}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := light.HourlyPPFD(dst, light.Quantity{Amount: 300, Unit: light.PPFD}, sun, 7.5); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHourlyDaylightPPFD(b *testing.B) {
	dst := make([]float64, 24)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := light.HourlyDaylightPPFD(dst, light.Quantity{Amount: 300, Unit: light.PPFD}, light.Lighting{}, goldenNoon, golden); err != nil {
			b.Fatal(err)
		}
	}
}
