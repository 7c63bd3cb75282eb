package care_test

import (
	"math"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// The pace is the median gap between answers in a row, drawn towards the
// assumption while there are few; breaks, what was entered together and other
// people's answers in between teach nothing.
func TestPaceIsLearnedFromTheRound(t *testing.T) {
	start := time.Date(2026, 11, 1, 8, 0, 0, 0, time.UTC)
	answers := func(who string, gaps ...float64) *care.Collection {
		c := care.NewCollection()
		at := start
		for i, gap := range append([]float64{0}, gaps...) {
			at = at.Add(time.Duration(gap * float64(time.Minute)))
			id := string(rune('a' + i))
			if c.Plants[id] == nil {
				c.Apply(care.Entry{At: start.AddDate(0, 0, -9), Kind: care.PlantSet, Plant: id, Detail: care.Detail{Plant: &care.Plant{Label: id}}})
			}
			c.Apply(care.Entry{At: at, By: who, Kind: care.FlushDone, Plant: id, Detail: care.Detail{Job: id + "/flush/2026-11-01"}})
		}
		return c
	}
	tomorrow := start.AddDate(0, 0, 1)
	assumed := care.WorkPace{}.Minutes(care.Flushing)
	for name, c := range map[string]struct {
		gaps  []float64
		times int
		want  float64
	}{
		"nothing":                   {nil, 0, assumed.Value},
		"three of four minutes":     {[]float64{4, 4, 4}, 3, (3*4 + 5*assumed.Value) / 8},
		"with a break":              {[]float64{4, 45, 4}, 2, (2*4 + 5*assumed.Value) / 7},
		"entered together at last":  {[]float64{4, 0.01, 0.01}, 1, (4 + 5*assumed.Value) / 6},
		"one slow among the others": {[]float64{2, 2, 2, 2, 11}, 5, (5*2 + 5*assumed.Value) / 10},
	} {
		pace := answers("", c.gaps...).PaceBefore(tomorrow)
		if got := pace.Minutes(care.Flushing).Value; math.Abs(got-c.want) > 1e-9 || pace[care.Flushing].Times != c.times {
			t.Errorf("%s: %g min from %d times, want %g from %d", name, got, pace[care.Flushing].Times, c.want, c.times)
		}
	}
	learned := answers("", 4, 4, 4).PaceBefore(tomorrow)
	if one := learned[care.Flushing]; one.Takes.Grade != basis.Measured || one.Because == nil || one.Takes.Low > one.Takes.Value || one.Takes.High < one.Takes.Value {
		t.Errorf("%+v", one)
	}
	if pace := answers("", 4, 4, 4).PaceBefore(start); len(pace) > 0 {
		t.Errorf("answers of the day itself teach %+v", pace)
	}
}
