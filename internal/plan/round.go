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
	Job  care.Job `json:"job"`
	Cost string   `json:"cost"`
}

// harm ranks tasks by what a day's delay does to a plant that has lost roots.
var harm = map[care.Task]int{
	care.Misting: 6, care.Watering: 6, care.Flushing: 5, care.LookForPests: 4, care.Review: 3, care.Feeding: 2, care.MeasureRoots: 1, care.Photograph: 0,
}

var costs = map[care.Task]string{
	care.Misting:      "roots on the mount dry out today",
	care.Watering:     "the medium dries further than this plant likes",
	care.Flushing:     "the roots stand drier and saltier than the course reckons with",
	care.LookForPests: "survivors may lay eggs before they are seen",
	care.Review:       "a step up is earned a day later",
	care.Feeding:      "nothing, for some days",
	care.MeasureRoots: "growth is told from standstill a day later",
	care.Photograph:   "nothing",
}

// Make lays out the jobs of a day that are still to be done, when done has been
// taken from its limits already. Spaces come in walking order; plants within a
// space by label; tasks at a plant in the order in which they are done. When
// the limits do not hold everything, the jobs whose delay harms least wait: of
// equal harm those that are least overdue.
func Make(jobs []care.Job, walk []string, on time.Time, limits, done Limits) Round {
	r := Round{On: on, Limits: limits, Done: done}
	urgent := slices.Clone(jobs)
	slices.SortStableFunc(urgent, func(a, b care.Job) int {
		return cmp.Or(cmp.Compare(harm[b.Task], harm[a.Task]), a.Latest.Compare(b.Latest), strings.Compare(a.Key, b.Key))
	})
	var today []care.Job
	for _, job := range urgent {
		minutes, litres := job.Minutes.Value, job.ML/1000
		r.Need.Minutes += minutes
		r.Need.Litres += litres
		if exceeds(done.Minutes+r.Fits.Minutes+minutes, limits.Minutes) || exceeds(done.Litres+r.Fits.Litres+litres, limits.Litres) {
			r.Waits = append(r.Waits, Waiting{job, costs[job.Task]})
			continue
		}
		r.Fits.Minutes += minutes
		r.Fits.Litres += litres
		today = append(today, job)
	}
	slices.Reverse(r.Waits)
	place := func(space string) int {
		if i := slices.IndexFunc(walk, func(name string) bool { return strings.EqualFold(name, space) }); i >= 0 {
			return i
		}
		return len(walk)
	}
	slices.SortStableFunc(today, func(a, b care.Job) int {
		return cmp.Or(cmp.Compare(place(a.Space), place(b.Space)), strings.Compare(a.Space, b.Space), strings.Compare(a.Label, b.Label))
	})
	for _, job := range today {
		if n := len(r.Stops); n == 0 || r.Stops[n-1].Space != job.Space {
			r.Stops = append(r.Stops, Stop{Space: job.Space})
		}
		stop := &r.Stops[len(r.Stops)-1]
		stop.Jobs = append(stop.Jobs, job)
		stop.Minutes += job.Minutes.Value
		stop.Litres += job.ML / 1000
	}
	return r
}

// exceeds allows for the rounding of sums.
func exceeds(sum, limit float64) bool { return limit > 0 && sum > limit+1e-9 }
