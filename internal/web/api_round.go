package web

import (
	"fmt"
	"net/http"
	"slices"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// comingRead is the work of some days.
type comingRead struct {
	Days []plan.Round `json:"days"`
}

// jobAnswer says that a job was done, or why not.
type jobAnswer struct {
	Entry   string `json:"entry,omitempty"`   // a UUID made by the sender: sent twice it is one entry
	Job     string `json:"job"`               // its key, as the round has it
	Skipped string `json:"skipped,omitempty"` // why it was not done; left out where it was
	Note    string `json:"note,omitempty"`
	By      string `json:"by,omitempty"`
}

// roundOperations are about the work of a day.
func roundOperations() []operation {
	return []operation{
		{
			method: http.MethodGet, path: "/api/round", id: "readRound", summary: "The round of a day", answer: plan.Round{}, handle: (*Server).apiRound,
			params: []parameter{inQuery("date", "Today or one of the coming days; today if left out.", aDate)},
		},
		{
			method: http.MethodGet, path: "/api/coming", id: "readComing", summary: "The work of the days ahead, as if each day before had been done", answer: comingRead{}, handle: (*Server).apiComing,
			params: []parameter{inQuery("days", "How many days.", aNumber(1, furthestDays))},
		},
		{
			method: http.MethodPost, path: "/api/round/answers", id: "answerJob", scope: writeScope, statuses: []int{http.StatusNotFound, http.StatusConflict, http.StatusUnprocessableEntity},
			summary: "Tick a job of today as done in the amount that it asked for, or skip it with a reason; one that takes a measurement is answered by an entry. Answered twice, it is answered once",
			body:    jobAnswer{}, example: jobAnswer{Job: "0190b5c2-7d3e-7000-8000-0123456789ab/flush/2026-11-24", Note: "drained for ten minutes"}, answer: entriesTaken{}, handle: (*Server).apiAnswer,
		},
	}
}

func (s *Server) apiRound(r *http.Request) (any, error) {
	on, err := dayAsked(r, s.Book.Today())
	if err != nil {
		return nil, err
	}
	round, _, err := s.Book.Round(r.Context(), on)
	return round, err
}

func (s *Server) apiComing(r *http.Request) (any, error) {
	days, err := numberAsked(r, "days", 14, 1, furthestDays)
	if err != nil {
		return nil, err
	}
	coming, err := s.Book.Coming(r.Context(), s.Book.Today(), days)
	if err != nil {
		return nil, err
	}
	list := comingRead{Days: make([]plan.Round, len(coming))}
	for i, day := range coming {
		list.Days[i] = day.Round
	}
	return list, nil
}

// apiAnswer takes a tick as the to-do list and the sitter's link do.
func (s *Server) apiAnswer(r *http.Request) (any, error) {
	var a jobAnswer
	if err := readSent(r, &a); err != nil {
		return nil, err
	}
	s.ticking.Lock()
	defer s.ticking.Unlock()
	jobs, err := s.openToday(r.Context())
	if err != nil {
		return nil, err
	}
	taken := entriesTaken{Taken: []string{}, Added: []string{}}
	i := slices.IndexFunc(jobs, func(j care.Job) bool { return j.Key == a.Job })
	if i < 0 {
		answered := false
		s.Book.Read(func(c *care.Collection) {
			if p := c.Plants[plantOfJob(a.Job)]; p != nil {
				answer := p.Done[a.Job]
				if answered = answer.Entry != ""; answered {
					taken.Taken = append(taken.Taken, answer.Entry)
				}
			}
		})
		if !answered {
			return nil, fmt.Errorf("%w: the job %q is not among those of today", errUnavailable, a.Job)
		}
		return taken, nil
	}
	if !tickable(jobs[i].Task) && a.Skipped == "" {
		return nil, fmt.Errorf("%w: a %s is answered by an entry that says what was seen", errBadRequest, jobs[i].Task)
	}
	e := s.ticked(jobs[i], a.Skipped, a.Note)
	e.By, e.ID = a.By, orWord(a.Entry, e.ID)
	return s.keepSent(r.Context(), []care.Entry{e})
}
