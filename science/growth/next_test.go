package growth_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/growth"
)

// The chance that a reading will settle it, against readings drawn from the
// belief itself.
func TestChanceSettlesAgainstDraws(t *testing.T) {
	judge := judgeOf(t, growth.PhalaenopsisRate)
	random := newRandom(21)
	now := growth.Belief{Day: 14, LengthMM: 20, RateMMPerDay: 0.2, LengthVar: 0.2, Covariance: 0.02, RateVar: 0.03}
	for _, wait := range []float64{3, 10, 28} {
		day := now.Day + wait
		before := judge.Trend.Ahead(now, day)
		const draws = 20_000
		settled := 0
		for range draws {
			length := before.LengthMM + math.Sqrt(before.LengthVar+0.25)*random.NormFloat64()
			after, _ := before.Read(length, 0.25)
			if chance := after.ChanceFaster(growth.GrowingRate.Value); chance >= 0.9 || chance <= 0.1 {
				settled++
			}
		}
		// Three standard errors of a share of 20 000.
		near(t, "chance", growth.ChanceSettles(judge, now, day, 0.25), float64(settled)/draws, 3*math.Sqrt(0.25/draws))
	}
}

func next(t failer, root growth.Root, day float64) growth.NextReading {
	t.Helper()
	judge := judgeOf(t, growth.PhalaenopsisRate)
	return judge.Next(must[growth.Track](t)(judge.Root(root, day)))
}

func TestNextReading(t *testing.T) {
	capped := []growth.TipEvent{{Day: 8, Change: growth.Capped}}
	for _, row := range []struct {
		name           string
		root           growth.Root
		day            float64
		rule           growth.NextRule
		earliest, last float64
	}{
		{"nothing measured", growth.Root{}, 5, growth.FirstReading, 5, 5},
		{"in question", growth.Root{Readings: ruler(0, 20, 7, 12)}, 9, growth.AnswerQuestion, 9, 9},
		// A first length says nothing; a second one within a fortnight will.
		{"measured once", growth.Root{Readings: ruler(0, 20)}, 0, growth.LikelySettles, 3, 14},
		// Growing at 1 mm/day: the smallest real change of 1.39 mm is there in
		// two days, so the least wait of three holds.
		{"clear and fast", growth.Root{Readings: ruler(0, 20, 7, 27, 14, 34)}, 14, growth.ChangeShows, 17, 17},
		// Clear standstill: 1.39 mm at 0.1 mm/day take 14 days.
		{"clear and still", growth.Root{Readings: ruler(0, 20, 7, 20, 14, 20, 21, 20, 28, 20, 35, 20, 42, 20)}, 42, growth.ChangeShows, 56, 56},
		{"resting", growth.Root{Readings: ruler(0, 20, 7, 27), Tips: capped}, 14, 0, 0, 0},
		{"overdue", growth.Root{Readings: ruler(0, 20, 7, 27, 14, 34)}, 90, growth.ChangeShows, 90, 90},
		{"tip renewed, not measured since", growth.Root{Readings: ruler(0, 20, 7, 27), Tips: append(capped, growth.TipEvent{Day: 20, Change: growth.Renewed})},
			20, growth.LikelySettles, 23, 48},
	} {
		got := next(t, row.root, row.day)
		if got.Rule != row.rule || got.Day < row.earliest || got.Day > row.last {
			t.Errorf("%s: %+v (%v), want %v on day %v to %v", row.name, got, got.Rule, row.rule, row.earliest, row.last)
		}
		if got.Rule == growth.LikelySettles && got.ChanceSettles < 0.5 {
			t.Errorf("%s: settles with a chance of only %v", row.name, got.ChanceSettles)
		}
	}
}

// A root read today is read again in 3 to 28 days, and no later than needed.
func TestNextReadingLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(0, 3).Draw(t, "rate")
		errorMM := rapid.Float64Range(0.3, 3).Draw(t, "error")
		n := rapid.IntRange(1, 8).Draw(t, "readings")
		root := growth.Root{}
		day := 0.0
		for i := range n {
			day = 7 * float64(i)
			root.Readings = append(root.Readings, growth.Reading{Day: day, LengthMM: 10 + rate*day, ErrorMM: errorMM})
		}
		judge := judgeOf(t, growth.PhalaenopsisRate)
		now := track(t, root, day)
		got := judge.Next(now)
		last := now.Steps[len(now.Steps)-1]
		if got.Rule == growth.LikelySettles && got.Day > day+growth.SoonestReadingDays.Value &&
			growth.ChanceSettles(judge, last.Belief, got.Day-1, last.ErrorVar) >= 0.5 {
			t.Fatalf("day %v would settle it too, next %+v", got.Day-1, got)
		}
		if got.Day < day+growth.SoonestReadingDays.Value || got.Day > day+growth.LatestReadingDays.Value {
			t.Fatalf("read on day %v, next %+v", day, got)
		}
		if got.Rule == growth.LikelySettles && got.ChanceSettles < 0.5 {
			t.Fatalf("said to be likely: %+v", got)
		}
		if !(got.ChanceSettles >= 0 && got.ChanceSettles <= 1) {
			t.Fatalf("chance %v", got.ChanceSettles)
		}
		if math.Trunc(got.Day) != got.Day {
			t.Fatalf("read on whole days, next on day %v", got.Day)
		}
	})
}
