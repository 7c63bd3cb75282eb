package outcome_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"velamen/science/outcome"
)

// Records drawn below fall on half days, so that ties are common.
func halfDay(from, to int) *rapid.Generator[float64] {
	return rapid.Map(rapid.IntRange(2*from, 2*to), func(n int) float64 { return float64(n) / 2 })
}

func exactRecord(endings ...outcome.Ending) *rapid.Generator[outcome.Recovery] {
	return rapid.Custom(func(t *rapid.T) outcome.Recovery {
		day := halfDay(1, 20).Draw(t, "day")
		switch rapid.SampledFrom(endings).Draw(t, "ending") {
		case outcome.Seen:
			return outcome.SeenOn("", day)
		case outcome.Died:
			return outcome.DiedOn("", day)
		case outcome.Left:
			return outcome.LeftAfter("", day)
		}
		return outcome.NotSeenBy("", day)
	})
}

var anyRecord = rapid.Custom(func(t *rapid.T) outcome.Recovery {
	if rapid.Bool().Draw(t, "exact") {
		return exactRecord(outcome.Seen, outcome.NotYet, outcome.Left).Draw(t, "record")
	}
	after := halfDay(0, 20).Draw(t, "after")
	return outcome.SeenBetween("", after, after+halfDay(1, 10).Draw(t, "width"))
})

func some(g *rapid.Generator[outcome.Recovery]) *rapid.Generator[[]outcome.Recovery] {
	return rapid.SliceOfN(g, 1, 25)
}

// inWeeks measures the same records in another unit of time.
func inWeeks(records []outcome.Recovery) []outcome.Recovery {
	weeks := make([]outcome.Recovery, len(records))
	for i, r := range records {
		r.AfterDay, r.ByDay = r.AfterDay/7, r.ByDay/7
		weeks[i] = r
	}
	return weeks
}

func unwrap[T any](t *rapid.T) func(T, error) T {
	return func(value T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

func TestCurvesAreMonotoneShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := some(exactRecord(outcome.Seen, outcome.NotYet, outcome.Left)).Draw(t, "records")
		form := rapid.SampledFrom([]outcome.Form{outcome.LogLog, outcome.Log, outcome.Plain}).Draw(t, "form")
		c := unwrap[outcome.Curve](t)(outcome.KaplanMeier(records, form, 0.9))
		last := 1.0
		for _, s := range c.Steps {
			if !(s.Unseen >= 0 && s.Unseen < last && 0 <= s.Low && s.Low <= s.Unseen && s.Unseen <= s.High && s.High <= 1 && s.StandardError >= 0) {
				t.Fatalf("step %+v after %v", s, last)
			}
			last = s.Unseen
		}
	})
}

func TestIncidencesAndTheRestSumToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := some(exactRecord(outcome.Seen, outcome.NotYet, outcome.Died)).Draw(t, "records")
		c := unwrap[outcome.IncidenceCurve](t)(outcome.AalenJohansen(records, outcome.LogLog, 0.9))
		var seen, died float64
		for _, s := range c.Steps {
			if sum := s.Unended + s.Seen.Share + s.Died.Share; math.Abs(sum-1) > 1e-12 {
				t.Fatalf("day %v: shares sum to %v", s.Day, sum)
			}
			for _, in := range []outcome.Incidence{s.Seen, s.Died} {
				if !(in.Low >= 0 && in.Low <= in.Share+1e-12 && in.Share <= in.High+1e-12 && in.High <= 1) {
					t.Fatalf("day %v: %+v", s.Day, in)
				}
			}
			if s.Seen.Share < seen || s.Died.Share < died {
				t.Fatalf("day %v: an incidence fell", s.Day)
			}
			seen, died = s.Seen.Share, s.Died.Share
		}
	})
}

