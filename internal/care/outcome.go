package care

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/growth"
	"velamen/science/outcome"
)

// Outcome is how one recovery went: a repot and what the journal says came of
// it, up to the next repot. Days are whole calendar days since the repot.
type Outcome struct {
	Plant  string    `json:"plant"` // id
	Label  string    `json:"label"`
	Name   string    `json:"name,omitempty"`
	Repot  time.Time `json:"repot"`
	Number int       `json:"number"` // which of the plant's repots, from 1

	// Root is when a root was first seen to grow again, Established when the
	// plant was said to be re-established.
	Root        FirstSeen `json:"root"`
	Established FirstSeen `json:"established"`

	Ending   RecoveryEnding `json:"ending"`
	EndDay   int            `json:"end_day,omitempty"` // 0 while it runs
	AliveDay int            `json:"alive_day"`         // the last day on which somebody tended it

	Factors Factors `json:"factors"`

	// Problem says why this recovery counts nowhere.
	Problem string `json:"problem,omitempty"`
}

// FirstSeen is when something was first seen: it was not there on AfterDay, and was
// on ByDay. ByDay is 0 while it has not been seen; AfterDay is then the last look
// for it, 0 when there was none. Looks counts them all.
type FirstSeen struct {
	AfterDay int `json:"after_day"`
	ByDay    int `json:"by_day,omitempty"`
	Looks    int `json:"looks"`
}

// Seen reports whether it was.
func (s FirstSeen) Seen() bool { return s.ByDay > 0 }

// look notes one look, in order of time.
func (s *FirstSeen) look(day int, there bool) {
	s.Looks++
	switch {
	case s.Seen():
	case there:
		s.ByDay = max(day, s.AfterDay)
	default:
		s.AfterDay = day
	}
}

// RecoveryEnding is how a recovery stands or ended.
type RecoveryEnding string

// The endings.
const (
	StillRunning  RecoveryEnding = "still running"
	Reestablished RecoveryEnding = "established"
	RepottedAgain RecoveryEnding = "repotted again" // before it was said to be established
	GoneAway      RecoveryEnding = "left"
	Dead          RecoveryEnding = "died"
)

// RecoveryEndings lists them in the order in which they are told.
var RecoveryEndings = []RecoveryEnding{Reestablished, Dead, GoneAway, RepottedAgain, StillRunning}

// Figures that the reading of outcomes rests on.
var (
	// SupplementDays is how soon after the repot a supplement has to be given to
	// count as part of it. Plants that rooted or were lost by then are left out
	// of that comparison: they had less time to be given one.
	SupplementDays = basis.Assumed(14, 7, 21, "days")

	// RootWatchDays is how long after a look for roots a plant still counts as
	// watched; StageWatchDays is the same for being established.
	RootWatchDays  = basis.Assumed(28, 14, 42, "days")
	StageWatchDays = basis.Assumed(182, 91, 365, "days")

	// fastestRootMMPerDay is more than roots lengthen: a reading beyond it is
	// taken for another root or a slip of the pen.
	fastestRootMMPerDay = basis.Assumed(15, 10, 25, "mm/day")
)

// Outcomes returns how each recovery of the plant went, as of the entries
// applied, in the order of its repots.
func (p *PlantState) Outcomes(c *Collection, tables culture.Table) []Outcome {
	list := make([]Outcome, 0, len(p.Repots))
	for i := range p.Repots {
		if i >= len(p.Aftermaths) {
			break
		}
		list = append(list, p.outcome(c, tables, i))
	}
	return list
}

// repotDate is the day of a repot as the grower named it.
func (r Repotting) repotDate() time.Time {
	if r.Repot.Date.IsZero() {
		return midnight(r.At)
	}
	return r.Repot.Date
}

func (p *PlantState) outcome(c *Collection, tables culture.Table, i int) Outcome {
	after := &p.Aftermaths[i]
	o := Outcome{Plant: p.ID, Label: p.Record.Label, Name: p.Record.Name, Repot: p.Repots[i].repotDate(), Number: i + 1, Ending: StillRunning}
	day := func(at time.Time) int { return daysBetween(o.Repot, midnight(at)) }
	until := math.MaxInt // the day on which the next repot begins
	switch {
	case i+1 < len(p.Repots):
		o.Ending, o.EndDay = RepottedAgain, daysBetween(o.Repot, p.Repots[i+1].repotDate())
		until = o.EndDay
		if o.EndDay < 0 {
			o.Problem = fmt.Sprintf("its next repot is dated %s, before it", p.Repots[i+1].repotDate().Format("2 January 2006"))
		}
		if o.EndDay == 0 {
			o.Problem = "it was repotted again on the same day"
		}
	case !p.Ended.IsZero():
		o.Ending, o.EndDay = Dead, day(p.Ended)
		if p.EndedHow == PlantLeft {
			o.Ending = GoneAway
		}
		if o.EndDay < 0 {
			o.Problem = fmt.Sprintf("its end is dated %s, before the repot", p.Ended.Format("2 January 2006"))
		}
		// What happened on the day of the repot itself has to lie after it.
		o.EndDay = max(o.EndDay, 1)
		until = o.EndDay
	}
	if !after.Alive.IsZero() {
		o.AliveDay = max(0, min(day(after.Alive), until))
	}
	if o.Ending == RepottedAgain || o.Ending == GoneAway {
		o.AliveDay = max(0, o.EndDay)
	}
	for _, one := range p.looks(i, day) {
		if one.day < 1 || one.day > until {
			continue // of the repot itself, or of what came after
		}
		o.Root.look(one.day, one.roots)
		switch {
		case one.said && !one.established && o.Established.Seen():
			// A later review takes back that it was established.
			o.Established = FirstSeen{AfterDay: one.day, Looks: o.Established.Looks + 1}
		case one.said || !o.Root.Seen():
			o.Established.look(one.day, one.established)
		}
	}
	if o.Established.Seen() && o.Problem == "" {
		o.Ending, o.EndDay = Reestablished, o.Established.ByDay
	}
	o.Factors = p.factors(c, tables, i)
	return o
}

