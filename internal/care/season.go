package care

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
)

// Cause is why a plant should be repotted.
type Cause struct {
	Says    string      `json:"says"`
	Urgency basis.Value `json:"urgency"`
}

// Candidate is a plant that should be repotted in the weeks ahead.
type Candidate struct {
	Plant     string    `json:"plant"`
	Label     string    `json:"label"`
	Name      string    `json:"name,omitempty"`
	Space     string    `json:"space"`
	Causes    []Cause   `json:"causes"`
	Urgency   float64   `json:"urgency"` // of the causes together
	Emergency bool      `json:"emergency,omitempty"`
	From      time.Time `json:"from"` // the window; after an emergency it is some days long
	To        time.Time `json:"to"`
	Best      time.Time `json:"best"`              // from when on waiting makes it worse
	Timing    string    `json:"timing"`            // what made the window
	Caveats   []string  `json:"caveats,omitempty"` // in bloom or at rest, and repotted all the same
	Planned   time.Time `json:"planned,omitzero"`  // the day that the grower set
}

// NotNow is a plant with a cause that is better left alone for now, and why.
type NotNow struct {
	Plant  string  `json:"plant"`
	Label  string  `json:"label"`
	Causes []Cause `json:"causes"`
	Why    string  `json:"why"`
}

// urgencies weigh the causes against each other. Common sense, no source: what
// kills comes first, what only slows comes last.
var urgencies = struct{ emergency, loose, medium, bound, pests, age basis.Value }{
	emergency: basis.Assumed(10, 8, 12, "1"),
	loose:     basis.Assumed(3, 2, 4, "1"), // new tips break off each time it rocks
	medium:    basis.Assumed(4, 3, 5, "1"),
	bound:     basis.Assumed(2, 1, 3, "1"),
	pests:     basis.Assumed(2.5, 1, 4, "1"),
	age:       basis.Assumed(1.5, 1, 3, "1"), // at the end of the usual years, more beyond
}

// How long what was seen counts.
const (
	tipsCountDays   = 35  // a tip runs to full length in some weeks
	flowersOverDays = 49  // growth starts after flowering
	bloomLastsDays  = 120 // without a word, flowers are taken to be over
	restLastsDays   = 150
	pestsCountDays  = 60
	signCountsDays  = 400
)

// Season looks for the plants that should be repotted within some weeks from a
// day on, and for those that should and had better not yet.
func (c *Collection) Season(tables culture.Table, on time.Time, weeks int) (list []Candidate, later []NotNow) {
	on = midnight(on)
	end := on.AddDate(0, 0, 7*weeks-1)
	for id, p := range c.Plants {
		if !p.Ended.IsZero() {
			continue
		}
		g, err := tables.Lookup(p.Record.Group)
		known := err == nil
		look := looking{c: c, p: p, g: &g, known: known, on: on, end: end}
		look.causes()
		one := Candidate{Plant: id, Label: p.Record.Label, Name: p.Record.Name, Space: p.Record.Space, Causes: look.found, Emergency: look.emergency, Planned: p.PlannedRepot}
		for _, cause := range look.found {
			one.Urgency += cause.Urgency.Value
		}
		if one.Planned.Before(on) {
			one.Planned = time.Time{}
		}
		if len(look.found) == 0 && one.Planned.IsZero() {
			continue
		}
		if why := look.window(&one); why != "" && one.Planned.IsZero() {
			later = append(later, NotNow{id, one.Label, one.Causes, why})
			continue
		} else if why != "" {
			one.Caveats = append(one.Caveats, "set all the same: "+why)
			one.From, one.To, one.Best = one.Planned, one.Planned, one.Planned
		}
		list = append(list, one)
	}
	slices.SortFunc(list, func(x, y Candidate) int {
		return cmp.Or(cmp.Compare(y.Urgency, x.Urgency), cmp.Compare(x.Label, y.Label), cmp.Compare(x.Plant, y.Plant))
	})
	slices.SortFunc(later, func(x, y NotNow) int { return cmp.Or(cmp.Compare(x.Label, y.Label), cmp.Compare(x.Plant, y.Plant)) })
	return list, later
}

