package pest_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/science/pest"
)

func clean(day int) pest.Sighting { return pest.Sighting{Day: start.AddDate(0, 0, day)} }

func found(day int) pest.Sighting { return pest.Sighting{Day: start.AddDate(0, 0, day), Found: true} }

// At 20 °C a mite generation takes 146.48/7.5 = 19.5 days; computed by hand.
func TestTwoCleanChecksMustSpanAGeneration(t *testing.T) {
	generation, record := stage(12.50, 146.48), steady(20, 60)
	for _, row := range []struct {
		name    string
		checks  []pest.Sighting
		cleared bool
		clean   int
		degrees float64
	}{
		{"never checked", nil, false, 0, 0},
		{"one clean check", []pest.Sighting{clean(40)}, false, 1, 0},
		{"too close together", []pest.Sighting{clean(1), clean(20)}, false, 2, 142.5},
		{"a generation apart", []pest.Sighting{clean(1), clean(21)}, true, 2, 150},
		{"three in a row", []pest.Sighting{clean(1), clean(10), clean(21)}, true, 3, 150},
		{"found in between", []pest.Sighting{clean(1), found(10), clean(21)}, false, 1, 0},
		{"found first", []pest.Sighting{found(0), clean(10), clean(30)}, true, 2, 150},
		{"found last", []pest.Sighting{clean(1), clean(21), found(30)}, false, 0, 0},
		{"up to the end of the record", []pest.Sighting{clean(0), clean(60)}, true, 2, 450},
	} {
		c, err := pest.Cleared(row.checks, generation, record)
		if err != nil || c.Cleared != row.cleared || c.CleanChecks != row.clean ||
			!near(c.GatheredDegreeDays, row.degrees, 1e-9) || c.NeededDegreeDays != 146.48 {
			t.Errorf("%s: %+v, %v", row.name, c, err)
		}
	}
}

func TestClearanceTakesTheSlowEndOfTheGeneration(t *testing.T) {
	generation := pest.Stage{LowerC: between(12, 12.5, 13, "°C"), DegreeDays: between(140, 146.48, 153, "°C·d")}
	c, err := pest.Cleared([]pest.Sighting{clean(0), clean(20)}, generation, steady(20, 30))
	if err != nil || c.Cleared || !near(c.GatheredDegreeDays, 140, 1e-9) || c.NeededDegreeDays != 153 {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestClearanceRefusesWhatItCannotKnow(t *testing.T) {
	generation := stage(12.50, 146.48)
	two := []pest.Sighting{clean(2), clean(40)}
	for name, call := range map[string]func() (pest.Clearance, error){
		"record too short": func() (pest.Clearance, error) { return pest.Cleared(two, generation, steady(20, 39)) },
		"record too late": func() (pest.Clearance, error) {
			r := steady(20, 60)
			r.Start = start.AddDate(0, 0, 3)
			return pest.Cleared(two, generation, r)
		},
		"no record":     func() (pest.Clearance, error) { return pest.Cleared(two, generation, pest.Temperatures{}) },
		"no generation": func() (pest.Clearance, error) { return pest.Cleared(two, pest.Stage{}, steady(20, 60)) },
		"checks unordered": func() (pest.Clearance, error) {
			return pest.Cleared([]pest.Sighting{clean(9), clean(2)}, generation, steady(20, 60))
		},
	} {
		if c, err := call(); err == nil {
			t.Errorf("%s: accepted as %+v", name, c)
		}
	}
}

// A plan whose checks are all clean ends on the day it named, not before.
func TestWatchUntilIsTheDayOfClearance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cycle := drawCycle(t)
		record := steady(rapid.Float64Range(18, 30).Draw(t, "mean"), 400)
		r, err := pest.AfterTreatment(cycle, record)
		if err != nil {
			t.Fatal(err)
		}
		if r.WatchUntil.IsZero() {
			return
		}
		first := pest.Sighting{Day: r.Passes[0].Due}
		for shift, want := range map[int]bool{0: true, -1: false} {
			last := pest.Sighting{Day: r.WatchUntil.AddDate(0, 0, shift)}
			if !last.Day.After(first.Day) {
				continue
			}
			c, err := pest.Cleared([]pest.Sighting{first, last}, cycle.Generation, record)
			if err != nil || c.Cleared != want {
				t.Fatalf("first %v, last %v: %+v, %v", first.Day.Format(time.DateOnly), last.Day.Format(time.DateOnly), c, err)
			}
		}
	})
}
