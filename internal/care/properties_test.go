package care_test

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/science/course"
)

func TestEveryCourseHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSketch(t)
		holds(t, s.on(t, rapid.IntRange(-30, 500).Draw(t, "day")))
	})
}

// More living roots never call for a larger turn-down.
func TestMoreRootsNeverTurnDownMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		few := randomSketch(t)
		many := few
		many.roots = measured(t, "more roots", few.roots, 1)
		fewer, more := few.on(t, 0), many.on(t, 0)
		for i := range recoveryDays / 7 {
			was, is := fewer.Weeks[i].Targets.Factor.Value.Value, more.Weeks[i].Targets.Factor.Value.Value
			if is < was-1e-9 {
				t.Fatalf("week %d: with %v of the roots %.4f of the usual (flush %v, %v), with %v only %.4f (flush %v, %v)\n%s", i,
					few.roots, was, fewer.Weeks[i].Flush.Every.Value.Value, fewer.Weeks[i].Flush.Decided, many.roots, is, more.Weeks[i].Flush.Every.Value.Value, more.Weeks[i].Flush.Decided, few.toml())
			}
		}
	})
}

// Drier air never asks for a smaller rise in humidity, all else equal. All else
// is not equal where the drier air also dried the old home, to which the new one
// is compared, so that the roots bring another share; and where the damp air
// stopped one half of the day at its ceiling, so that the other half had to rise
// for both. Such weeks are passed over.
func TestDrierAirNeverAsksForASmallerRise(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		damp := randomSketch(t)
		damp.dayRH, damp.nightRH = measured(t, "damp day", 30, 75), measured(t, "damp night", 30, 75)
		dry := damp
		drier := measured(t, "drier by", 0, 25)
		dry.dayRH, dry.nightRH = hundredth(max(5, damp.dayRH-drier)), hundredth(max(5, damp.nightRH-drier))
		before, after := damp.on(t, 0), dry.on(t, 0)
		for i := range recoveryDays / 7 {
			rise := func(c care.Course) (day, night float64) {
				n := c.Weeks[i].Targets
				return n.DayRHPercent.Value.Value - c.Usual.DayRHPercent.Value, n.NightRHPercent.Value.Value - c.Usual.NightRHPercent.Value
			}
			stopped := func(f care.Figure) bool {
				return f.Because.Limit == course.ByRHCeiling || f.Because.Limit == course.ByRottingVPD
			}
			n := before.Weeks[i].Targets
			if math.Abs(before.Weeks[i].Supply-after.Weeks[i].Supply) > 1e-6 || stopped(n.DayRHPercent) || stopped(n.NightRHPercent) {
				continue
			}
			compared++
			dampDay, dampNight := rise(before)
			dryDay, dryNight := rise(after)
			if dryDay < dampDay-0.1 || dryNight < dampNight-0.1 {
				t.Fatalf("week %d: a rise of %.2f by day and %.2f by night in damp air, %.2f and %.2f in air drier by %v points\n%s", i, dampDay, dampNight, dryDay, dryNight, drier, damp.toml())
			}
		}
	})
	if compared == 0 {
		t.Error("no two weeks were compared")
	}
}

func TestSameCaseGivesSameJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSketch(t)
		first, second := asJSON(t, s.on(t, 20)), asJSON(t, s.on(t, 20))
		if !bytes.Equal(first, second) {
			t.Fatalf("two runs differ:\n%s", cmp.Diff(string(first), string(second)))
		}
	})
}

func TestCourseSurvivesJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := randomSketch(t).on(t, 20)
		if rapid.Bool().Draw(t, "without because") {
			c = c.WithoutBecause()
		}
		var read care.Course
		if err := json.Unmarshal(asJSON(t, c), &read); err != nil {
			t.Fatal(err)
		}
		// What waiting costs is worked out again, and not written.
		if diff := cmp.Diff(c, read, cmpopts.IgnoreFields(care.Flush{}, "Late", "LateBetween")); diff != "" {
			t.Fatalf("written and read again:\n%s", diff)
		}
	})
}

func TestWithoutBecauseLeavesTheOriginalAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := randomSketch(t).on(t, 20)
		before := asJSON(t, c)
		bare := c.WithoutBecause()
		everyFigure(&bare, func(name string, f *care.Figure) {
			if f.Because != nil {
				t.Fatalf("%s still has its reasons", name)
			}
		})
		for _, m := range bare.Marks {
			if m.Because != nil {
				t.Fatalf("mark %s still has its reasons", m.Name)
			}
		}
		if after := asJSON(t, c); !bytes.Equal(before, after) {
			t.Fatalf("the original has changed:\n%s", cmp.Diff(string(before), string(after)))
		}
	})
}

func asJSON(t failer, c care.Course) []byte {
	t.Helper()
	text, err := json.Marshal(c)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return text
}
