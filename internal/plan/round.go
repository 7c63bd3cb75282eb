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
// equal harm those that are least overdue. A feed is given with a flush and
// waits with it.
func Make(jobs []care.Job, walk []string, on time.Time, limits, done Limits) Round {
	r := Round{On: on, Limits: limits, Done: done}
	today := make([]place, 0, len(jobs))
	var waits []int
	dry := map[string]bool{} // plants whose flush waits
	places := placesIn(walk)
	for _, i := range byUrgency(jobs) {
		job := &jobs[i]
		minutes, litres := job.Minutes.Value, job.ML/1000
		r.Need.Minutes += minutes
		r.Need.Litres += litres
		if exceeds(done.Minutes+r.Fits.Minutes+minutes, limits.Minutes) || exceeds(done.Litres+r.Fits.Litres+litres, limits.Litres) ||
			job.Task == care.Feeding && dry[job.Plant] {
			if job.Task == care.Flushing {
				dry[job.Plant] = true
			}
			waits = append(waits, i)
			continue
		}
		r.Fits.Minutes += minutes
		r.Fits.Litres += litres
		today = append(today, place{i, places.of(job.Space)})
	}
	r.Waits = slices.Grow(r.Waits, len(waits))
	for _, i := range slices.Backward(waits) {
		r.Waits = append(r.Waits, Waiting{jobs[i], costs[jobs[i].Task]})
	}
	slices.SortFunc(today, func(a, b place) int {
		x, y := &jobs[a.job], &jobs[b.job]
		if a.walk != b.walk {
			return a.walk - b.walk
		}
		if x.Space != y.Space {
			return strings.Compare(x.Space, y.Space)
		}
		if x.Label != y.Label {
			return strings.Compare(x.Label, y.Label)
		}
		return a.job - b.job // as they come at the plant
	})
	for len(today) > 0 {
		space := jobs[today[0].job].Space
		here := slices.IndexFunc(today, func(p place) bool { return jobs[p.job].Space != space })
		if here < 0 {
			here = len(today)
		}
		stop := Stop{Space: space, Jobs: make([]care.Job, here)}
		for i, p := range today[:here] {
			job := &jobs[p.job]
			stop.Jobs[i] = *job
			stop.Minutes += job.Minutes.Value
			stop.Litres += job.ML / 1000
		}
		r.Stops = append(r.Stops, stop)
		today = today[here:]
	}
	return r
}

// place is where in a round a job comes.
type place struct{ job, walk int }

// byUrgency returns the places of jobs in a list, the most urgent first.
func byUrgency(jobs []care.Job) []int {
	type urgency struct {
		job, harm int
		latest    int64
	}
	list := make([]urgency, len(jobs))
	for i := range jobs {
		list[i] = urgency{i, harm[jobs[i].Task], jobs[i].Latest.Unix()}
	}
	slices.SortFunc(list, func(a, b urgency) int {
		if a.harm != b.harm {
			return b.harm - a.harm
		}
		if a.latest != b.latest {
			return cmp.Compare(a.latest, b.latest)
		}
		return cmp.Or(strings.Compare(jobs[a.job].Key, jobs[b.job].Key), a.job-b.job)
	})
	order := make([]int, len(list))
	for i, u := range list {
		order[i] = u.job
	}
	return order
}

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

// exceeds allows for the rounding of sums.
func exceeds(sum, limit float64) bool { return limit > 0 && sum > limit+1e-9 }
