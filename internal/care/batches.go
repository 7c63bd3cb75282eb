package care

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/science/basis"
	"velamen/science/water"
	"velamen/science/water/batch"
)

// PlannedBatch is one can of feed for some of a day's jobs.
type PlannedBatch struct {
	Name   string // a letter, from the weakest on
	Jobs   []string
	Labels []string // of the plants, sorted
	Feed   string   // that they usually get; empty if nothing is known of it

	Goal      basis.Value // what the can is mixed to, with what serves all of its plants
	Litres    float64     // with something to spare
	Request   batch.Request
	Mix       batch.Mix
	Weighed   batch.Weighed
	Tools     batch.Tools
	Steps     []batch.Step
	KeepApart bool    // calcium and sulphate or phosphate must not meet undiluted
	Clear     float64 // times as strong as this a concentrate may be before it clouds
	Saturated water.Saturation
	Cans      int // how many fillings of the largest can it takes

	Assumed   water.Assumptions // of the labels that went in
	Estimated []string          // waters of which no analysis is known
	Unread    []string          // waters whose tank was never read: they are taken to suffice
	Softened  bool              // the usual water comes out of a softener
	Why       string            // it cannot be worked out at all
}

// PlanBatches puts the feeds of a day into as few cans as serve them all, works
// out each can, and names in every feed job its batch. The collection's stock is
// shared out from the weakest can on, after the plain water that the same jobs
// take.
func (c *Collection) PlanBatches(jobs []Job, on time.Time) []PlannedBatch {
	// In whatever order the jobs come, sums come out the same.
	order := make([]int, len(jobs))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return strings.Compare(jobs[a].Key, jobs[b].Key) })
	wants := map[batchOf][]int{}
	for _, i := range order {
		j := &jobs[i]
		j.Batch = ""
		if j.Task != Feeding || j.Dose == nil {
			continue
		}
		of := batchOf{feed: j.Dose.Feed, water: j.Dose.Water, goal: j.Dose.goal()}
		if target := j.Dose.target(of.goal); target.Value > 0 {
			wants[of] = append(wants[of], i)
		}
	}
	if len(wants) == 0 {
		return nil
	}
	kinds := make([]batchOf, 0, len(wants))
	for of := range wants {
		kinds = append(kinds, of)
	}
	slices.SortFunc(kinds, func(a, b batchOf) int {
		return cmp.Or(strings.Compare(a.feed, b.feed), strings.Compare(a.water, b.water), cmp.Compare(a.goal, b.goal))
	})
	k := c.newKitchen(jobs, order, on)
	var list []PlannedBatch
	for _, of := range kinds {
		for _, group := range group(jobs, wants[of], of.goal) {
			b := k.plan(of, group)
			for _, i := range group.jobs {
				b.Jobs = append(b.Jobs, jobs[i].Key)
				b.Labels = append(b.Labels, jobs[i].Label)
				jobs[i].Batch = batchName(len(list))
			}
			b.Name = batchName(len(list))
			slices.Sort(b.Labels)
			list = append(list, b)
		}
	}
	return list
}

// batchOf is what the plants of one can have in common.
type batchOf struct {
	feed, water string
	goal        batch.Quantity
}

// batchName is a letter, or two.
func batchName(i int) string {
	if i >= 26 {
		return batchName(i/26-1) + batchName(i%26)
	}
	return string(rune('A' + i))
}

// goal is what a dose is mixed by: nitrogen, or EC where the label does not tell.
func (d *Dose) goal() batch.Quantity {
	if d.PpmN.Grade != 0 && d.Feed != "" {
		return batch.Nitrogen
	}
	return batch.EC
}

func (d *Dose) target(goal batch.Quantity) basis.Value {
	if goal == batch.Nitrogen {
		return d.PpmN
	}
	return d.ECmS
}

// grouped are jobs that one can serves.
type grouped struct {
	batch.Group
	jobs   []int
	ECMost float64 // that the targets of its plants allow
}