// Where no plant dies the incidence is one less the product-limit curve, with
// Greenwood's standard error: two formulas that share no line.
func TestIncidenceWithoutDeathsIsKaplanMeier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := some(exactRecord(outcome.Seen, outcome.NotYet)).Draw(t, "records")
		a := unwrap[outcome.IncidenceCurve](t)(outcome.AalenJohansen(records, outcome.LogLog, 0.9))
		k := unwrap[outcome.Curve](t)(outcome.KaplanMeier(records, outcome.LogLog, 0.9))
		for i, s := range k.Steps {
			if math.Abs(a.Steps[i].Seen.Share-(1-s.Unseen)) > 1e-12 {
				t.Fatalf("day %v: incidence %v, curve %v", s.Day, a.Steps[i].Seen.Share, s.Unseen)
			}
			if s.Unseen > 0 && math.Abs(a.Steps[i].Seen.StandardError-s.StandardError) > 1e-7 {
				t.Fatalf("day %v: standard error %v, Greenwood %v", s.Day, a.Steps[i].Seen.StandardError, s.StandardError)
			}
		}
	})
}

// Deaths shorten no other way: the incidence never exceeds what it would be
// counting deaths as last looks.
func TestIncidenceBelowNaive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := some(exactRecord(outcome.Seen, outcome.NotYet, outcome.Died)).Draw(t, "records")
		a := unwrap[outcome.IncidenceCurve](t)(outcome.AalenJohansen(records, outcome.LogLog, 0.9))
		k := unwrap[outcome.Curve](t)(outcome.KaplanMeier(outcome.DeathsAsUnseen(records), outcome.LogLog, 0.9))
		for _, s := range a.Steps {
			naive := 1 - unwrap[outcome.Step](t)(k.At(s.Day)).Unseen
			if s.Seen.Share > naive+1e-12 {
				t.Fatalf("day %v: incidence %v above %v", s.Day, s.Seen.Share, naive)
			}
		}
	})
}

// A Turnbull curve of exact days is the product-limit curve.
func TestTurnbullOfExactDaysIsKaplanMeier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := some(exactRecord(outcome.Seen, outcome.NotYet, outcome.Left)).Draw(t, "records")
		same(t, records, records)
	})
}

// So is that of plants all looked at on the same days, on those days.
func TestTurnbullOfCommonLooksIsKaplanMeier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var records []outcome.Recovery
		for range rapid.IntRange(1, 25).Draw(t, "plants") {
			look := 7 * float64(rapid.IntRange(1, 8).Draw(t, "look"))
			if rapid.Bool().Draw(t, "seen") {
				records = append(records, outcome.SeenBetween("", look-7, look))
			} else {
				records = append(records, outcome.NotSeenBy("", look))
			}
		}
		same(t, records, outcome.AtDayFound(records))
	})
}

// same compares the Turnbull curve of records with the product-limit curve of
// exact ones. The gap allowed bounds shares to about 1e-5.
func same(t *rapid.T, records, exact []outcome.Recovery) {
	masses := unwrap[outcome.IntervalCurve](t)(outcome.Turnbull(records))
	k := unwrap[outcome.Curve](t)(outcome.KaplanMeier(exact, outcome.LogLog, 0.9))
	for _, s := range k.Steps {
		least, greatest, err := masses.Unseen(s.Day)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(least-s.Unseen) > 1e-5 || math.Abs(greatest-s.Unseen) > 1e-5 {
			t.Fatalf("day %v: Turnbull %v to %v, Kaplan–Meier %v", s.Day, least, greatest, s.Unseen)
		}
	}
}

// The conditions for the maximum, computed again from the masses alone: with
// P_i the mass record i allows, Σ 1/P_i over the records that allow a day is
// the number of plants where there is mass, and no more anywhere else. The ends
// of intervals, and never, are all the days that can matter.
func TestTurnbullIsTheMaximum(t *testing.T) {
	allows := func(r outcome.Recovery, after, by float64) bool {
		if r.AfterDay == r.ByDay {
			return after == r.AfterDay && by == r.ByDay
		}
		if after == by {
			return r.AfterDay < by && by <= r.ByDay
		}
		return r.AfterDay <= after && by <= r.ByDay
	}
	rapid.Check(t, func(t *rapid.T) {
		records := some(anyRecord).Draw(t, "records")
		c := unwrap[outcome.IntervalCurve](t)(outcome.Turnbull(records))
		allowed := make([]float64, len(records))
		total := 0.0
		for _, m := range c.Masses {
			total += m.Share
			for i, r := range records {
				if allows(r, m.AfterDay, m.ByDay) {
					allowed[i] += m.Share
				}
			}
		}
		if math.Abs(total-1) > 1e-6 {
			t.Fatalf("masses sum to %v", total)
		}
		pull := func(after, by float64) (sum float64) {
			for i, r := range records {
				if allows(r, after, by) {
					sum += 1 / allowed[i]
				}
			}
			return sum
		}
		n := float64(len(records))
		// Masses below 1e-9 are left out, and at the maximum a slope errs by
		// the curvature, up to n/P² or 25³, times the error of the shares.
		const tolerance = 0.01
		for _, m := range c.Masses {
			if got := pull(m.AfterDay, m.ByDay); m.Share > 1e-4 && math.Abs(got-n) > tolerance {
				t.Fatalf("mass %+v: slope %v, plants %v", m, got, n)
			}
		}
		for _, r := range records {
			if got := pull(r.ByDay, r.ByDay); got > n+tolerance {
				t.Fatalf("day %v: slope %v above %v", r.ByDay, got, n)
			}
		}
	})
}

