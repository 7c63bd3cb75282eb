package growth

import (
	"math"

	"velamen/science/basis"
)

// Standing is the verdict on a plant that was disturbed.
type Standing uint8

const (
	// TooEarly: what was measured and seen allows more than one of the others.
	TooEarly Standing = iota
	// Rooting: new or kept roots lengthen.
	Rooting
	// Holding: no root is known to grow yet, and the plant loses no more than
	// is normal by now.
	Holding
	// Stalled: its roots stand still when they should not any more.
	Stalled
	// Declining: it loses more than is normal by now, and growing roots do not
	// make up for it.
	Declining
)

// Standings lists the verdicts.
var Standings = []Standing{Rooting, Holding, Stalled, Declining, TooEarly}

// String returns the words shown to the grower.
func (s Standing) String() string {
	switch s {
	case Rooting:
		return "rooting"
	case Holding:
		return "holding"
	case Stalled:
		return "stalled"
	case Declining:
		return "declining"
	}
	return "too early to say"
}

// TurgorLook is one look at how firm the plant is, in grades of wrinkling: 0
// firm, 1 slight, 2 clear, 3 deep; and what would be normal on that day.
type TurgorLook struct {
	Day            float64 // since the disturbance
	Grade, Allowed int
}

func (t TurgorLook) over() int { return t.Grade - t.Allowed }

// LossLook is one count of leaves or bulbs: how many are gone since the
// disturbance, and how many may be gone by that day.
type LossLook struct {
	Day           float64
	Lost, Allowed float64
}

// Evidence is all that is known of a disturbed plant on one day. Days are
// counted from the disturbance; NaN stands for never.
type Evidence struct {
	Day float64

	Roots    Verdict // what its marked roots say
	RootsDay float64 // of the last accepted reading
	Grew     bool    // a marked root lengthened by more than its readings err
	TipDay   float64 // on which a growing root tip was last seen, without measuring

	FirstTip basis.Value // days until a first new tip: the middle half of the group and more
	Rests    bool        // the dark or cool part of its year: roots stand still

	Turgor        []TurgorLook // oldest first
	Leaves, Bulbs []LossLook   // oldest first

	Emergency bool // rot, a soft crown or a bad smell, and not over
}

// Judgement is a verdict with what it rests on.
type Judgement struct {
	Standing Standing
	Reasons  []Reason
	// Wilts: it is less firm than is normal by now, in two looks or clearly in
	// one. It takes a step of its course back, whatever the roots do.
	Wilts bool
	// Proof is the day of the freshest proof that roots grow; NaN without any.
	Proof float64
}

// Reason is one thing that speaks for or against a verdict.
type Reason struct {
	Kind ReasonKind
	// Toward is the verdict that it speaks for.
	Toward Standing
	Day    float64 // of what was seen; NaN where nothing was
	Value  float64 // a chance, a grade, a number lost
	Limit  float64 // what would be normal
}

// ReasonKind is what a reason is about.
type ReasonKind uint8

const (
	RootsGrow ReasonKind = iota + 1
	RootsStopped
	RootsUnclear
	RootsUnread
	RootsReadLongAgo
	TipSeen
	TipAwaited // a first tip may still be to come
	TipOverdue
	RestingSeason
	Firm
	Firmer // than at the look before
	WrinkledAsExpected
	WrinkledOnce // more than expected, in one look
	WrinkledMore // in two looks, or clearly
	FirmnessUnseen
	LeavesAsExpected
	LeavesLost
	BulbsAsExpected
	BulbsLost
	Danger
)

// Judge weighs the evidence, from the roots first, then firmness, then what was
// lost. No figure of it is published: the rule is ours, and the calibration on
// simulated plants says how often it is right.
func (e Evidence) Judge() Judgement {
	j := Judgement{Proof: math.NaN()}
	say := func(kind ReasonKind, toward Standing, day, value, limit float64) {
		j.Reasons = append(j.Reasons, Reason{kind, toward, day, value, limit})
	}
	if e.Emergency {
		say(Danger, Declining, math.NaN(), 0, 0)
	}
	grows, stopped, unclear := e.roots(&j, say)
	losses := e.turgor(&j, say)
	looked := losses >= 0 && e.fresh(lastTurgor(e.Turgor))
	losses = max(losses, 0)
	for _, part := range []struct {
		looks       []LossLook
		normal, bad ReasonKind
	}{{e.Leaves, LeavesAsExpected, LeavesLost}, {e.Bulbs, BulbsAsExpected, BulbsLost}} {
		if len(part.looks) == 0 {
			continue
		}
		last := part.looks[len(part.looks)-1]
		if !e.fresh(last.Day) {
			continue
		}
		looked = true
		if last.Lost > last.Allowed {
			losses++
			say(part.bad, Declining, last.Day, last.Lost, last.Allowed)
		} else {
			say(part.normal, Holding, last.Day, last.Lost, last.Allowed)
		}
	}
	switch {
	case e.Emergency:
		j.Standing = Declining
	case grows && losses < 2:
		j.Standing = Rooting
	case losses > 0:
		j.Standing = Declining
	case stopped && !e.Rests && (e.Grew || e.Day > e.FirstTip.High):
		j.Standing = Stalled
	case stopped:
		j.Standing = Holding
	case unclear:
		j.Standing = TooEarly
	case looked:
		j.Standing = Holding
	}
	return j
}

