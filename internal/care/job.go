package care

import (
	"fmt"
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
	Key     string      `json:"key"` // plant, task and due day: the same however often it is worked out
	Plant   string      `json:"plant"`
	Label   string      `json:"label"`
	Name    string      `json:"name,omitempty"`
	Space   string      `json:"space"`
	Task    Task        `json:"task"`
	Due     time.Time   `json:"due"`
	Latest  time.Time   `json:"latest"` // after this day the delay costs something
	Amount  string      `json:"amount"` // what to do, in the reader's units
	ML      float64     `json:"ml,omitempty"`
	Minutes basis.Value `json:"minutes"`
	Because *Because    `json:"because"`
	Rained  bool        `json:"rained,omitempty"` // done by the rain
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
// was skipped is asked again the next day.
func Jobs(p *PlantState, c *Course, rains []Rain, outdoors bool, on time.Time, u Units) []Job {
	on = midnight(on)
	w := &jobs{p: p, c: c, on: on, u: u}
	repot := midnight(c.Repot)
	week := int(course.StepDays.Value)

	for _, m := range c.Marks {
		if m.Task == "" {
			continue
		}
		answered := p.LastReview
		if m.Task == LookForPests {
			answered = p.LastPestLook
		}
		if !answered.IsZero() && !midnight(answered).Before(m.Date.AddDate(0, 0, -week+1)) {
			continue
		}
		w.add(m.Task, m.Date, m.Date.AddDate(0, 0, 2), m.What, 0, m.Because)
	}
	looked := latest(repot, p.LastRootsRead)
	w.add(MeasureRoots, looked.AddDate(0, 0, week), looked.AddDate(0, 0, week+3), "two or three marked tips", 0, &Because{
		Rule: "a week's growth is the smallest that a ruler can tell from its own error", Inputs: []Input{{"measure every", course.StepDays}},
	})
	pictured := latest(repot, p.LastPhotograph)
	every := int(photographEveryDays.Value)
	w.add(Photograph, pictured.AddDate(0, 0, every), pictured.AddDate(0, 0, 2*every), "the same side, with a scale", 0, &Because{
		Rule: "a picture every fortnight shows slow changes", Inputs: []Input{{"photograph every", photographEveryDays}},
	})
	w.water(repot, rains, outdoors)
	return w.list
}

// jobs collects the jobs of one plant.
type jobs struct {
	p    *PlantState
	c    *Course
	on   time.Time
	u    Units
	list []Job
}

func (w *jobs) add(task Task, due, latest time.Time, amount string, mL float64, because *Because) {
	due, latest = midnight(due), midnight(latest)
	key := fmt.Sprintf("%s/%s/%s", w.p.ID, task, due.Format(time.DateOnly))
	if due.After(w.on) {
		return
	}
	if a, answered := w.p.Done[key]; answered && (!a.Skipped || !midnight(a.At).Before(w.on)) {
		return
	}
	// Looks for two pests may fall on one day: they are one look.
	if i := slices.IndexFunc(w.list, func(j Job) bool { return j.Key == key }); i >= 0 {
		w.list[i].Amount += "; " + amount
		return
	}
	w.list = append(w.list, Job{
		Key: key, Plant: w.p.ID, Label: w.p.Record.Label, Name: w.p.Record.Name, Space: w.c.Space,
		Task: task, Due: due, Latest: latest, Amount: amount, ML: mL, Minutes: minutesFor[task], Because: because,
	})
}

// water adds flush, watering, feed and mist. A feed runs through like a flush, and rain
// that was deep enough has done the flush.
func (w *jobs) water(repot time.Time, rains []Rain, outdoors bool) {
	f := w.c.Flush
	every := max(1, int(f.Every.Value.Value))
	last := latest(repot, midnight(w.p.LastFlush))
	if outdoors {
		for _, rain := range rains {
			if rain.MM >= f.RainMM && midnight(rain.At).After(last) && rain.FellOn(w.c.Space) {
				last = midnight(rain.At)
			}
		}
	}
	due := last.AddDate(0, 0, every)
	feedDue := latest(repot, midnight(w.p.LastFeed)).AddDate(0, 0, max(1, int(math.Round(w.c.Usual.FeedEvery.Value))))
	amount := w.u.Show(f.Total.Value)
	if f.Pours.Value.Value > 1 {
		amount += fmt.Sprintf(" in %.0f pours, %.0f min between", f.Pours.Value.Value, f.Wait.Value.Value)
	}
	flushedToday := midnight(w.p.LastFlush).Equal(w.on)
	if !feedDue.After(w.on) && (flushedToday || !due.After(w.on)) {
		n := w.c.Now
		text := "at " + w.u.Show(n.FeedECmS.Value)
		because := n.FeedECmS.Because
		if n.FeedGramsPerLitre != nil {
			text = "at " + w.u.Show(n.FeedGramsPerLitre.Value)
			because = n.FeedGramsPerLitre.Because
		}
		w.add(Flushing, due, due, amount+", the last pour fed", f.Total.Value.Value, f.Every.Because)
		w.add(Feeding, feedDue, feedDue.AddDate(0, 0, 3), text, 0, because)
	} else {
		w.add(Flushing, due, due, amount, f.Total.Value.Value, f.Every.Because)
	}
	if f.Between != nil && due.After(w.on) {
		watered := latest(last, midnight(w.p.LastWatered))
		next := watered.AddDate(0, 0, f.WaterEvery)
		w.add(Watering, next, next, w.u.Show(f.Between.Value)+" of plain water", f.Between.Value.Value, f.Between.Because)
	}
	if f.Wettings > 1 {
		text := "one more wetting today, hours later"
		if f.Wettings > 2 {
			text = fmt.Sprintf("%d more wettings today, hours apart", f.Wettings-1)
		}
		w.add(Misting, w.on, w.on, text, 0.2*f.Total.Value.Value, f.Every.Because)
	}
}

// TaskOf returns the task that the key of a job names.
func TaskOf(key string) Task {
	_, rest, _ := strings.Cut(key, "/")
	task, _, _ := strings.Cut(rest, "/")
	return Task(task)
}

// Spent returns what the jobs that were done at a plant on a day took: the
// minutes a task is reckoned with, and the water that was entered.
func (p *PlantState) Spent(on time.Time) (minutes, mL float64) {
	for key, a := range p.Done {
		if !a.Skipped && midnight(a.At).Equal(on) {
			minutes += minutesFor[TaskOf(key)].Value
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
