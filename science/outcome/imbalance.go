package outcome

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Imbalance says how far a covariate, such as the roots kept, the season or
// the culture group, differs between two groups of plants under comparison. A
// difference between the groups may be its doing; whether chance or choice
// brought it about makes no odds.
type Imbalance struct {
	Covariate string
	// Distance is the share of plants of one group that would at least have to
	// be exchanged to make the groups alike: 0 alike, 1 nothing in common.
	Distance float64
	// Label is the label whose share differs most, First and Second are its
	// shares; for numbers Label is empty and they are the medians.
	Label         string
	First, Second float64
}

// NumberImbalance compares the numbers of two groups. Distance is the greatest
// difference of their cumulated shares (Kolmogorov and Smirnov), which does
// not depend on units or scale.
func NumberImbalance(covariate string, first, second []float64) (Imbalance, error) {
	for _, group := range [][]float64{first, second} {
		if len(group) == 0 {
			return Imbalance{}, fmt.Errorf("outcome: covariate %q: a group has 0 plants (allowed: at least 1)", covariate)
		}
		for _, x := range group {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return Imbalance{}, fmt.Errorf("outcome: covariate %q: %v is not a finite number", covariate, x)
			}
		}
	}
	a, b := slices.Sorted(slices.Values(first)), slices.Sorted(slices.Values(second))
	im := Imbalance{Covariate: covariate, First: percentile(a, 0.5), Second: percentile(b, 0.5)}
	for i, j := 0, 0; i < len(a) && j < len(b); {
		x := min(a[i], b[j])
		for i < len(a) && a[i] == x {
			i++
		}
		for j < len(b) && b[j] == x {
			j++
		}
		apart := math.Abs(float64(i)/float64(len(a)) - float64(j)/float64(len(b)))
		im.Distance = math.Max(im.Distance, apart)
	}
	return im, nil
}

// LabelImbalance compares the labels of two groups. Distance is half the sum
// of the differences of their shares (total variation).
func LabelImbalance(covariate string, first, second []string) (Imbalance, error) {
	if len(first) == 0 || len(second) == 0 {
		return Imbalance{}, fmt.Errorf("outcome: covariate %q: a group has 0 plants (allowed: at least 1)", covariate)
	}
	labels := slices.Compact(slices.Sorted(slices.Values(slices.Concat(first, second))))
	im := Imbalance{Covariate: covariate}
	widest := -1.0
	for _, label := range labels {
		a, b := shareOf(label, first), shareOf(label, second)
		im.Distance += math.Abs(a-b) / 2
		if math.Abs(a-b) > widest {
			widest = math.Abs(a - b)
			im.Label, im.First, im.Second = label, a, b
		}
	}
	return im, nil
}

func shareOf(label string, group []string) float64 {
	count := 0
	for _, l := range group {
		if l == label {
			count++
		}
	}
	return float64(count) / float64(len(group))
}

// Imbalances returns those that are at least LeastImbalance apart, widest
// first: the list to stand beside a comparison of the two groups, and the
// covariates within whose strata to compare again.
func Imbalances(all ...Imbalance) []Imbalance {
	var named []Imbalance
	for _, im := range all {
		if im.Distance >= LeastImbalance.Value {
			named = append(named, im)
		}
	}
	slices.SortStableFunc(named, func(a, b Imbalance) int {
		return cmp.Or(cmp.Compare(b.Distance, a.Distance), cmp.Compare(a.Covariate, b.Covariate))
	})
	return named
}