func group(jobs []Job, which []int, goal batch.Quantity) []grouped {
	wants := make([]batch.Want, len(which))
	for k, i := range which {
		v := jobs[i].Dose.target(goal).Value
		wants[k] = batch.Want{Target: v, Low: v * (1 - batchWeaker.Value), High: v * (1 + batchStronger.Value), Litres: jobs[i].ML / 1000}
	}
	list := make([]grouped, 0, 4)
	for _, g := range batch.Fewest(wants) {
		one := grouped{Group: g, ECMost: math.Inf(1)}
		for _, k := range g.Members {
			one.jobs = append(one.jobs, which[k])
			if ec := jobs[which[k]].Dose.ECmS; ec.Grade != 0 {
				one.ECMost = math.Min(one.ECMost, ec.Value*(1+batchECOver.Value)+batchECMore.Value)
			}
		}
		list = append(list, one)
	}
	return list
}

// kitchen is what the day's cans are mixed from.
type kitchen struct {
	c        *Collection
	mixing   Mixing
	waters   []batch.Water
	about    []aboutWater
	products []batch.Product
	assumed  []water.Assumptions
	always   []batch.Portion
	acid     *water.Acid
	why      error
}

// aboutWater is what a batch says of a water.
type aboutWater struct{ estimated, unread, softened bool }

func (c *Collection) newKitchen(jobs []Job, order []int, on time.Time) *kitchen {
	k := &kitchen{c: c, mixing: c.Mixing.withDefaults()}
	plain := map[string]float64{}
	for _, i := range order {
		if j := &jobs[i]; j.Task != Feeding {
			plain[strings.ToLower(j.Water)] += j.ML / 1000
		}
	}
	for _, s := range c.Supplies(on, 1, nil) {
		i := slices.IndexFunc(c.Waters, func(w Water) bool { return w.Name == s.Water })
		known, analysed, err := c.Waters[i].Known()
		if err != nil {
			k.why = fmt.Errorf("water %s: %w", s.Water, err)
			return k
		}
		w := batch.Water{Name: s.Water, Ions: known.Ions, StockL: math.Inf(1), Cost: 0.5}
		about := aboutWater{estimated: !analysed, softened: c.Waters[i].SoftenedByIonExchange}
		switch {
		case s.Limited && s.Stock.Grade != 0:
			w.StockL, w.Cost = math.Max(0, s.Stock.Value-plain[strings.ToLower(s.Water)]), 1
		case s.Limited:
			about.unread, w.Cost = true, 1
		}
		k.waters, k.about = append(k.waters, w), append(k.about, about)
	}
	if len(k.waters) == 0 {
		// As the course does: low-salt water of which nothing else is known.
		k.waters = []batch.Water{{Name: "low-salt water", Ions: water.Ions{water.Na: 0.4, water.Cl: 0.4}, StockL: math.Inf(1)}}
		k.about = []aboutWater{{estimated: true}}
	}
	for i := range c.Feeds {
		f := &c.Feeds[i]
		ions, assumed, err := f.PerGram()
		if err != nil {
			k.why = fmt.Errorf("feed %s: %w", f.Name, err)
			return k
		}
		p := batch.Product{Name: f.Name, PerGram: ions, StockG: math.Inf(1), KgPerLitre: f.Label.DensityKgPerL}
		if left, weighed := c.GramsLeft(f.Name); weighed {
			p.StockG = left
		}
		if f.Supplement {
			if strings.EqualFold(f.Name, k.mixing.Supplement) && f.gramsPerLitre() > 0 {
				k.always = append(k.always, batch.Portion{Product: p, GramsPerLitre: f.gramsPerLitre()})
			}
			continue
		}
		if ions == (water.Ions{}) {
			continue // nothing is known of it but its name
		}
		k.products, k.assumed = append(k.products, p), append(k.assumed, assumed)
	}
	k.acid, k.why = k.mixing.acid()
	return k
}

