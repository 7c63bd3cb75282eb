package outcome_test

import (
	"strconv"
	"testing"

	"velamen/internal/checktable"
	"velamen/science/outcome"
)

// R 4.2, survival 3.5-3, computed independently; see SOURCE.md.
func TestKaplanMeierLeukaemia(t *testing.T) {
	forms := map[string]outcome.Form{"loglog": outcome.LogLog, "log": outcome.Log, "plain": outcome.Plain}
	rows := checktable.Rows(t, "leukaemia_6mp.csv")
	for name, form := range forms {
		c := must[outcome.Curve](t)(outcome.KaplanMeier(leukaemia(t, "6-MP"), form, 0.95))
		equal(t, "steps", len(c.Steps), len(rows))
		for i, row := range rows {
			s, at := c.Steps[i], name+" week "+row["week"]+" "
			printed(t, at+"week", s.Day, row["week"])
			equal(t, at+"at risk", strconv.Itoa(s.AtRisk), row["at_risk"])
			equal(t, at+"events", strconv.Itoa(s.Events), row["relapses"])
			printed(t, at+"unseen", s.Unseen, row["unseen"])
			printed(t, at+"standard error", s.StandardError, row["standard_error"])
			printed(t, at+"low", s.Low, row[name+"_low"])
			printed(t, at+"high", s.High, row[name+"_high"])
		}
	}
	c := must[outcome.Curve](t)(outcome.KaplanMeier(leukaemia(t, "placebo"), outcome.LogLog, 0.95))
	rows = checktable.Rows(t, "leukaemia_placebo.csv")
	equal(t, "steps", len(c.Steps), len(rows))
	for i, row := range rows {
		printed(t, "placebo week", c.Steps[i].Day, row["week"])
		printed(t, "placebo unseen, week "+row["week"], c.Steps[i].Unseen, row["unseen"])
		printed(t, "placebo standard error, week "+row["week"], c.Steps[i].StandardError, row["standard_error"])
	}
}

func TestMedianLeukaemia(t *testing.T) {
	reached := func(day float64) outcome.Reach { return outcome.Reach{Day: day, Reached: true} }
	for _, row := range []struct {
		group  string
		form   outcome.Form
		want   outcome.Quantile
		source string
	}{
		{"6-MP", outcome.LogLog, outcome.Quantile{Estimate: reached(23), Low: reached(13)}, "R survival 3.5-3, computed independently"},
		{"6-MP", outcome.Log, outcome.Quantile{Estimate: reached(23), Low: reached(16)}, "R survival 3.5-3, computed independently"},
		{"placebo", outcome.LogLog, outcome.Quantile{Estimate: reached(8), Low: reached(4), High: reached(11)}, "R survival 3.5-3, computed independently"},
		{"placebo", outcome.Log, outcome.Quantile{Estimate: reached(8), Low: reached(4), High: reached(12)}, "R survival 3.5-3, computed independently"},
	} {
		c := must[outcome.Curve](t)(outcome.KaplanMeier(leukaemia(t, row.group), row.form, 0.95))
		equal(t, row.group+" median ("+row.source+")", c.Median(), row.want)
	}
}

// A curve that lies on a half from day 10 to day 20 has its median at day 15;
// one that lies on it to the end has it where it came there. In floating point
// 15/22 · 11/15 comes out above a half, and 11/12 · 6/11 below.
func TestMedianOnAHalf(t *testing.T) {
	for _, row := range []struct{ first, second, rest int }{{1, 1, 2}, {7, 4, 11}, {1, 5, 6}} {
		var seen, open []outcome.Recovery
		for i := range row.first + row.second + row.rest {
			switch {
			case i < row.first:
				seen = append(seen, outcome.SeenOn("", 5))
			case i < row.first+row.second:
				seen = append(seen, outcome.SeenOn("", 10))
			default:
				seen, open = append(seen, outcome.SeenOn("", 20)), append(open, outcome.NotSeenBy("", 20))
			}
		}
		c := must[outcome.Curve](t)(outcome.KaplanMeier(seen, outcome.LogLog, 0.95))
		equal(t, "between two steps", c.Median().Estimate, outcome.Reach{Day: 15, Reached: true})
		c = must[outcome.Curve](t)(outcome.KaplanMeier(append(seen[:row.first+row.second], open...), outcome.LogLog, 0.95))
		equal(t, "to the end", c.Median().Estimate, outcome.Reach{Day: 10, Reached: true})
	}
}