// looking is a look at one plant.
type looking struct {
	c         *Collection
	p         *PlantState
	g         *culture.Group
	known     bool // the group is
	on, end   time.Time
	found     []Cause
	emergency bool
}

// since returns when one of some signs was last seen after the last repot, if it
// still counts.
func (l *looking) since(days int, signs ...SeenSign) (at time.Time) {
	from := l.on.AddDate(0, 0, -days)
	if n := len(l.p.Repots); n > 0 {
		from = latest(from, l.p.Repots[n-1].At)
	}
	for _, s := range l.p.Seen.Signs {
		if s.At.After(from) && !s.At.After(l.on.AddDate(0, 0, 1)) && slices.Contains(signs, s.Sign) {
			at = latest(at, s.At)
		}
	}
	return at
}

func (l *looking) because(weight basis.Value, format string, args ...any) {
	l.found = append(l.found, Cause{fmt.Sprintf(format, args...), weight})
}

func (l *looking) causes() {
	day := func(t time.Time) string { return t.Format("2 January 2006") }
	if at := l.since(60, SoftCrown, SpreadingRot, BadSmell); !at.IsZero() && !l.since(60, RotGone).After(at) {
		l.emergency = true
		l.because(urgencies.emergency, "rot or a soft base was seen on %s: lift it, cut back to firm tissue, and give it fresh medium", day(at))
	}
	if l.p.Recovering(l.on) && !l.emergency {
		return // disturbed within the year
	}
	if at := l.since(signCountsDays, RocksInPot); !at.IsZero() {
		l.because(urgencies.loose, "it rocks in its pot (%s): new root tips break", day(at))
	}
	if at := l.since(signCountsDays, MediumFailed); !at.IsZero() {
		l.because(urgencies.medium, "the medium breaks down (%s)", day(at))
	}
	if at := l.since(signCountsDays, PotBound); !at.IsZero() {
		l.because(urgencies.bound, "it has outgrown its pot (%s)", day(at))
	}
	for _, look := range slices.Backward(l.p.Seen.PestLooks) {
		if look.At.Before(l.on.AddDate(0, 0, -pestsCountDays)) {
			break
		}
		if look.Pest != "" && len(l.p.Repots) > 0 && look.At.After(l.p.Repots[len(l.p.Repots)-1].At) {
			l.because(urgencies.pests, "%s was found on %s: a repot lets the roots be washed", look.Pest, day(look.At))
			break
		}
	}
	l.age()
}

// age counts the years of the medium against what is usual for the group.
func (l *looking) age() {
	if !l.known || l.g.RepotEvery.Never || len(l.p.Repots) == 0 {
		return
	}
	high := l.g.RepotEvery.HighYears
	if high == 0 {
		high = l.g.RepotEvery.LowYears
	}
	years := l.on.Sub(l.p.Repots[len(l.p.Repots)-1].At).Hours() / 24 / 365.25
	if high <= 0 || years < high {
		return
	}
	weight := urgencies.age
	beyond := math.Min(2, years/high)
	weight.Value, weight.Low, weight.High = beyond*weight.Value, beyond*weight.Low, beyond*weight.High
	usual := fmt.Sprintf("%.3g", high)
	if low := l.g.RepotEvery.LowYears; low < high {
		usual = fmt.Sprintf("%.3g to %.3g", low, high)
	}
	l.because(weight, "the medium is %.1f years old; %s stands in it for %s", years, l.g.Name, usual)
}

