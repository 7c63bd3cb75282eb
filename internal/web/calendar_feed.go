package web

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"velamen/internal/calendar"
	"velamen/internal/care"
)

func calendarRoutes(on *router) {
	on.get("/calendar/{file}", (*Server).sendFeed, anyone)
	on.get("/calendar.ics", (*Server).sendCalendar)
}

// feedDaysAhead is how far ahead a calendar goes.
const feedDaysAhead = furthestDays

// sendFeed sends the calendar that an address stands for, to whoever has it.
func (s *Server) sendFeed(w http.ResponseWriter, r *http.Request) error {
	token, ok := strings.CutSuffix(r.PathValue("file"), ".ics")
	if !ok {
		return notThere(r)
	}
	l, err := s.linkOf(r.Context(), token, linkCalendar)
	if err != nil {
		return err
	}
	f := calendar.Feed{ID: l.ID, Name: "Velamen", Address: s.address(r)}
	var holds func(care.Job) bool
	switch plant := trimSort(l.Subject, linkPlant); {
	case plant != "":
		s.Book.Read(func(c *care.Collection) {
			if p := c.Plants[plant]; p != nil {
				f.Name = joinComma(f.Name, orWord(p.Record.Label, p.Record.Name))
			}
		})
		f.Plant, holds = plant, calendar.OfPlant(plant)
	case l.Subject != "":
		f.Name, holds = joinComma(f.Name, l.Subject), calendar.InSpace(l.Subject)
	}
	return s.sendDays(w, r, f, holds)
}

// sendCalendar sends the same as a file, to those who may see the round.
func (s *Server) sendCalendar(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Content-Disposition", `attachment; filename="velamen.ics"`)
	return s.sendDays(w, r, calendar.Feed{ID: "file", Name: "Velamen", Address: s.address(r)}, nil)
}

// sendDays sends the days ahead as a calendar.
func (s *Server) sendDays(w http.ResponseWriter, r *http.Request, f calendar.Feed, holds func(care.Job) bool) error {
	if err := readHours(r, &f); err != nil {
		return err
	}
	coming, err := s.Book.Coming(r.Context(), s.Book.Today(), feedDaysAhead)
	if err != nil {
		return err
	}
	days := make([]calendar.Day, len(coming))
	for i, day := range coming {
		days[i] = calendar.Day{On: day.On, Round: day.Round}
	}
	f.Made, f.Entries, f.Days = s.Now(), s.Book.Entries(), calendar.Of(days, holds)
	var text bytes.Buffer
	if err := f.Write(&text); err != nil {
		return err
	}
	w.Header().Set("Content-Type", calendar.Media)
	content := choosePacked(w, r, text.Bytes(), packed(text.Bytes()))
	_, err = w.Write(content)
	return err
}

// readHours reads what an address adds about the hour, its zone and an alarm:
// ?at=07:30&zone=Europe/Vienna&alarm=15.
func readHours(r *http.Request, f *calendar.Feed) error {
	q := r.URL.Query()
	wrong := func(err error) error { return fmt.Errorf("%w: %w", errBadRequest, err) }
	if text := q.Get("at"); text != "" {
		at, err := calendar.ParseClock(text)
		if err != nil {
			return wrong(err)
		}
		f.At = &at
	}
	if text := q.Get("zone"); text != "" {
		zone, err := time.LoadLocation(text)
		if err != nil || text == "Local" {
			return wrong(fmt.Errorf("the time zone %q is not known; write it as in Europe/Vienna", text))
		}
		f.Zone = zone
	}
	if text := q.Get("alarm"); text != "" {
		const most = 24 * 60
		minutes, err := strconv.Atoi(text)
		if err != nil || minutes < 0 || minutes > most {
			return wrong(fmt.Errorf("the alarm %q is no number of minutes from 0 to %d", text, most))
		}
		f.Alarm = &minutes
	}
	return nil
}
