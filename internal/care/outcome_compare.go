package care

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"velamen/science/outcome"
)

// Comparison sets the ways of a practice beside one another.
type Comparison struct {
	Practice Practice
	Horizon  float64 // days that are counted
	Ways     []Way   // most recoveries first
	Unnoted  int     // recoveries of which the way is not known
	TooSoon  int     // left out because they were over before the practice was
	Others   int     // recoveries of ways that are too rare to list

	// Fit is what the ways together say of any one.
	Fit   outcome.Fit
	Pairs []WayPair // each way against the first
	// Level is that of each pair's ranges: so high that all pairs together keep
	// to OutcomeLevel.
	Level float64
}

// Way is one way of a practice.
type Way struct {
	Name       string
	Recoveries []*Outcome
	Signs      int
	Died       int
	Curve      outcome.Curve // share without the sign by the day on which it was found
	Median     outcome.Window
	Mean       outcome.Mean // days without the sign up to the horizon
	MeanKnown  bool         // it was watched for so long
	Share      outcome.Share
	LookEvery  float64 // mean days between looks; 0 when there were none
}

// WayPair is a way set against the first.
type WayPair struct {
	First, Second int // places among the ways
	Days          outcome.MeanDifference
	DaysKnown     bool
	Horizon       float64
	Shares        outcome.ShareDifference
	// LogRankP is the chance of curves as far apart as these if nothing differs;
	// above 1 when it cannot be told.
	LogRankP float64
	// Like are the differences in days among plants of one group, where both ways
	// show enough, and Within their average, groups being compared with
	// themselves only.
	Like   outcome.Shrunk
	Within outcome.Heterogeneity
	// Differ are the other things in which the two differ, widest first.
	Differ []outcome.Imbalance
}

// mostWays are listed; the rest are counted.
const mostWays = 6

// evenPrior holds every share for equally likely.
var evenPrior = outcome.Beta{Recovered: 1, Lost: 1}

// compareOutcomes sets the ways of a practice beside one another; nil when there
// are not two.
func compareOutcomes(list []*Outcome, q OutcomeQuestion) (*Comparison, error) {
	c := &Comparison{Practice: q.Practice, Level: OutcomeLevel.Value}
	byName := map[string][]*Outcome{}
	for _, o := range list {
		name := o.Factors.Level(q.Practice)
		switch {
		case name == "":
			c.Unnoted++
		case q.Practice == BySupplement && o.Found(q.Awaited).AfterDay <= SupplementDays.Value:
			// It had less time to be given one: counting it as "not given" would make
			// the supplement look slower, and as "given" faster, than it is.
			c.TooSoon++
		default:
			byName[name] = append(byName[name], o)
		}
	}
	for name, members := range byName {
		c.Ways = append(c.Ways, Way{Name: name, Recoveries: members})
	}
	slices.SortFunc(c.Ways, func(a, b Way) int {
		return cmp.Or(cmp.Compare(len(b.Recoveries), len(a.Recoveries)), strings.Compare(a.Name, b.Name))
	})
	for len(c.Ways) > mostWays {
		last := len(c.Ways) - 1
		c.Others += len(c.Ways[last].Recoveries)
		c.Ways = c.Ways[:last]
	}
	if len(c.Ways) < 2 {
		return c, nil
	}
	c.Level = 1 - (1-OutcomeLevel.Value)/float64(len(c.Ways)-1) // Bonferroni
	if err := c.fill(q); err != nil {
		return nil, err
	}
	for i := 1; i < len(c.Ways); i++ {
		pair, err := c.pair(i, q)
		if err != nil {
			return nil, err
		}
		c.Pairs = append(c.Pairs, pair)
	}
	return c, nil
}

