package outcome

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
)

// Source gives the random numbers of a band. A rand.PCG of math/rand/v2 with a
// fixed seed is one, and makes the band the same every time.
type Source interface{ Uint64() uint64 }

// Band is a pointwise interval of the share without the sign after a day.
type Band struct{ Day, Low, High float64 }

// TurnbullBand returns an interval for the Turnbull curve on each of the days:
// the percentiles of curves from as many collections as resamples says, each
// drawn plant by plant from the records, with replacement. Inside a mass the
// least share counts below and the greatest above, so a band there is wide.
//
// With looks on a limited set of days, as in a collection looked over weekly,
// the percentiles hold their level as plants increase. With looks spread at
// random over all hours they need not (Sen, Banerjee & Woodroofe 2010, from
// memory); read them as a rough guide then. resamples lies from 100 to 100000.
func TurnbullBand(records []Recovery, days []float64, resamples int, level float64, source Source) ([]Band, error) {
	if err := checkSome(records); err != nil {
		return nil, err
	}
	if err := checkNoDeaths(records); err != nil {
		return nil, err
	}
	if err := within("number of resamples", float64(resamples), 100, 100_000); err != nil {
		return nil, err
	}
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	for _, day := range days {
		if err := checkDay("day of the band", day); err != nil {
			return nil, err
		}
	}
	if source == nil {
		return nil, fmt.Errorf("outcome: no source of random numbers given (allowed: any, such as a seeded rand.PCG)")
	}
	// Plants in a fixed order, so that the band does not depend on the order of
	// the records.
	ordered := inOrder(records)

	least := make([][]float64, len(days))
	greatest := make([][]float64, len(days))
	drawn := make([]Recovery, len(records))
	for range resamples {
		for i := range drawn {
			index, _ := bits.Mul64(source.Uint64(), uint64(len(ordered)))
			drawn[i] = ordered[index]
		}
		curve, err := turnbull(drawn)
		if err != nil {
			return nil, fmt.Errorf("drawing a band: %w", err)
		}
		for k, day := range days {
			low, high, err := curve.Unseen(day)
			if err != nil {
				return nil, fmt.Errorf("drawing a band: %w", err)
			}
			least[k], greatest[k] = append(least[k], low), append(greatest[k], high)
		}
	}
	bands := make([]Band, len(days))
	tail := (1 - level) / 2
	for k, day := range days {
		bands[k] = Band{Day: day, Low: percentile(least[k], tail), High: percentile(greatest[k], 1-tail)}
	}
	return bands, nil
}

// percentile returns the value below which the share of the values lies,
// between the two nearest in proportion. It sorts the values.
func percentile(values []float64, share float64) float64 {
	slices.Sort(values)
	rank := share * float64(len(values)-1)
	below := math.Floor(rank)
	i := int(below)
	if i+1 == len(values) {
		return values[i]
	}
	return values[i] + (rank-below)*(values[i+1]-values[i])
}
