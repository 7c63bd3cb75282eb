package care_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/internal/care"
)

// forecast returns the forecast of a sketch so many days after the repot.
func (s sketch) forecast(t failer, day int, last care.LastWater, days int) (care.Course, care.Forecast) {
	t.Helper()
	kase := s.read(t)
	c := s.on(t, day)
	f, err := care.NewForecast(kase, kase.Plants[0], tables, c, care.Outlook{Last: last, Days: days, Name: s.toml()})
	if err != nil {
		t.Fatalf("%v\nin the case\n%s", err, s.toml())
	}
	return c, f
}

// repotted is the day of the repot of every sketch made by ordinary.
var repotted = day("2026-10-18")

func after(days int) time.Time { return repotted.AddDate(0, 0, days) }

func TestForecastsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSketch(t)
		today := rapid.IntRange(0, 120).Draw(t, "day")
		noted := s.read(t).Plants[0].Repot.Date.AddDate(0, 0, rapid.IntRange(0, today).Draw(t, "last flush"))
		days := rapid.IntRange(1, 21).Draw(t, "days")
		c, f := s.forecast(t, today, care.LastWater{Flush: noted}, days)
		n := len(f.Water.Value)
		if f.Ahead < 0 || n != f.Ahead+24*days {
			t.Fatalf("%d hours, of which %d lie behind, for %d days ahead", n, f.Ahead, days)
		}
		for _, b := range []care.Band{f.Water, f.Salt} {
			if len(b.Value) != n || len(b.Low) != n || len(b.High) != n {
				t.Fatalf("courses of %d, %d and %d hours", len(b.Value), len(b.Low), len(b.High))
			}
			for h := range n {
				if !(b.Low[h] <= b.Value[h] && b.Value[h] <= b.High[h]) || b.Low[h] < 0 {
					t.Fatalf("hour %d: %v to %v around %v", h, b.Low[h], b.High[h], b.Value[h])
				}
			}
		}
		for h, wet := range f.Water.High {
			if wet > 1 {
				t.Fatalf("hour %d holds %v of what it can hold", h, wet)
			}
		}
		for _, figure := range []*care.Figure{&f.LeastWater, &f.MostSalt, &f.WetHours} {
			if err := sound(figure.Value); err != nil {
				t.Error(err)
			}
			if err := explained(figure.Grade, figure.Because); err != nil {
				t.Error(err)
			}
		}
		if h := f.WetHours.Value; h.Low < 0 || h.High > 24+1e-9 {
			t.Errorf("roots are wet for %v to %v hours a day", h.Low, h.High)
		}
		if f.Due.Before(c.On) {
			t.Errorf("the next flush was due on %s, today is %s", f.Due, c.On)
		}
		if !slices.IsSortedFunc(f.Pours, func(a, b care.Poured) int { return a.At.Compare(b.At) }) {
			t.Error("pours are out of order")
		}
	})
}

func TestForecastFollowsTheNotedFlush(t *testing.T) {
	s := ordinary()
	c, f := s.forecast(t, 20, care.LastWater{Flush: after(19).Add(9 * time.Hour)}, 10)
	every := int(c.Flush.Every.Value.Value)
	if want := after(19 + every); !f.Due.Equal(want) {
		t.Errorf("flushed yesterday, every %d days: due on %s, want %s", every, f.Due, want)
	}
	if want := after(19); !f.Start.Equal(want) || f.Ahead != 24 {
		t.Errorf("shown from %s, %d hours behind; want from the last flush, %s", f.Start, f.Ahead, want)
	}
	if len(f.Pours) == 0 || !f.Pours[0].At.Equal(after(19).Add(8*time.Hour)) {
		t.Errorf("the noted flush is not among the pours: %+v", f.Pours)
	}
}

// A home that nobody flushed is drier today than one that was flushed
// yesterday, and its flush is due at once.
func TestAnOverdueFlushShows(t *testing.T) {
	s := ordinary()
	_, late := s.forecast(t, 20, care.LastWater{Flush: after(10)}, 10)
	_, fresh := s.forecast(t, 20, care.LastWater{Flush: after(19)}, 10)
	if !late.Due.Equal(after(20)) {
		t.Errorf("overdue since days, but due on %s", late.Due)
	}
	if a, b := late.Water.Value[late.Ahead], fresh.Water.Value[fresh.Ahead]; a >= b {
		t.Errorf("unflushed for ten days it holds %.2f, flushed yesterday %.2f", a, b)
	}
	if late.Kept {
		t.Error("ten days without a note were taken as kept")
	}
	if _, f := s.forecast(t, 60, care.LastWater{}, 10); !f.Kept {
		t.Error("sixty days without a note were not taken as a rhythm that was kept")
	}
}

func TestForecastsThatCannotBeMade(t *testing.T) {
	s := ordinary()
	kase := s.read(t)
	for name, c := range map[string]struct{ today, days int }{"no days": {5, 0}, "too many": {5, 61}, "before the repot": {-3, 5}} {
		if _, err := care.NewForecast(kase, kase.Plants[0], tables, s.on(t, c.today), care.Outlook{Days: c.days}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// A flush is done when the drainage is no stronger than what was poured and
// the last two cups agree.
func TestAFlushIsFinishedByItsDrainage(t *testing.T) {
	flush := ordinary().on(t, 5).Flush
	for _, c := range []struct {
		name string
		cups []float64
		done bool
	}{
		{"one cup says nothing", []float64{0.05}, false},
		{"still falling", []float64{0.9, 0.4}, false},
		{"as weak as the water, twice", []float64{0.4, 0.06, 0.06}, true},
	} {
		got, err := flush.Finished(c.cups)
		if err != nil {
			t.Fatal(err)
		}
		if got.Done != c.done {
			t.Errorf("%s: done is %v, want %v (%+v)", c.name, got.Done, c.done, got)
		}
	}
}
