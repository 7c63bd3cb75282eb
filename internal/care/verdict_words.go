package care

import (
	"fmt"
	"math"
	"time"

	"velamen/science/growth"
)

// speaksFor reports on which side of a verdict a reason stands. Good news speaks
// for rooting and holding, bad news for stalled and declining, and what is not
// known for "too early to say".
func speaksFor(kind growth.ReasonKind, standing growth.Standing) bool {
	const good, open, bad = 1, 0, -1
	sort := open
	switch kind {
	case growth.RootsGrow, growth.TipSeen, growth.Firm, growth.Firmer, growth.WrinkledAsExpected, growth.LeavesAsExpected, growth.BulbsAsExpected:
		sort = good
	case growth.RootsStopped, growth.TipOverdue, growth.WrinkledOnce, growth.WrinkledMore, growth.LeavesLost, growth.BulbsLost, growth.Danger:
		sort = bad
	}
	switch standing {
	case growth.Rooting:
		return sort == good
	case growth.Holding:
		return sort == good || kind == growth.TipAwaited || kind == growth.RestingSeason
	case growth.Stalled, growth.Declining:
		return sort == bad
	}
	return sort == open
}

// says is the verdict in one sentence.
func (j *judging) says(e growth.Evidence, judged growth.Judgement) string {
	switch judged.Standing {
	case growth.Rooting:
		if judged.Wilts {
			return "Rooting: its roots grow, though it is less firm than is normal by now."
		}
		return "Rooting: its roots grow."
	case growth.Holding:
		if e.Rests {
			return "Holding: it loses no more than is normal, and roots rest in this part of the year."
		}
		return "Holding: no root is known to grow yet, and it loses no more than is normal by now."
	case growth.Stalled:
		return "Stalled: its marked roots stand still when they should not any more."
	case growth.Declining:
		if e.Emergency {
			return "Declining: something was seen that cannot wait."
		}
		return "Declining: it loses more than is normal by now."
	}
	return "Too early to say."
}

// reason puts one reason into words.
func (j *judging) reason(r growth.Reason, e growth.Evidence) string {
	on := ""
	if !math.IsNaN(r.Day) {
		on = j.s.date(int(r.Day)).Format("2 January")
	}
	chance := func(share float64) string {
		switch {
		case share > 0.99:
			return "over 99 %"
		case share < 0.01:
			return "under 1 %"
		}
		return fmt.Sprintf("%.0f %%", 100*share)
	}
	switch r.Kind {
	case growth.RootsGrow:
		return fmt.Sprintf("Marked roots grow, with a chance of at least %s (last read on %s).", chance(r.Value), on)
	case growth.RootsStopped:
		return fmt.Sprintf("No marked root grows any more, but for a chance of at most %s (last read on %s).", chance(r.Value), on)
	case growth.RootsUnclear:
		return fmt.Sprintf("The readings allow both: the chance that a marked root grows lies between %s and %s (last read on %s).", chance(r.Value), chance(r.Limit), on)
	case growth.RootsUnread:
		return "No root has been measured since the repot."
	case growth.RootsReadLongAgo:
		return fmt.Sprintf("The roots were last measured on %s, %.0f days ago: that says nothing of the present.", on, r.Value)
	case growth.TipSeen:
		return fmt.Sprintf("A growing root tip was seen on %s.", on)
	case growth.TipAwaited:
		return fmt.Sprintf("A first new root may still be to come: day %.0f of up to %.0f.", r.Value, r.Limit)
	case growth.TipOverdue:
		return fmt.Sprintf("A first new root is overdue: day %.0f, where it is usual by day %.0f.", r.Value, r.Limit)
	case growth.RestingSeason:
		return "It is the dark part of the year here, in which roots stand still."
	case growth.Firm:
		return fmt.Sprintf("It was firm on %s.", on)
	case growth.Firmer:
		return fmt.Sprintf("It is firmer than before: %s on %s, %s at the look before.", wrinkleWords(r.Value), on, wrinkleWords(r.Limit))
	case growth.WrinkledAsExpected:
		return fmt.Sprintf("Its wrinkles are no deeper than is normal by now: %s on %s.", wrinkleWords(r.Value), on)
	case growth.WrinkledOnce:
		return fmt.Sprintf("One look found it less firm than is normal by now: %s on %s. A second one would tell.", wrinkleWords(r.Value), on)
	case growth.WrinkledMore:
		return fmt.Sprintf("It is less firm than is normal by now: %s on %s, where %s would be normal.", wrinkleWords(r.Value), on, wrinkleWords(r.Limit))
	case growth.FirmnessUnseen:
		return "Nobody has looked lately how firm it is."
	case growth.LeavesAsExpected:
		return fmt.Sprintf("It has lost no more leaves than is normal by now (%.0f, up to %.0f).", math.Max(0, r.Value), math.Floor(r.Limit))
	case growth.LeavesLost:
		return fmt.Sprintf("It has lost %.0f leaves by %s, where up to %.0f would be normal.", r.Value, on, math.Floor(r.Limit))
	case growth.BulbsAsExpected:
		return fmt.Sprintf("It has lost no more bulbs than is normal (%.0f, up to %.0f).", math.Max(0, r.Value), math.Floor(r.Limit))
	case growth.BulbsLost:
		return fmt.Sprintf("It has lost %.0f bulbs by %s, where up to %.0f would be normal.", r.Value, on, math.Floor(r.Limit))
	case growth.Danger:
		sign, _ := j.danger(j.s.date(int(e.Day)))
		return fmt.Sprintf("%s, seen on %s.", dangerWords[sign.Sign], sign.At.Format("2 January"))
	}
	return ""
}

