package care

import (
	"fmt"
	"math"
	"strings"

	"velamen/science/basis"
	"velamen/science/outcome"
)

// Had and Without put what is waited for into words: half of the plants "had a
// growing root", and so many days went by "without a growing root".
func (a Awaited) Had() string {
	if a == Establishment {
		return "were established"
	}
	return "had a growing root"
}

// Without is the opposite of Had.
func (a Awaited) Without() string {
	if a == Establishment {
		return "before they were established"
	}
	return "without a growing root"
}

// waited puts it into the words "waited … for".
func (a Awaited) waited() string {
	if a == Establishment {
		return "to be established"
	}
	return "for a growing root"
}

// Means says what counts as it.
func (a Awaited) Means() string {
	if a == Establishment {
		return "A plant counts as established from the review in which you said so; a later review can take it back."
	}
	return "A root counts as growing at the first look at which a marked tip is growing, a marked root is longer than its readings can err, a new tip is noted, or a review says that the plant is rooting."
}

// Lead says how many recoveries are counted and how they ended.
func (r *OutcomeReport) Lead() string {
	var parts []string
	for _, e := range RecoveryEndings {
		if n := r.Endings[e]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, e))
		}
	}
	return fmt.Sprintf("%s of %s: %s.", count(len(r.Counted), "recovery", "recoveries"), count(r.Plants, "plant", "plants"), strings.Join(parts, ", "))
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func days(x float64) string {
	if math.Round(x) == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%.0f days", x)
}

func share(x float64) string { return fmt.Sprintf("%.0f %%", 100*x) }

// MedianSays tells when half of the plants had shown it.
func (r *OutcomeReport) MedianSays() string {
	a, m := r.Question.Awaited, r.Median
	switch {
	case r.Between == nil:
		return ""
	case r.Signs == 0:
		return "So far none is known to have " + map[Awaited]string{FirstRoot: "got a growing root", Establishment: "become established"}[a] + "."
	case !m.Window.Reached:
		return fmt.Sprintf("So few %s that it cannot be said yet when half of them will have.", a.Had())
	}
	text := fmt.Sprintf("Half of the plants that lived %s by day %.0f", a.Had(), m.Window.ByDay)
	if m.Window.AfterDay < m.Window.ByDay {
		text = fmt.Sprintf("Half of the plants that lived %s somewhere between day %.0f and day %.0f", a.Had(), m.Window.AfterDay, m.Window.ByDay)
	}
	switch {
	case m.Low.Reached && m.High.Reached:
		return text + fmt.Sprintf("; with other plants like these it might have been anywhere from day %.0f to day %.0f.", m.Low.Day, m.High.Day)
	case m.Low.Reached:
		return text + fmt.Sprintf("; with other plants like these it might have been as early as day %.0f, and how late cannot be said.", m.Low.Day)
	}
	return text + "; from so few plants nothing can be said of how sure that is."
}

// EndsSays tells the shares by the horizon.
func (r *OutcomeReport) EndsSays() string {
	if r.Ends == nil {
		return "No plant has been watched yet."
	}
	text := fmt.Sprintf("By day %.0f, %s of all plants %s", r.Horizon, r.ranged(r.By.Seen), r.Question.Awaited.Had())
	if r.Ends.Steps == nil {
		return text + "."
	}
	if r.Endings[Dead] == 0 && r.By.Died.Share == 0 {
		return text + "; none died before."
	}
	return text + fmt.Sprintf(", and %s died before.", r.ranged(r.By.Died))
}

func (r *OutcomeReport) ranged(i outcome.Incidence) string {
	if i.Low == i.High {
		return share(i.Share)
	}
	return fmt.Sprintf("%s (%.0f to %.0f %%)", share(i.Share), 100*i.Low, 100*i.High)
}

// MeanFigure is the mean number of days without the sign.
func (r *OutcomeReport) MeanFigure() Figure {
	v := basis.Value{Value: r.Mean.Days, Low: r.Spread.Low, High: r.Spread.High, Unit: "days", Grade: basis.Measured}
	return Figure{Value: v, Because: &Because{
		Rule: "the area under the share of plants " + r.Question.Awaited.Without() + ", each counted until the day on which it was found, or for as long as it was watched (product-limit estimate of Kaplan and Meier 1958, from memory), with a range that nineteen times in twenty holds the true mean (Student’s t)",
		Inputs: []Input{{"recoveries", basis.Exactly(float64(len(r.Counted)), "", basis.Measured, "")}, {"counted up to day", r.horizonValue()},
			{"still watched after a look", r.Question.Awaited.watchValue()}},
		Note: "found at a look, so later than it came by up to the days between two looks",
	}}
}