// plan works out one can.
func (k *kitchen) plan(of batchOf, g grouped) PlannedBatch {
	b := PlannedBatch{Feed: of.feed, Tools: batch.Tools{ScaleG: k.mixing.ScaleG.Value, JugL: k.mixing.JugL.Value}}
	b.Goal = basis.Value{Value: g.Target, Low: g.Low, High: g.High, Unit: of.goal.Unit(), Grade: batchWeaker.Grade}
	if of.goal == batch.Nitrogen {
		b.Goal.Unit = "ppm N"
	}
	jug := k.mixing.JugL.Value
	b.Litres = math.Max(jug, math.Ceil(g.Litres*(1+batchSpare.Value)/jug-1e-9)*jug)
	b.Cans = int(math.Ceil(b.Litres/k.mixing.CanL.Value - 1e-9))
	if k.why != nil {
		b.Why = k.why.Error()
		return b
	}
	r := batch.Request{
		Litres: b.Litres, Goal: of.goal, Target: g.Target, Low: g.Low, High: g.High, Limits: k.limits(of, g),
		Waters: slices.Clone(k.waters), Products: slices.Clone(k.products), Always: k.always, Acid: k.acid, KeepsAlkalinity: k.mixing.AlkalinityLeast.Value,
	}
	used := 0
	for j := range r.Waters {
		if strings.EqualFold(r.Waters[j].Name, of.water) {
			r.Waters[j].Cost = 0
			b.Softened = k.about[j].softened
		} else if k.about[j].softened {
			r.Waters[j].StockL = 0 // never chosen for the plants
		}
	}
	for i := range r.Products {
		r.Products[i].Usual = strings.EqualFold(r.Products[i].Name, of.feed)
		if r.Products[i].Usual {
			used++
		}
	}
	if used == 0 && len(r.Products) > 0 && of.feed == "" {
		r.Products[0].Usual = true // the course reckons with some feed; the first there is
	}
	mix, err := batch.Solve(r)
	if err == nil && mix.MissesL < b.Litres {
		b.Weighed, err = r.Weigh(mix, b.Tools)
	}
	if err == nil {
		b.Saturated, err = mix.Ions.Saturation()
	}
	if err == nil {
		b.Clear, err = r.Concentrated(mix)
	}
	if err != nil {
		b.Why = err.Error()
	}
	b.Request, b.Mix, b.Steps, b.KeepApart = r, mix, r.Order(mix), r.KeepApart(mix)
	k.take(&b)
	return b
}

// take takes what a can holds from what is there, and notes what it rests on.
func (k *kitchen) take(b *PlannedBatch) {
	for j, l := range b.Mix.WaterL {
		if l == 0 {
			continue
		}
		k.waters[j].StockL = math.Max(0, k.waters[j].StockL-l)
		if k.about[j].estimated {
			b.Estimated = append(b.Estimated, k.waters[j].Name)
		}
		if k.about[j].unread {
			b.Unread = append(b.Unread, k.waters[j].Name)
		}
	}
	for i, g := range b.Mix.Grams {
		if g > 0 {
			k.products[i].StockG = math.Max(0, k.products[i].StockG-g)
			b.Assumed |= k.assumed[i]
		}
	}
}

// limits are those of the mixing, for a can of some strength.
func (k *kitchen) limits(of batchOf, g grouped) []batch.Limit {
	nitrogen, target := g.Target, g.Target
	if of.goal == batch.EC {
		nitrogen = math.Max(0, target-0.05) / ecPerPpmN.Value
	}
	m := k.mixing
	if of.goal == batch.Nitrogen && !math.IsInf(g.ECMost, 1) && !(m.ECMost.Grade != 0 && m.ECMost.Value < g.ECMost) {
		m.ECMost = basis.Exactly(g.ECMost, "mS/cm", basis.Assumption, "")
	}
	list := []batch.Limit{
		{Quantity: batch.Calcium, Min: m.CalciumPerN.Value * nitrogen, Max: math.Inf(1)},
		{Quantity: batch.Magnesium, Min: m.MagnesiumPerN.Value * nitrogen, Max: math.Inf(1)},
		{Quantity: batch.Alkalinity, Min: math.Inf(-1), Max: m.AlkalinityMost.Value},
	}
	for _, most := range []struct {
		q batch.Quantity
		v basis.Value
		x float64
	}{{batch.Potassium, m.PotassiumPerN, nitrogen}, {batch.Sodium, m.SodiumMost, 1}, {batch.EC, m.ECMost, 1}} {
		if most.v.Grade != 0 {
			list = append(list, batch.Limit{Quantity: most.q, Min: math.Inf(-1), Max: most.v.Value * most.x})
		}
	}
	return list
}