var dangerWords = map[SeenSign]string{SoftCrown: "A soft crown, base or growth", SpreadingRot: "A dark wet patch that spreads", BadSmell: "A bad smell"}

func wrinkleWords(grade float64) string {
	return [...]string{"firm", "slightly wrinkled", "clearly wrinkled", "deeply wrinkled"}[int(math.Max(0, math.Min(3, grade)))]
}

// nextLength returns the length worth measuring first.
func nextLength(r Rooting, on time.Time) *NextLength {
	if r.Verdict.Next.Rule == 0 {
		return nil
	}
	for _, root := range r.Roots {
		next := root.Evidence.Next
		if next != r.Verdict.Next {
			continue
		}
		n := &NextLength{Root: root.Mark, On: GrowthDate(next.Day), Why: next.Rule.String()}
		if n.On.Before(on) {
			n.On = on
		}
		n.GrowsFromMM, n.StandsToMM = r.Judge.Needed(root.Track, math.Floor(next.Day)+0.5)
		return n
	}
	return nil
}

// wouldChange says what would turn the verdict into another.
func (j *judging) wouldChange(v Verdict) []string {
	var list []string
	add := func(text string) { list = append(list, text) }
	switch v.Judged.Standing {
	case growth.Rooting:
		add(fmt.Sprintf("Roots that are not measured for %.0f days: then it is no longer known.", growth.FreshDays.Value))
		add("A reading that shows no growth in the time in which it should: the roots then count as stopped.")
	case growth.Holding:
		add("A new root tip, or a marked root that lengthens, makes it rooting.")
		if v.Judged.Proof != v.Judged.Proof && float64(v.Day) <= j.firstTip.High {
			add(fmt.Sprintf("Marked roots that still stand after %s, when a first new root is usual, make it stalled.", j.s.date(int(math.Ceil(j.firstTip.High))).Format("2 January 2006")))
		}
	case growth.Stalled:
		add("A new root tip, or a marked root that lengthens again, makes it rooting.")
	case growth.Declining:
		if v.Emergency != nil {
			add("Write down that it is dry and firm again once the rot is cut away and stays away.")
			return list
		}
		add("Two looks that find it as firm as is normal make it holding, growing roots make it rooting.")
		return list
	default:
		add("Two readings of a marked root, a week or more apart, or a new root tip.")
		add("A look at how firm its newest leaf or bulb is, and a count of its leaves.")
	}
	add("Two looks in a row that find it less firm than is normal, or more leaves lost than is normal, make it declining.")
	return list
}
