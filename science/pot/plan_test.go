package pot_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/pot"
)

// What is planned must come out when it is poured.
func TestPlannedFlushDoesWhatItSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		target := pot.FlushTarget{
			ECmS:         rapid.Float64Range(0, 3).Draw(t, "target"),
			CaptureShare: rapid.Float64Range(0, 0.99).Draw(t, "capture"),
			InputECmS:    rapid.Float64Range(0, 1).Draw(t, "input"),
			LimitML:      rapid.Float64Range(1, 20000).Draw(t, "limit"),
		}
		plan, err := pot.PlanFlush(p, start, target)
		if err != nil {
			t.Fatal(err)
		}
		if plan.TotalML > target.LimitML*(1+1e-9) || plan.WaitMinutes < 10 || plan.WaitMinutes > 90 {
			t.Fatalf("plan %+v breaks the limit %g mL or the wait of practice", plan, target.LimitML)
		}
		s, captured := start, 0.0
		var totals pot.Totals
		for i := range plan.Pours {
			if i > 0 {
				p.PassForTest(&s, plan.WaitMinutes/60, 0, 0, 0, &totals)
			}
			d, err := p.Flush(&s, plan.PourML, target.InputECmS)
			if err != nil {
				t.Fatal(err)
			}
			captured += d.CapturedML
		}
		if got := p.ECmS(&s); math.Abs(got-plan.ECmS) > 1e-9*(1+got) {
			t.Fatalf("poured it ends at %g mS/cm, planned %g", got, plan.ECmS)
		}
		if plan.Shortfall != pot.ReachesTarget {
			return
		}
		room := p.FilmCapacityML() - start.FilmML
		if p.ECmS(&s) > target.ECmS*(1+1e-9) || captured < target.CaptureShare*room-1e-6*p.FilmCapacityML() {
			t.Fatalf("says it reaches %+v, got %g mS/cm and %g of %g mL", target, p.ECmS(&s), captured, room)
		}
	})
}

// Theory of one tank: ln(C₀−C_in over C−C_in) holdings; no wait helps where
// nothing hides inside particles, so it must be one pour.
func TestPlanOfAPlainPotIsTheoryOfOneTank(t *testing.T) {
	p := filled(t, twelve, plain(1, 0))
	plan, err := pot.PlanFlush(p, stateOf(t, p, 1, 1, 2), pot.FlushTarget{ECmS: 0.5, InputECmS: 0.1, LimitML: 10000})
	if err != nil {
		t.Fatal(err)
	}
	want := math.Log(1.9 / 0.4)
	if plan.Pours != 1 || plan.Shortfall != pot.ReachesTarget || math.Abs(plan.Holdings-want) > 2e-3*want {
		t.Errorf("planned %+v, want one pour of %.3f holdings", plan, want)
	}
}

func TestPlansThatFallShort(t *testing.T) {
	p := filled(t, twelve, bark())
	salty := stateOf(t, p, 1, 1, 3)
	dry := stateOf(t, p, 0, 0, 0)
	for name, c := range map[string]struct {
		state  pot.State
		target pot.FlushTarget
		want   pot.Shortfall
	}{
		"salty water":  {salty, pot.FlushTarget{ECmS: 0.3, InputECmS: 0.7, LimitML: 5000}, pot.InputTooSalty},
		"a cup only":   {salty, pot.FlushTarget{ECmS: 0.3, InputECmS: 0.05, LimitML: 100}, pot.TooLittleWater},
		"dry bark":     {dry, pot.FlushTarget{ECmS: 1, CaptureShare: 0.99, InputECmS: 0.05, LimitML: 20}, pot.TooRepellent},
		"nothing todo": {stateOf(t, p, 1, 1, 0.2), pot.FlushTarget{ECmS: 1, InputECmS: 0.05, LimitML: 100}, pot.ReachesTarget},
	} {
		plan, err := pot.PlanFlush(p, c.state, c.target)
		if err != nil {
			t.Fatal(err)
		}
		if plan.Shortfall != c.want {
			t.Errorf("%s: %v, want %v (%+v)", name, plan.Shortfall, c.want, plan)
		}
	}
	if _, err := pot.PlanFlush(p, salty, pot.FlushTarget{ECmS: 0.3, InputECmS: 0.1}); err == nil {
		t.Error("no limit of water was accepted")
	}
}

func TestWaitIsChipTimeWithinPractice(t *testing.T) {
	for mm, want := range map[float64]struct {
		minutes float64
		bounded bool
	}{0.1: {15, true}, 2: {60 * 0.9006, false}, 5: {60, true}} {
		m := bark()
		m.HalfThicknessMM = mm
		p := filled(t, twelve, m)
		plan, err := pot.PlanFlush(p, stateOf(t, p, 1, 1, 1), pot.FlushTarget{ECmS: 0.8, InputECmS: 0.1, LimitML: 5000})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(plan.WaitMinutes-want.minutes) > 0.05 || plan.WaitBounded != want.bounded {
			t.Errorf("%g mm: wait %.2f minutes, bounded %v; want %.2f, %v", mm, plan.WaitMinutes, plan.WaitBounded, want.minutes, want.bounded)
		}
	}
}

