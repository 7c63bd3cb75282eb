package pest

import (
	"errors"
	"fmt"

	"velamen/science/basis"
)

// Stage is one step of a pest's life, or a whole generation, as a straight
// line: nothing below LowerC (°C), the pace of UpperC above it, and done after
// DegreeDays (°C·d). The zero UpperC means that no upper threshold is known.
// Studies of one species disagree by 1 to 4 °C, so carry ranges.
type Stage struct {
	LowerC     basis.Value
	UpperC     basis.Value
	DegreeDays basis.Value
}

// Check reports figures that cannot be right together.
func (s Stage) Check() error {
	if err := s.LowerC.Check(); err != nil {
		return fmt.Errorf("lower threshold: %w", err)
	}
	if err := s.DegreeDays.Check(); err != nil {
		return fmt.Errorf("degree-days: %w", err)
	}
	if !(s.DegreeDays.Low > 0) {
		return fmt.Errorf("pest: degree-days from %v must be above 0", s.DegreeDays.Low)
	}
	if err := checkAirC("lower threshold", s.LowerC.Low); err != nil {
		return err
	}
	if err := checkAirC("lower threshold", s.LowerC.High); err != nil {
		return err
	}
	if !s.hasUpper() {
		return nil
	}
	if err := s.UpperC.Check(); err != nil {
		return fmt.Errorf("upper threshold: %w", err)
	}
	if s.LowerC.High >= s.UpperC.Low {
		return fmt.Errorf("pest: lower threshold up to %v °C must lie below the upper threshold from %v °C", s.LowerC.High, s.UpperC.Low)
	}
	return nil
}

func (s Stage) hasUpper() bool { return s.UpperC != (basis.Value{}) }

// Grade is the weakest grade among the stage's figures.
func (s Stage) Grade() basis.Grade {
	return basis.Weakest(s.LowerC.Grade, s.UpperC.Grade, s.DegreeDays.Grade)
}

// corner is one reading of a stage's ranges.
type corner uint8

const (
	fast    corner = iota // low threshold, high upper threshold, few degree-days
	central               // the values themselves
	slow                  // high threshold, low upper threshold, many degree-days
)

// at returns thresholds and degree-days in one corner. Both ends are taken
// together on purpose: threshold and constant of one fit move against each
// other, so the corners enclose the truth, and only the corners keep the
// promise that warmth never delays a date.
func (s Stage) at(c corner) (Thresholds, float64) {
	th := Above(pick(s.LowerC, c))
	if s.hasUpper() {
		th.UpperC = pick(s.UpperC, slow-c) // a higher upper threshold is faster
	}
	return th, pick(s.DegreeDays, c)
}

func pick(v basis.Value, c corner) float64 { return [...]float64{v.Low, v.Value, v.High}[c] }

// Duration is how long a stage takes.
type Duration struct {
	// ShortestDays ≤ Days ≤ LongestDays follow from the ranges of threshold
	// and degree-days. All are 0 when Paused.
	ShortestDays, Days, LongestDays float64
	// Paused: too near the lower threshold; development rests or crawls and no
	// date is promised.
	Paused bool
	// Unbounded: by the highest threshold in the range the stage does not
	// finish at all; LongestDays is then 0.
	Unbounded bool
	// Grade is the weakest among the figures used.
	Grade basis.Grade
}

// DaysAt returns how long the stage takes at one steady temperature (−40 to
// 60 °C): K/(T − T0), with T no higher than the upper threshold. Less than
// two kelvin above T0 it is paused (assumption).
func (s Stage) DaysAt(meanC float64) (Duration, error) {
	if err := s.Check(); err != nil {
		return Duration{}, err
	}
	if err := checkAirC("mean temperature", meanC); err != nil {
		return Duration{}, err
	}
	d := Duration{Grade: s.Grade()}
	if s.pausedAt(meanC) {
		d.Paused = true
		return d, nil
	}
	d.ShortestDays, d.Days = s.days(meanC, fast), s.days(meanC, central)
	if th, _ := s.at(slow); th.gain(meanC) > 0 {
		d.LongestDays = s.days(meanC, slow)
	} else {
		d.Unbounded = true
	}
	return d, nil
}

func (s Stage) days(meanC float64, c corner) float64 {
	th, degreeDays := s.at(c)
	return degreeDays / th.gain(meanC)
}

func (s Stage) pausedAt(meanC float64) bool { return meanC < s.LowerC.Value+pausedBelowK.Value }

func checkAirC(quantity string, degreesC float64) error {
	if !(degreesC >= lowestC && degreesC <= highestC) { // NaN fails as well
		return fmt.Errorf("pest: %s %v °C is outside %d to %d °C", quantity, degreesC, lowestC, highestC)
	}
	return nil
}

// LifeCycle is what the windows need to know of a pest.
type LifeCycle struct {
	// Egg is the stage that contact treatments do not reach. It is left zero
	// for live-bearing pests.
	Egg Stage
	// Generation runs from egg to egg-laying adult, or from birth to birth.
	Generation Stage
	// LiveBearing pests set free young that move at once, so there is no egg
	// to wait for.
	LiveBearing bool
	// LayingDays (d) is how long a female that escaped could go on laying; the
	// zero Value means that every female was reached.
	LayingDays basis.Value
}

// Check reports figures that cannot be right together.
func (c LifeCycle) Check() error {
	if err := c.Generation.Check(); err != nil {
		return fmt.Errorf("generation: %w", err)
	}
	if c.LayingDays != (basis.Value{}) {
		if err := c.LayingDays.Check(); err != nil {
			return fmt.Errorf("laying days: %w", err)
		}
		if c.LayingDays.Low < 0 || c.LayingDays.High > 365 {
			return fmt.Errorf("pest: laying days %v to %v are outside 0 to 365", c.LayingDays.Low, c.LayingDays.High)
		}
	}
	if c.LiveBearing {
		if c.Egg != (Stage{}) {
			return errors.New("pest: a live-bearing pest has no egg stage to wait for")
		}
		return nil
	}
	if err := c.Egg.Check(); err != nil {
		return fmt.Errorf("egg: %w", err)
	}
	if c.Egg.DegreeDays.High >= c.Generation.DegreeDays.Low {
		return fmt.Errorf("pest: egg degree-days up to %v must be fewer than the generation's from %v", c.Egg.DegreeDays.High, c.Generation.DegreeDays.Low)
	}
	return nil
}
