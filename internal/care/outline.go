package care

import (
	"math"
	"time"

	"velamen/science/basis"
	"velamen/science/course"
)

// Outline is the part of a course that its jobs and the sums over many plants
// rest on, for every day of the course: about a fiftieth of its size. It does
// not change from day to day.
type Outline struct {
	Group, Space string
	Repot        time.Time
	Usual        Climate // of the space, and the plant's usual light

	feedEveryDays float64
	marks         []Mark // those that become jobs
	weeks         []outlineWeek
}

// Climate is what a plant's surroundings are or should be.
type Climate struct {
	DayC, NightC, DayRHPercent, NightRHPercent, LightPPFD float64
}

// outlineWeek is one week of an outline. Weeks share what is the same in them.
type outlineWeek struct {
	stage     course.Stage
	intensive bool
	pouring   *pouring
	feeding   Figure
	dose      *Dose
	wanted    Climate
}

// pouring is how to flush, and to water between flushes, as jobs ask for it.
type pouring struct {
	every                Figure
	total                basis.Value
	pours, waitMinutes   float64
	between              *Figure
	waterEvery, wettings int
	rainMM               float64
	late, lateBetween    *Delay
	water                string
}

func (f *Flush) pouring() pouring {
	return pouring{
		every: f.Every, total: f.Total.Value, pours: f.Pours.Value.Value, waitMinutes: f.Wait.Value.Value,
		between: f.Between, waterEvery: f.WaterEvery, wettings: f.Wettings, rainMM: f.RainMM, late: f.Late, lateBetween: f.LateBetween,
		water: f.WaterName,
	}
}

// feeding is how strong to feed, in the quantity that is mixed by.
func (t *Targets) feeding() Figure {
	if t.FeedGramsPerLitre != nil {
		return *t.FeedGramsPerLitre
	}
	return t.FeedECmS
}

// Outline returns the outline of a course. It is the same whatever day the
// course was worked out for.
func (c *Course) Outline() *Outline {
	u := &c.Usual
	o := &Outline{
		Group: c.Group, Space: c.Space, Repot: c.Repot, feedEveryDays: u.FeedEvery.Value,
		Usual: Climate{u.DayC.Value, u.NightC.Value, u.DayRHPercent.Value, u.NightRHPercent.Value, u.LightPPFD.Value},
		weeks: make([]outlineWeek, len(c.Weeks)),
	}
	tasks := 0
	for _, m := range c.Marks {
		if m.Task != "" {
			tasks++
		}
	}
	o.marks = make([]Mark, 0, tasks)
	for _, m := range c.Marks {
		if m.Task != "" {
			o.marks = append(o.marks, m)
		}
	}
	for i := range c.Weeks {
		w, t := &c.Weeks[i], &c.Weeks[i].Targets
		p := w.Flush.pouring()
		shared := &p
		if i > 0 && *o.weeks[i-1].pouring == p {
			shared = o.weeks[i-1].pouring
		}
		o.weeks[i] = outlineWeek{
			stage: w.Stage, intensive: needsIntensiveCare(w.FromDay, w.Supply, t.Factor.Value.Value), pouring: shared, feeding: t.feeding(), dose: t.dose(u.Feed, u.FeedWater),
			wanted: Climate{t.DayHeatCapC.Value.Value, u.NightC.Value, t.DayRHPercent.Value.Value, t.NightRHPercent.Value.Value, t.LightPPFD.Value.Value},
		}
	}
	return o
}

// week returns the week of a day; before the repot it is the first, after the
// course the last.
func (o *Outline) week(on time.Time) *outlineWeek {
	return &o.weeks[weekOf(daysBetween(o.Repot, on), len(o.weeks))]
}

// Stage returns where the plant stands on a day, and whether it needs intensive
// care.
func (o *Outline) Stage(on time.Time) (stage course.Stage, intensive bool) {
	w := o.week(on)
	return w.stage, w.intensive
}

// Wanted returns the climate to aim for on a day; nights are as usual.
func (o *Outline) Wanted(on time.Time) Climate { return o.week(on).wanted }

// RainMM is the depth of rain that flushes the plant on a day.
func (o *Outline) RainMM(on time.Time) float64 { return o.week(on).pouring.rainMM }

// Jobs is what Jobs returns for the course as it stands on the day.
func (o *Outline) Jobs(p *PlantState, rains []Rain, outdoors bool, on time.Time, u Units) []Job {
	w := o.week(on)
	return jobsOf(p, due{space: o.Space, repot: o.Repot, feedEveryDays: o.feedEveryDays, marks: o.marks, pouring: w.pouring, feeding: &w.feeding, dose: w.dose}, rains, outdoors, on, u)
}

// daysBetween counts days as a course does.
func daysBetween(repot, on time.Time) int { return int(math.Round(on.Sub(repot).Hours() / 24)) }

// weekOf returns which of a course's weeks a day lies in.
func weekOf(day, weeks int) int {
	return min(max(day/int(course.StepDays.Value), 0), weeks-1)
}

// needsIntensiveCare tells it from a week of a course. Once steps are earned,
// what counts is how far down the plant still is.
func needsIntensiveCare(fromDay int, supply, factor float64) bool {
	if fromDay >= int(course.RecoveryDays.Value) {
		return factor < 1-course.OrdinaryTurnDown.Value
	}
	return course.Guard(course.ModelTurnDown(supply)).Intensive
}
