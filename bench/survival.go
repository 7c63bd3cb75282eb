package main

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strconv"

	"velamen/science/outcome"
)

// recoveriesOf draws recoveries of log-normal days to the first root, each plant
// looked at every 5 to 10 days until it is given up on; some die.
func recoveriesOf(plants int) []outcome.Recovery {
	random := rand.New(rand.NewPCG(20, 1))
	records := make([]outcome.Recovery, 0, plants)
	for len(records) < plants {
		root, death, end := 30*math.Exp(0.6*random.NormFloat64()), -300*math.Log(random.Float64()), 20+200*random.Float64()
		for last := 0.0; ; {
			look := math.Round(last + 5 + 5*random.Float64())
			switch {
			case look > end:
				records = append(records, outcome.NotSeenBy("", math.Max(1, last)))
			case death <= look && death < root:
				records = append(records, outcome.DiedBetween("", last, look))
			case root <= look:
				records = append(records, outcome.SeenBetween("", last, look))
			default:
				last = look
				continue
			}
			break
		}
	}
	return records
}

// survival measures the curves of how recoveries end.
func (b *bench) survival(ctx context.Context) (report, error) {
	r := report{Title: "How recoveries end: curves of many plants"}
	exact, between := 20_000, 2_000
	if b.quick {
		exact, between = 400, 100
	}
	records := recoveriesOf(exact)
	seen := outcome.AtDayFound(records)
	firsts := outcome.DeathsAsUnseen(seen)
	intervals := outcome.DeathsAsUnseen(records[:between])
	var table [][]float64
	for _, one := range records {
		ending, by := 1.0, one.ByDay
		switch one.Ending {
		case outcome.Died:
			ending = 2
		case outcome.NotYet, outcome.Left:
			ending, by = 0, one.AfterDay
		}
		table = append(table, []float64{one.AfterDay, by, ending})
	}
	if err := b.writeCSV("records.csv", []string{"after", "by", "ending"}, table); err != nil {
		return r, err
	}
	var km outcome.Curve
	var aj outcome.IncidenceCurve
	var turnbull outcome.IntervalCurve
	timed := func(runs int, work func() error) (cost, error) {
		c, err := repeated(b.repeats, func() error {
			for range runs {
				if err := work(); err != nil {
					return err
				}
			}
			return nil
		})
		return c.per(runs), err
	}
	kmCost, err := timed(10, func() (err error) { km, err = outcome.KaplanMeier(firsts, outcome.LogLog, 0.95); return err })
	if err != nil {
		return r, err
	}
	ajCost, err := timed(10, func() (err error) { aj, err = outcome.AalenJohansen(seen, outcome.LogLog, 0.95); return err })
	if err != nil {
		return r, err
	}
	turnbullCost, err := timed(10, func() (err error) { turnbull, err = outcome.Turnbull(intervals); return err })
	if err != nil {
		return r, err
	}
	// Each line of a peer is a day and what it says of that day.
	apart := func(rows [][]float64, of func(day float64) ([]float64, error)) (most float64, err error) {
		if len(rows) == 0 {
			return 0, fmt.Errorf("the peer says nothing")
		}
		for _, f := range rows {
			ours, err := of(f[0])
			if err != nil {
				return 0, err
			}
			for k, v := range f[1:] {
				most = math.Max(most, math.Abs(v-ours[k]))
			}
		}
		return most, nil
	}
	ofKM := func(day float64) ([]float64, error) {
		s, err := km.At(day)
		return []float64{s.Unseen, s.StandardError}, err
	}
	ofAJ := func(day float64) ([]float64, error) {
		s, err := aj.At(day)
		return []float64{s.Seen.Share, s.Died.Share}, err
	}
	add := func(p printed, what, task, peer string, ours cost, within float64, of func(float64) ([]float64, error)) error {
		theirs, err := p.cost(what + "-time")
		if err != nil {
			return err
		}
		most, err := apart(p[what], of)
		if err != nil {
			return fmt.Errorf("%s: %w", what, err)
		}
		if !(most <= within) {
			return fmt.Errorf("%s and velamen differ by %g in %s", peer, most, what)
		}
		r.Rows = append(r.Rows, row{Task: task, Peer: peer, Ours: ours, Their: theirs,
			Same: fmt.Sprintf("%d days within %.0e", len(p[what]), most)})
		return nil
	}
	kmTask, ajTask := fmt.Sprintf("Kaplan–Meier, %d plants", exact), fmt.Sprintf("Aalen–Johansen with deaths, %d plants", exact)
	if hasR("survival") {
		b.say("survival: R")
		p, err := b.peer(ctx, "Rscript", "survival.R", filepath.Join(b.work, "records.csv"), strconv.Itoa(b.repeats), strconv.Itoa(between))
		if err != nil {
			return r, err
		}
		const peer = "R survival, survfit"
		if err := add(p, "km", kmTask, peer, kmCost, 1e-9, ofKM); err != nil {
			return r, err
		}
		if err := add(p, "aj", ajTask, peer, ajCost, 1e-9, ofAJ); err != nil {
			return r, err
		}
		// survfit stops its iteration early: the comparison allows for that.
		least := func(day float64) ([]float64, error) {
			low, high, err := turnbull.Unseen(day)
			return []float64{(low + high) / 2}, err
		}
		if err := add(p, "turnbull", fmt.Sprintf("Turnbull, between two looks, %d plants", between), peer, turnbullCost, 0.02, least); err != nil {
			return r, err
		}
	} else {
		r.Missing = append(r.Missing, "R with its survival package (Debian: r-cran-survival)")
	}
	if hasPython("statsmodels") {
		b.say("survival: statsmodels")
		p, err := b.peer(ctx, python, "survival.py", filepath.Join(b.work, "records.csv"), strconv.Itoa(b.repeats))
		if err != nil {
			return r, err
		}
		if err := add(p, "km", kmTask, "statsmodels, SurvfuncRight", kmCost, 1e-9, ofKM); err != nil {
			return r, err
		}
		if err := add(p, "aj", ajTask, "statsmodels, CumIncidenceRight", ajCost, 1e-9, ofAJ); err != nil {
			return r, err
		}
	} else {
		r.Missing = append(r.Missing, "statsmodels (Debian: python3-statsmodels)")
	}
	r.Notes = append(r.Notes, "survfit ends the iteration of Turnbull's curve when its steps get small, Velamen when the curve is the likeliest one (Gentleman and Geyer's condition); hence the distance. statsmodels has no curve for events between two looks. The R times leave out the printing of summaries.")
	return r, nil
}