// look is one look at a plant for what its outcome asks.
type look struct {
	day                int
	at                 time.Time
	roots, established bool
	said               bool // a review said how it stands
}

// rank puts what was read before what was said of it at the same time.
func (l look) rank() int {
	if l.said {
		return 1
	}
	return 0
}

// looks returns the looks after a repot in order of time.
func (p *PlantState) looks(i int, day func(time.Time) int) []look {
	var list []look
	from, to := p.Repots[i].repotDate(), endOfJournal
	if i+1 < len(p.Repots) {
		to = p.Repots[i+1].At
	}
	growing := map[time.Time]bool{} // per time of readings that can tell
	for _, readings := range p.Roots {
		grew := false
		var known *RootAt // the length that later ones are set against
		for j := range readings {
			r := &readings[j]
			if r.At.Before(from) || !r.At.Before(to) {
				continue
			}
			one := r.Reading
			lost := one.Tip == "broken" || one.Tip == "chewed"
			// A first length without a look at the tip does not tell growth.
			tells := one.Tip != "" || known != nil
			if known != nil && !lost && lengthened(known, r) {
				grew = true
			}
			// Later lengths are set against the first one; against a later one where
			// the tip was lost or the grower stands by it. One that is merely shorter
			// is a question that waits for an answer.
			if known == nil || lost || one.Confirmed {
				known = r
			}
			if tells {
				growing[r.At] = growing[r.At] || grew || one.Tip == "growing"
			}
		}
	}
	for at, roots := range growing {
		list = append(list, look{day: day(at), at: at, roots: roots})
	}
	here := func(at time.Time) bool { return !at.Before(from) && at.Before(to) }
	for _, sign := range p.Seen.Signs {
		if sign.Sign == NewRootTip && here(sign.At) {
			list = append(list, look{day: day(sign.At), at: sign.At, roots: true})
		}
	}
	for _, r := range p.Seen.Reviews {
		if r.Stage != "" && here(r.At) {
			list = append(list, look{day: day(r.At), at: r.At, roots: r.Stage != string(course.Settling), established: r.Stage == string(course.Established), said: true})
		}
	}
	slices.SortFunc(list, func(a, b look) int { return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.rank(), b.rank())) })
	return list
}

// lengthened reports whether a root grew by more than two readings err, and by
// no more than roots can.
func lengthened(from, to *RootAt) bool {
	grown := to.Reading.LengthMM - from.Reading.LengthMM
	days := math.Max(1, GrowthDay(to.At)-GrowthDay(from.At))
	return grown > detectableMM(from, to) && grown <= fastestRootMMPerDay.Value*days+detectableMM(from, to)
}

// detectableMM is the least difference of two readings that their errors do not
// explain, at nineteen in twenty.
func detectableMM(a, b *RootAt) float64 {
	err := func(r *RootAt) float64 {
		if r.Reading.HowMM > 0 {
			return r.Reading.HowMM
		}
		return growth.RulerInPotErrorMM.Value
	}
	return twoSided95 * math.Hypot(err(a), err(b))
}

// endOfJournal is later than any entry.
var endOfJournal = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

// Awaited is what is waited for in a recovery.
type Awaited string

// What may be waited for.
const (
	FirstRoot     Awaited = "first root"
	Establishment Awaited = "established"
)

// Awaiteds lists both.
var Awaiteds = []Awaited{FirstRoot, Establishment}

// seen returns when it was seen.
func (o *Outcome) seen(a Awaited) FirstSeen {
	if a == Establishment {
		return o.Established
	}
	return o.Root
}

// watchDays is how long a plant counts as watched after a look.
func (a Awaited) watchDays() int {
	if a == Establishment {
		return int(StageWatchDays.Value)
	}
	return int(RootWatchDays.Value)
}

// Between is the recovery as looks tell it: a sign lies between two of them.
// Death and the end of watching only stop the looks, so what is computed from
// these is the pace among plants that live.
func (o *Outcome) Between(a Awaited) outcome.Recovery {
	s := o.seen(a)
	if s.Seen() {
		return outcome.SeenBetween(o.Label, float64(s.AfterDay), float64(s.ByDay))
	}
	return outcome.NotSeenBy(o.Label, float64(s.AfterDay))
}

// Found is the recovery on the days on which things were found: a sign on the
// day of the first look with it, a death on the day it was noted. A plant counts
// as watched for some weeks after the last look for the sign, as long as it
// lives here; what happens to it later is not its outcome.
func (o *Outcome) Found(a Awaited) outcome.Recovery {
	s := o.seen(a)
	if s.Seen() {
		return outcome.SeenOn(o.Label, float64(s.ByDay))
	}
	watched := s.AfterDay + a.watchDays()
	last := min(watched, max(o.AliveDay, s.AfterDay))
	switch {
	case o.Ending == Dead && o.EndDay <= watched:
		return outcome.DiedOn(o.Label, float64(o.EndDay))
	case o.Ending == GoneAway && o.EndDay <= watched:
		return outcome.LeftAfter(o.Label, float64(last))
	}
	return outcome.NotSeenBy(o.Label, float64(last))
}
