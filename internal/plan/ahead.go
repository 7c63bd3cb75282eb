package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// Plant is one plant with everything that comes at it.
type Plant struct {
	ID, Label, Name, Space string
	Coming                 []care.Coming
}

// Situation is what a plan has to get along with.
type Situation struct {
	From    time.Time
	Minutes []float64 // by day, as many as the plan has; +Inf where there is no limit
	Pace    care.WorkPace
	// Litres is the water of a day, where it was said and no tank is known; 0: no
	// limit.
	Litres float64
	// LitresToday is all the water there is on the first day, of whatever kind;
	// nil: what the tanks and Litres say.
	LitresToday *float64
	Supplies    []care.Supply
	Done        Limits // what was done on the first day already

	// Before is the plan to stay close to; nil if there is none. Keep says that
	// what it has a day for stays on that day.
	Before *Ahead
	Keep   bool
}

// What going to a space and mixing a feed take, once a day.
var (
	SpaceMinutes = basis.Assumed(1.5, 0.5, 4, "min")
	MixMinutes   = basis.Assumed(3, 1.5, 8, "min")
)

// Prices of effort, in stress days: so low that all that can be saved on a day
// does not outweigh a day's delay of a flush. Common sense, no source.
const (
	setupPrice = 1e-4 // a minute of set-up
	levelPrice = 2e-5 // a minute above an even share
	earlyPrice = 5e-5 // a day sooner than due: the water and the minutes come round sooner
	gracePrice = 2e-5 // a day later than due where that costs nothing
)

// movePrice is what it counts, in stress days, to do something on another day than
// was planned in the morning: a fifth of what a day's delay of a flush costs at
// least. For less nobody wants another plan. Common sense, no source.
const movePrice = 0.02

// Ahead is the plan of some days.
type Ahead struct {
	From   time.Time
	Days   []PlanDay
	Plants []Plant

	Missed  []Missed // what is late or left out, the least harmful first
	Harm    float64  // of all of it, stress days
	Proof   *Proof   // why it cannot all be done on time, if that is proved
	Fixes   []Fix    // what would mend it
	Steps   int
	Stopped bool // the search was stopped before its end

	model  *Model
	choice []int32
	out    []float64 // what each thing that is left out costs
	refs   []ref
	found  map[slot]*Option // what is done of it
}

// PlanDay is a day of a plan.
type PlanDay struct {
	On      time.Time
	Minutes float64            // set-ups included
	Setup   float64            // of them for going and mixing
	Limit   float64            // +Inf: none
	Litres  map[string]float64 // by water
	Items   []Placed           // in walking order within the plants' order
}

// Placed is one thing on the day for which it is planned.
type Placed struct {
	Plant, Coming int  // indices
	Fed           bool // with its feed, if one is due
	Late          int  // days beyond its latest
	Cost          float64
}

// Missed is something that is late or left out, and what that costs.
type Missed struct {
	Plant, Coming int
	Day           int     // planned; -1: left out
	FeedOnly      bool    // it is done, but without the feed
	Cost          float64 // stress days
}

// ref tells which thing an item of the model is.
type ref struct{ plant, coming int32 }

// slot names a thing in a way that holds from one plan to the next of the same
// day.
type slot struct {
	plant string
	task  care.Task
	due   int
}

// Draft is a plan that is set up and not yet made.
type Draft struct {
	ahead *Ahead
	s     *Situation
	start []int32
	need  float64 // minutes of all things together
	fresh int     // things that the plan before knew nothing of
}