// fill works out each way on its own.
func (c *Comparison) fill(q OutcomeQuestion) error {
	c.Horizon = q.Awaited.horizon()
	for i := range c.Ways {
		w := &c.Ways[i]
		found := records(w.Recoveries, func(o *Outcome) outcome.Recovery { return o.Found(q.Awaited) })
		curve, err := outcome.KaplanMeier(outcome.DeathsAsUnseen(found), outcome.LogLog, OutcomeLevel.Value)
		if err != nil {
			return err
		}
		between, err := outcome.Turnbull(records(w.Recoveries, func(o *Outcome) outcome.Recovery { return o.Between(q.Awaited) }))
		if err != nil {
			return err
		}
		w.Curve, w.Median = curve, between.Median()
		var looked, looks float64
		for _, o := range w.Recoveries {
			s := o.seen(q.Awaited)
			if s.Seen() {
				w.Signs++
			} else if o.Ending == Dead {
				w.Died++
			}
			looked, looks = looked+float64(max(s.AfterDay, s.ByDay)), looks+float64(s.Looks)
		}
		if looks > 0 {
			w.LookEvery = looked / looks
		}
		// A way that was hardly watched must not shorten the days of the others.
		if w.Signs >= 2 {
			c.Horizon = math.Min(c.Horizon, watchedUntil(curve))
		}
	}
	if c.Horizon <= 0 {
		c.Horizon = q.Awaited.horizon()
	}
	tallies := make([]outcome.Tally, len(c.Ways))
	for i := range c.Ways {
		w := &c.Ways[i]
		found := records(w.Recoveries, func(o *Outcome) outcome.Recovery { return o.Found(q.Awaited) })
		var err error
		if tallies[i], _, err = outcome.CountBy(w.Name, found, c.Horizon); err != nil {
			return err
		}
		if w.MeanKnown = watchedUntil(w.Curve) >= c.Horizon; w.MeanKnown {
			if w.Mean, err = w.Curve.RestrictedMean(c.Horizon); err != nil {
				return err
			}
		}
	}
	var err error
	if c.Fit, err = outcome.FitPrior(tallies, evenPrior); err != nil {
		return err
	}
	shares, err := outcome.ShrinkShares(tallies, c.Fit.Prior, OutcomeLevel.Value)
	if err != nil {
		return err
	}
	for i := range c.Ways {
		c.Ways[i].Share = shares[i]
	}
	return nil
}

// pair sets one way against the first.
func (c *Comparison) pair(i int, q OutcomeQuestion) (WayPair, error) {
	first, second := &c.Ways[0], &c.Ways[i]
	p := WayPair{First: 0, Second: i, LogRankP: 2}
	p.Horizon = math.Min(c.Horizon, math.Min(watchedUntil(first.Curve), watchedUntil(second.Curve)))
	var err error
	if p.Horizon > 1 {
		worth := math.Min(WorthDays.Value, p.Horizon/2)
		if p.Days, err = outcome.RestrictedMeanDifference(first.Curve, second.Curve, p.Horizon, worth, c.Level); err != nil {
			return p, err
		}
		p.DaysKnown = true
	}
	// A prior made of all plants together would have the answer in it already.
	prior := evenPrior
	if c.Fit.Between == outcome.Fitted {
		prior = c.Fit.Prior
	}
	if p.Shares, err = outcome.CompareShares(first.Share.Tally, second.Share.Tally, prior, WorthShare.Value, c.Level); err != nil {
		return p, err
	}
	found := func(w *Way) []outcome.Recovery {
		return outcome.DeathsAsUnseen(records(w.Recoveries, func(o *Outcome) outcome.Recovery { return o.Found(q.Awaited) }))
	}
	if test, err := outcome.LogRank(found(first), found(second), outcome.Even); err == nil {
		p.LogRankP = test.P // where nothing can be tested there is no chance to tell
	}
	if err := p.within(first, second, q, c.Horizon); err != nil {
		return p, err
	}
	p.Differ, err = differences(first, second, q)
	return p, err
}

