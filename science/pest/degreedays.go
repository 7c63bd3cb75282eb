package pest

import (
	"fmt"
	"math"
)

// CutOff says what happens to development above the upper threshold.
type CutOff uint8

const (
	// Horizontal holds the pace of the upper threshold above it.
	Horizontal CutOff = iota
	// Vertical stops development while it is hotter than the upper threshold.
	Vertical
)

// Thresholds are the temperatures between which a stage develops in
// proportion to warmth, LowerC < UpperC. UpperC may be +Inf when none is
// known; see Above.
type Thresholds struct {
	LowerC, UpperC float64
	CutOff         CutOff
}

// Above returns thresholds without a known upper end.
func Above(lowerC float64) Thresholds { return Thresholds{LowerC: lowerC, UpperC: noUpper} }

func (th Thresholds) check() error {
	if err := checkDegrees("lower threshold", th.LowerC); err != nil {
		return err
	}
	if th.UpperC != noUpper {
		if err := checkDegrees("upper threshold", th.UpperC); err != nil {
			return err
		}
	}
	if th.LowerC >= th.UpperC {
		return fmt.Errorf("pest: lower threshold %v must lie below the upper threshold %v", th.LowerC, th.UpperC)
	}
	if th.CutOff > Vertical {
		return fmt.Errorf("pest: cut-off %d is neither horizontal (0) nor vertical (1)", th.CutOff)
	}
	return nil
}

// checkDegrees refuses missing and absurd temperatures. A missing day must
// never pass for a cold one.
func checkDegrees(quantity string, degrees float64) error {
	if math.IsNaN(degrees) {
		return fmt.Errorf("pest: %s is missing; a missing temperature is not zero warmth", quantity)
	}
	if degrees < lowestDegrees || degrees > highestDegrees {
		return fmt.Errorf("pest: %s %v is outside %d to %d degrees", quantity, degrees, lowestDegrees, highestDegrees)
	}
	return nil
}

func checkDay(minC, maxC float64) error {
	if err := checkDegrees("minimum temperature", minC); err != nil {
		return err
	}
	if err := checkDegrees("maximum temperature", maxC); err != nil {
		return err
	}
	if minC > maxC {
		return fmt.Errorf("pest: minimum temperature %v is above the maximum %v", minC, maxC)
	}
	return nil
}

// Average returns the degree-days (°C·d) of one day from the middle of its
// minimum and maximum (°C), floored at the lower threshold: method 1 of
// McMaster and Wilhelm 1997. It knows no upper threshold, and it is the least
// of the four sums of a day, because it forgets a warm afternoon whose cold
// night brings the middle below the threshold.
func Average(minC, maxC, lowerC float64) (float64, error) {
	if err := checkDay(minC, maxC); err != nil {
		return 0, err
	}
	if err := Above(lowerC).check(); err != nil {
		return 0, err
	}
	return max(0, (minC+maxC)/2-lowerC), nil
}

// AverageClipped returns the degree-days (°C·d) of one day when minimum and
// maximum (°C) are first brought between the thresholds and then averaged:
// method 2 of McMaster and Wilhelm 1997. upperC may be +Inf.
func AverageClipped(minC, maxC, lowerC, upperC float64) (float64, error) {
	if err := checkDay(minC, maxC); err != nil {
		return 0, err
	}
	th := Thresholds{LowerC: lowerC, UpperC: upperC}
	if err := th.check(); err != nil {
		return 0, err
	}
	return (th.gain(minC) + th.gain(maxC)) / 2, nil
}

// FromMean returns the degree-days (°C·d) of one day of which only the mean
// (°C) is known. It falls short of the truth when the day crosses the lower
// threshold and is close to it when the threshold lies well below the night.
func FromMean(meanC float64, th Thresholds) (float64, error) {
	if err := checkDegrees("mean temperature", meanC); err != nil {
		return 0, err
	}
	if err := th.check(); err != nil {
		return 0, err
	}
	return th.gain(meanC), nil
}

// FromSamples returns the degree-days (°C·d) of equally spaced logger samples
// (°C), perDay of them to a day: the exact sum, without any assumption about
// the shape of a day. The samples must make up whole days.
func FromSamples(samplesC []float64, perDay int, th Thresholds) (float64, error) {
	if err := th.check(); err != nil {
		return 0, err
	}
	if perDay < 1 || len(samplesC) == 0 || len(samplesC)%perDay != 0 {
		return 0, fmt.Errorf("pest: %d samples at %d per day are not one or more whole days", len(samplesC), perDay)
	}
	var sum float64
	for i, degrees := range samplesC {
		// One comparison per sample on the way; NaN fails it too.
		if !(degrees >= lowestDegrees && degrees <= highestDegrees) {
			return 0, fmt.Errorf("sample %d: %w", i, checkDegrees("temperature", degrees))
		}
		sum += th.gain(degrees)
	}
	return sum / float64(perDay), nil
}

// gain is the pace of development at one steady temperature, in °C·d a day.
func (th Thresholds) gain(degrees float64) float64 {
	if degrees > th.UpperC {
		if th.CutOff == Vertical {
			return 0
		}
		return th.UpperC - th.LowerC
	}
	return max(0, degrees-th.LowerC)
}