func TestOrderOfRecordsIsIrrelevant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := some(anyRecord).Draw(t, "records")
		shuffled := rapid.Permutation(records).Draw(t, "shuffled")
		found, foundShuffled := outcome.AtDayFound(records), outcome.AtDayFound(shuffled)
		for name, pair := range map[string][2]any{
			"Turnbull": {unwrap[outcome.IntervalCurve](t)(outcome.Turnbull(records)), unwrap[outcome.IntervalCurve](t)(outcome.Turnbull(shuffled))},
			"Kaplan–Meier": {unwrap[outcome.Curve](t)(outcome.KaplanMeier(found, outcome.LogLog, 0.9)),
				unwrap[outcome.Curve](t)(outcome.KaplanMeier(foundShuffled, outcome.LogLog, 0.9))},
			"Aalen–Johansen": {unwrap[outcome.IncidenceCurve](t)(outcome.AalenJohansen(found, outcome.LogLog, 0.9)),
				unwrap[outcome.IncidenceCurve](t)(outcome.AalenJohansen(foundShuffled, outcome.LogLog, 0.9))},
		} {
			if difference := cmp.Diff(pair[0], pair[1]); difference != "" {
				t.Fatalf("%s depends on the order:\n%s", name, difference)
			}
		}
	})
}

// In weeks every share is the same, and every time a seventh.
func TestUnitOfTimeIsIrrelevant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := some(anyRecord).Draw(t, "records")
		days := unwrap[outcome.IntervalCurve](t)(outcome.Turnbull(records))
		weeks := unwrap[outcome.IntervalCurve](t)(outcome.Turnbull(inWeeks(records)))
		for i, m := range weeks.Masses {
			m.AfterDay, m.ByDay = m.AfterDay*7, m.ByDay*7
			weeks.Masses[i] = m
		}
		if difference := cmp.Diff(days, weeks, cmpopts.EquateApprox(1e-12, 0)); difference != "" {
			t.Fatal(difference)
		}
		found := outcome.AtDayFound(records)
		k := unwrap[outcome.Curve](t)(outcome.KaplanMeier(found, outcome.LogLog, 0.9))
		w := unwrap[outcome.Curve](t)(outcome.KaplanMeier(inWeeks(found), outcome.LogLog, 0.9))
		a, b := unwrap[outcome.Mean](t)(k.RestrictedMean(k.LastDay)), unwrap[outcome.Mean](t)(w.RestrictedMean(w.LastDay))
		if math.Abs(a.Days-7*b.Days) > 1e-9*a.Days || math.Abs(a.StandardError-7*b.StandardError) > 1e-9*a.Days {
			t.Fatalf("restricted mean %+v days, %+v weeks", a, b)
		}
	})
}

// The two groups of a test are interchangeable, and what one expects more the
// other expects less.
func TestLogRankIsSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first := some(exactRecord(outcome.Seen, outcome.NotYet)).Draw(t, "first")
		second := some(exactRecord(outcome.Seen, outcome.NotYet)).Draw(t, "second")
		weighting := rapid.SampledFrom([]outcome.Weighting{outcome.Even, outcome.Early}).Draw(t, "weighting")
		a, err := outcome.LogRank(first, second, weighting)
		if err != nil {
			t.Skip("nothing to test")
		}
		b := unwrap[outcome.Test](t)(outcome.LogRank(second, first, weighting))
		if math.Abs(a.ChiSquared-b.ChiSquared) > 1e-9*(1+a.ChiSquared) || !(a.P >= 0 && a.P <= 1) {
			t.Fatalf("%+v, the other way round %+v", a, b)
		}
		if sum := a.FirstObserved + a.SecondObserved - a.FirstExpected - a.SecondExpected; math.Abs(sum) > 1e-9 {
			t.Fatalf("observed less expected sum to %v", sum)
		}
	})
}

