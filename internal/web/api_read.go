package web

import (
	"fmt"
	"net/http"
	"strconv"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
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

// comingRead is the work of some days.
type comingRead struct {
	Days []plan.Round `json:"days"`
}

// operations lists everything that programs may ask for.
func operations() []operation {
	bad, none := http.StatusBadRequest, http.StatusNotFound
	plant := inPath("id", "The plant’s id, as the list of plants has it.")
	return []operation{
		{
			method: http.MethodGet, path: "/api/plants", id: "listPlants", summary: "The plants that live here, or those that are looked for", answer: plantsListed{}, statuses: []int{bad}, handle: (*Server).apiPlants,
			params: []parameter{
				inQuery("q", "Words of label, name, group or space.", aText), inQuery("space", "Only in this space.", aText), inQuery("group", "Only of this group.", aText),
				inQuery("from", "How many to pass over.", aNumber(0, 1_000_000)), inQuery("limit", "How many to list.", aNumber(1, mostListedPlants)),
			},
		},
		{method: http.MethodGet, path: "/api/plants/{id}", id: "readPlant", summary: "One plant as the journal describes it", answer: plantKnown{}, statuses: []int{none}, params: []parameter{plant}, handle: (*Server).apiPlant},
		{
			method: http.MethodGet, path: "/api/plants/{id}/course", id: "readCourse", summary: "The course of a plant on a day, every number with its reasons", answer: care.Course{}, statuses: []int{bad, none}, handle: (*Server).apiCourse,
			params: []parameter{plant, inQuery("date", "The day; today if left out.", aDate)},
		},
		{method: http.MethodGet, path: "/api/plants/{id}/journal", id: "readJournal", summary: "Every entry about a plant, corrected ones included, the latest first", answer: journalRead{}, statuses: []int{none}, params: []parameter{plant}, handle: (*Server).apiJournal},
		{
			method: http.MethodGet, path: "/api/round", id: "readRound", summary: "The round of a day", answer: plan.Round{}, statuses: []int{bad}, handle: (*Server).apiRound,
			params: []parameter{inQuery("date", "Today or one of the coming days; today if left out.", aDate)},
		},
		{
			method: http.MethodGet, path: "/api/coming", id: "readComing", summary: "The work of the days ahead, as if each day before had been done", answer: comingRead{}, statuses: []int{bad}, handle: (*Server).apiComing,
			params: []parameter{inQuery("days", "How many days.", aNumber(1, furthestDays))},
		},
		// Sent by the pages themselves too, when they were without reception.
		{method: http.MethodPost, path: "/entries", id: "addEntries", summary: "Add entries to the journal; sent twice they are there once", body: entriesSent{}, answer: entriesTaken{}, statuses: []int{bad, http.StatusConflict, http.StatusRequestEntityTooLarge, http.StatusUnprocessableEntity}},
	}
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
	on := s.Book.Today()
	if text := r.URL.Query().Get("date"); text != "" {
		if on, err = time.Parse(time.DateOnly, text); err != nil || on.Year() < 1980 || on.Year() > 2100 {
			return nil, fmt.Errorf("%w: the date %q is not written like %s", errBadRequest, text, s.Book.Today().Format(time.DateOnly))
		}
	}
	if len(sp.state.Repots) == 0 {
		return nil, fmt.Errorf("%w: %s has not been repotted yet, so there is no course", errUnavailable, sp.label())
	}
	c, err := s.Book.Course(sp.id, on)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errUnavailable, err)
	}
	return c, nil
}

func (s *Server) apiJournal(r *http.Request) (any, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, err
	}
	entries, err := s.Book.Journal(r.Context(), sp.id)
	return journalRead{entries}, err
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
