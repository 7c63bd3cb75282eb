package care

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/science/basis"
	"velamen/science/outcome"
)

// OutcomeQuestion is what is asked of past recoveries.
type OutcomeQuestion struct {
	Awaited  Awaited   `json:"awaited"`
	Group    string    `json:"group,omitempty"`    // name of a culture group; empty: all
	Since    time.Time `json:"since,omitzero"`     // repots from this day on
	Practice Practice  `json:"practice,omitempty"` // what to compare by; empty: nothing
}

// Figures of the report.
var (
	// RootHorizonDays and StageHorizonDays are the days that are counted in mean
	// days and shares, unless the plants were watched for less.
	RootHorizonDays  = basis.Assumed(90, 60, 120, "days")
	StageHorizonDays = basis.Assumed(365, 180, 365, "days")

	// OutcomeLevel is the share of cases that ranges are meant to hold.
	OutcomeLevel = basis.Exactly(0.95, "1", basis.CommonPractice, "")

	// WorthDays and WorthShare are the smallest differences that a grower is
	// taken to act on.
	WorthDays  = basis.Assumed(14, 7, 28, "days")
	WorthShare = basis.Assumed(0.2, 0.1, 0.3, "share")
)

// The band of a curve between looks.
const (
	bandResamples = 300
	bandPlants    = 1500 // with more, drawing them again takes longer than anybody waits
)

// horizon is the day up to which is counted.
func (a Awaited) horizon() float64 {
	if a == Establishment {
		return StageHorizonDays.Value
	}
	return RootHorizonDays.Value
}

// OutcomeReport is what happened to recoveries.
type OutcomeReport struct {
	Question OutcomeQuestion

	Counted  []*Outcome // by date of the repot, newest first
	SetAside []*Outcome // those that cannot be right
	Plants   int        // that they are of
	Endings  map[RecoveryEnding]int
	Signs    int // recoveries in which it was seen
	Unlooked int // of those in which it was not, how many were never looked at for it
	// Unsaid have run for more than a year, and nobody said that they are
	// established.
	Unsaid []*Outcome

	// Between is the curve that looks tell, with its band on the days that end
	// its masses; the band is nil for very many plants, and for too few signs.
	Between *outcome.IntervalCurve
	Bands   []outcome.Band
	Median  MedianDays

	// Horizon is the day up to which the mean and the shares count; 0 when no
	// plant was watched.
	Horizon float64
	Mean    outcome.Mean
	Spread  outcome.Interval // of the mean
	Ends    *outcome.IncidenceCurve
	By      outcome.IncidenceStep // on the horizon

	Compared *Comparison
}

// MedianDays is when half of the plants had shown the sign: between two looks,
// with the days between which it lies as surely as the level says.
type MedianDays struct {
	Window    outcome.Window
	Low, High outcome.Reach
}

// NewOutcomeReport answers a question from recoveries. source draws the plants of
// a band again; with the same seed it gives the same band.
func NewOutcomeReport(all []*Outcome, q OutcomeQuestion, on time.Time, source outcome.Source) (OutcomeReport, error) {
	r := OutcomeReport{Question: q, Endings: map[RecoveryEnding]int{}}
	plants := map[string]bool{}
	for _, o := range all {
		switch {
		case q.Group != "" && o.Factors.Group != q.Group, o.Repot.Before(q.Since), o.Repot.After(on):
		case o.Problem != "":
			r.SetAside = append(r.SetAside, o)
		default:
			r.Counted = append(r.Counted, o)
			plants[o.Plant] = true
		}
	}
	for _, list := range [][]*Outcome{r.Counted, r.SetAside} {
		slices.SortFunc(list, func(a, b *Outcome) int {
			return cmp.Or(b.Repot.Compare(a.Repot), strings.Compare(a.Label, b.Label), strings.Compare(a.Plant, b.Plant), cmp.Compare(a.Number, b.Number))
		})
	}
	r.Plants = len(plants)
	for _, o := range r.Counted {
		r.Endings[o.Ending]++
		switch s := o.seen(q.Awaited); {
		case s.Seen():
			r.Signs++
		case s.Looks == 0:
			r.Unlooked++
		}
		if o.Ending == StillRunning && daysBetween(o.Repot, on) > patienceDays {
			r.Unsaid = append(r.Unsaid, o)
		}
	}
	if len(r.Counted) == 0 {
		return r, nil
	}
	if err := errors.Join(r.between(source), r.found()); err != nil {
		return r, fmt.Errorf("working out the outcomes: %w", err)
	}
	if q.Practice != "" {
		compared, err := compareOutcomes(r.Counted, q)
		if err != nil {
			return r, fmt.Errorf("comparing by %s: %w", q.Practice, err)
		}
		r.Compared = compared
	}
	return r, nil
}

