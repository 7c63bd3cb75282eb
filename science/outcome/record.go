package outcome

import (
	"fmt"
	"math"
)

// LatestDay is the latest day since the repot that a record may name, about a
// century; anything later is a slip of the pen or a wrong unit.
const LatestDay = 36_600.0

// Ending says how the watch over one recovery stands.
type Ending uint8

const (
	// Seen: the sign waited for, a first root for one, was seen.
	Seen Ending = iota + 1
	// NotYet: it had not been seen at the last look, and the watch goes on.
	NotYet
	// Left: the plant was sold or given away before it was seen.
	Left
	// Died: the plant died before it was seen.
	Died
)

// String returns the words shown to the grower.
func (e Ending) String() string {
	switch e {
	case Seen:
		return "seen"
	case NotYet:
		return "not yet"
	case Left:
		return "left the collection"
	case Died:
		return "died"
	}
	return "no ending"
}

// Recovery is one repotted plant. What ended it happened after AfterDay and no
// later than ByDay, in days since the repot; both are equal where the day is
// known exactly. Nothing has ended the watch over a plant that is NotYet or
// has Left: its ByDay is +Inf and AfterDay is the last look at it.
type Recovery struct {
	Plant           string // names the record in errors
	AfterDay, ByDay float64
	Ending          Ending
}

// SeenBetween returns a recovery whose sign was not there on afterDay and was
// there on byDay. The first look of all has afterDay 0.
func SeenBetween(plant string, afterDay, byDay float64) Recovery {
	return Recovery{plant, afterDay, byDay, Seen}
}

// SeenOn returns a recovery whose sign appeared on a known day.
func SeenOn(plant string, day float64) Recovery { return Recovery{plant, day, day, Seen} }

// NotSeenBy returns a recovery whose sign had not been seen at the last look.
func NotSeenBy(plant string, lastLookDay float64) Recovery {
	return Recovery{plant, lastLookDay, math.Inf(1), NotYet}
}

// LeftAfter returns a recovery that left the collection without the sign;
// lastLookDay is the last look at it.
func LeftAfter(plant string, lastLookDay float64) Recovery {
	return Recovery{plant, lastLookDay, math.Inf(1), Left}
}

// DiedBetween returns a plant that was alive without the sign on afterDay and
// was found dead on byDay.
func DiedBetween(plant string, afterDay, byDay float64) Recovery {
	return Recovery{plant, afterDay, byDay, Died}
}

// DiedOn returns a plant that died without the sign on a known day.
func DiedOn(plant string, day float64) Recovery { return Recovery{plant, day, day, Died} }

// Exact says whether the day of the ending is known, not only an interval. A
// plant still watched, or gone, has an exact last look.
func (r Recovery) Exact() bool { return r.open() || r.AfterDay == r.ByDay }

// open says that the watch ended without the sign and without a death.
func (r Recovery) open() bool { return r.Ending == NotYet || r.Ending == Left }

// RecordError names the record that cannot be right and what is wrong with it.
type RecordError struct {
	Index   int // position among the records given, from 0
	Plant   string
	Problem string
}

// Error names the record by position and plant.
func (e *RecordError) Error() string {
	return fmt.Sprintf("outcome: record %d (%q): %s", e.Index+1, e.Plant, e.Problem)
}

// problem describes what is wrong with a record, or returns "".
func (r Recovery) problem() string {
	verb := "seen"
	if r.Ending == Died {
		verb = "dead"
	}
	switch {
	case r.Ending < Seen || r.Ending > Died:
		return fmt.Sprintf("has no ending (code %d, allowed %d to %d)", r.Ending, Seen, Died)
	case math.IsNaN(r.AfterDay) || math.IsNaN(r.ByDay):
		return fmt.Sprintf("days %v to %v are not numbers", r.AfterDay, r.ByDay)
	case r.Ending == Died && r.ByDay < 0:
		return fmt.Sprintf("died on day %v, before it was repotted (allowed: above 0 to %v)", r.ByDay, LatestDay)
	case r.AfterDay < 0 || r.AfterDay > LatestDay:
		return fmt.Sprintf("day %v lies outside 0 to %v days since the repot", r.AfterDay, LatestDay)
	case r.open() && !math.IsInf(r.ByDay, 1):
		return fmt.Sprintf("is called %q and yet ended by day %v (allowed: +Inf)", r.Ending, r.ByDay)
	case r.open():
		return ""
	case r.ByDay < r.AfterDay:
		return fmt.Sprintf("was %s by day %v but not yet on day %v: the days cross", verb, r.ByDay, r.AfterDay)
	case r.ByDay <= 0 || r.ByDay > LatestDay:
		return fmt.Sprintf("was %s on day %v (allowed: above 0 to %v days since the repot)", verb, r.ByDay, LatestDay)
	}
	return ""
}

// Check returns a RecordError for the first record that cannot be right:
// crossing or negative days, days that are not numbers, a death before the
// repot, an ending that contradicts its days.
func Check(records []Recovery) error {
	for i := range records {
		if problem := records[i].problem(); problem != "" {
			return &RecordError{Index: i, Plant: records[i].Plant, Problem: problem}
		}
	}
	return nil
}

// checkSome is Check for methods that need at least one record.
func checkSome(records []Recovery) error {
	if len(records) == 0 {
		return fmt.Errorf("outcome: 0 records given (allowed: at least 1)")
	}
	return Check(records)
}

// checkExact is checkSome for methods that need to know the day.
func checkExact(records []Recovery) error {
	if err := checkSome(records); err != nil {
		return err
	}
	for i := range records {
		if r := &records[i]; !r.Exact() {
			return &RecordError{i, r.Plant, fmt.Sprintf("ended between day %v and day %v; this method needs the day itself: "+
				"use Turnbull, or AtDayFound", r.AfterDay, r.ByDay)}
		}
	}
	return nil
}

// checkNoDeaths refuses deaths where they would silently count as something
// else.
func checkNoDeaths(records []Recovery) error {
	for i := range records {
		if r := &records[i]; r.Ending == Died {
			return &RecordError{i, r.Plant, "died; a dead plant is not one that may still root: use AalenJohansen, or DeathsAsUnseen"}
		}
	}
	return nil
}

// AtDayFound returns copies of the records that put each ending on the day it
// was found. Every day becomes later than the truth, by up to the time between
// two looks.
func AtDayFound(records []Recovery) []Recovery {
	found := make([]Recovery, len(records))
	for i, r := range records {
		if !r.open() {
			r.AfterDay = r.ByDay
		}
		found[i] = r
	}
	return found
}

// DeathsAsUnseen returns copies of the records in which the watch over a dead
// plant merely stopped when it was last known alive. What is estimated from
// them is the pace among plants that live; the share that ever roots comes out
// too high, and AalenJohansen is the method for it.
func DeathsAsUnseen(records []Recovery) []Recovery {
	unseen := make([]Recovery, len(records))
	for i, r := range records {
		if r.Ending == Died {
			r = NotSeenBy(r.Plant, r.AfterDay)
		}
		unseen[i] = r
	}
	return unseen
}
