package book_test

import (
	"math"
	"testing"

	"velamen/internal/book"
	"velamen/internal/care"
)

// Whoever has more minutes never gets a plan that harms more: neither when they
// are said in the settings, one after the other, nor when they are asked for once.
func TestMoreMinutesNeverHarmMore(t *testing.T) {
	d := withPlants(t, residents...)
	plan := func(minutes *float64) float64 {
		p, err := d.book.Plan(t.Context(), book.Ask{From: d.book.Today(), Days: book.PlanDays, Minutes: minutes})
		if err != nil {
			t.Fatal(err)
		}
		if minutes != nil && p.Days[0].Minutes > *minutes+1e-6 {
			t.Errorf("asked for %g minutes, planned %g", *minutes, p.Days[0].Minutes)
		}
		return p.Harm
	}
	before, worst := math.Inf(1), 0.0
	for _, minutes := range []float64{1, 3, 3.5, 4, 5, 6, 7.5, 8, 12} {
		d.add(now, care.SettingsSet, "", care.Detail{Settings: &care.Settings{MinutesPerDay: minutes}})
		harm := plan(nil)
		if harm > before+1e-9 {
			t.Errorf("%g minutes a day cost %g stress days, fewer cost %g", minutes, harm, before)
		}
		before, worst = harm, math.Max(worst, harm)
	}
	if before >= worst {
		t.Errorf("minutes change nothing: %g", worst)
	}
	for _, perDay := range []float64{4, 7} {
		d.add(now, care.SettingsSet, "", care.Detail{Settings: &care.Settings{MinutesPerDay: perDay}})
		before = math.Inf(1)
		for _, minutes := range []float64{0, 0.5, 1, 2.7, 3, 4, 5, 6.5, 7, 8, 20, 1e5} {
			harm := plan(&minutes)
			if harm > before+1e-9 {
				t.Errorf("%g a day: %g minutes today cost %g stress days, fewer cost %g", perDay, minutes, harm, before)
			}
			before = harm
		}
		if usual, asked := plan(nil), plan(&perDay); asked > usual+1e-9 {
			t.Errorf("asked for %g minutes a plan costs %g, as usual %g", perDay, asked, usual)
		}
	}
}