// patienceDays is the longest that a recovery is expected to take.
const patienceDays = 365

// records turns outcomes into records.
func records(list []*Outcome, as func(*Outcome) outcome.Recovery) []outcome.Recovery {
	out := make([]outcome.Recovery, len(list))
	for i, o := range list {
		out[i] = as(o)
	}
	return out
}

// between works out the curve that looks tell.
func (r *OutcomeReport) between(source outcome.Source) error {
	list := records(r.Counted, func(o *Outcome) outcome.Recovery { return o.Between(r.Question.Awaited) })
	curve, err := outcome.Turnbull(list)
	if err != nil {
		return err
	}
	r.Between = &curve
	r.Median.Window = curve.Median()
	var days []float64
	for _, m := range curve.Masses {
		if !math.IsInf(m.ByDay, 1) {
			days = append(days, m.ByDay)
		}
	}
	// From a handful of signs drawing them again says more than is known.
	if r.Signs < int(outcome.LeastCases.Value) || len(list) > bandPlants {
		return nil
	}
	if r.Bands, err = outcome.TurnbullBand(list, days, bandResamples, OutcomeLevel.Value, source); err != nil {
		return err
	}
	// The days on which the band comes down to a half hold the median, as with
	// Brookmeyer and Crowley.
	for i := len(r.Bands) - 1; i >= 0; i-- {
		if b := r.Bands[i]; b.Low <= 0.5 {
			// It came down somewhere since the day before.
			r.Median.Low = outcome.Reach{Day: curve.Masses[i].AfterDay, Reached: true}
		}
		if b := r.Bands[i]; b.High <= 0.5 {
			r.Median.High = outcome.Reach{Day: b.Day, Reached: true}
		}
	}
	return nil
}

// found works out how they ended, on the days on which it was found.
func (r *OutcomeReport) found() error {
	list := records(r.Counted, func(o *Outcome) outcome.Recovery { return o.Found(r.Question.Awaited) })
	ends, err := outcome.AalenJohansen(list, outcome.LogLog, OutcomeLevel.Value)
	if err != nil {
		return err
	}
	pace, err := outcome.KaplanMeier(outcome.DeathsAsUnseen(list), outcome.LogLog, OutcomeLevel.Value)
	if err != nil {
		return err
	}
	r.Horizon = math.Min(r.Question.Awaited.horizon(), watchedUntil(pace))
	if r.Horizon <= 0 {
		r.Horizon = 0
		return nil
	}
	r.Ends = &ends
	if r.Mean, err = pace.RestrictedMean(r.Horizon); err != nil {
		return err
	}
	if r.Spread, err = pace.MeanInterval(r.Horizon, OutcomeLevel.Value); err != nil {
		return err
	}
	r.By, err = ends.At(math.Min(r.Horizon, ends.LastDay))
	return err
}

// watchedUntil is the last day of which a curve tells anything.
func watchedUntil(c outcome.Curve) float64 {
	if n := len(c.Steps); n > 0 && c.Steps[n-1].Unseen == 0 {
		return outcome.LatestDay
	}
	return c.LastDay
}