// NewDraft sets a plan up. The plants should come in walking order.
func NewDraft(plants []Plant, s Situation) (*Draft, error) {
	days := len(s.Minutes)
	m := &Model{Days: days, SetupPrice: setupPrice, LevelPrice: levelPrice, Minutes: slices.Clone(s.Minutes)}
	a := &Ahead{From: s.From, Plants: plants, model: m}
	d := &Draft{ahead: a, s: &s}
	for day, v := range s.Minutes {
		if !(v >= 0) {
			return nil, fmt.Errorf("%w: %g minutes on day %d; 0 or more are possible", errModel, v, day)
		}
	}
	if days > 0 && !math.IsInf(m.Minutes[0], 1) {
		m.Minutes[0] = math.Max(0, m.Minutes[0]-s.Done.Minutes)
	}
	stocks := d.stocks()
	setups := map[string]int16{}
	setup := func(kind, name string, minutes float64) int16 {
		key := kind + name
		g, met := setups[key]
		if !met {
			g = int16(len(m.Setups))
			setups[key] = g
			m.Setups = append(m.Setups, minutes)
		}
		return g
	}
	n := 0
	for i := range plants {
		n += len(plants[i].Coming)
	}
	s.Before.find()
	m.Items, m.Options, a.refs = make([]Item, 0, n), make([]Option, 0, 4*n), make([]ref, 0, n)
	minutes := map[care.Task]float64{}
	for _, task := range care.Tasks {
		minutes[task] = s.Pace.Minutes(task).Value
	}
	need := 0.0
	var options []Option
	for i := range plants {
		p := &plants[i]
		space := setup("s", strings.ToLower(p.Space), SpaceMinutes.Value)
		for k := range p.Coming {
			c := &p.Coming[k]
			if err := checkComing(p, c); err != nil {
				return nil, err
			}
			it := Item{Space: space, Batch: none, Stock: none}
			if c.Feed != "" {
				it.Batch = setup("m", c.Feed, MixMinutes.Value)
			}
			if c.ML > 0 {
				it.Stock = stocks(c.Water)
			}
			was := s.Before.optionOf(p, c, s.Keep)
			before, known := plannedFor(was, c)
			if was == nil {
				d.fresh++
			}
			options = options[:0]
			start := -1
			for day := c.First; day <= min(c.Last, days-1); day++ {
				if s.Keep && known && day != before {
					continue
				}
				o := Option{Cost: c.CostOn(day), Minutes: float32(minutes[c.Task]), Litres: float32(c.ML / 1000), Day: int16(day), Mix: c.Task == care.Feeding}
				switch {
				case day < c.Due:
					o.Cost += earlyPrice * float64(c.Due-day)
				case day > c.Due && day <= c.Latest:
					o.Cost += gracePrice * float64(day-max(0, c.Due))
				}
				if known && day != before {
					o.Cost += movePrice
				} else if known {
					start = len(options)
					if c.Fed && !was.Mix {
						start++
					}
				}
				if c.Fed {
					fed := o
					fed.Minutes += float32(minutes[care.Feeding])
					fed.Mix = true
					options = append(options, fed)
					o.Cost += c.FeedLeftOut
				}
				options = append(options, o)
			}
			if len(options) == 0 {
				continue
			}
			need += float64(options[0].Minutes)
			d.start = append(d.start, int32(start))
			a.refs = append(a.refs, ref{int32(i), int32(k)})
			out := c.LeftOut
			if known {
				out += movePrice
			}
			m.add(it, options, out)
		}
	}
	d.need = need
	m.Level = d.level(need)
	return d, m.Check()
}

// checkComing returns what contradicts itself in what comes at a plant.
func checkComing(p *Plant, c *care.Coming) error {
	bad := func(format string, args ...any) error {
		return fmt.Errorf("%w: %s, %s due on day %d: %s", errModel, p.Label, c.Task, c.Due, fmt.Sprintf(format, args...))
	}
	switch {
	case c.First > c.Last:
		return bad("it can be done from day %d on, and until day %d", c.First, c.Last)
	case c.Due > c.Last && !c.Before:
		return bad("it can be done until day %d only", c.Last)
	}
	for _, one := range [...]struct {
		v    float64
		what string
	}{
		{c.ML, "mL"}, {c.FeedML, "mL of feed"}, {c.Sunk, "stress days sunk"}, {c.LeftOut, "stress days if it is left out"}, {c.FeedLeftOut, "stress days without its feed"},
	} {
		if !(one.v >= 0) || math.IsInf(one.v, 1) {
			return bad("%g %s", one.v, one.what)
		}
	}
	return nil
}

// level is the even share of a day: as much of what it allows as all days
// together need of what they allow.
func (d *Draft) level(need float64) []float64 {
	m := d.ahead.model
	allowed := 0.0
	for _, v := range m.Minutes {
		allowed += v
	}
	level := make([]float64, m.Days)
	for day, v := range m.Minutes {
		switch {
		case math.IsInf(allowed, 1): // nothing to level towards: what is due is done
			level[day] = math.Inf(1)
		case allowed > 0:
			level[day] = v * math.Min(1, need/allowed)
		}
	}
	return level
}

// stocks sets the waters up, and returns where each is found.
func (d *Draft) stocks() func(water string) int16 {
	m, s := d.ahead.model, d.s
	at := map[string]int16{}
	for i := range s.Supplies {
		one := &s.Supplies[i]
		// What was never read cannot be counted with.
		if !one.Limited || one.Stock.Grade == 0 {
			continue
		}
		k := Stock{Start: math.Max(0, one.Stock.Value), Holds: math.Inf(1), In: make([]float64, m.Days)}
		if one.HoldsL > 0 {
			k.Holds = math.Max(one.HoldsL, k.Start)
		}
		for day := 1; day < m.Days && day <= len(one.InflowL); day++ {
			k.In[day] = math.Max(0, one.InflowL[day-1].Value) // it can be taken the next day
		}
		at[strings.ToLower(one.Water)] = int16(len(m.Stocks))
		m.Stocks = append(m.Stocks, k)
	}
	daily := int16(none)
	if v := s.LitresToday; v != nil {
		// Tomorrow's water is looked for tomorrow.
		k := Stock{Start: math.Max(0, *v), Holds: math.Inf(1), In: make([]float64, m.Days)}
		for day := 1; day < m.Days; day++ {
			k.In[day] = s.Litres
			if s.Litres == 0 {
				k.In[day] = 1e6
			}
		}
		m.Stocks = []Stock{k}
		return func(string) int16 { return 0 }
	}
	if s.Litres > 0 {
		k := Stock{Holds: s.Litres, In: make([]float64, m.Days)}
		for day := range k.In {
			k.In[day] = s.Litres
		}
		if m.Days > 0 {
			k.In[0] = math.Max(0, s.Litres-s.Done.Litres)
		}
		daily = int16(len(m.Stocks))
		m.Stocks = append(m.Stocks, k)
	}
	return func(water string) int16 {
		if g, ok := at[strings.ToLower(water)]; ok {
			return g
		}
		return daily
	}
}

