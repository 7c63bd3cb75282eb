package light

import (
	"errors"
	"fmt"
	"time"
)

// Reading is one line of a logger.
type Reading struct {
	At   time.Time
	PPFD float64 // µmol m⁻² s⁻¹, 0 to 4000
}

// Gap is a span that readings do not cover.
type Gap struct{ From, To time.Time }

// Logged is the light that a logger saw.
type Logged struct {
	// Mol is the integral over the covered time, mol m⁻². Over a whole day
	// without gaps it is the daily light integral; with gaps by day it is too
	// low, and nothing is filled in.
	Mol     float64
	Covered time.Duration
	Gaps    []Gap
}

// LoggedDLI integrates readings from one instant to another (usually a day)
// by the trapezoid rule, at whatever spacing they have. Readings just outside
// the span serve to interpolate at its ends. Two neighbouring readings further
// apart than longestGap are not joined; such spans, also before the first and
// after the last reading, are reported. Readings must be in order of time,
// each later than the one before.
func LoggedDLI(readings []Reading, from, to time.Time, longestGap time.Duration) (Logged, error) {
	var logged Logged
	if !from.Before(to) {
		return logged, fmt.Errorf("light: the span from %v to %v is empty", from.Format(time.RFC3339), to.Format(time.RFC3339))
	}
	if longestGap <= 0 {
		return logged, errors.New("light: the longest gap to bridge must be above zero")
	}
	missing := func(a, b time.Time) {
		if b.Sub(a) > longestGap {
			logged.Gaps = append(logged.Gaps, Gap{a, b})
		}
	}
	seen := from // everything before is covered or reported
	for i, r := range readings {
		if err := checkPPFD(r.PPFD); err != nil {
			return Logged{}, fmt.Errorf("reading %d: %w", i+1, err)
		}
		if i == 0 {
			if r.At.After(from) {
				seen = earlier(r.At, to)
				missing(from, seen)
			}
			continue
		}
		before := readings[i-1]
		if !r.At.After(before.At) {
			return Logged{}, fmt.Errorf("light: reading %d at %s is not later than the one before", i+1, r.At.Format(time.RFC3339))
		}
		start, end := later(before.At, from), earlier(r.At, to)
		if !start.Before(end) {
			continue
		}
		if r.At.Sub(before.At) > longestGap {
			logged.Gaps = append(logged.Gaps, Gap{start, end})
		} else {
			// The mean of a straight line is its value half-way.
			middle := start.Add(end.Sub(start) / 2)
			share := middle.Sub(before.At).Seconds() / r.At.Sub(before.At).Seconds()
			mean := before.PPFD + share*(r.PPFD-before.PPFD)
			logged.Mol += mean * end.Sub(start).Seconds() / 1e6
			logged.Covered += end.Sub(start)
		}
		seen = end
	}
	if seen.Before(to) {
		missing(seen, to)
	}
	return logged, nil
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
