package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/care"
)

// SeasonSituation is what the repots of a season have to get along with, by week.
type SeasonSituation struct {
	From    time.Time
	Weeks   int       // in which a repot can be
	Minutes []float64 // for rounds, longer than Weeks by care.ProspectWeeks; +Inf: no limit
	Litres  []float64 // the same of water
	Bench   []float64 // minutes at the bench; +Inf: no limit

	// What the recoveries under way need.
	NeedMinutes, NeedLitres []float64
}

// Prospective is a candidate with what its repot would ask for.
type Prospective struct {
	care.Candidate
	care.Prospect
}

// Season is the plan of a season.
type Season struct {
	From    time.Time
	Repots  []Repot // in the order of their days
	Left    []LeftOut
	Weeks   []SeasonWeek
	Value   float64 // urgency met
	Bound   float64 // no plan can meet more
	Shorted bool    // dates that the grower set need more than there is
}

// Repot is one repot of the plan.
type Repot struct {
	Candidate int
	Week      int
	On        time.Time
	Set       bool // by the grower
}

// LeftOut is a candidate for which there is no room, and what runs short.
type LeftOut struct {
	Candidate int
	Why       string
}

// SeasonWeek is the load of one week.
type SeasonWeek struct {
	From                      time.Time
	Minutes, Litres, Bench    float64
	NewMinutes                float64 // of them for the repots of the plan
	MinutesLimit, LitresLimit float64
	BenchLimit                float64
	Repots                    int
}

// waitingPrice is what a week's waiting takes off a cause: a fiftieth of it.
const waitingPrice = 0.02

// weeksOf returns the weeks in which a candidate can be repotted.
func weeksOf(c *care.Candidate, from time.Time, weeks int) (first, last int) {
	day := func(t time.Time) int { return int(math.Round(t.Sub(from).Hours() / 24)) }
	first, last = max(0, day(c.From))/7, min(day(c.To)/7, weeks-1)
	if day(c.To) < 0 {
		last = -1
	}
	if !c.Planned.IsZero() {
		first = max(0, day(c.Planned)) / 7
		last = first
	}
	return first, last
}

// seasonState is a choice of weeks with the sums over it.
type seasonState struct {
	s       *SeasonSituation
	list    []Prospective
	week    []int // by candidate; -1: not
	minutes []float64
	litres  []float64
	bench   []float64
}

func (st *seasonState) worth(i, week int) float64 {
	c := &st.list[i]
	best := int(math.Round(c.Best.Sub(st.s.From).Hours()/24)) / 7
	return c.Urgency * math.Max(0.2, 1-waitingPrice*float64(max(0, week-best)))
}

// lacks returns what runs short if a candidate is repotted in a week; empty if
// nothing does.
func (st *seasonState) lacks(i, week int) (what string, in int) {
	c := &st.list[i]
	if st.bench[week]+c.Bench.Value > st.s.Bench[week]+tolerance {
		return "minutes at the bench", week
	}
	for k := range c.Minutes {
		w := week + k
		if w >= len(st.minutes) {
			break
		}
		if st.minutes[w]+c.Minutes[k] > st.s.Minutes[w]+tolerance {
			return "minutes for the rounds", w
		}
		if st.litres[w]+c.Litres[k] > st.s.Litres[w]+tolerance {
			return "water", w
		}
	}
	return "", 0
}

func (st *seasonState) set(i, week int, sign float64) {
	c := &st.list[i]
	st.bench[week] += sign * c.Bench.Value
	for k := range c.Minutes {
		if w := week + k; w < len(st.minutes) {
			st.minutes[w] += sign * c.Minutes[k]
			st.litres[w] += sign * c.Litres[k]
		}
	}
	st.week[i] = week
	if sign < 0 {
		st.week[i] = none
	}
}

// MakeSeason chooses the weeks in which candidates are repotted: dates that were
// set stand, emergencies come next whatever they load, then as much urgency as
// fits, the sooner the better. steps is how many exchanges are tried; keep may
// stop them, and may be nil.
func MakeSeason(list []Prospective, s SeasonSituation, steps int, keep func(done, steps int, value float64) bool) Season {
	st := &seasonState{s: &s, list: list, week: make([]int, len(list)), minutes: slices.Clone(s.NeedMinutes), litres: slices.Clone(s.NeedLitres), bench: make([]float64, s.Weeks)}
	out := Season{From: s.From}
	var free []int
	for i := range list {
		st.week[i] = none
		first, last := weeksOf(&list[i].Candidate, s.From, s.Weeks)
		switch {
		case !list[i].Planned.IsZero() && first < s.Weeks:
			if what, _ := st.lacks(i, first); what != "" {
				out.Shorted = true
			}
			st.set(i, first, 1)
		case list[i].Emergency && first <= last:
			st.set(i, first, 1)
		case first <= last:
			free = append(free, i)
		}
	}
	st.fill(free)
	st.exchange(free, steps, keep)
	out.lay(st)
	out.Bound = out.Value
	for _, i := range free {
		if st.week[i] == none {
			first, _ := weeksOf(&list[i].Candidate, s.From, s.Weeks)
			out.Bound += st.worth(i, first)
		}
	}
	return out
}