// R survival 3.5-3, computed independently.
func TestNelsonAalenLeukaemia(t *testing.T) {
	steps := must[[]outcome.Hazard](t)(outcome.NelsonAalen(leukaemia(t, "6-MP")))
	rows := checktable.Rows(t, "leukaemia_6mp.csv")
	equal(t, "steps", len(steps), len(rows))
	for i, row := range rows {
		printed(t, "hazard, week "+row["week"], steps[i].Cumulative, row["nelson_aalen"])
	}
	printed(t, "first standard error", steps[0].StandardError, ".082479")
	printed(t, "last standard error", steps[len(steps)-1].StandardError, ".279468")
}

// R's rmean, computed independently.
func TestRestrictedMeanLeukaemia(t *testing.T) {
	first := must[outcome.Curve](t)(outcome.KaplanMeier(leukaemia(t, "6-MP"), outcome.LogLog, 0.95))
	second := must[outcome.Curve](t)(outcome.KaplanMeier(leukaemia(t, "placebo"), outcome.LogLog, 0.95))
	for _, row := range checktable.Rows(t, "leukaemia_means.csv") {
		at := "until week " + row["until"] + " "
		d := must[outcome.MeanDifference](t)(outcome.RestrictedMeanDifference(first, second, row.Number(t, "until"), 2, 0.95))
		printed(t, at+"6-MP", d.First.Days, row["mp"])
		printed(t, at+"placebo", d.Second.Days, row["placebo"])
		printed(t, at+"difference", d.Difference.Days, row["difference"])
		// One unit of the last digit: see SOURCE.md.
		near(t, at+"difference se", d.Difference.StandardError, row.Number(t, "difference_se"), 1e-5)
		if row["mp_se"] != "" {
			printed(t, at+"6-MP se", d.First.StandardError, row["mp_se"])
			printed(t, at+"placebo se", d.Second.StandardError, row["placebo_se"])
		}
	}
}

// R's survdiff, computed independently; 16.79 is the published value (Gehan
// 1965 data, Cox & Oakes 1984, from memory).
func TestLogRankLeukaemia(t *testing.T) {
	even := must[outcome.Test](t)(outcome.LogRank(leukaemia(t, "6-MP"), leukaemia(t, "placebo"), outcome.Even))
	equal(t, "observed 6-MP", even.FirstObserved, 9)
	equal(t, "observed placebo", even.SecondObserved, 21)
	printed(t, "expected 6-MP", even.FirstExpected, "19.250501")
	printed(t, "expected placebo", even.SecondExpected, "10.749499")
	printed(t, "variance", even.Variance, "6.256961")
	printed(t, "chi-squared", even.ChiSquared, "16.792941")
	near(t, "p", even.P, 4.1688e-05, 0.5e-09)
	early := must[outcome.Test](t)(outcome.LogRank(leukaemia(t, "6-MP"), leukaemia(t, "placebo"), outcome.Early))
	// 14.457150 as noted, of which the program prints seven figures; fractions
	// in Python give 14.4571508.
	near(t, "chi-squared of Peto", early.ChiSquared, 14.45715, 0.5e-5)
	printed(t, "chi-squared of Peto", early.ChiSquared, "14.4571508")
}

// R survival 3.5-3, computed independently; see SOURCE.md.
func TestAalenJohansenHandSet(t *testing.T) {
	c := must[outcome.IncidenceCurve](t)(outcome.AalenJohansen(establishment(t), outcome.LogLog, 0.95))
	rows := checktable.Rows(t, "establishment_incidence.csv")
	equal(t, "steps", len(c.Steps), len(rows))
	for i, row := range rows {
		s, at := c.Steps[i], "day "+row["day"]+" "
		printed(t, at+"day", s.Day, row["day"])
		equal(t, at+"at risk", strconv.Itoa(s.AtRisk), row["at_risk"])
		printed(t, at+"unended", s.Unended, row["unended"])
		printed(t, at+"seen", s.Seen.Share, row["seen"])
		printed(t, at+"died", s.Died.Share, row["died"])
		near(t, at+"seen se", s.Seen.StandardError, row.Number(t, "seen_se"), 0.5e-6+1e-9)
		near(t, at+"died se", s.Died.StandardError, row.Number(t, "died_se"), 0.5e-6+1e-9)
	}
	// What a product-limit curve makes of deaths counted as last looks.
	naive := must[outcome.Curve](t)(outcome.KaplanMeier(outcome.DeathsAsUnseen(establishment(t)), outcome.LogLog, 0.95))
	printed(t, "1 − Kaplan–Meier on day 63", 1-must[outcome.Step](t)(naive.At(63)).Unseen, ".797454")
}
