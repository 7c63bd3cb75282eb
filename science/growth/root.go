package growth

import (
	"math"

	"velamen/science/basis"
)

// Root is what was recorded of one marked root, in any order.
type Root struct {
	Readings []Reading
	Tips     []TipEvent
}

// Status is how far a root can speak for growth on the day it was asked.
type Status uint8

const (
	// Unread has no usable reading and no record of its tip.
	Unread Status = iota
	// Followed is measured and not known to have stopped.
	Followed
	// Resting has a capped tip.
	Resting
	// Lost its tip; it says nothing about the plant's growth.
	Lost
	// InQuestion has a questioned reading after its last accepted one.
	InQuestion
)

// String returns the words shown to the grower.
func (s Status) String() string {
	switch s {
	case Unread:
		return "not measured"
	case Followed:
		return "followed"
	case Resting:
		return "resting"
	case Lost:
		return "tip lost"
	case InQuestion:
		return "reading in question"
	}
	return "unknown status"
}

// Track is what the readings of one root come to on one day.
type Track struct {
	Day    float64
	Status Status
	// Steps are the accepted readings, one for each calendar day, oldest first.
	// Those from index From on belong to the present stretch of growth and may
	// be given to Smooth.
	Steps     []Step
	From      int
	Questions []Question
	// Now is the belief on Day; zero unless the root is followed or resting and
	// its length is known.
	Now Belief
	// Own is the rate on Day from this root's readings alone, without the
	// group's prior; its variance is +Inf before two readings.
	Own Rate
	// RateReadings counts the accepted lengths that speak about the rate. It
	// takes two to say anything.
	RateReadings int
}

// ChanceGrowing returns the probability that the rate exceeds GrowingRate, and
// whether the root can say: it must be followed and have two lengths.
func (t Track) ChanceGrowing() (chance float64, known bool) {
	if !t.speaks() {
		return 0, false
	}
	return t.Now.ChanceFaster(GrowingRate.Value), true
}

func (t Track) speaks() bool { return t.Status == Followed && t.RateReadings >= 2 }

// Judge holds what is assumed of the roots of one group.
type Judge struct {
	Trend Trend
	// Prior is the rate of a marked root before it was measured twice.
	Prior Rate
	// CeilingMMPerDay is the fastest mean rate between two readings that is
	// believed without asking.
	CeilingMMPerDay float64
}

// NewJudge returns the judge of a group whose roots in full growth have the
// given range of rates: one of the rates of this package, or the grower's own.
func NewJudge(growing basis.Value) (Judge, error) {
	prior, err := PriorRate(growing)
	if err != nil {
		return Judge{}, err
	}
	return Judge{
		Trend:           Trend{RateNoise: RateNoise.Value},
		Prior:           prior,
		CeilingMMPerDay: CeilingShare.Value * growing.High,
	}, nil
}

// Root follows one root up to the given day; what was recorded for later days
// is not looked at. Errors: a day, length, reading error or tip change outside
// its range.
func (j Judge) Root(root Root, day float64) (Track, error) {
	if err := checkDay("day of the verdict", day); err != nil {
		return Track{}, err
	}
	readings, questions, err := readingDays(root.Readings, day)
	if err != nil {
		return Track{}, err
	}
	events, err := eventsUntil(root.Tips, day)
	if err != nil {
		return Track{}, err
	}
	w := walk{judge: j, questions: questions, steps: make([]Step, 0, len(readings))}
	for _, r := range readings {
		for len(events) > 0 && events[0].Day <= r.reading.Day {
			w.tip(events[0])
			events = events[1:]
		}
		w.read(r)
	}
	for _, e := range events {
		w.tip(e)
	}
	return w.track(day), nil
}

// noInformation is a variance of the rate, in mm²/day², beside which any two
// readings are exact. It stands for +Inf in the filter.
const noInformation = 1e6

// walk is the state while the records of a root are gone through in time.
type walk struct {
	judge     Judge
	questions []Question
	steps     []Step
	from      int

	status Status
	// belief starts from the group's prior, own from no knowledge of the rate.
	belief, own  Belief
	rateReadings int
	// accepted are the readings of the present stretch, with which a new one
	// must agree.
	accepted []dayReading
}

// tip applies a change of the tip.
func (w *walk) tip(e TipEvent) {
	switch e.Change {
	case Chewed, Broken:
		w.status = Lost
		w.forgetLength(e.Day)
	case Capped:
		switch w.status {
		case Unread:
			w.status = Resting
			w.forgetLength(e.Day)
		case Followed:
			w.status = Resting
			w.stand(&w.belief, e.Day)
			w.stand(&w.own, e.Day)
			w.from = len(w.steps)
		}
	case Renewed:
		switch w.status {
		case Resting:
			w.status = Followed
			w.belief.Day, w.belief.RateMMPerDay, w.belief.RateVar = e.Day, w.judge.Prior.MMPerDay, w.judge.Prior.Variance
			w.own.Day, w.own.RateMMPerDay, w.own.RateVar = e.Day, 0, noInformation
			w.from = len(w.steps)
			w.rateReadings = 0
			if len(w.accepted) > 0 {
				// The resting length is where growth starts from.
				w.rateReadings = 1
			}
		case Lost:
			w.restart(e.Day)
		}
	}
}

