// Package plan turns the jobs of all plants into a day's round: in walking
// order, within the minutes and litres there are.
package plan

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
)

// Limits are what a day allows; zero means that no limit was given.
type Limits struct {
	Minutes float64 `json:"minutes,omitempty"`
	Litres  float64 `json:"litres,omitempty"`
}

// Round is a day's work in walking order.
type Round struct {
	On     time.Time `json:"on"`
	Stops  []Stop    `json:"stops"`
	Waits  []Waiting `json:"waits,omitempty"` // what does not fit, the least harmful first
	Need   Limits    `json:"need"`            // everything due
	Fits   Limits    `json:"fits"`            // what the round itself takes
	Done   Limits    `json:"done"`            // what was done today already
	Limits Limits    `json:"limits"`          // what the whole day allows
	Setup  float64   `json:"setup_minutes"`   // of what fits: going to spaces and mixing
	Off    bool      `json:"off,omitempty"`   // the day allows no time at all

	Pending int `json:"pending,omitempty"` // plants whose jobs are still being worked out and not in it
}

// Stop is the part of a round in one space.
type Stop struct {
	Space   string     `json:"space"`
	Jobs    []care.Job `json:"jobs"`
	Minutes float64    `json:"minutes"`
	Litres  float64    `json:"litres"`
}

// Waiting is a job that does not fit today, and what the delay costs.
type Waiting struct {
	Job     care.Job  `json:"job"`
	Cost    string    `json:"cost"`
	Stress  float64   `json:"stress_days"`
	Planned time.Time `json:"planned_for,omitzero"` // zero: it is left out
}

var costs = map[care.Task]string{
	care.Misting:      "roots on the mount dry out",
	care.Watering:     "the medium dries further than this plant likes",
	care.Flushing:     "the roots stand drier and saltier than the course reckons with",
	care.LookForPests: "survivors may lay eggs before they are seen",
	care.Review:       "a step up is earned later",
	care.Feeding:      "nothing, for some days",
	care.MeasureRoots: "growth is told from standstill later",
	care.Photograph:   "nothing",
}

// Round lays out one day of the plan. Spaces come in walking order; plants within
// a space by label; tasks at a plant in the order in which they are done. What is
// due by then and planned for another day waits, the least harmful first. words
// puts a thing into jobs.
func (a *Ahead) Round(day int, walk []string, words func(plant, coming, day int) []care.Job) Round {
	d := &a.Days[day]
	r := Round{On: d.On, Setup: d.Setup}
	r.Fits.Minutes = d.Minutes
	var jobs []care.Job
	for _, placed := range d.Items {
		list := words(placed.Plant, placed.Coming, day)
		if _, c := a.Of(placed.Plant, placed.Coming); c.Fed && !placed.Fed && len(list) > 1 {
			a.waits(&r, list[1:], none, c.FeedLeftOut)
			list = list[:1]
		}
		for i := range list {
			r.Fits.Litres += list[i].ML / 1000
		}
		jobs = append(jobs, list...)
	}
	for i, one := range a.refs {
		o := a.option(i)
		_, c := a.Of(int(one.plant), int(one.coming))
		if c.Due > day || c.First > day || c.Last < day || int(o.Day) == day || o.Day >= 0 && int(o.Day) < day {
			continue
		}
		cost := a.out[i]
		if o.Day >= 0 {
			cost = c.CostOn(int(o.Day))
		}
		a.waits(&r, words(int(one.plant), int(one.coming), day), int(o.Day), cost)
	}
	slices.SortStableFunc(r.Waits, func(x, y Waiting) int {
		return cmp.Or(cmp.Compare(x.Stress, y.Stress), strings.Compare(x.Job.Key, y.Job.Key))
	})
	r.Need = r.Fits
	for i := range r.Waits {
		r.Need.Minutes += r.Waits[i].Job.Minutes.Value
		r.Need.Litres += r.Waits[i].Job.ML / 1000
	}
	r.Stops = stops(jobs, walk)
	return r
}

// waits adds jobs that are not done on their day. cost is that of all of them.
func (a *Ahead) waits(r *Round, jobs []care.Job, planned int, cost float64) {
	for i, job := range jobs {
		w := Waiting{Job: job, Cost: costs[job.Task]}
		if i == 0 {
			w.Stress = cost
		}
		if w.Stress == 0 {
			w.Cost = "nothing"
		}
		if planned >= 0 {
			w.Planned = a.From.AddDate(0, 0, planned)
		}
		r.Waits = append(r.Waits, w)
	}
}

// Lay lays out jobs in walking order as they come, without regard to what the day
// allows.
func Lay(jobs []care.Job, walk []string, on time.Time) Round {
	r := Round{On: on, Stops: stops(jobs, walk)}
	for _, s := range r.Stops {
		r.Fits.Minutes += s.Minutes
		r.Fits.Litres += s.Litres
	}
	r.Need = r.Fits
	return r
}

// stops sorts jobs into walking order.
func stops(jobs []care.Job, walk []string) (list []Stop) {
	places := placesIn(walk)
	order := make([]place, len(jobs))
	for i := range jobs {
		order[i] = place{i, places.of(jobs[i].Space)}
	}
	slices.SortFunc(order, func(a, b place) int {
		x, y := &jobs[a.job], &jobs[b.job]
		return cmp.Or(a.walk-b.walk, strings.Compare(x.Space, y.Space), strings.Compare(x.Label, y.Label),
			strings.Compare(x.Plant, y.Plant), slices.Index(care.Tasks, x.Task)-slices.Index(care.Tasks, y.Task), a.job-b.job)
	})
	for _, p := range order {
		job := &jobs[p.job]
		if n := len(list); n == 0 || list[n-1].Space != job.Space {
			list = append(list, Stop{Space: job.Space})
		}
		s := &list[len(list)-1]
		s.Jobs = append(s.Jobs, *job)
		s.Minutes += job.Minutes.Value
		s.Litres += job.ML / 1000
	}
	return list
}

// place is where in a round a job comes.
type place struct{ job, walk int }

// places are the spaces in walking order; what is not on the walk comes last.
type places struct {
	walk []string
	met  map[string]int
}

func placesIn(walk []string) places { return places{walk, map[string]int{}} }

func (p places) of(space string) int {
	at, ok := p.met[space]
	if !ok {
		if at = slices.IndexFunc(p.walk, func(name string) bool { return strings.EqualFold(name, space) }); at < 0 {
			at = len(p.walk)
		}
		p.met[space] = at
	}
	return at
}