func TestFlushDone(t *testing.T) {
	parameters := pot.Defaults()
	for _, c := range []struct {
		name     string
		input    float64
		readings []float64
		done     bool
	}{
		{"steady and near the input", 0.50, []float64{1.9, 0.62, 0.58}, true},
		{"near, still falling", 0.50, []float64{0.72, 0.58}, false},
		{"steady, too strong", 0.50, []float64{0.80, 0.79}, false},
		{"one reading", 0.50, []float64{0.50}, false},
		{"none", 0.50, nil, false},
		{"at the limit", 0.50, []float64{0.60, 0.60}, true},
		{"just above the limit", 0.50, []float64{0.61, 0.61}, false},
		{"pure water, within the pen", 0.01, []float64{0.04, 0.03}, true},
		{"pure water, not yet", 0.01, []float64{0.09, 0.08}, false},
		{"all zero", 0, []float64{0, 0}, true},
	} {
		finish, err := parameters.FlushDone(c.input, c.readings)
		if err != nil {
			t.Fatal(err)
		}
		if finish.Done != c.done || finish.Done != (finish.NearInput && finish.Steady) {
			t.Errorf("%s: %+v, want done %v", c.name, finish, c.done)
		}
	}
	if _, err := parameters.FlushDone(0.5, []float64{math.NaN()}); err == nil {
		t.Error("a reading that is no number was accepted")
	}
}

func ExampleParameters_FlushDone() {
	parameters := pot.Defaults()
	finish, _ := parameters.FlushDone(0.10, []float64{0.90, 0.31, 0.13, 0.12})
	fmt.Printf("done: %v (at most %.2f mS/cm; the last two differ by %.0f %%)\n", finish.Done, finish.LimitECmS, 100*finish.Difference)
	// Output: done: true (at most 0.13 mS/cm; the last two differ by 8 %)
}

func ExamplePlanFlush() {
	geometry, _ := pot.Round{TopCM: 11.4, BaseCM: 8.6, HeightCM: 10.3, HeadspaceMM: 12}.Geometry()
	p, _ := pot.New(geometry, bark(), 0, pot.Defaults())
	state, _ := p.Fill(0.7, 0.9, 1.8, 0)
	plan, _ := pot.PlanFlush(p, state, pot.FlushTarget{ECmS: 0.8, CaptureShare: 0.9, InputECmS: 0.1, LimitML: 3000})
	fmt.Printf("%d pours of %.0f mL (%.1f holdings), %.0f minutes between; leaves %.2f mS/cm; %v\n",
		plan.Pours, plan.PourML, plan.Holdings, plan.WaitMinutes, plan.ECmS, plan.Shortfall)
	fmt.Printf("done when the drainage reads at most %.2f mS/cm twice\n", plan.DoneBelowECmS)
	// Output:
	// 4 pours of 86 mL (2.4 holdings), 60 minutes between; leaves 0.80 mS/cm; reaches the target
	// done when the drainage reads at most 0.13 mS/cm twice
}

func TestLongestIntervalIsTheLongestThatHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPot(t)
		start := drawState(t, p)
		forcing := drawForcing(t, p, testHours)
		rhythm := pot.Rhythm{
			LongestDays: rapid.IntRange(1, 9).Draw(t, "longest"), PourHour: rapid.IntRange(0, 23).Draw(t, "hour"),
			PourML:       rapid.Float64Range(0, min(pot.LargestPourML, 4*p.CapacityML())).Draw(t, "mL"),
			PourECmS:     rapid.Float64Range(0, 1).Draw(t, "EC"),
			LeastWetness: rapid.Float64Range(0, 0.6).Draw(t, "wetness"), MostECmS: rapid.Float64Range(0, 4).Draw(t, "most"),
		}
		answer, err := pot.LongestInterval(p, start, forcing, rhythm)
		if err != nil {
			t.Fatal(err)
		}
		holds := func(days int) bool {
			var pours []pot.Pour
			for hour := rhythm.PourHour; hour < testHours; hour += 24 * days {
				pours = append(pours, pot.Pour{Hour: hour, ML: rhythm.PourML, ECmS: rhythm.PourECmS})
			}
			trace, err := pot.Record(p, start, forcing, pours)
			if err != nil {
				t.Fatal(err)
			}
			return pot.HoursBelow(trace.Wetness[rhythm.PourHour:], rhythm.LeastWetness) == 0 &&
				pot.HoursAbove(trace.ECmS[rhythm.PourHour:], rhythm.MostECmS) == 0
		}
		if answer.Days > 0 && !holds(answer.Days) {
			t.Fatalf("%+v does not hold", answer)
		}
		for days := answer.Days + 1; days <= rhythm.LongestDays; days++ {
			if holds(days) {
				t.Fatalf("%+v, but %d days hold too", answer, days)
			}
		}
		if (answer.Days == rhythm.LongestDays) != (answer.DecidedBy == pot.LongestAllowed) {
			t.Fatalf("%+v of at most %d days", answer, rhythm.LongestDays)
		}
	})
}

func ExampleLongestInterval() {
	geometry, _ := pot.Round{TopCM: 11.4, BaseCM: 8.6, HeightCM: 10.3, HeadspaceMM: 12}.Geometry()
	p, _ := pot.New(geometry, bark(), 0, pot.Defaults())
	start, _ := p.Fill(0.9, 0.9, 0.5, 1)
	forcing := pot.Forcing{DemandML: make([]float64, 1008), PotentialEvaporationMM: make([]float64, 1008)}
	for hour := range forcing.DemandML {
		forcing.DemandML[hour] = 5.0 / 24
		forcing.PotentialEvaporationMM[hour] = 1.2 / 24
	}
	interval, err := pot.LongestInterval(p, start, forcing, pot.Rhythm{
		LongestDays: 14, PourHour: 8, PourML: 400, PourECmS: 0.3, LeastWetness: 0.35, MostECmS: 1.5,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("every %d days; a day longer would be %v\n", interval.Days, interval.DecidedBy)
	// Output: every 2 days; a day longer would be too dry
}
