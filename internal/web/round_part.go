package web

import (
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"velamen/internal/plan"
)

// Beyond these a page takes too long to read anyhow, and to load: a longer round
// is shown part by part, each space on a page of its own.
const (
	mostJobs     = 120
	mostWaits    = 8
	mostDone     = 30
	mostTroubles = 30
)

// part is what a page shows of a round: all of it, or one space alone.
type part struct {
	alone bool
	space string
}

func partAsked(r *http.Request) part {
	q := r.URL.Query()
	return part{q.Has("space"), q.Get("space")}
}

func (p part) holds(space string) bool { return !p.alone || p.space == space }

// partView leads to the page of one space.
type partView struct {
	Path, Space, Says string
}

// roundPath is the address of a round, or of the part of one space.
func roundPath(on, today time.Time, p part) string {
	q := url.Values{}
	if on.After(today) {
		q.Set("date", on.Format(time.DateOnly))
	}
	if p.alone {
		q.Set("space", p.space)
	}
	if len(q) == 0 {
		return "/"
	}
	return "/?" + q.Encode()
}

// rest counts jobs of a space that the page does not show.
type rest struct {
	jobs, waits int
	minutes     float64
}

// rests are those of several spaces.
type rests map[string]*rest

func (l rests) in(space string) *rest {
	if l[space] == nil {
		l[space] = &rest{}
	}
	return l[space]
}

// inOrder returns the spaces in walking order, then those that are not on the
// walk.
func (l rests) inOrder(walk []string) []string {
	place := func(space string) int {
		if i := slices.IndexFunc(walk, func(name string) bool { return strings.EqualFold(name, space) }); i >= 0 {
			return i
		}
		return len(walk)
	}
	return slices.SortedFunc(maps.Keys(l), func(x, y string) int {
		return cmp.Or(place(x)-place(y), strings.Compare(x, y))
	})
}

// lay shows a day's jobs in walking order, then those that wait, and where the
// rest is.
func (m *roundMaker) lay(v *roundView, day plan.Round) {
	m.on = day.On
	left := rests{}
	for _, stop := range day.Stops {
		if m.part.holds(stop.Space) {
			m.stop(v, stop, left)
		}
	}
	m.waits(v, day, left)
	for _, space := range left.inOrder(m.walk) {
		v.Rest = append(v.Rest, partView{m.path(space), m.place(space), left[space].says()})
	}
	v.Reasons = m.reasons
	v.Open = len(v.Stops) > 0 || len(v.Waits) > 0
	linkNext(v)
}

func (m *roundMaker) path(space string) string {
	return roundPath(m.on, m.s.Book.Today(), part{true, space})
}

func (m *roundMaker) place(space string) string { return sentence(orWord(space, "somewhere")) }

func (m *roundMaker) stop(v *roundView, stop plan.Stop, left rests) {
	room := mostJobs
	for i := range v.Stops {
		for j := range v.Stops[i].Plants {
			room -= len(v.Stops[i].Plants[j].Jobs)
		}
	}
	shown := min(room, len(stop.Jobs))
	if more := stop.Jobs[shown:]; len(more) > 0 && !m.part.alone {
		one := left.in(stop.Space)
		one.jobs = len(more)
		for i := range more {
			one.minutes += more[i].Minutes.Value
		}
	}
	if shown == 0 {
		return
	}
	s := stopView{
		Space: m.place(stop.Space), Sum: shownMinutes(stop.Minutes) + ", " + shownLitres(m.units, stop.Litres), More: len(stop.Jobs) - shown,
	}
	if !m.part.alone {
		s.All = m.path(stop.Space)
	}
	for _, job := range stop.Jobs[:shown] {
		if n := len(s.Plants); n == 0 || s.Plants[n-1].Path != "/plant/"+job.Plant {
			s.Plants = append(s.Plants, plantJobs{Path: "/plant/" + job.Plant, Label: job.Label, Name: job.Name})
		}
		at := &s.Plants[len(s.Plants)-1]
		at.Jobs = append(at.Jobs, m.job(job))
	}
	v.Stops = append(v.Stops, s)
}

// waits shows the jobs that do not fit, of very many those whose waiting costs
// most, and how long all of them take.
func (m *roundMaker) waits(v *roundView, day plan.Round, left rests) {
	var here []int
	sum := 0.0
	for i := range day.Waits {
		if job := &day.Waits[i].Job; m.part.holds(job.Space) {
			here = append(here, i)
			sum += job.Minutes.Value
		}
	}
	v.WaitsCount, v.WaitsMinutes = len(here), shownMinutes(sum)
	hidden := max(0, len(here)-mostWaits) // the least harmful come first
	if !m.part.alone {
		for _, i := range here[:hidden] {
			left.in(day.Waits[i].Job.Space).waits++
		}
	}
	for _, i := range here[hidden:] {
		w := &day.Waits[i]
		one := m.job(w.Job)
		one.Cost = waitingCost(w)
		v.Waits = append(v.Waits, waitView{Path: "/plant/" + w.Job.Plant, Label: w.Job.Label, Name: w.Job.Name, Space: w.Job.Space, Job: one})
	}
}

// waitingCost says what waiting costs and until when it waits.
func waitingCost(w *plan.Waiting) string {
	text := w.Cost
	if w.Stress >= 0.005 {
		text += " (" + shownStress(w.Stress) + " stress days)"
	}
	return text + "; " + plannedFor(w.Planned)
}

// says tells how many jobs are not shown.
func (r *rest) says() string {
	text := ""
	if r.jobs > 0 {
		text = fmt.Sprintf("%d more, %s", r.jobs, shownMinutes(r.minutes))
	}
	if r.waits > 0 {
		if text != "" {
			text += "; "
		}
		wait := "wait"
		if r.waits == 1 {
			wait = "waits"
		}
		text += fmt.Sprintf("%d %s", r.waits, wait)
	}
	return text
}