// fill puts those in that are worth most for what they load, each in its best
// week that has room.
func (st *seasonState) fill(free []int) {
	order := slices.Clone(free)
	load := func(i int) float64 {
		sum := st.list[i].Bench.Value / 4
		for _, v := range st.list[i].Minutes {
			sum += v
		}
		return sum + 1
	}
	slices.SortStableFunc(order, func(x, y int) int {
		a, b := st.list[x].Urgency*load(y), st.list[y].Urgency*load(x)
		switch {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
	for _, i := range order {
		st.place(i)
	}
}

// place gives a candidate the week in which it is worth most, if one has room.
func (st *seasonState) place(i int) bool {
	first, last := weeksOf(&st.list[i].Candidate, st.s.From, st.s.Weeks)
	best, most := none, 0.0
	for week := first; week <= last; week++ {
		if worth := st.worth(i, week); worth > most {
			if what, _ := st.lacks(i, week); what == "" {
				best, most = week, worth
			}
		}
	}
	if best != none {
		st.set(i, best, 1)
	}
	return best != none
}

// exchange takes some out and puts others in, as long as it helps.
func (st *seasonState) exchange(free []int, steps int, keep func(done, steps int, value float64) bool) {
	if len(free) < 2 {
		return
	}
	r := random(1)
	value := func() (sum float64) {
		for _, i := range free {
			if st.week[i] != none {
				sum += st.worth(i, st.week[i])
			}
		}
		return sum
	}
	now := value()
	for step := range steps {
		if keep != nil && step%64 == 0 && !keep(step, steps, now) {
			return
		}
		before := slices.Clone(st.week)
		for range 1 + r.below(4) {
			if i := free[r.below(len(free))]; st.week[i] != none {
				st.set(i, st.week[i], -1)
			}
		}
		at := r.below(len(free))
		for k := range free {
			if i := free[(at+k)%len(free)]; st.week[i] == none {
				st.place(i)
			}
		}
		if after := value(); after >= now {
			now = after
			continue
		}
		for _, i := range free {
			if st.week[i] != before[i] && st.week[i] != none {
				st.set(i, st.week[i], -1)
			}
		}
		for _, i := range free {
			if st.week[i] != before[i] {
				st.set(i, before[i], 1)
			}
		}
	}
}

// lay writes a choice down.
func (out *Season) lay(st *seasonState) {
	s := st.s
	for w := range st.minutes {
		week := SeasonWeek{From: s.From.AddDate(0, 0, 7*w), Minutes: st.minutes[w], Litres: st.litres[w], NewMinutes: st.minutes[w] - s.NeedMinutes[w], MinutesLimit: s.Minutes[w], LitresLimit: s.Litres[w], BenchLimit: math.Inf(1)}
		if w < s.Weeks {
			week.Bench, week.BenchLimit = st.bench[w], s.Bench[w]
		}
		out.Weeks = append(out.Weeks, week)
	}
	for i := range st.list {
		c := &st.list[i]
		if st.week[i] == none {
			out.Left = append(out.Left, LeftOut{i, st.why(i)})
			continue
		}
		out.Value += st.worth(i, st.week[i])
		out.Weeks[st.week[i]].Repots++
		r := Repot{Candidate: i, Week: st.week[i], On: dayIn(&c.Candidate, s.From, st.week[i])}
		if !c.Planned.IsZero() {
			r.On, r.Set = c.Planned, true
		}
		out.Repots = append(out.Repots, r)
	}
	slices.SortStableFunc(out.Repots, func(x, y Repot) int { return x.On.Compare(y.On) })
}

// why says what keeps a candidate from being repotted.
func (st *seasonState) why(i int) string {
	first, last := weeksOf(&st.list[i].Candidate, st.s.From, st.s.Weeks)
	if first > last {
		return "its time lies outside these weeks"
	}
	what, week := st.lacks(i, first)
	if what == "" {
		return "others are more urgent"
	}
	return fmt.Sprintf("there is not enough: %s in the week of %s", what, st.s.From.AddDate(0, 0, 7*week).Format("2 January"))
}

// dayIn is the day of a week on which a repot is proposed: its Saturday, if that
// lies in the window; an emergency at once.
func dayIn(c *care.Candidate, from time.Time, week int) time.Time {
	start := from.AddDate(0, 0, 7*week)
	if c.Emergency {
		return start
	}
	saturday := start
	for saturday.Weekday() != time.Saturday {
		saturday = saturday.AddDate(0, 0, 1)
	}
	switch {
	case saturday.Before(c.From):
		return c.From
	case saturday.After(c.To):
		return c.To
	}
	return saturday
}

// Materials is what has to be there for some repots.
type Materials struct {
	Media  []care.MediumNeed `json:"media"` // litres by component, the names in order
	Homes  []HomeNeed        `json:"homes"`
	Labels int               `json:"labels"`
	Ties   int               `json:"ties"`
	Blades int               `json:"blades"`
}

// HomeNeed is how many pots or mounts of one kind are needed.
type HomeNeed struct {
	Home  string `json:"home"`
	Count int    `json:"count"`
}

// tiesEach is how many ties hold a plant until its roots do. Common practice.
const tiesEach = 2

// MaterialsFor adds up what the repots of a plan up to a day need: a blade and a
// label for each plant.
func (out *Season) MaterialsFor(list []Prospective, until time.Time) (m Materials) {
	media, homes := map[string]float64{}, map[string]int{}
	for _, r := range out.Repots {
		if r.On.After(until) {
			continue
		}
		c := &list[r.Candidate]
		for _, one := range c.Media {
			media[one.Medium] += one.Litres
		}
		if c.Home != "" {
			homes[c.Home]++
		}
		m.Labels++
		m.Blades++
		m.Ties += tiesEach
	}
	for name, litres := range media {
		m.Media = append(m.Media, care.MediumNeed{Medium: name, Litres: litres})
	}
	for name, n := range homes {
		m.Homes = append(m.Homes, HomeNeed{name, n})
	}
	slices.SortFunc(m.Media, func(x, y care.MediumNeed) int { return compareText(x.Medium, y.Medium) })
	slices.SortFunc(m.Homes, func(x, y HomeNeed) int { return compareText(x.Home, y.Home) })
	return m
}

func compareText(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