// Shrinking keeps a mean between the plants' own share and the prior's, and
// swapping two practices swaps the answer.
func TestSharesShrinkTowardThePrior(t *testing.T) {
	tally := rapid.Custom(func(t *rapid.T) outcome.Tally {
		plants := rapid.IntRange(1, 40).Draw(t, "plants")
		return outcome.Tally{Plants: plants, Recovered: rapid.IntRange(0, plants).Draw(t, "recovered")}
	})
	rapid.Check(t, func(t *rapid.T) {
		prior := outcome.Beta{Recovered: rapid.Float64Range(0.3, 20).Draw(t, "recovered"), Lost: rapid.Float64Range(0.3, 20).Draw(t, "lost")}
		first, second := tally.Draw(t, "first"), tally.Draw(t, "second")
		d := unwrap[outcome.ShareDifference](t)(outcome.CompareShares(first, second, prior, 0.25, 0.9))
		own := float64(first.Recovered) / float64(first.Plants)
		if m := d.First.Mean; m < math.Min(own, prior.Mean())-1e-12 || m > math.Max(own, prior.Mean())+1e-12 {
			t.Fatalf("mean %v outside %v to %v", m, own, prior.Mean())
		}
		if !(d.First.Low < d.First.Mean && d.First.Mean < d.First.High && d.Low < d.High) {
			t.Fatalf("interval out of order: %+v", d)
		}
		back := unwrap[outcome.ShareDifference](t)(outcome.CompareShares(second, first, prior, 0.25, 0.9))
		if math.Abs(d.ChanceFirstHigher+back.ChanceFirstHigher-1) > 1e-9 || math.Abs(d.Low+back.High) > 2e-6 {
			t.Fatalf("%+v, the other way round %+v", d, back)
		}
	})
}

func TestOutlookFallsFromOneToNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		prior := unwrap[outcome.LogNormalPrior](t)(outcome.NewLogNormalPrior(firstRoot, outcome.PriorPlants))
		o := unwrap[outcome.Outlook](t)(prior.Update(rapid.SliceOfN(anyRecord, 0, 12).Draw(t, "records"), 0.9))
		last := 1.0
		for day := 0.0; day <= 200; day += 5 {
			unseen := unwrap[float64](t)(o.Unseen(day))
			if !(unseen >= 0 && unseen <= last+1e-12) {
				t.Fatalf("day %v: %v after %v", day, unseen, last)
			}
			last = unseen
		}
		if !(o.Low < o.MedianDays && o.MedianDays < o.High) {
			t.Fatalf("median %v not inside %v to %v", o.MedianDays, o.Low, o.High)
		}
		day := unwrap[float64](t)(o.DayBy(0.3))
		if unseen := unwrap[float64](t)(o.Unseen(math.Min(day, outcome.LatestDay))); day < outcome.LatestDay && math.Abs(unseen-0.7) > 1e-9 {
			t.Fatalf("unseen by the day of three tenths: %v", unseen)
		}
	})
}

func TestBandsAreShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		records := rapid.SliceOfN(anyRecord, 1, 8).Draw(t, "records")
		seed := rapid.Uint64().Draw(t, "seed")
		last := outcome.Band{Low: 1, High: 1}
		for _, b := range unwrap[[]outcome.Band](t)(outcome.TurnbullBand(records, []float64{0, 5, 10, 20, 40}, 100, 0.9, rand.NewPCG(seed, 0))) {
			if !(b.Low >= 0 && b.Low <= b.High && b.High <= 1 && b.Low <= last.Low+1e-12 && b.High <= last.High+1e-12) {
				t.Fatalf("band %+v after %+v", b, last)
			}
			last = b
		}
	})
}
