package care

import (
	"math"
	"slices"
	"strings"
	"time"

	"velamen/science/basis"
	"velamen/science/course"
)

// Task is what sort of work a job is.
type Task string

// The tasks, in the order in which they are done at one plant.
const (
	LookForPests Task = "pest look"
	MeasureRoots Task = "measure roots"
	Review       Task = "review"
	Flushing     Task = "flush"
	Watering     Task = "water"
	Feeding      Task = "feed"
	Misting      Task = "mist"
	Photograph   Task = "photograph"
)

// Answers returns the kind of entry that records the task as done.
func (t Task) Answers() Kind {
	switch t {
	case LookForPests:
		return PestLook
	case MeasureRoots:
		return RootsRead
	case Review:
		return Reviewed
	case Watering:
		return WaterGiven
	case Feeding:
		return FeedDone
	case Misting:
		return MistDone
	case Photograph:
		return Photographed
	}
	return FlushDone
}

// Job is one thing due at one plant.
type Job struct {
	Key      string      `json:"key"` // plant, task and due day: the same however often it is worked out
	Plant    string      `json:"plant"`
	Label    string      `json:"label"`
	Name     string      `json:"name,omitempty"`
	Space    string      `json:"space"`
	Task     Task        `json:"task"`
	Due      time.Time   `json:"due"`
	Earliest time.Time   `json:"earliest"`
	Latest   time.Time   `json:"latest"` // after this day the delay costs something
	Amount   string      `json:"amount"` // what to do, in the reader's units
	ML       float64     `json:"ml,omitempty"`
	Water    string      `json:"water,omitempty"` // what the millilitres are of: the name of a water
	Dose     *Dose       `json:"dose,omitempty"`  // of a feed: how strong it is wanted
	Batch    string      `json:"batch,omitempty"` // of a feed: the can it is poured from, once the day's batches are planned
	Minutes  basis.Value `json:"minutes"`
	Wait     *Delay      `json:"wait,omitempty"` // what waiting beyond Latest costs
	Because  *Because    `json:"because"`
}

// minutesFor is how long a task takes until the grower's own pace is known.
var minutesFor = map[Task]basis.Value{
	LookForPests: basis.Assumed(3, 1.5, 6, "min"),
	MeasureRoots: basis.Assumed(2, 1, 4, "min"),
	Review:       basis.Assumed(3, 1, 6, "min"),
	Flushing:     basis.Assumed(1.5, 0.7, 3, "min"),
	Watering:     basis.Assumed(0.5, 0.2, 1, "min"),
	Feeding:      basis.Assumed(1, 0.5, 2, "min"),
	Misting:      basis.Assumed(0.3, 0.1, 0.6, "min"),
	Photograph:   basis.Assumed(1, 0.5, 2, "min"),
}

// photographEveryDays is how often a picture is worth taking in a recovery.
var photographEveryDays = basis.Exactly(14, "days", basis.CommonPractice, "")

// Jobs returns what is due at a plant by a day, in the order in which it is
// done: everything whose due day has come and that no entry has answered. What
// was skipped is asked again the next day. The course has to be that of the day.
func Jobs(p *PlantState, c *Course, rains []Rain, outdoors bool, on time.Time, u Units) []Job {
	pouring, feeding := c.Flush.pouring(), c.Now.feeding()
	dose := c.Now.dose(c.Usual.Feed, c.Usual.FeedWater)
	return jobsOf(p, due{space: c.Space, repot: c.Repot, feedEveryDays: c.Usual.FeedEvery.Value, marks: c.Marks, pouring: &pouring, feeding: &feeding, dose: dose}, rains, outdoors, on, u)
}

// due is what the jobs of a day rest on.
type due struct {
	space         string
	repot         time.Time
	feedEveryDays float64
	marks         []Mark
	pouring       *pouring
	feeding       *Figure
	dose          *Dose
}

// The reasons for jobs that are due by the calendar alone.
var (
	measureWeekly = &Because{
		Rule: "a week's growth is the smallest that a ruler can tell from its own error", Inputs: []Input{{"measure every", course.StepDays}},
	}
	pictureFortnightly = &Because{
		Rule: "a picture every fortnight shows slow changes", Inputs: []Input{{"photograph every", photographEveryDays}},
	}
)

func jobsOf(p *PlantState, d due, rains []Rain, outdoors bool, on time.Time, u Units) []Job {
	on = midnight(on)
	w := &jobs{p: p, due: d, on: on, u: u}
	repot := midnight(d.repot)
	week := int(course.StepDays.Value)

	for i := range d.marks {
		m := &d.marks[i]
		if m.Task == "" {
			continue
		}
		answered := p.LastReview
		if m.Task == LookForPests {
			answered = p.LastPestLook
		}
		if !m.Latest.IsZero() { // a watch knows of the looks there were
			w.add(m.Task, m.Date, m.Latest, func() string { return m.What }, poured{}, m.Because)
			continue
		}
		if !answered.IsZero() && !midnight(answered).Before(m.Date.AddDate(0, 0, -week+1)) {
			continue
		}
		w.add(m.Task, m.Date, m.Date.AddDate(0, 0, 2), func() string { return m.What }, poured{}, m.Because)
	}
	looked := latest(repot, p.LastRootsRead)
	w.add(MeasureRoots, looked.AddDate(0, 0, week), looked.AddDate(0, 0, week+3), func() string { return "two or three marked tips" }, poured{}, measureWeekly)
	pictured := latest(repot, p.LastPhotograph)
	every := int(photographEveryDays.Value)
	w.add(Photograph, pictured.AddDate(0, 0, every), pictured.AddDate(0, 0, 2*every), func() string { return "the same side, with a scale" }, poured{}, pictureFortnightly)
	w.water(repot, rains, outdoors)
	return w.list
}

