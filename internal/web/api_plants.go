package web

import (
	"fmt"
	"net/http"
	"strconv"
	"time"

	"velamen/internal/care"
)

// mostListedPlants is as many plants as one answer lists.
const mostListedPlants = 500

// plantsListed is a part of the list of plants.
type plantsListed struct {
	Total  int           `json:"total"` // that were found
	Plants []plantListed `json:"plants"`
}

// plantListed is one plant of the list.
type plantListed struct {
	ID       string `json:"id"`
	Label    string `json:"label"`
	Name     string `json:"name,omitempty"`
	Group    string `json:"group,omitempty"`
	Space    string `json:"space,omitempty"`
	Standing string `json:"standing,omitempty"`
}

// plantKnown is what the journal says of one plant.
type plantKnown struct {
	ID     string     `json:"id"`
	Record care.Plant `json:"record"`
	Added  time.Time  `json:"added"`
	Ended  *time.Time `json:"ended,omitempty"`
	How    care.Kind  `json:"ended_how,omitempty"`
}

// journalRead is the journal of one plant, the latest first.
type journalRead struct {
	Entries []care.Entry `json:"entries"`
}

// plantOperations are about one plant, or the list of them.
func plantOperations() []operation {
	none := []int{http.StatusNotFound}
	plant := inPath("id", "The plant’s id, as the list of plants has it.", anID)
	return []operation{
		{
			method: http.MethodGet, path: "/api/plants", id: "listPlants", summary: "The plants that live here, or those that are looked for", answer: plantsListed{}, handle: (*Server).apiPlants,
			params: []parameter{
				inQuery("q", "Words of label, name, group or space.", aText), inQuery("space", "Only in this space.", aText), inQuery("group", "Only of this group.", aText),
				inQuery("from", "How many to pass over.", aNumber(0, 1_000_000)), inQuery("limit", "How many to list.", aNumber(1, mostListedPlants)),
			},
		},
		{method: http.MethodGet, path: "/api/plants/{id}", id: "readPlant", summary: "One plant as the journal describes it", answer: plantKnown{}, statuses: none, params: []parameter{plant}, handle: (*Server).apiPlant},
		{
			method: http.MethodGet, path: "/api/plants/{id}/course", id: "readCourse", summary: "The course of a plant on a day, with its verdict, every number with its reasons", answer: care.Course{}, statuses: none, handle: (*Server).apiCourse,
			params: []parameter{plant, inQuery("date", "The day; today if left out.", aDate)},
		},
		{
			method: http.MethodGet, path: "/api/plants/{id}/forecast", id: "readForecast", summary: "Water and salt in the pot of a recovering plant, hour by hour over the coming days",
			answer: care.Forecast{}, statuses: none, params: []parameter{plant}, handle: (*Server).apiForecast,
		},
		{method: http.MethodGet, path: "/api/plants/{id}/journal", id: "readJournal", summary: "Every entry about a plant, corrected ones included, the latest first", answer: journalRead{}, statuses: none, params: []parameter{plant}, handle: (*Server).apiJournal},
	}
}

// dateAsked reads a day from the query.
func (s *Server) dateAsked(r *http.Request, name string, otherwise time.Time) (time.Time, error) {
	text := r.URL.Query().Get(name)
	if text == "" {
		return otherwise, nil
	}
	on, err := time.Parse(time.DateOnly, text)
	if err != nil || on.Year() < 1980 || on.Year() > 2100 {
		return on, fmt.Errorf("%w: %s is %q, which is not a day written like %s", errBadRequest, name, text, s.Book.Today().Format(time.DateOnly))
	}
	return on, nil
}

// numberAsked reads a whole number from the query.
func numberAsked(r *http.Request, name string, otherwise, low, high int) (int, error) {
	text := r.URL.Query().Get(name)
	if text == "" {
		return otherwise, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < low || n > high {
		return 0, fmt.Errorf("%w: %s is %q; a whole number from %d to %d is expected", errBadRequest, name, text, low, high)
	}
	return n, nil
}

func (s *Server) apiPlants(r *http.Request) (any, error) {
	from, err := numberAsked(r, "from", 0, 0, 1_000_000)
	if err != nil {
		return nil, err
	}
	limit, err := numberAsked(r, "limit", mostListedPlants, 1, mostListedPlants)
	if err != nil {
		return nil, err
	}
	q, _ := queryOf(r.URL.Query())
	q.From, q.To = from, from+limit
	found, err := s.Book.Find(r.Context(), q, s.Book.Today())
	if err != nil {
		return nil, err
	}
	list := plantsListed{Total: found.Total, Plants: []plantListed{}}
	for _, p := range found.Plants {
		list.Plants = append(list.Plants, plantListed{p.ID, p.Label, p.Name, p.Group, p.Space, string(p.Standing)})
	}
	return list, nil
}

func (s *Server) apiPlant(r *http.Request) (any, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, err
	}
	p := plantKnown{ID: sp.id, Record: sp.state.Record, Added: sp.state.Added, How: sp.state.EndedHow}
	if !sp.state.Ended.IsZero() {
		p.Ended = &sp.state.Ended
	}
	return p, nil
}

func (s *Server) apiCourse(r *http.Request) (any, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, err
	}
	on, err := s.dateAsked(r, "date", s.Book.Today())
	if err != nil {
		return nil, err
	}
	return s.courseOf(sp, on)
}

func (s *Server) courseOf(sp specimen, on time.Time) (c care.Course, err error) {
	if len(sp.state.Repots) == 0 {
		return c, fmt.Errorf("%w: %s has not been repotted yet, so there is no course", errUnavailable, sp.label())
	}
	if c, err = s.Book.Course(sp.id, on); err != nil {
		return c, fmt.Errorf("%w: %w", errUnavailable, err)
	}
	return c, nil
}

func (s *Server) apiForecast(r *http.Request) (any, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, err
	}
	today := s.Book.Today()
	c, err := s.courseOf(sp, today)
	if err != nil {
		return nil, err
	}
	if !sp.state.Recovering(today) {
		return nil, fmt.Errorf("%w: %s does not recover from a repot now", errUnavailable, sp.label())
	}
	return s.foretell(r.Context(), sp, &c)
}

func (s *Server) apiJournal(r *http.Request) (any, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, err
	}
	entries, err := s.Book.Journal(r.Context(), sp.id)
	return journalRead{entries}, err
}
