package web

import (
	"fmt"
	"net/http"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
)

// How much measured climate one answer tells.
const (
	mostHoursDays  = 93
	mostDaysAnswer = 3 * 366
	usualHourDays  = 7
	usualDayDays   = 92
)

type (
	hoursRead struct {
		Space string             `json:"space"`
		Hours []care.ClimateHour `json:"hours"` // those in which something was measured
	}
	daysRead struct {
		Space string            `json:"space"`
		Days  []care.ClimateDay `json:"days"` // those on which something was measured
	}
	sensorsRead struct {
		Sensors []store.Sensor `json:"sensors"`
	}
)

// spaceOperations are about what is measured in a space.
func spaceOperations() []operation {
	none := []int{http.StatusNotFound}
	params := []parameter{
		inPath("name", "The name of the space.", aText),
		inQuery("from", "The first day; some time before the last if left out.", aDate), inQuery("until", "The last day; today if left out.", aDate),
	}
	return []operation{
		{
			method: http.MethodGet, path: "/api/sensors", id: "listSensors", summary: "What is measured, by space, sensor and quantity, with the last reading of each",
			answer: sensorsRead{}, statuses: none, handle: (*Server).apiSensors,
		},
		{
			method: http.MethodGet, path: "/api/spaces/{name}/hours", id: "readHours", answer: hoursRead{}, statuses: none, params: params, handle: (*Server).apiHours,
			summary: fmt.Sprintf("The measured climate of a space by the hour, of %d days at most", mostHoursDays),
		},
		{
			method: http.MethodGet, path: "/api/spaces/{name}/days", id: "readDays", answer: daysRead{}, statuses: none, params: params, handle: (*Server).apiDays,
			summary: fmt.Sprintf("The measured climate of a space by day and night, of %d days at most", mostDaysAnswer),
		},
	}
}

func (s *Server) apiSensors(r *http.Request) (any, error) {
	if s.Readings == nil {
		return nil, fmt.Errorf("%w: readings", errUnavailable)
	}
	list, err := s.Readings.Sensors(r.Context())
	return sensorsRead{list}, err
}

// daysAsked reads the space and the days of a question about its climate.
func (s *Server) daysAsked(r *http.Request, usual, most int) (space care.Space, from, until time.Time, err error) {
	if space, err = s.spaceOf(r); err != nil {
		return space, from, until, err
	}
	if until, err = s.dateAsked(r, "until", s.clock(space.Name).DateOf(s.Now())); err != nil {
		return space, from, until, err
	}
	if from, err = s.dateAsked(r, "from", until.AddDate(0, 0, 1-usual)); err != nil {
		return space, from, until, err
	}
	if days := int(until.Sub(from).Hours()/24) + 1; days < 1 || days > most {
		err = fmt.Errorf("%w: from %s until %s are %d days; 1 to %d are expected", errBadRequest, from.Format(time.DateOnly), until.Format(time.DateOnly), days, most)
	}
	return space, from, until, err
}

func (s *Server) apiHours(r *http.Request) (any, error) {
	space, from, until, err := s.daysAsked(r, usualHourDays, mostHoursDays)
	if err != nil {
		return nil, err
	}
	clock := s.clock(space.Name)
	hours, err := s.Book.Hours(r.Context(), space.Name, clock.Begin(from), clock.Begin(until.AddDate(0, 0, 1)))
	return hoursRead{space.Name, hours}, err
}

func (s *Server) apiDays(r *http.Request) (any, error) {
	space, from, until, err := s.daysAsked(r, usualDayDays, mostDaysAnswer)
	if err != nil {
		return nil, err
	}
	days, err := s.Book.Days(r.Context(), space.Name, from, until.AddDate(0, 0, 1))
	return daysRead{space.Name, days}, err
}
