package outcome

import (
	"cmp"
	"slices"
)

// tally counts what happened on one day. At equal days endings come before
// last looks: a plant looked at on the day was at risk on it.
type tally struct {
	day                float64
	atRisk, seen, died int
}

// tallies returns the days with an ending in order, with the plants at risk.
// The result depends only on the set of records, not on their order.
func tallies(records []Recovery) []tally {
	sorted := slices.Clone(records)
	slices.SortFunc(sorted, func(a, b Recovery) int { return cmp.Compare(a.AfterDay, b.AfterDay) })
	var table []tally
	for first := 0; first < len(sorted); {
		today := tally{day: sorted[first].AfterDay, atRisk: len(sorted) - first}
		for first < len(sorted) && sorted[first].AfterDay == today.day {
			switch sorted[first].Ending {
			case Seen:
				today.seen++
			case Died:
				today.died++
			}
			first++
		}
		if today.seen+today.died > 0 {
			table = append(table, today)
		}
	}
	return table
}

// lastDay returns the latest day on which any plant was looked at.
func lastDay(records []Recovery) float64 {
	var last float64
	for _, r := range records {
		last = max(last, r.AfterDay)
	}
	return last
}

// risk returns a function that counts the records still at risk on a day.
func risk(records []Recovery) func(day float64) int {
	days := make([]float64, len(records))
	for i, r := range records {
		days[i] = r.AfterDay
	}
	slices.Sort(days)
	return func(day float64) int {
		earlier, _ := slices.BinarySearch(days, day)
		return len(days) - earlier
	}
}
