package pest

import (
	"fmt"
	"math"
)

// Triangle returns the degree-days (°C·d) of one day whose temperature rises
// and falls in straight lines between minimum and maximum (°C): the single
// triangle of Zalom et al. 1983.
func Triangle(minC, maxC float64, th Thresholds) (float64, error) {
	if err := checkDay(minC, maxC); err != nil {
		return 0, err
	}
	if err := th.check(); err != nil {
		return 0, err
	}
	return triangleDay(minC, maxC, th), nil
}

// Sine returns the degree-days (°C·d) of one day whose temperature follows a
// sine between minimum and maximum (°C): the single sine of Baskerville and
// Emin 1969.
func Sine(minC, maxC float64, th Thresholds) (float64, error) {
	if err := checkDay(minC, maxC); err != nil {
		return 0, err
	}
	if err := th.check(); err != nil {
		return 0, err
	}
	return sineDay(minC, maxC, th), nil
}

// DoubleTriangle is Triangle by half-days: the rise from this day's minimum,
// and the fall to the next day's (Zalom et al. 1983). The next minimum may
// lie above the maximum, when a warm front comes at night.
func DoubleTriangle(minC, maxC, nextMinC float64, th Thresholds) (float64, error) {
	if err := checkHalfDays(minC, maxC, nextMinC, th); err != nil {
		return 0, err
	}
	fallC, riseC := min(nextMinC, maxC), max(nextMinC, maxC)
	return (triangleDay(minC, maxC, th) + triangleDay(fallC, riseC, th)) / 2, nil
}

// DoubleSine is Sine by half-days: the rise from this day's minimum, and the
// fall to the next day's (Zalom et al. 1983). The next minimum may lie above
// the maximum, when a warm front comes at night.
func DoubleSine(minC, maxC, nextMinC float64, th Thresholds) (float64, error) {
	if err := checkHalfDays(minC, maxC, nextMinC, th); err != nil {
		return 0, err
	}
	fallC, riseC := min(nextMinC, maxC), max(nextMinC, maxC)
	return (sineDay(minC, maxC, th) + sineDay(fallC, riseC, th)) / 2, nil
}

func checkHalfDays(minC, maxC, nextMinC float64, th Thresholds) error {
	if err := checkDay(minC, maxC); err != nil {
		return err
	}
	if err := checkDegrees("next minimum temperature", nextMinC); err != nil {
		return err
	}
	return th.check()
}

// Accumulate fills running with the degree-days (°C·d) gathered by the end of
// each day, by single sine from the daily minima and maxima (°C). The three
// slices have one length. A missing (NaN) day is an error that names it;
// bridge short gaps before calling.
func Accumulate(running, minC, maxC []float64, th Thresholds) error {
	if len(minC) != len(maxC) || len(running) != len(minC) {
		return fmt.Errorf("pest: %d minima, %d maxima and room for %d sums differ in number", len(minC), len(maxC), len(running))
	}
	if err := th.check(); err != nil {
		return err
	}
	var sum float64
	for i, low := range minC {
		high := maxC[i]
		// NaN fails every comparison and so is caught here as well.
		if !(low >= lowestDegrees && low <= high && high <= highestDegrees) {
			return fmt.Errorf("day %d: %w", i, checkDay(low, high))
		}
		sum += sineDay(low, high, th)
		running[i] = sum
	}
	return nil
}

func triangleDay(minC, maxC float64, th Thresholds) float64 {
	lower, _ := triangleAbove(minC, maxC, th.LowerC)
	upper, shareHot := triangleAbove(minC, maxC, th.UpperC)
	return th.between(lower, upper, shareHot)
}

func sineDay(minC, maxC float64, th Thresholds) float64 {
	lower, _ := sineAbove(minC, maxC, th.LowerC)
	upper, shareHot := sineAbove(minC, maxC, th.UpperC)
	return th.between(lower, upper, shareHot)
}

// between joins the area above each threshold: D(L) − D(U), which covers all
// six cases that Zalom et al. 1983 list one by one. The vertical cut-off also
// loses the full height for the share of the day above the upper threshold.
func (th Thresholds) between(aboveLower, aboveUpper, shareHot float64) float64 {
	sum := aboveLower - aboveUpper
	if th.CutOff == Vertical && shareHot > 0 { // an absent upper threshold would give ∞·0
		sum -= (th.UpperC - th.LowerC) * shareHot
	}
	return max(0, sum) // rounding only; the exact difference is never negative
}

// triangleAbove returns the area above a threshold X and the share of the day
// above it: D = m − X for Tmin ≥ X, else (Tmax − X)²/(2(Tmax − Tmin)).
func triangleAbove(minC, maxC, threshold float64) (area, share float64) {
	switch {
	case maxC <= threshold:
		return 0, 0
	case minC >= threshold:
		return (minC+maxC)/2 - threshold, 1
	}
	share = (maxC - threshold) / (maxC - minC)
	return share * (maxC - threshold) / 2, share
}

// sineAbove returns the area above a threshold X and the share of the day
// above it: with mean m, amplitude a and θ = asin((X − m)/a),
// D = [(m − X)(π/2 − θ) + a·cos θ]/π (Baskerville and Emin 1969).
func sineAbove(minC, maxC, threshold float64) (area, share float64) {
	mean := (minC + maxC) / 2
	switch {
	case maxC <= threshold:
		return 0, 0
	case minC >= threshold:
		return mean - threshold, 1
	}
	amplitude := (maxC - minC) / 2
	// Rounding may carry the sine a hair past ±1 when a threshold touches an end.
	sine := min(1, max(-1, (threshold-mean)/amplitude))
	share = (math.Pi/2 - math.Asin(sine)) / math.Pi
	return (mean-threshold)*share + amplitude*math.Sqrt(1-sine*sine)/math.Pi, share
}
