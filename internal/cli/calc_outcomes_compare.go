package cli

import (
	"errors"
	"fmt"
	"math"

	"velamen/science/outcome"
)

// around is the interval of a mean; where no two plants differ nothing can be
// said of it: nil.
func around(c outcome.Curve, until, level float64) *[2]float64 {
	i, err := c.MeanInterval(until, level)
	if err != nil || !i.Known {
		return nil
	}
	return spanOf(i.Low, i.High)
}

// evenPrior holds every share for equally likely. Pairs are compared with it
// unless the practices show a spread of their own: a prior made of all their
// plants would have the answer in it already.
var evenPrior = outcome.Beta{Recovered: 1, Lost: 1}

// practiceGroup is a practice with what is compared.
type practiceGroup struct {
	recoveries
	curve outcome.Curve
	tally outcome.Tally
}

// compare sets the practices beside one another.
func (c calcOutcomes) compare(practices []recoveries, level float64) ([]section, error) {
	groups := make([]practiceGroup, len(practices))
	until := math.Inf(1)
	for i, p := range practices {
		curve, err := p.curve(level)
		if err != nil {
			return nil, err
		}
		groups[i] = practiceGroup{recoveries: p, curve: curve}
		until = min(until, curve.LastDay)
	}
	if c.Until.given {
		until = c.Until.value
	}
	if until <= 0 {
		return nil, errors.New("a practice was never looked at after day 0: there is nothing to compare")
	}
	tallies := make([]outcome.Tally, len(groups))
	for i := range groups {
		g := &groups[i]
		var err error
		if g.tally, _, err = outcome.CountBy(g.practice, outcome.AtDayFound(g.records), until); err != nil {
			return nil, at("--until-day", err)
		}
		tallies[i] = g.tally
	}
	fit, err := outcome.FitPrior(tallies, evenPrior)
	if err != nil {
		return nil, err
	}
	table, err := practiceTable(groups, fit, until, level)
	if err != nil {
		return nil, err
	}
	sections := []section{table}
	if len(groups) > 1 {
		prior := evenPrior
		if fit.Between == outcome.Fitted {
			prior = fit.Prior
		}
		pairs, err := c.pairs(groups, prior, until, level)
		if err != nil {
			return nil, err
		}
		sections = append(sections, pairs)
	}
	return sections, nil
}

// practiceTable is each practice on its own, shares drawn toward what all say.
func practiceTable(groups []practiceGroup, fit outcome.Fit, until, level float64) (section, error) {
	s := section{key: "practices", title: "Practices", about: fmt.Sprintf("up to day %s", shown(until, 1, 0)),
		because: "mean days as above; shares drawn toward what the practices have in common, the more the fewer their plants (empirical Bayes, Efron & Morris 1975, from memory)"}
	s.grid = &grid{key: "practices", columns: []column{
		{key: "practice", head: "practice"}, {key: "plants", head: "plants"}, {key: "median_day", head: "median day", decimals: 1},
		{key: "mean_days", head: "mean days without it", decimals: 1}, {key: "known", head: "known"}, {key: "shown_it", head: "of them shown"},
		{key: "share", head: "share, shrunk %", decimals: 0, scale: 100}, {key: "from_prior", head: "borrowed %", decimals: 0, scale: 100},
	}}
	switch fit.Between {
	case outcome.NoneSeen:
		s.notes = append(s.notes, "The shares differ no more than chance would have them.")
	case outcome.Undecided:
		s.notes = append(s.notes, "The practices cannot say how much they differ, so every share is drawn toward a half by the weight of two plants.")
	}
	for _, g := range groups {
		mean, err := g.curve.RestrictedMean(until)
		if err != nil {
			return s, at("--until-day", fmt.Errorf("practice %s: %w", g.practice, err))
		}
		shares, err := outcome.ShrinkShares([]outcome.Tally{g.tally}, fit.Prior, level)
		if err != nil {
			return s, err
		}
		row := []any{g.practice, len(g.records), nil, mean.Days, g.tally.Plants, g.tally.Recovered,
			ranged{shares[0].Mean, shares[0].Low, shares[0].High}, shares[0].FromPrior}
		if span := around(g.curve, until, level); span != nil {
			row[3] = ranged{mean.Days, span[0], span[1]}
		}
		if m := g.curve.Median().Estimate; m.Reached {
			row[2] = m.Day
		}
		s.grid.rows = append(s.grid.rows, row)
	}
	return s, nil
}

// pairs compares every two practices.
func (c calcOutcomes) pairs(groups []practiceGroup, prior outcome.Beta, until, level float64) (section, error) {
	s := section{key: "comparison", title: "Compared", about: fmt.Sprintf("first less second, up to day %s; more: plants that each still lacks before a difference worth acting on would most likely show", shown(until, 1, 0)),
		because: "difference of restricted mean days, and of shares after shrinking; plants for a difference worth acting on as by Fleiss, Levin & Paik 2003 ch. 4, from memory",
		notes:   []string{"Practices that were not assigned by lot may differ for other reasons: a difference is not an effect."}}
	days, rests := c.WorthDays.or(worthDays)
	if days >= until {
		if c.WorthDays.given {
			return s, fmt.Errorf("--worth-days: %v is not below %v, the days that are counted", days, until)
		}
		days, rests = until/2, nil
		s.notes = append(s.notes, fmt.Sprintf("So few days are counted that a difference of %s is taken for worth acting on.", shown(days, 1, 0)))
	}
	percent, shareRests := c.WorthShare.or(worthShare)
	s.rests = append(append(rests, shareRests...),
		parameter{"least_cases", "cases in each group before an answer is firm", outcome.LeastCases}, parameter{"power_to_tell", "chance of seeing a difference with the plants called for", outcome.PowerToTell})
	s.grid = &grid{key: "pairs", columns: []column{
		{key: "of", head: "of"}, {key: "first", head: "first"}, {key: "second", head: "second"}, {key: "difference", head: "difference", decimals: 1},
		{key: "unit", head: ""}, {key: "verdict", head: "verdict"}, {key: "first_more", head: "more of first"}, {key: "second_more", head: "of second"},
	}}
	count := 0
	for i, first := range groups {
		for _, second := range groups[i+1:] {
			count++
			d, err := outcome.RestrictedMeanDifference(first.curve, second.curve, until, days, level)
			if err != nil {
				return s, at("--until-day", err)
			}
			share, err := outcome.CompareShares(first.tally, second.tally, prior, percent/100, level)
			if err != nil {
				return s, err
			}
			row := pair("mean days", first, second, ranged{d.Difference.Days, d.Low, d.High}, "d", d.Verdict)
			if !d.SpreadKnown {
				row = pair("mean days", first, second, d.Difference.Days, "d", d.Verdict)
			}
			s.grid.rows = append(s.grid.rows, row,
				pair("share", first, second, ranged{share.Difference * 100, share.Low * 100, share.High * 100}, "points", share.Verdict))
		}
	}
	if count > 1 {
		s.notes = append(s.notes, fmt.Sprintf("With %d pairs some may differ by chance alone.", count))
	}
	return s, nil
}

// pair is a row; plants still lacking are told unless the answer is there.
func pair(of string, first, second practiceGroup, difference any, unit string, v outcome.Verdict) []any {
	row := []any{of, first.practice, second.practice, difference, unit, v.Answer.String(), nil, nil}
	if v.Answer != outcome.Differs {
		row[6], row[7] = v.FirstMore, v.SecondMore
	}
	return row
}
