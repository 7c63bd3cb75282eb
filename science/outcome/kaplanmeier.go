package outcome

import "math"

// Form is the scale on which an interval around a share is symmetric.
type Form uint8

const (
	// LogLog: symmetric in log(−log S). Never leaves [0, 1]; the best of the
	// three for few plants.
	LogLog Form = iota + 1
	// Log: symmetric in log S, cut at 1.
	Log
	// Plain: symmetric in S, cut at 0 and 1.
	Plain
)

// Step is the estimate from its day until the next step.
type Step struct {
	Day            float64
	AtRisk, Events int
	// Unseen is the share of plants without the sign after the day.
	Unseen float64
	// StandardError is Greenwood's; 0 where Unseen is 0, since no plant is
	// left to vary.
	StandardError float64
	// Low and High are the pointwise interval. Where Unseen has come to 0 no
	// formula gives one: Low is 0 and High that of the step before.
	Low, High float64
}

// Curve is the share of plants still without the sign by day: 1 until the
// first step, and constant between steps.
type Curve struct {
	Steps  []Step
	Plants int
	// LastDay is the latest look at any plant; nothing is known beyond it.
	LastDay float64
}

// KaplanMeier returns the product-limit estimate of the share without the
// sign, with Greenwood's standard error and intervals of the given form and
// level (0.95 for 95 %). Records need exact days and no deaths; see
// AtDayFound, DeathsAsUnseen.
func KaplanMeier(records []Recovery, form Form, level float64) (Curve, error) {
	if err := checkExact(records); err != nil {
		return Curve{}, err
	}
	if err := checkNoDeaths(records); err != nil {
		return Curve{}, err
	}
	if err := checkInterval(form, level); err != nil {
		return Curve{}, err
	}
	z := twoSided(level)
	c := Curve{Plants: len(records), LastDay: lastDay(records)}
	unseen, greenwood, high := 1.0, 0.0, 1.0
	for _, t := range tallies(records) {
		n, d := float64(t.atRisk), float64(t.seen)
		step := Step{Day: t.day, AtRisk: t.atRisk, Events: t.seen}
		if t.seen < t.atRisk {
			unseen *= 1 - d/n              // Kaplan & Meier 1958 (from memory)
			greenwood += d / (n * (n - d)) // Greenwood 1926 (from memory): variance of log S
			step.Unseen = unseen
			step.StandardError = unseen * math.Sqrt(greenwood)
			step.Low, step.High = form.interval(unseen, step.StandardError, z)
			high = step.High
		} else {
			step.High = high
		}
		c.Steps = append(c.Steps, step)
	}
	return c, nil
}

func checkInterval(form Form, level float64) error {
	if err := within("form of interval", float64(form), float64(LogLog), float64(Plain)); err != nil {
		return err
	}
	return checkLevel(level)
}

// interval returns the interval around a share strictly between 0 and 1 with
// its standard error. Kalbfleisch & Prentice 2002, §1.4 (from memory).
func (f Form) interval(share, standardError, z float64) (low, high float64) {
	switch f {
	case LogLog:
		width := z * standardError / (share * -math.Log(share))
		return math.Pow(share, math.Exp(width)), math.Pow(share, math.Exp(-width))
	case Log:
		factor := math.Exp(z * standardError / share)
		return share / factor, math.Min(1, share*factor)
	default:
		return math.Max(0, share-z*standardError), math.Min(1, share+z*standardError)
	}
}

// At returns the step in force on a day: the last one no later than it. Before
// the first step it is the step of day 0, all plants without the sign. A day
// beyond LastDay is an error unless no plant was left.
func (c Curve) At(day float64) (Step, error) {
	last := c.LastDay
	if c.exhausted() {
		last = LatestDay
	}
	if err := within("day of the curve", day, 0, last); err != nil {
		return Step{}, err
	}
	at := Step{AtRisk: c.Plants, Unseen: 1, Low: 1, High: 1}
	for _, s := range c.Steps {
		if s.Day > day {
			break
		}
		at = s
	}
	return at, nil
}

// exhausted says that every plant has shown the sign in the end.
func (c Curve) exhausted() bool { return len(c.Steps) > 0 && c.Steps[len(c.Steps)-1].Unseen == 0 }
