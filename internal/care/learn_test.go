package care_test

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

// measured returns the state of a sketch's plant with entries about its pot, in
// order of time.
func (s sketch) measured(t failer, entries ...care.Entry) (care.Case, *care.PlantState) {
	t.Helper()
	kase := s.read(t)
	const id = "0190a000-0000-7000-8000-000000000001"
	record := kase.Plants[0]
	repot := record.Repot
	list := []care.Entry{
		{ID: "0190b5c2-0000-7000-8000-000000000001", At: repot.Date, Kind: care.PlantSet, Plant: id, Detail: care.Detail{Plant: &record}},
		{ID: "0190b5c2-0000-7000-8000-000000000002", At: repot.Date, Kind: care.RepotDone, Plant: id, Detail: care.Detail{Repot: &repot}},
	}
	for i, e := range entries {
		e.ID, e.Plant = "0190b5c2-0000-7000-8000-0000000001"+string(rune('0'+i/10))+string(rune('0'+i%10)), id
		list = append(list, e)
	}
	c := care.Replay(list, repot.Date.AddDate(1, 0, 0))
	return kase, c.Plants[id]
}

// weighings are those of a pot that loses so many grams a day after its first
// flush, and was flushed after three days.
func weighings(repot time.Time, dry, full, perDay float64) []care.Entry {
	g := func(at time.Time, mass float64) care.Entry {
		return care.Entry{At: at, Kind: care.Weighed, Detail: care.Detail{MassG: &mass}}
	}
	mL := 600.0
	flush := func(at time.Time) care.Entry {
		return care.Entry{At: at, Kind: care.FlushDone, Detail: care.Detail{VolumeML: &mL}}
	}
	hour := func(day, hour int) time.Time { return repot.AddDate(0, 0, day).Add(time.Duration(hour) * time.Hour) }
	return []care.Entry{
		g(hour(0, 7), dry), flush(hour(0, 8)), g(hour(0, 9), full), g(hour(1, 20), full-1.5*perDay), g(hour(3, 7), full-2.9*perDay), flush(hour(3, 8)),
	}
}

func learned(t failer, s sketch, entries ...care.Entry) (before, after care.Course, l *care.Learned) {
	t.Helper()
	kase, p := s.measured(t, entries...)
	on := p.Record.Repot.Date.AddDate(0, 0, 4)
	before, err := care.NewCourse(kase, p.Record, tables, on)
	if err != nil {
		t.Fatalf("%v", err)
	}
	if l, err = care.Learn(kase, p, tables, &before, nil, care.Around{}); err != nil {
		t.Fatalf("%v", err)
	}
	if after, err = care.NewLearnedCourse(kase, p.Record, tables, l, on); err != nil {
		t.Fatalf("%v", err)
	}
	return before, after, l
}

// Three weighings over one dry-down make the band visibly narrower, and the pot
// that dries faster is learned to dry faster.
func TestWeighingsNarrowTheBand(t *testing.T) {
	s := ordinary()
	_, fast, quick := learned(t, s, weighings(repotted, 300, 480, 45)...)
	_, _, slow := learned(t, s, weighings(repotted, 300, 480, 12)...)
	if quick.Weighings != 4 {
		t.Errorf("learned from %d weighings, there are 4", quick.Weighings)
	}
	if n := slow.DryDown.Narrowed(); n < 0.3 {
		t.Errorf("the band of the drying time narrowed by %.0f %% only: %+v", 100*n, slow.DryDown)
	}
	if a, b := quick.DryDown.Now.Value, slow.DryDown.Now.Value; a >= b {
		t.Errorf("losing 45 g a day it dries in %.1f days, losing 12 g in %.1f", a, b)
	}
	if note := fast.Flush.Every.Because.Note; note == "" {
		t.Error("the because of the rhythm does not name the weighings")
	}
	for _, f := range append(slices.Clone(quick.Figures), quick.DryDown) {
		if f.Now.Low > f.Now.Value || f.Now.Value > f.Now.High || math.IsNaN(f.Now.Value) {
			t.Errorf("%s: %+v", f.Name, f.Now)
		}
	}
}

func TestNothingIsLearnedFromNothing(t *testing.T) {
	mL := 500.0
	before, after, l := learned(t, ordinary(), care.Entry{At: repotted.Add(9 * time.Hour), Kind: care.FlushDone, Detail: care.Detail{VolumeML: &mL}})
	if l != nil || after.Learned != nil || after.Flush.Every.Value != before.Flush.Every.Value {
		t.Errorf("a flush alone taught %+v", l)
	}
}