// within compares plants of one group with one another only.
func (p *WayPair) within(first, second *Way, q OutcomeQuestion, horizon float64) error {
	if q.Practice == ByGroup || q.Practice == ByPathway || q.Group != "" {
		return nil
	}
	groups := map[string][2][]outcome.Recovery{}
	for side, w := range []*Way{first, second} {
		for _, o := range w.Recoveries {
			both := groups[o.Factors.Group]
			both[side] = append(both[side], o.Found(q.Awaited))
			groups[o.Factors.Group] = both
		}
	}
	var effects []outcome.Effect
	for name, both := range groups {
		if len(both[0]) < 3 || len(both[1]) < 3 {
			continue
		}
		var curves [2]outcome.Curve
		until := horizon
		for side := range both {
			var err error
			if curves[side], err = outcome.KaplanMeier(outcome.DeathsAsUnseen(both[side]), outcome.LogLog, OutcomeLevel.Value); err != nil {
				return err
			}
			until = math.Min(until, watchedUntil(curves[side]))
		}
		if until <= 1 {
			continue
		}
		d, err := outcome.RestrictedMeanDifference(curves[0], curves[1], until, until/2, OutcomeLevel.Value)
		if err != nil {
			return err
		}
		if d.SpreadKnown {
			effects = append(effects, outcome.Effect{Name: name, Estimate: d.Difference.Days, StandardError: d.Difference.StandardError})
		}
	}
	if len(effects) < 2 {
		return nil
	}
	slices.SortFunc(effects, func(a, b outcome.Effect) int { return strings.Compare(a.Name, b.Name) })
	spread, err := outcome.Spread(effects)
	if err != nil {
		return err
	}
	p.Within = spread
	p.Like, err = outcome.ShrinkEffects(effects, spread.BetweenSD)
	return err
}

// follows lists the practices that a practice settles, so that a difference in
// them is no news.
var follows = map[Practice][]Practice{
	ByMedium: {ByHome, ByChange}, ByHome: {ByMedium, ByChange}, ByChange: {ByMedium}, ByGroup: {ByPathway},
}

// differences names what else differs between two ways.
func differences(first, second *Way, q OutcomeQuestion) ([]outcome.Imbalance, error) {
	var all []outcome.Imbalance
	for _, practice := range Practices {
		if practice == q.Practice || practice == ByRoots || slices.Contains(follows[q.Practice], practice) {
			continue
		}
		labels := func(w *Way) []string {
			list := make([]string, len(w.Recoveries))
			for i, o := range w.Recoveries {
				if list[i] = o.Factors.Level(practice); list[i] == "" {
					list[i] = "not noted"
				}
			}
			return list
		}
		one, err := outcome.LabelImbalance(string(practice), labels(first), labels(second))
		if err != nil {
			return nil, err
		}
		// Of many labels with a plant or two each no two samples have the same:
		// one of them has to differ by itself.
		if math.Abs(one.First-one.Second) >= outcome.LeastImbalance.Low {
			all = append(all, one)
		}
	}
	numbers := map[string]func(*Outcome) float64{
		"year of the repot": func(o *Outcome) float64 { return float64(o.Repot.Year()) },
		"days between looks": func(o *Outcome) float64 {
			s := o.seen(q.Awaited)
			return float64(max(s.AfterDay, s.ByDay)) / math.Max(1, float64(s.Looks))
		},
	}
	if q.Practice != ByRoots {
		numbers["share of roots kept"] = func(o *Outcome) float64 { return o.Factors.RootsKept }
	}
	for name, of := range numbers {
		var sides [2][]float64
		for side, w := range []*Way{first, second} {
			for _, o := range w.Recoveries {
				if x := of(o); x > 0 {
					sides[side] = append(sides[side], x)
				}
			}
		}
		if len(sides[0]) == 0 || len(sides[1]) == 0 {
			continue
		}
		one, err := outcome.NumberImbalance(name, sides[0], sides[1])
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return outcome.Imbalances(all...), nil
}
