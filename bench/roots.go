package main

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strconv"

	"velamen/science/growth"
)

// markedRoot is a root as it was measured.
type markedRoot struct{ days, lengths, errorVars []float64 }

// What is assumed of the roots that are drawn; the peers get the same.
const (
	rootRateNoise = 0.001 // mm²/day³
	rootErrorVar  = 0.25  // mm²
	rootRate      = 0.8   // mm/day
	rootRateVar   = 0.64  // mm²/day²
)

// rootsOf draws roots of eight readings on whole days, 3 to 9 days apart.
func rootsOf(n int) []markedRoot {
	random := rand.New(rand.NewPCG(45, 8))
	list := make([]markedRoot, n)
	for i := range list {
		day, rate, length := 0.0, math.Max(0, rootRate+0.3*random.NormFloat64()), 5+10*random.Float64()
		for k := range 8 {
			if k > 0 {
				apart := float64(3 + random.IntN(7))
				day += apart
				length += apart * rate
			}
			list[i].days = append(list[i].days, day)
			list[i].lengths = append(list[i].lengths, length+0.5*random.NormFloat64())
			list[i].errorVars = append(list[i].errorVars, rootErrorVar)
		}
	}
	return list
}

// roots measures the filter that follows the lengths of marked roots.
func (b *bench) roots(ctx context.Context) (report, error) {
	r := report{Title: "The trend of marked roots, eight readings each"}
	many, rounds := 1000, 50
	if b.quick {
		many, rounds = 50, 2
	}
	list := rootsOf(many)
	var table [][]float64
	for i, one := range list {
		for k := range one.days {
			table = append(table, []float64{float64(i), one.days[k], one.lengths[k]})
		}
	}
	if err := b.writeCSV("roots.csv", []string{"root", "day", "length"}, table); err != nil {
		return r, err
	}
	filter := growth.Filter{Trend: growth.Trend{RateNoise: rootRateNoise}}
	last := make([]growth.Belief, many)
	smoothed := make([]growth.Belief, 0, 8)
	first := make([]growth.Belief, many)
	pass := func(smooth bool) func() error {
		return func() error {
			for range rounds { // one round is too short to be timed
				for i, one := range list {
					if err := filter.Run(growth.Unmeasured(0, growth.Rate{MMPerDay: rootRate, Variance: rootRateVar}), one.days, one.lengths, one.errorVars); err != nil {
						return err
					}
					last[i] = filter.Steps[len(filter.Steps)-1].Belief
					if smooth {
						smoothed = growth.Smooth(smoothed[:0], filter.Steps)
						first[i] = smoothed[0]
					}
				}
			}
			return nil
		}
	}
	filtered, err := repeated(b.repeats, pass(false))
	if err != nil {
		return r, err
	}
	both, err := repeated(b.repeats, pass(true))
	if err != nil {
		return r, err
	}
	filtered, both = filtered.per(many*rounds), both.per(many*rounds)
	// apart compares rate, its variance and perhaps the smoothed first rate.
	apart := func(rows [][]float64) (most float64) {
		for _, f := range rows {
			i := int(f[0])
			ours := []float64{last[i].RateMMPerDay, last[i].RateVar, first[i].RateMMPerDay}
			for k, v := range f[1:] {
				most = math.Max(most, math.Abs(v-ours[k]))
			}
		}
		return most
	}
	compare := func(program, script, name, task string, ours cost) error {
		b.say("roots: %s", name)
		p, err := b.peer(ctx, program, script, filepath.Join(b.work, "roots.csv"), strconv.Itoa(b.repeats),
			fmt.Sprint(rootRateNoise), fmt.Sprint(rootErrorVar), fmt.Sprint(rootRate), fmt.Sprint(rootRateVar))
		if err != nil {
			return err
		}
		theirs, err := p.cost("time")
		if err != nil {
			return err
		}
		most := apart(p["root"])
		if len(p["root"]) == 0 || !(most < 1e-9) {
			return fmt.Errorf("%s and velamen differ by %g in the rates of %d roots", name, most, len(p["root"]))
		}
		r.Rows = append(r.Rows, row{Task: task, Peer: name, Ours: ours, Their: theirs.per(many),
			Same: fmt.Sprintf("rates and their variances of %d roots within %.0e", len(p["root"]), most)})
		return nil
	}
	if hasPython("statsmodels") {
		if err := compare(python, "roots.py", "statsmodels, KalmanFilter with smoother", "one root, filtered and smoothed", both); err != nil {
			return r, err
		}
	} else {
		r.Missing = append(r.Missing, "statsmodels (Debian: python3-statsmodels)")
	}
	if has("Rscript", "-e", "1") {
		if err := compare("Rscript", "roots.R", "R stats, KalmanRun on a grid of days", "one root, filtered", filtered); err != nil {
			return r, err
		}
	} else {
		r.Missing = append(r.Missing, "R (Debian: r-base-core)")
	}
	return r, nil
}