// Items is how many things are planned.
func (d *Draft) Items() int { return len(d.ahead.model.Items) }

func (a *Ahead) option(item int) *Option {
	return &a.model.Options[a.model.Items[item].First+a.choice[item]]
}

// Of returns what one thing of a plan is.
func (a *Ahead) Of(plant, coming int) (*Plant, *care.Coming) {
	p := &a.Plants[plant]
	return p, &p.Coming[coming]
}

// lay tells the days apart and lists what is missed.
func (a *Ahead) lay(s *Situation) {
	m := a.model
	a.Days = make([]PlanDay, m.Days)
	for day := range a.Days {
		a.Days[day] = PlanDay{On: a.From.AddDate(0, 0, day), Limit: m.Minutes[day], Litres: map[string]float64{}}
	}
	open := make([]bool, len(m.Setups)*m.Days)
	a.out = a.inARow(a.choice, 0, len(a.refs))
	for i, r := range a.refs {
		c := &a.Plants[r.plant].Coming[r.coming]
		it, o := &m.Items[i], a.option(i)
		if o.Day < 0 {
			a.miss(Missed{int(r.plant), int(r.coming), -1, false, a.out[i]})
			continue
		}
		day := &a.Days[o.Day]
		for _, g := range it.needs(o) {
			if at := int(g)*m.Days + int(o.Day); g >= 0 && !open[at] {
				open[at] = true
				day.Setup += m.Setups[g]
				day.Minutes += m.Setups[g]
			}
		}
		day.Minutes += float64(o.Minutes)
		fed := 0.0
		if c.Fed && o.Mix {
			fed = c.FeedML
			day.Litres[c.FeedWater] += fed / 1000
		}
		if c.ML > fed {
			day.Litres[c.Water] += (c.ML - fed) / 1000
		}
		cost := c.CostOn(int(o.Day))
		placed := Placed{int(r.plant), int(r.coming), c.Fed && o.Mix, max(0, int(o.Day)-max(c.Latest, 0)), cost}
		day.Items = append(day.Items, placed)
		if cost > 0 {
			a.miss(Missed{placed.Plant, placed.Coming, int(o.Day), false, cost})
		}
		if c.Fed && !o.Mix {
			a.miss(Missed{placed.Plant, placed.Coming, int(o.Day), true, c.FeedLeftOut})
		}
	}
	slices.SortStableFunc(a.Missed, func(x, y Missed) int {
		switch {
		case x.Cost < y.Cost:
			return -1
		case x.Cost > y.Cost:
			return 1
		}
		return 0
	})
	if len(a.Missed) > 0 {
		a.Proof = a.prove()
		a.Fixes = a.fixes(s)
	}
}

func (a *Ahead) miss(one Missed) {
	a.Missed = append(a.Missed, one)
	a.Harm += one.Cost
}

// Steps returns how many attempts are worth while for a plan of so many items: few
// items are gone through thoroughly, very many only roughly. An attempt takes
// about as much longer as there are more items.
func Steps(items int) int {
	const perItem, thorough, rough, annealed = 80, 2_000_000, 500_000, 1000
	switch {
	case items <= 50:
		return 50 * perItem
	case items <= 2000:
		return min(perItem*items, thorough/items)
	case items <= mostPriced:
		return rough / items
	}
	return annealed
}

// First returns the first days of a plan, with what is missed of them.
func (a *Ahead) First(days int) *Ahead {
	if days >= len(a.Days) {
		return a
	}
	first := *a
	first.Days, first.Missed, first.Harm, first.Fixes = a.Days[:days:days], nil, 0, nil
	for _, m := range a.Missed {
		if _, c := a.Of(m.Plant, m.Coming); c.Due < days {
			first.miss(m)
		}
	}
	for _, f := range a.Fixes {
		if f.Day < days {
			first.Fixes = append(first.Fixes, f)
		}
	}
	if p := a.Proof; p != nil && p.From >= days {
		first.Proof = nil
	}
	return &first
}