// jobs collects the jobs of one plant.
type jobs struct {
	due
	p    *PlantState
	on   time.Time
	u    Units
	list []Job
}

// poured is what a job pours.
type poured struct {
	mL    float64
	water string
	dose  *Dose
}

// add adds a job if its day has come and nobody has answered it. The amount is
// put into words only then.
func (w *jobs) add(task Task, due, latest time.Time, amount func() string, what poured, because *Because) {
	due, latest = midnight(due), midnight(latest)
	if due.After(w.on) {
		return
	}
	key := w.p.ID + "/" + string(task) + "/" + due.Format(time.DateOnly)
	if a, answered := w.p.Done[key]; answered && (!a.Skipped || !midnight(a.At).Before(w.on)) {
		return
	}
	// Looks for two pests may fall on one day: they are one look.
	if i := slices.IndexFunc(w.list, func(j Job) bool { return j.Key == key }); i >= 0 {
		w.list[i].Amount += "; " + amount()
		return
	}
	w.list = append(w.list, Job{
		Key: key, Plant: w.p.ID, Label: w.p.Record.Label, Name: w.p.Record.Name, Space: w.space,
		Task: task, Due: due, Latest: latest, Amount: amount(), ML: what.mL, Water: what.water, Dose: what.dose, Minutes: minutesFor[task], Because: because,
		Earliest: due, Wait: w.waitWith(task),
	})
}

// water adds flush, watering, feed and mist. A feed is the last pour of a flush, so
// the flush's millilitres are what is poured before it; rain that was deep enough
// has done the flush.
func (w *jobs) water(repot time.Time, rains []Rain, outdoors bool) {
	f := w.pouring
	every := max(1, int(f.every.Value.Value))
	last := latest(repot, midnight(w.p.LastFlush))
	if outdoors {
		for _, rain := range rains {
			if rain.MM >= f.rainMM && midnight(rain.At).After(last) && rain.FellOn(w.space) {
				last = midnight(rain.At)
			}
		}
	}
	due := last.AddDate(0, 0, every)
	feedDue := latest(repot, midnight(w.p.LastFeed)).AddDate(0, 0, max(1, int(math.Round(w.feedEveryDays))))
	amount := func() string { return f.amount(w.u) }
	flushedToday := midnight(w.p.LastFlush).Equal(w.on)
	if !feedDue.After(w.on) && (flushedToday || !due.After(w.on)) {
		fed := f.total.Value / max(1, f.pours)
		w.add(Flushing, due, due, func() string { return amount() + ", the last pour fed" }, poured{mL: f.total.Value - fed, water: f.water}, f.every.Because)
		w.add(Feeding, feedDue, feedDue.AddDate(0, 0, 3), func() string { return "at " + w.u.Show(w.feeding.Value) }, poured{fed, w.dose.Water, w.dose}, w.feeding.Because)
	} else {
		w.add(Flushing, due, due, amount, poured{mL: f.total.Value, water: f.water}, f.every.Because)
	}
	if f.between != nil && due.After(w.on) {
		next := latest(last, midnight(w.p.LastWatered)).AddDate(0, 0, f.waterEvery)
		w.add(Watering, next, next, func() string { return w.u.Show(f.between.Value) + " of plain water" }, poured{mL: f.between.Value.Value, water: f.water}, f.between.Because)
	}
	if f.wettings > 1 {
		w.add(Misting, w.on, w.on, f.further, poured{mL: 0.2 * f.total.Value, water: f.water}, f.every.Because)
	}
}

// waitWith returns what waiting with a task costs.
func (w *jobs) waitWith(task Task) *Delay {
	switch task {
	case Flushing, Misting:
		return w.pouring.late
	case Watering:
		return w.pouring.lateBetween
	}
	return waits[task]
}

// waits are the tasks that no root zone tells about.
var waits = map[Task]*Delay{LookForPests: lateLook, Review: lateReview, MeasureRoots: lateReading, Photograph: latePicture, Feeding: lateFeed}

// TaskOf returns the task that the key of a job names.
func TaskOf(key string) Task {
	_, rest, _ := strings.Cut(key, "/")
	task, _, _ := strings.Cut(rest, "/")
	return Task(task)
}

// taskDue returns what the key of a job names, and the day it was due.
func taskDue(key string) (task Task, due time.Time, ok bool) {
	_, rest, _ := strings.Cut(key, "/")
	name, date, _ := strings.Cut(rest, "/")
	due, err := time.Parse(time.DateOnly, date)
	return Task(name), due, err == nil
}

// Spent returns what the jobs that were done at a plant on a day took: the
// minutes a task is reckoned with, and the water that was entered.
func (p *PlantState) Spent(on time.Time, pace WorkPace) (minutes, mL float64) {
	for key, a := range p.Done {
		if !a.Skipped && midnight(a.At).Equal(on) {
			minutes += pace.Minutes(TaskOf(key)).Value
			mL += a.VolumeML
		}
	}
	return minutes, mL
}

func latest(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
