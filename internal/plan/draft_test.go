package plan_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/basis"
)

// What contradicts itself is refused with the plant, the task and what is wrong;
// what only leaves little room is planned.
func TestDraftsAreChecked(t *testing.T) {
	const days = 14
	set := func() ([]plan.Plant, plan.Situation) {
		s := plan.Situation{From: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC), Pace: care.WorkPace{}, Minutes: make([]float64, days), Supplies: []care.Supply{{
			Water: "rain", Limited: true, Stock: basis.Exactly(20, "L", basis.Measured, ""), HoldsL: 60, InflowL: make([]basis.Value, days),
		}}}
		for day := range s.Minutes {
			s.Minutes[day] = 30
		}
		p := daily("A-001", days, worsening())
		for i := range p.Coming {
			p.Coming[i].Water = "rain"
		}
		return []plan.Plant{p}, s
	}
	for name, wrong := range map[string]struct {
		spoil func(c *care.Coming, s *plan.Situation)
		says  string
	}{
		"a window that ends before it begins": {func(c *care.Coming, _ *plan.Situation) { c.First, c.Last = 5, 2 }, "A-001"},
		"due after the last day":              {func(c *care.Coming, _ *plan.Situation) { c.Due = 9; c.First, c.Last = 1, 3 }, "A-001"},
		"water below nothing":                 {func(c *care.Coming, _ *plan.Situation) { c.ML = -1 }, "A-001"},
		"water unknown":                       {func(c *care.Coming, _ *plan.Situation) { c.ML = math.NaN() }, "A-001"},
		"a cost unknown":                      {func(c *care.Coming, _ *plan.Situation) { c.LeftOut = math.NaN() }, "A-001"},
		"a cost without end":                  {func(c *care.Coming, _ *plan.Situation) { c.FeedLeftOut = math.Inf(1) }, "A-001"},
		"a cost sunk below nothing":           {func(c *care.Coming, _ *plan.Situation) { c.Sunk = math.NaN() }, "A-001"},
		"minutes below nothing":               {func(_ *care.Coming, s *plan.Situation) { s.Minutes[0] = -5 }, "-5 minutes"},
		"minutes below nothing, later":        {func(_ *care.Coming, s *plan.Situation) { s.Minutes[9] = -5 }, "-5 minutes"},
		"minutes unknown":                     {func(_ *care.Coming, s *plan.Situation) { s.Minutes[0] = math.NaN() }, "NaN minutes"},
		"no days":                             {func(_ *care.Coming, s *plan.Situation) { s.Minutes = nil }, "0 days"},
		"a stock without end":                 {func(_ *care.Coming, s *plan.Situation) { s.Supplies[0].Stock.Value = math.Inf(1) }, "litres"},
		"what comes in unknown":               {func(_ *care.Coming, s *plan.Situation) { s.Supplies[0].InflowL[1].Value = math.NaN() }, "litres"},
		"a pace unknown": {func(_ *care.Coming, s *plan.Situation) {
			s.Pace[care.Flushing] = care.TaskPace{Takes: basis.Value{Value: math.NaN()}}
		}, "minutes"},
	} {
		plants, s := set()
		wrong.spoil(&plants[0].Coming[0], &s)
		_, err := plan.NewDraft(plants, s)
		if err == nil || !strings.Contains(err.Error(), wrong.says) {
			t.Errorf("%s: %v does not say %q", name, err, wrong.says)
		}
	}
	for name, odd := range map[string]func(s *plan.Situation){
		"a tank larger than the house": func(s *plan.Situation) { s.Supplies[0].HoldsL, s.Supplies[0].Stock.Value = 1e9, 1e9 },
		"a tank that holds nothing":    func(s *plan.Situation) { s.Supplies[0].HoldsL, s.Supplies[0].Stock.Value = 1e-9, 0 },
		"a unit that makes nothing":    func(s *plan.Situation) { s.Supplies[0].Stock.Value = 0 },
		"a unit that takes water away": func(s *plan.Situation) { s.Supplies[0].InflowL[3].Value = -4 },
		"no minutes on any day":        func(s *plan.Situation) { clear(s.Minutes) },
		"no litres at all":             func(s *plan.Situation) { s.LitresToday = new(0.0) },
		"more done than there is time": func(s *plan.Situation) { s.Done.Minutes = 1e6 },
	} {
		plants, s := set()
		odd(&s)
		d, err := plan.NewDraft(plants, s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		made := d.Make(plan.Search{Steps: 5, Random: 1})
		met := map[int]bool{}
		for day := range made.Days {
			if made.Days[day].Minutes > s.Minutes[day]+1e-6 {
				t.Errorf("%s: day %d takes %g min of %g", name, day, made.Days[day].Minutes, s.Minutes[day])
			}
			for _, one := range made.Days[day].Items {
				met[one.Coming] = true
			}
		}
		for _, m := range made.Missed {
			met[m.Coming] = true
		}
		if len(met) != days {
			t.Errorf("%s: %d of %d things are planned or missed", name, len(met), days)
		}
	}
}

// Certificates are true: with all that is said to mend a shortfall, everything is
// done on time.
func TestWhatWouldMendItDoes(t *testing.T) {
	const days = 14
	mended := 0
	for _, minutes := range []float64{0, 3, 5, 8} {
		for _, litres := range []float64{0.3, 50} {
			s := plan.Situation{From: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC), Pace: care.WorkPace{}, Minutes: make([]float64, days), Supplies: []care.Supply{{
				Water: "rain", Limited: true, Stock: basis.Exactly(litres, "L", basis.Measured, ""), InflowL: make([]basis.Value, days),
			}}}
			for day := range s.Minutes {
				s.Minutes[day] = minutes
			}
			var plants []plan.Plant
			for _, label := range []string{"A", "B", "C", "D"} {
				p := daily(label, days, worsening())
				for i := range p.Coming {
					p.Coming[i].Water = "rain"
				}
				plants = append(plants, p)
			}
			made := func() *plan.Ahead {
				d, err := plan.NewDraft(plants, s)
				if err != nil {
					t.Fatal(err)
				}
				return d.Make(plan.Search{Steps: plan.Steps(d.Items()), Random: 1})
			}
			short := made()
			if len(short.Missed) == 0 {
				continue
			}
			for _, f := range short.Fixes {
				switch {
				case f.Litres > 0:
					s.Supplies[0].Stock.Value += f.Litres + 1e-3
				case len(f.Plants) == 0:
					s.Minutes[f.Day] += math.Ceil(f.Minutes)
				}
			}
			if after := made(); len(after.Missed) > 0 {
				t.Errorf("%g min a day, %g L: %d missed; with all that would mend it still %d, %+v", minutes, litres, len(short.Missed), len(after.Missed), short.Fixes)
			}
			mended++
		}
	}
	if mended < 5 {
		t.Errorf("only %d shortfalls were mended: that says little", mended)
	}
}
