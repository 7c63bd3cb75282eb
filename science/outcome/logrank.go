package outcome

import (
	"errors"
	"fmt"
)

// Weighting says which part of the curves a log-rank test looks at.
type Weighting uint8

const (
	// Even weighs every day alike: the log-rank test, best when one group is
	// faster throughout.
	Even Weighting = iota + 1
	// Early weighs each day by the share still without the sign just before
	// it: the test of Peto and Peto, best for a head start that evens out.
	Early
)

// Test is the result of a log-rank test of two groups.
type Test struct {
	FirstObserved, FirstExpected   float64
	SecondObserved, SecondExpected float64
	// Variance of FirstObserved − FirstExpected.
	Variance   float64
	ChiSquared float64 // one degree of freedom
	P          float64
}

// LogRank tests whether two groups show the sign at the same pace. With the
// weighting Early the observed and expected counts are weighted sums. Records
// need exact days and no deaths.
//
// The p-value is a large-sample one; with fewer than about ten signs in all it
// is a rough guide.
func LogRank(first, second []Recovery, weighting Weighting) (Test, error) {
	if err := within("weighting", float64(weighting), float64(Even), float64(Early)); err != nil {
		return Test{}, err
	}
	for i, group := range [][]Recovery{first, second} {
		if err := errors.Join(checkExact(group), checkNoDeaths(group)); err != nil {
			return Test{}, fmt.Errorf("group %d: %w", i+1, err)
		}
	}
	table := joint(first, second)
	var test Test
	unseen := 1.0
	for _, t := range table {
		weight := 1.0
		if weighting == Early {
			weight = unseen
		}
		n, n1, d := t.atRisk[0]+t.atRisk[1], t.atRisk[0], t.seen[0]+t.seen[1]
		// Mantel 1966; Kalbfleisch & Prentice 2002, §1.5 (from memory).
		test.FirstObserved += weight * t.seen[0]
		test.SecondObserved += weight * t.seen[1]
		test.FirstExpected += weight * d * n1 / n
		test.SecondExpected += weight * d * (n - n1) / n
		if n > 1 {
			test.Variance += weight * weight * d * (n1 / n) * (1 - n1/n) * (n - d) / (n - 1)
		}
		unseen *= 1 - d/n
	}
	if test.Variance <= 0 {
		return Test{}, fmt.Errorf("outcome: no sign was seen while both groups had plants at risk; there is nothing to test")
	}
	difference := test.FirstObserved - test.FirstExpected
	test.ChiSquared = difference * difference / test.Variance
	test.P = chiSquaredP(test.ChiSquared)
	return test, nil
}

// jointTally is one day with a sign in either of two groups.
type jointTally struct{ atRisk, seen [2]float64 }

// joint lines up the days of two groups.
func joint(first, second []Recovery) []jointTally {
	both := make([]Recovery, 0, len(first)+len(second))
	both = append(append(both, first...), second...)
	own := tallies(first)
	atRiskAfter := risk(first)
	var table []jointTally
	for _, t := range tallies(both) {
		row := jointTally{}
		for len(own) > 0 && own[0].day < t.day {
			own = own[1:]
		}
		if len(own) > 0 && own[0].day == t.day {
			row.seen[0] = float64(own[0].seen)
		}
		row.atRisk[0] = float64(atRiskAfter(t.day))
		row.seen[1] = float64(t.seen) - row.seen[0]
		row.atRisk[1] = float64(t.atRisk) - row.atRisk[0]
		table = append(table, row)
	}
	return table
}