// forgetLength leaves a root that stands still at an unknown length.
func (w *walk) forgetLength(day float64) {
	w.belief = Unmeasured(day, Rate{})
	w.own = w.belief
	w.accepted = w.accepted[:0]
	w.rateReadings = 0
	w.from = len(w.steps)
}

// stand lets a root grow as expected up to the day and then stops it.
func (w *walk) stand(b *Belief, day float64) {
	*b = w.judge.Trend.Ahead(*b, day)
	b.RateMMPerDay, b.RateVar, b.Covariance = 0, 0, 0
}

// restart begins a stretch of growth at an unknown length.
func (w *walk) restart(day float64) {
	w.status = Followed
	w.belief = Unmeasured(day, w.judge.Prior)
	w.own = Unmeasured(day, Rate{Variance: noInformation})
	w.accepted = w.accepted[:0]
	w.rateReadings = 0
	w.from = len(w.steps)
}

// read takes in the reading of one day, or questions it.
func (w *walk) read(r dayReading) {
	if w.status == Unread {
		w.restart(r.reading.Day)
	}
	if q, questioned := w.question(r); questioned {
		switch {
		case q.Kind == Shorter && (w.status == Lost || w.status == Resting && r.reading.Confirmed):
			// What is left of a root that lost its tip may be any length. A
			// resting root keeps resting at the length that was confirmed.
			w.forgetLength(r.reading.Day)
		case r.reading.Confirmed:
			w.restart(r.reading.Day)
		default:
			w.questions = append(w.questions, q)
			return
		}
	}
	trend := w.judge.Trend
	if w.status != Followed {
		trend = Trend{}
	}
	var surprise Surprise
	w.belief, surprise = trend.Ahead(w.belief, r.reading.Day).Read(r.reading.LengthMM, r.errorVar)
	w.own, _ = trend.Ahead(w.own, r.reading.Day).Read(r.reading.LengthMM, r.errorVar)
	w.steps = append(w.steps, Step{Belief: w.belief, ErrorVar: r.errorVar, Surprise: surprise})
	w.accepted = append(w.accepted, r)
	w.rateReadings++
}

// question returns why a reading cannot be of this root as it is recorded.
func (w *walk) question(r dayReading) (q Question, questioned bool) {
	if len(w.accepted) == 0 {
		return Question{}, false
	}
	ask := func(kind QuestionKind, against dayReading, limit float64) (Question, bool) {
		return Question{
			Kind: kind, Reading: r.reading,
			AgainstDay: against.reading.Day, AgainstMM: against.reading.LengthMM, LimitMM: limit,
		}, true
	}
	last := w.accepted[len(w.accepted)-1]
	change := r.reading.LengthMM - last.reading.LengthMM
	limit := smallestChangeMM(last.errorVar, r.errorVar)
	if change < -limit {
		return ask(Shorter, last, limit)
	}
	if w.status == Followed {
		possible := w.judge.CeilingMMPerDay*(r.reading.Day-last.reading.Day) + limit
		if change > possible {
			return ask(TooLong, last, possible)
		}
	} else if expected := w.belief; r.reading.LengthMM-expected.LengthMM > smallestChangeMM(expected.LengthVar, r.errorVar) {
		at := dayReading{reading: Reading{Day: last.reading.Day, LengthMM: expected.LengthMM}}
		return ask(GrewAtRest, at, smallestChangeMM(expected.LengthVar, r.errorVar))
	}
	// A root that seems to shrink a little each time is caught against its
	// longest readings. With n of them to compare with, each may err in one
	// case out of 40·n, so that the whole errs no oftener than the first test.
	z := normalQuantile(1 - 0.025/float64(len(w.accepted)))
	for _, earlier := range w.accepted {
		limit := z * math.Sqrt(earlier.errorVar+r.errorVar)
		if r.reading.LengthMM < earlier.reading.LengthMM-limit {
			return ask(Shorter, earlier, limit)
		}
	}
	return Question{}, false
}

// track returns the state on the given day.
func (w *walk) track(day float64) Track {
	t := Track{
		Day: day, Status: w.status, Steps: w.steps, From: w.from, Questions: w.questions,
		RateReadings: w.rateReadings, Own: Rate{Variance: math.Inf(1)},
	}
	if w.open() {
		t.Status = InQuestion
	}
	if len(w.accepted) == 0 {
		return t
	}
	switch t.Status {
	case Followed:
		t.Now = w.judge.Trend.Ahead(w.belief, day)
		if w.rateReadings >= 2 {
			t.Own = w.judge.Trend.Ahead(w.own, day).Rate()
		}
	case Resting:
		t.Now = Trend{}.Ahead(w.belief, day)
	}
	return t
}

// open reports whether a reading after the last accepted one, and after the
// last change of the tip, waits for an answer.
func (w *walk) open() bool {
	for _, q := range w.questions {
		if w.status == Unread || math.Floor(q.Reading.Day) > math.Floor(w.belief.Day) {
			return true
		}
	}
	return false
}