// roots says what marked roots and tips that were seen tell.
func (e Evidence) roots(j *Judgement, say func(ReasonKind, Standing, float64, float64, float64)) (grows, stopped, unclear bool) {
	measured := !math.IsNaN(e.RootsDay)
	switch {
	case !measured:
		say(RootsUnread, TooEarly, math.NaN(), 0, 0)
	case !e.fresh(e.RootsDay):
		say(RootsReadLongAgo, TooEarly, e.RootsDay, e.Day-e.RootsDay, FreshDays.Value)
	case e.Roots.State == Growing:
		grows, j.Proof = true, e.RootsDay
		say(RootsGrow, Rooting, e.RootsDay, e.Roots.AtLeast, ClearChance.Value)
	case e.Roots.State == Stopped:
		stopped = true
		say(RootsStopped, Stalled, e.RootsDay, e.Roots.AtMost, 1-ClearChance.Value)
	default:
		unclear = e.Roots.Count(Followed)+e.Roots.Count(InQuestion) > 0
		say(RootsUnclear, TooEarly, e.RootsDay, e.Roots.AtLeast, e.Roots.AtMost)
	}
	if !math.IsNaN(e.TipDay) && e.fresh(e.TipDay) {
		// What was measured weighs more than what was seen, unless a tip was seen
		// after it.
		if !measured || !stopped || e.TipDay > e.RootsDay {
			say(TipSeen, Rooting, e.TipDay, 0, 0)
			if !unclear || e.TipDay > e.RootsDay {
				grows, stopped, unclear = true, false, false
				if !(j.Proof > e.TipDay) { // no measured proof, or an older one
					j.Proof = e.TipDay
				}
			}
		}
	}
	switch {
	case grows:
	case e.Rests:
		say(RestingSeason, Holding, math.NaN(), 0, 0)
	case e.Day <= e.FirstTip.High && !e.Grew:
		say(TipAwaited, Holding, math.NaN(), e.Day, e.FirstTip.High)
	case !e.Grew:
		say(TipOverdue, Stalled, math.NaN(), e.Day, e.FirstTip.High)
	}
	return grows, stopped, unclear
}

// turgor says what the looks at wrinkles tell: one loss, none, or −1 when nobody
// looked lately.
func (e Evidence) turgor(j *Judgement, say func(ReasonKind, Standing, float64, float64, float64)) int {
	n := len(e.Turgor)
	if n == 0 || !e.fresh(e.Turgor[n-1].Day) {
		say(FirmnessUnseen, TooEarly, lastTurgor(e.Turgor), 0, 0)
		return -1
	}
	last := e.Turgor[n-1]
	before := TurgorLook{Day: math.NaN()}
	for i := n - 2; i >= 0; i-- {
		// Two looks of nearly the same day are one.
		if last.Day-e.Turgor[i].Day >= TurgorApartDays.Value {
			before = e.Turgor[i]
			break
		}
	}
	twice := before.over() > 0 && last.Day-before.Day <= FreshDays.Value // false of NaN
	grade, allowed := float64(last.Grade), float64(last.Allowed)
	switch {
	case last.over() >= 2 || last.over() == 1 && twice:
		j.Wilts = true
		say(WrinkledMore, Declining, last.Day, grade, allowed)
		return 1
	case last.over() == 1:
		say(WrinkledOnce, Declining, last.Day, grade, allowed)
	case before.Grade > last.Grade:
		say(Firmer, Holding, last.Day, grade, float64(before.Grade))
	case last.Grade == 0:
		say(Firm, Holding, last.Day, grade, allowed)
	default:
		say(WrinkledAsExpected, Holding, last.Day, grade, allowed)
	}
	return 0
}

func lastTurgor(looks []TurgorLook) float64 {
	if len(looks) == 0 {
		return math.NaN()
	}
	return looks[len(looks)-1].Day
}

// fresh reports whether something of a day still speaks; never of NaN.
func (e Evidence) fresh(day float64) bool { return e.Day-day <= FreshDays.Value }

// EarnsStep reports whether the roots have earned the next step of a course:
// they grow, the proof is not old, and the plant does not wilt.
func (j Judgement) EarnsStep(day float64) bool {
	return j.Standing == Rooting && !j.Wilts && day-j.Proof <= StepProofDays.Value
}

// TakesStepBack reports whether the plant has to be turned down by a step.
func (j Judgement) TakesStepBack() bool { return j.Wilts || j.Standing == Declining }
