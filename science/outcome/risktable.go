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
//
// Plants are looked at on whole days, so that there are far fewer days than
// records: the records are counted by day, and only the days are sorted.
func tallies(records []Recovery) []tally {
	place := make(map[float64]int, min(len(records), 1024))
	var days []tally // atRisk counts those whose record ends on the day
	for i := range records {
		r := &records[i]
		at, known := place[r.AfterDay]
		if !known {
			at = len(days)
			place[r.AfterDay] = at
			days = append(days, tally{day: r.AfterDay})
		}
		today := &days[at]
		today.atRisk++
		switch r.Ending {
		case Seen:
			today.seen++
		case Died:
			today.died++
		}
	}
	slices.SortFunc(days, func(a, b tally) int { return cmp.Compare(a.day, b.day) })
	left := len(records)
	var table []tally
	for _, today := range days {
		ended := today.atRisk
		today.atRisk = left
		left -= ended
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
