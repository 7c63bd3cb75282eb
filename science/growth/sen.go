package growth

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// SenSlope is a slope that a few wild readings cannot move: the median of the
// slopes between all pairs of readings. It knows nothing of errors, groups or
// time, and describes the whole series: for a root that grew and then stopped
// it lies in between and misleads.
type SenSlope struct {
	MMPerDay float64
	// InterceptMM is the length on day zero of the line with this slope that
	// leaves as many readings above as below.
	InterceptMM float64
	// LowMMPerDay and HighMMPerDay enclose the slope in the asked share of cases.
	LowMMPerDay, HighMMPerDay float64
	// Clipped says that the readings are too few for that share, and the
	// interval is the full range of slopes between pairs.
	Clipped bool
	// Pairs of readings on different days.
	Pairs int
}

// Sen returns the slope of lengths in mm over days, in any order, with the
// interval of Gilbert. Errors: slices of unequal length, figures that are not
// finite, more than 5000 readings, no two different days, a coverage outside
// 0.5 to 0.999.
//
//	median of (yⱼ−yᵢ)/(tⱼ−tᵢ); ranks (N−C)/2 and (N+C)/2+1, C = z·√Var S, interpolated   Gilbert 1987, section 16.5 (from memory)
func Sen(days, lengthsMM []float64, coverage float64) (SenSlope, error) {
	if err := within("coverage", coverage, 0.5, 0.999, "1"); err != nil {
		return SenSlope{}, err
	}
	series, err := newSeries(days, lengthsMM)
	if err != nil {
		return SenSlope{}, err
	}
	slopes := make([]float64, 0, len(series)*(len(series)-1)/2)
	for j, later := range series {
		for _, earlier := range series[:j] {
			if later.day > earlier.day {
				slopes = append(slopes, (later.lengthMM-earlier.lengthMM)/(later.day-earlier.day))
			}
		}
	}
	if len(slopes) == 0 {
		return SenSlope{}, fmt.Errorf("growth: a slope needs readings on two different days, not %d on one", len(days))
	}
	slices.Sort(slopes)
	n := float64(len(slopes))
	s := SenSlope{MMPerDay: median(slopes), Pairs: len(slopes)}

	left := make([]float64, 0, len(series))
	for _, p := range series {
		left = append(left, p.lengthMM-s.MMPerDay*p.day)
	}
	slices.Sort(left)
	s.InterceptMM = median(left)

	c := normalQuantile((1+coverage)/2) * math.Sqrt(series.variance())
	low, high := (n-c)/2, (n+c)/2+1
	s.Clipped = low < 1 || high > n
	s.LowMMPerDay, s.HighMMPerDay = atRank(slopes, low), atRank(slopes, high)
	return s, nil
}

// series is a run of readings ordered by day, and by length within a day.
type series []struct{ day, lengthMM float64 }

// mostInSeries keeps the number of pairs within what a phone can hold.
const mostInSeries = 5000

func newSeries(days, lengthsMM []float64) (series, error) {
	if len(days) != len(lengthsMM) {
		return nil, fmt.Errorf("growth: %d days and %d lengths do not belong together", len(days), len(lengthsMM))
	}
	if err := within("number of readings", float64(len(days)), 2, mostInSeries, ""); err != nil {
		return nil, err
	}
	s := make(series, len(days))
	for i, day := range days {
		if math.IsNaN(day-day) || math.IsNaN(lengthsMM[i]-lengthsMM[i]) {
			return nil, fmt.Errorf("growth: reading %d is not finite: day %g, length %g mm", i, day, lengthsMM[i])
		}
		s[i].day, s[i].lengthMM = day, lengthsMM[i]
	}
	slices.SortFunc(s, func(a, b struct{ day, lengthMM float64 }) int {
		return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(a.lengthMM, b.lengthMM))
	})
	return s, nil
}

// median of sorted figures.
func median(sorted []float64) float64 {
	n := len(sorted)
	return sorted[(n-1)/2] + (sorted[n/2]-sorted[(n-1)/2])/2
}

// atRank returns the figure at a rank counted from one, interpolated between
// neighbours and held at the ends.
func atRank(sorted []float64, rank float64) float64 {
	rank = min(max(rank, 1), float64(len(sorted)))
	whole := int(rank)
	if whole == len(sorted) {
		return sorted[whole-1]
	}
	return sorted[whole-1] + (rank-float64(whole))*(sorted[whole]-sorted[whole-1])
}
