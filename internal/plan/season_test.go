package plan_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/basis"
)

// anySeason draws candidates and the room there is for them.
func anySeason(t *rapid.T) ([]plan.Prospective, plan.SeasonSituation) {
	from := time.Date(2026, 9, 7, 0, 0, 0, 0, time.UTC)
	weeks := rapid.IntRange(1, 8).Draw(t, "weeks")
	total := weeks + care.ProspectWeeks
	number := func(label string, high float64) float64 { return rapid.Float64Range(0, high).Draw(t, label) }
	limit := func(label string, high float64) float64 {
		if rapid.IntRange(0, 4).Draw(t, label+" is without limit") == 0 {
			return math.Inf(1)
		}
		return number(label, high)
	}
	s := plan.SeasonSituation{From: from, Weeks: weeks}
	minutes, litres, bench := limit("minutes", 300), limit("litres", 60), limit("bench", 90)
	need := number("needed already", 150)
	for week := range total {
		s.Minutes, s.Litres = append(s.Minutes, minutes), append(s.Litres, litres)
		s.NeedMinutes, s.NeedLitres = append(s.NeedMinutes, need/float64(1+week)), append(s.NeedLitres, number("litres needed", 20))
		if week < weeks {
			s.Bench = append(s.Bench, bench)
		}
	}
	list := make([]plan.Prospective, rapid.IntRange(0, 9).Draw(t, "candidates"))
	for i := range list {
		first := rapid.IntRange(-3, 7*weeks-1).Draw(t, "from")
		c := care.Candidate{Plant: fmt.Sprint(i), Label: fmt.Sprint(i), Urgency: 0.5 + number("urgency", 9), From: from.AddDate(0, 0, max(0, first))}
		c.To = c.From.AddDate(0, 0, rapid.IntRange(0, 40).Draw(t, "long"))
		c.Best = c.From
		if rapid.IntRange(0, 5).Draw(t, "is set") == 0 {
			c.Planned = from.AddDate(0, 0, rapid.IntRange(0, 7*weeks-1).Draw(t, "set for"))
		}
		list[i].Candidate = c
		list[i].Bench = basis.Assumed(5+number("at the bench", 40), 1, 90, "min")
		list[i].Minutes, list[i].Litres = make([]float64, care.ProspectWeeks), make([]float64, care.ProspectWeeks)
		for k := range list[i].Minutes {
			list[i].Minutes[k], list[i].Litres[k] = number("a week's minutes", 20), number("a week's litres", 5)
		}
	}
	return list, s
}

// Every candidate is either in the plan, within its window, or left out with the
// reason; what the plan adds fits into every week; and no plan of these could be
// worth more than its bound.
func TestSeasonsFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list, s := anySeason(t)
		made := plan.MakeSeason(list, s, 100, nil)
		met := map[int]int{}
		minutes, litres, bench := append([]float64(nil), s.NeedMinutes...), append([]float64(nil), s.NeedLitres...), make([]float64, s.Weeks)
		for _, r := range made.Repots {
			met[r.Candidate]++
			c := &list[r.Candidate]
			switch {
			case r.Set != !c.Planned.IsZero() || r.Set && !r.On.Equal(c.Planned):
				t.Fatalf("%+v is set for %s and planned for %s", c.Candidate, c.Planned, r.On)
			case !r.Set && (r.On.Before(c.From) || r.On.After(c.To)):
				t.Fatalf("planned for %s, the window is %s to %s", r.On, c.From, c.To)
			case r.Week != int(r.On.Sub(s.From).Hours()/24)/7:
				t.Fatalf("%s is not in week %d", r.On, r.Week)
			}
			bench[r.Week] += c.Bench.Value
			for k := range c.Minutes {
				if w := r.Week + k; w < len(minutes) {
					minutes[w], litres[w] = minutes[w]+c.Minutes[k], litres[w]+c.Litres[k]
				}
			}
		}
		for _, l := range made.Left {
			met[l.Candidate]++
			if l.Why == "" {
				t.Fatalf("%s is left out without a word", list[l.Candidate].Label)
			}
		}
		for i := range list {
			if met[i] != 1 {
				t.Fatalf("candidate %d is met %d times", i, met[i])
			}
		}
		if made.Value > made.Bound+1e-6 {
			t.Fatalf("it is worth %g, the bound is %g", made.Value, made.Bound)
		}
		const some = 1e-6
		over := false
		for week := range minutes {
			benchOver := week < s.Weeks && bench[week] > s.Bench[week]+some
			// What is needed already may be too much before anything is added.
			over = over || benchOver || minutes[week] > math.Max(s.Minutes[week], s.NeedMinutes[week])+some || litres[week] > math.Max(s.Litres[week], s.NeedLitres[week])+some
		}
		if over && !made.Shorted {
			t.Fatalf("more is planned than there is, and nothing is said: %g of %g min, %g of %g L, bench %g of %g", minutes, s.Minutes, litres, s.Litres, bench, s.Bench)
		}
	})
}