const twoSided95 = 1.959964

func (r *OutcomeReport) horizonValue() basis.Value {
	v := RootHorizonDays
	if r.Question.Awaited == Establishment {
		v = StageHorizonDays
	}
	if r.Horizon < v.Value {
		return basis.Exactly(r.Horizon, "days", basis.Measured, "as long as the plants were watched")
	}
	return v
}

func (a Awaited) watchValue() basis.Value {
	if a == Establishment {
		return StageWatchDays
	}
	return RootWatchDays
}

// MedianBecause is what stands behind the median and its curve.
func (r *OutcomeReport) MedianBecause() *Because {
	return &Because{
		Rule: "the most likely curve when all that is known of a plant is that it was not so at one look and was so at the next (Turnbull 1976, computed as by Wellner and Zhan 1997, both from memory); the range from drawing the plants again, with replacement",
		Inputs: []Input{
			{"recoveries", basis.Exactly(float64(len(r.Counted)), "", basis.Measured, "")},
			{"of them seen", basis.Exactly(float64(r.Signs), "", basis.Measured, "")},
			{"held by the range", OutcomeLevel},
		},
		Note: "Plants that died, left or were repotted again count as watched until the last look at them: this is the pace among plants that live, and it holds only if looks were not timed by what the plant was doing.",
	}
}

// EndsBecause is what stands behind the shares.
func (r *OutcomeReport) EndsBecause() *Because {
	return &Because{
		Rule: "cumulative incidence with death competing (Aalen and Johansen 1978, from memory): a plant that died can no longer root, and one that is still watched, left or was repotted again counts for as long as it was watched",
		Inputs: []Input{
			{"recoveries", basis.Exactly(float64(len(r.Counted)), "", basis.Measured, "")}, {"counted up to day", r.horizonValue()},
			{"still watched after a look", r.Question.Awaited.watchValue()},
		},
		Note: "each on the day on which it was found",
	}
}

// PairSays tells what a pair amounts to, most important first.
func (c *Comparison) PairSays(p *WayPair, a Awaited) []string {
	first, second := c.Ways[p.First].Name, c.Ways[p.Second].Name
	var says []string
	if !p.DaysKnown || !p.Days.SpreadKnown {
		says = append(says, fmt.Sprintf("Days: not enough plants to tell. Too few of one of the two %s to say how far they spread%s.", a.Had(), wouldTell(p.Days.Verdict, first, second, days(WorthDays.Value))))
	} else {
		d := p.Days.Difference.Days
		faster, slower := first, second
		low, high := p.Days.Low, p.Days.High
		if d > 0 {
			faster, slower = second, first
			d, low, high = -d, -high, -low
		}
		fact := fmt.Sprintf("counting the first %.0f days, “%s” waited %s less %s than “%s” (anywhere from %s)", p.Horizon, faster, days(-d), a.waited(), slower, fromTo(low, high))
		says = append(says, "Days: "+answered(p.Days.Verdict, fact, first, second, days(math.Min(WorthDays.Value, p.Horizon/2)), days(math.Max(math.Abs(low), math.Abs(high)))))
	}
	s := p.Shares
	fact := fmt.Sprintf("by day %.0f, %s of “%s” and %s of “%s” %s (each drawn toward what is common, the more the fewer its plants)", c.Horizon, share(s.First.Mean), first, share(s.Second.Mean), second, a.Had())
	says = append(says, "Shares: "+answered(s.Verdict, fact, first, second, fmt.Sprintf("%.0f in 100", 100*WorthShare.Value), fmt.Sprintf("%.0f in 100", 100*math.Max(math.Abs(s.Low), math.Abs(s.High)))))
	if len(p.Like.Effects) > 0 {
		m := p.Like.Mean
		says = append(says, fmt.Sprintf("Plants of one group set only against each other, in %d groups: “%s” less “%s” is %+.0f days (from %+.0f to %+.0f).",
			len(p.Like.Effects), first, second, m.Estimate, m.Estimate-twoSided95*m.StandardError, m.Estimate+twoSided95*m.StandardError))
	}
	return says
}

// fromTo tells a range of days less and more.
func fromTo(low, high float64) string {
	side := func(x float64) string {
		if x <= 0 {
			return fmt.Sprintf("%.0f days less", -x)
		}
		return fmt.Sprintf("%.0f days more", x)
	}
	return side(low) + " to " + side(high)
}