func TestLooksTeachToo(t *testing.T) {
	mL := 600.0
	_, _, l := learned(t, ordinary(),
		care.Entry{At: repotted.Add(8 * time.Hour), Kind: care.FlushDone, Detail: care.Detail{VolumeML: &mL}},
		care.Entry{At: repotted.AddDate(0, 0, 1), Kind: care.WetnessSeen, Detail: care.Detail{Wet: care.LooksDry}},
		care.Entry{At: repotted.AddDate(0, 0, 2), Kind: care.Skipped, Detail: care.Detail{Job: "x", Reason: "still wet", Wet: care.LooksDry}},
	)
	if l.Looks != 2 || l.DryDown.Now.Value >= l.DryDown.Before.Value {
		t.Errorf("seen dry twice: %d looks, %+v", l.Looks, l.DryDown)
	}
}

// The forecast's band comes from what was learned, and the best next reading is
// named.
func TestTheForecastUsesWhatWasLearned(t *testing.T) {
	s := ordinary()
	kase, p := s.measured(t, weighings(repotted, 300, 480, 20)...)
	before, after, l := learned(t, s, weighings(repotted, 300, 480, 20)...)
	forecast := func(c care.Course, l *care.Learned) care.Forecast {
		f, err := care.NewForecast(kase, p.Record, tables, c, care.Outlook{Last: care.LastWater{Flush: p.LastFlush}, Days: 7, Pot: p.Pot, Learned: l, Name: p.ID})
		if err != nil {
			t.Fatalf("%v", err)
		}
		return f
	}
	blind, known := forecast(before, nil), forecast(after, l)
	width := func(f care.Forecast) (sum float64) {
		for h := range f.Water.Value {
			sum += f.Water.High[h] - f.Water.Low[h]
		}
		return sum / float64(len(f.Water.Value))
	}
	if a, b := width(blind), width(known); b > 0.8*a {
		t.Errorf("the band of the water is %.3f wide, and %.3f after four weighings", a, b)
	}
	for _, f := range []care.Forecast{blind, known} {
		falling := func(a, b care.ReadingWorth) int { return cmp.Compare(b.Narrows.Value, a.Narrows.Value) }
		if len(f.Worth) == 0 || !slices.IsSortedFunc(f.Worth, falling) {
			t.Errorf("readings to take: %+v", f.Worth)
		}
	}
}

// Measured hours take the place of the typical day: in drier air the pot dries
// sooner, and the because says where the climate came from.
func TestForecastsFollowMeasuredHours(t *testing.T) {
	s := ordinary()
	kase := s.read(t)
	c := s.on(t, 10)
	hours := func(rh float64, from, to int) (list []care.ClimateHour) {
		for h := from; h < to; h++ {
			list = append(list, care.ClimateHour{Start: repotted.Add(time.Duration(h) * time.Hour),
				TempC: care.Spread{Mean: 24, Count: 6}, RHPercent: care.Spread{Mean: rh, Count: 6}})
		}
		return list
	}
	last := care.LastWater{Flush: after(9)}
	make := func(around care.Around) care.Forecast {
		f, err := care.NewForecast(kase, kase.Plants[0], tables, c, care.Outlook{Last: last, Days: 7, Around: around, Name: "x"})
		if err != nil {
			t.Fatalf("%v", err)
		}
		return f
	}
	damp, dry := make(care.Around{Measured: hours(85, 0, 240)}), make(care.Around{Measured: hours(30, 0, 240)})
	if a, b := damp.LeastWater.Value.Value, dry.LeastWater.Value.Value; b >= a {
		t.Errorf("driest in damp air %.3f, in dry air %.3f", a, b)
	}
	turned := make(care.Around{Measured: hours(85, 0, 240), Ahead: hours(30, 240, 240+24*7), AheadOf: time.Date(2026, 1, 2, 9, 0, 0, 0, time.UTC)})
	if a, b := damp.LeastWater.Value.Value, turned.LeastWater.Value.Value; b >= a {
		t.Errorf("a dry forecast leaves %.3f, the pattern of damp days %.3f", b, a)
	}
	for words, f := range map[string]care.Forecast{
		"nothing was measured": make(care.Around{}), "as measured": dry, "like the last 3 days": damp, "by the forecast file of 2 January": turned,
	} {
		if !strings.Contains(f.LeastWater.Because.Note, words) {
			t.Errorf("the because %q does not say %q", f.LeastWater.Because.Note, words)
		}
	}
}