// window fills in when a plant can be repotted, or returns why it should not be
// in these weeks.
func (l *looking) window(one *Candidate) string {
	over := l.since(bloomLastsDays, FlowersOver)
	for _, s := range l.p.Seen.Spikes {
		if s.Cut {
			over = latest(over, s.At)
		}
	}
	bloom := l.since(bloomLastsDays, InBloomSeen, InSpikeSeen)
	flowering := !bloom.IsZero() && !over.After(bloom)
	tips := l.tips()
	growth := l.since(tipsCountDays, NewGrowth)
	rest := l.since(restLastsDays, AtRest)
	resting := !rest.IsZero() && !tips.After(rest) && !growth.After(rest)
	one.From, one.To, one.Best = l.on, l.end, l.on
	if l.emergency {
		one.To, one.Timing = l.on.AddDate(0, 0, 3), "it cannot wait"
		if flowering {
			one.Caveats = append(one.Caveats, "it is in bloom or in spike: cut the flowers, they cost it what it needs for roots")
		}
		if resting {
			one.Caveats = append(one.Caveats, "it is at rest: roots will be slow, keep it barely moist")
		}
		return ""
	}
	switch {
	case flowering:
		return "in bloom or in spike since " + bloom.Format("2 January") + ": wait until the flowers are over, and say so then"
	case resting:
		return "at rest since " + rest.Format("2 January") + ": wait for new growth or root tips, and say so then"
	case l.known && l.g.ResentsDisturbance.Is >= 3 && one.Urgency < urgencies.medium.Value:
		return "it resents being disturbed, and what speaks for it is not enough"
	case !tips.IsZero():
		one.To, one.Timing = l.within(tips, tipsCountDays), "new root tips: the best time there is"
	case !growth.IsZero():
		one.To, one.Timing = l.within(growth, tipsCountDays), "new growth: roots follow it"
	case !over.IsZero() && over.After(l.on.AddDate(0, 0, -flowersOverDays)):
		one.To, one.Timing = l.within(over, flowersOverDays), "after flowering"
	default:
		return l.spring(one)
	}
	return ""
}

// tips is when a growing root tip was last seen.
func (l *looking) tips() time.Time {
	at := l.since(tipsCountDays, NewRootTip)
	from := l.on.AddDate(0, 0, -tipsCountDays)
	for _, readings := range l.p.Roots {
		for _, r := range readings {
			if r.Reading.Tip == "growing" && r.At.After(from) && !r.At.After(l.on.AddDate(0, 0, 1)) {
				at = latest(at, r.At)
			}
		}
	}
	return at
}

// within is the end of a window that began when something was seen; a day from
// now at least.
func (l *looking) within(seen time.Time, days int) time.Time {
	end := latest(midnight(seen).AddDate(0, 0, days), l.on.AddDate(0, 0, 13))
	if end.After(l.end) {
		return l.end
	}
	return end
}

// spring falls back on the months in which roots usually start, by hemisphere.
func (l *looking) spring(one *Candidate) string {
	lat := l.c.Place.LatitudeDeg
	lamps := slices.ContainsFunc(l.c.Spaces, func(s Space) bool { return s.Name == l.p.Record.Space && s.Kind.UnderLamps() })
	switch {
	case lamps:
		one.Timing = "under lamps no month is better than another; root tips would tell"
		return ""
	case lat.Grade == 0:
		one.Timing = "the place is not known, so no season is reckoned with"
		return ""
	}
	first, last := time.March, time.June
	if lat.Value < 0 {
		first, last = time.September, time.December
	}
	const tropics = 15
	if math.Abs(lat.Value) < tropics {
		one.Timing = "near the equator no month is better than another; root tips would tell"
		return ""
	}
	for year := l.on.Year() - 1; year <= l.on.Year()+1; year++ {
		from := time.Date(year, first, 1, 0, 0, 0, 0, time.UTC)
		to := time.Date(year, last+1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, -1)
		if to.Before(l.on) {
			continue
		}
		if from.After(l.end) {
			return "wait for new root tips, or for spring from " + from.Format("2 January") + " on"
		}
		one.From = latest(from, l.on)
		one.Best, one.To = one.From, to
		if to.After(l.end) {
			one.To = l.end
		}
		one.Timing = "spring, when roots usually start; root tips would tell better"
		return ""
	}
	return "no time was found"
}