// answered puts a verdict and the fact it is about into a sentence.
func answered(v outcome.Verdict, fact, first, second, worth, hides string) string {
	switch v.Answer {
	case outcome.Differs:
		return "they differ: " + fact + "."
	case outcome.Hint:
		return "a hint, from few plants: " + fact + "." + capitalised(wouldTell(v, first, second, worth))
	case outcome.NoDifferenceSeen:
		return "no difference seen: " + fact + ". A difference of up to " + hides + " may still hide."
	}
	return "not enough plants to tell: " + fact + "." + capitalised(wouldTell(v, first, second, worth))
}

func capitalised(rest string) string {
	if rest == "" {
		return ""
	}
	rest = strings.TrimPrefix(rest, "; ")
	return " " + strings.ToUpper(rest[:1]) + rest[1:] + "."
}

// wouldTell says how many more plants would tell.
func wouldTell(v outcome.Verdict, first, second, worth string) string {
	var more []string
	if v.FirstMore > 0 {
		more = append(more, fmt.Sprintf("%d more “%s”", v.FirstMore, first))
	}
	if v.SecondMore > 0 {
		more = append(more, fmt.Sprintf("%d more “%s”", v.SecondMore, second))
	}
	if len(more) == 0 {
		return ""
	}
	return fmt.Sprintf("; about %s would most likely show a difference of %s", strings.Join(more, " and "), worth)
}

// DifferSays tells one thing in which two ways differ besides.
func (c *Comparison) DifferSays(p *WayPair, im outcome.Imbalance) string {
	first, second := c.Ways[p.First].Name, c.Ways[p.Second].Name
	if im.Label != "" {
		return fmt.Sprintf("%s: %s of “%s” and %s of “%s” are “%s”", im.Covariate, share(im.First), first, share(im.Second), second, im.Label)
	}
	one, other := fmt.Sprintf("%.0f", im.First), fmt.Sprintf("%.0f", im.Second)
	if strings.HasPrefix(im.Covariate, "share") {
		one, other = share(im.First), share(im.Second)
	}
	if one == other {
		return fmt.Sprintf("%s: %s in the middle for both, but spread differently", im.Covariate, one)
	}
	return fmt.Sprintf("%s: %s in the middle for “%s”, %s for “%s”", im.Covariate, one, first, other, second)
}

// CompareBecause is what stands behind a comparison.
func (c *Comparison) CompareBecause() *Because {
	b := &Because{
		Rule: "days: difference of the restricted means, with the interval of Student’s t as by Welch 1947; shares: cumulative incidence by that day, drawn toward what the ways have in common, the more the fewer their plants (empirical Bayes, Efron and Morris 1975); plants called for as by Fleiss, Levin and Paik 2003, all from memory",
		Inputs: []Input{
			{"difference in days worth acting on", WorthDays}, {"difference in shares worth acting on", WorthShare},
			{"cases in each way before an answer is firm", outcome.LeastCases}, {"chance of seeing a difference with the plants called for", outcome.PowerToTell},
			{"difference between ways that is named", outcome.LeastImbalance},
		},
	}
	if n := len(c.Pairs); n > 1 {
		b.Note = fmt.Sprintf("With %d pairs each range is widened to hold %.1f %% of cases, so that all of them together hold %.0f %%.", n, 100*c.Level, 100*OutcomeLevel.Value)
	}
	for _, p := range c.Pairs {
		if p.LogRankP <= 1 {
			b.Note += fmt.Sprintf(" Curves as far apart as those of “%s” and “%s” would come by chance in %.2g %% of cases (log-rank).", c.Ways[p.First].Name, c.Ways[p.Second].Name, 100*p.LogRankP)
		}
	}
	b.Note = strings.TrimSpace(b.Note)
	return b
}

// PaceBecause is what stands behind the days here.
func (p Pace) PaceBecause() *Because {
	return &Because{
		Rule: "own records move the usual days toward what they say (Bayes, log-normal days); each counts in parts of what was usual for that repot, its season, roots and home included",
		Inputs: []Input{
			{"usual days", p.Usual}, {"own recoveries looked at", basis.Exactly(float64(p.Looks), "", basis.Measured, "")},
			{"of them with the sign", basis.Exactly(float64(p.Signs), "", basis.Measured, "")}, {"own plants that the usual days are worth", outcome.PriorPlants},
		},
		Note: fmt.Sprintf("The usual days still speak for %s of it; the range is that of the next plant, eight in ten.", share(p.FromUsual)),
	}
}
