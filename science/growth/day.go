package growth

import (
	"math"
	"slices"
)

// dayReading is what the readings of one calendar day come to.
type dayReading struct {
	reading  Reading // ErrorMM is unused; errorVar stands for it
	errorVar float64
}

// readingDays checks the readings up to the given day, whatever their order,
// and returns one for each calendar day, oldest first. Readings that contradict
// others of their day come back as questions.
func readingDays(readings []Reading, untilDay float64) ([]dayReading, []Question, error) {
	sorted := make([]Reading, 0, len(readings))
	for _, r := range readings {
		if err := r.Check(); err != nil {
			return nil, nil, err
		}
		if r.Day <= untilDay {
			sorted = append(sorted, r)
		}
	}
	slices.SortFunc(sorted, Reading.compare)

	days := make([]dayReading, 0, len(sorted))
	var questions []Question
	for len(sorted) > 0 {
		n := 1
		for n < len(sorted) && math.Floor(sorted[n].Day) == math.Floor(sorted[0].Day) {
			n++
		}
		kept := sorted[:n]
		sorted = sorted[n:]
		if n > 1 {
			kept = agreeing(kept, &questions)
		}
		if len(kept) > 0 {
			days = append(days, together(kept))
		}
	}
	return days, questions, nil
}

// agreeing returns the readings of one day, shortest first, that lie within the
// smallest real change of the day's median, and appends a question for each of
// the others. Once a reading of the day is confirmed, only confirmed ones count.
func agreeing(ofDay []Reading, questions *[]Question) []Reading {
	if slices.ContainsFunc(ofDay, func(r Reading) bool { return r.Confirmed }) {
		confirmed := make([]Reading, 0, len(ofDay))
		for _, r := range ofDay {
			if r.Confirmed {
				confirmed = append(confirmed, r)
			}
		}
		return confirmed
	}
	n := len(ofDay)
	median := (ofDay[(n-1)/2].LengthMM + ofDay[n/2].LengthMM) / 2
	kept := make([]Reading, 0, n)
	for _, r := range ofDay {
		limit := smallestChangeMM(r.ErrorMM*r.ErrorMM, r.ErrorMM*r.ErrorMM)
		if n == 2 {
			// The median of two lies halfway: half the distance between them
			// is compared with half the change between them that is real.
			limit = smallestChangeMM(ofDay[0].ErrorMM*ofDay[0].ErrorMM, ofDay[1].ErrorMM*ofDay[1].ErrorMM) / 2
		}
		if math.Abs(r.LengthMM-median) <= limit {
			kept = append(kept, r)
			continue
		}
		*questions = append(*questions, Question{
			Kind: Disagrees, Reading: r, AgainstDay: r.Day, AgainstMM: median, LimitMM: limit,
		})
	}
	return kept
}

// together returns the mean of readings of one day, weighted by precision. The
// part of the error that they share stays, however many they are.
//
//	var = (1 − ρ)/Σ(1/σᵢ²) + ρ·min σᵢ²
func together(ofDay []Reading) dayReading {
	if len(ofDay) == 1 {
		return dayReading{reading: ofDay[0], errorVar: ofDay[0].ErrorMM * ofDay[0].ErrorMM}
	}
	// Sums are taken from the first reading, so that equal ones give exactly
	// their common value.
	mean := ofDay[0]
	var weights, day, length float64
	smallest := math.Inf(1)
	for _, r := range ofDay {
		variance := r.ErrorMM * r.ErrorMM
		weight := 1 / variance
		weights += weight
		day += weight * (r.Day - ofDay[0].Day)
		length += weight * (r.LengthMM - ofDay[0].LengthMM)
		smallest = min(smallest, variance)
		mean.Confirmed = mean.Confirmed || r.Confirmed
	}
	mean.Day += day / weights
	mean.LengthMM += length / weights
	shared := SharedErrorShare.Value
	return dayReading{reading: mean, errorVar: (1-shared)/weights + shared*smallest}
}
