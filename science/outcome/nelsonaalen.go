package outcome

import "math"

// Hazard is the cumulative hazard after a day.
type Hazard struct {
	Day            float64
	AtRisk, Events int
	Cumulative     float64
	StandardError  float64
}

// NelsonAalen returns the cumulative hazard of the sign. Its slope is the
// pace, per day, at which plants still without the sign show it: straight
// while the pace holds, flat in a season of rest. Records need exact days and
// no deaths.
func NelsonAalen(records []Recovery) ([]Hazard, error) {
	if err := checkExact(records); err != nil {
		return nil, err
	}
	if err := checkNoDeaths(records); err != nil {
		return nil, err
	}
	var steps []Hazard
	var cumulative, variance float64
	for _, t := range tallies(records) {
		n, d := float64(t.atRisk), float64(t.seen)
		cumulative += d / n     // Nelson 1972, Aalen 1978 (from memory)
		variance += d / (n * n) // Aalen 1978 (from memory): Poisson form, no correction for ties
		steps = append(steps, Hazard{t.day, t.atRisk, t.seen, cumulative, math.Sqrt(variance)})
	}
	return steps, nil
}
