package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"time"
)

func roundRoutes(on *router) {
	on.get("/{$}", (*Server).showRound)
	on.get("/round/job", (*Server).showJob)
	on.post("/round/answer", (*Server).answerJob)
	on.post("/round/rain", (*Server).noteRain)
	on.post("/round/undo", (*Server).undo)
	on.post("/round/by", (*Server).setBy)
}

// furthestDays is how far ahead a round can be looked at.
const furthestDays = 60

func (s *Server) showRound(w http.ResponseWriter, r *http.Request) error {
	if s.empty() {
		return seeOther(w, r, "/start")
	}
	today := s.Book.Today()
	on, err := dayAsked(r, today)
	if err != nil {
		return err
	}
	if r.Header.Get("Sec-Fetch-Mode") == "navigate" { // a script waits
		ready, err := s.planned(w, r, func(ctx context.Context) error {
			_, _, err := s.Book.Round(ctx, on)
			return err
		})
		if !ready {
			return err
		}
	}
	v, err := s.roundOn(r, on)
	if err != nil {
		return err
	}
	v.Rain = newRainForm(s.units())
	return s.showRoundView(w, r, http.StatusOK, v)
}

// dayAsked reads the day that a round is wanted for: today or later.
func dayAsked(r *http.Request, today time.Time) (time.Time, error) {
	text := r.URL.Query().Get("date")
	if text == "" {
		return today, nil
	}
	on, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return today, fmt.Errorf("%w: the date %q is not written like %s", errBadRequest, text, today.Format(time.DateOnly))
	}
	if on.Before(today) || on.After(today.AddDate(0, 0, furthestDays)) {
		return today, fmt.Errorf("%w: a round can be looked at from today on, up to %d days ahead", errBadRequest, furthestDays)
	}
	return on, nil
}

func (s *Server) showRoundView(w http.ResponseWriter, r *http.Request, status int, v *roundView) error {
	v.Title, v.Here, v.Style = "Round", "round", "round.css"
	if !v.Preview {
		v.Module = "modules/round.js"
	}
	return s.render(w, r, status, "round.html", v)
}

// roundOn makes the view of a day's round.
func (s *Server) roundOn(r *http.Request, on time.Time) (*roundView, error) {
	day, troubles, err := s.Book.Round(r.Context(), on)
	if err != nil {
		return nil, err
	}
	m := s.newRoundMaker()
	today := s.Book.Today()
	v := &roundView{
		Day: longDay(on), Date: on.Format(time.DateOnly), Preview: on.After(today),
		Next: "/?date=" + on.AddDate(0, 0, 1).Format(time.DateOnly), HasLimits: day.Limits.Minutes > 0 || day.Limits.Litres > 0,
		Off: day.Off, Outdoors: m.outdoors, By: byOf(r), Measures: measuresFor(m.units),
	}
	if before := on.AddDate(0, 0, -1); before.After(today) {
		v.Before = "/?date=" + before.Format(time.DateOnly)
	} else if v.Preview {
		v.Before = "/"
	}
	if day.Setup > 0 {
		v.Setup = shownMinutes(day.Setup)
	}
	v.Tallies = []tally{m.minutes(day), m.litres(day)}
	m.part = partAsked(r)
	v.Part, v.Whole, v.Pending = m.part.alone, roundPath(on, today, part{}), day.Pending
	m.lay(v, day)
	for _, t := range troubles[:min(len(troubles), mostTroubles)] {
		v.Troubles = append(v.Troubles, trouble{"/plant/" + t.Plant, t.Label, t.Why})
	}
	v.MoreTroubles = len(troubles) - len(v.Troubles)
	if !v.Preview {
		if v.Done, v.Rains, err = s.doneOn(r.Context(), on, m.units); err != nil {
			return nil, err
		}
		if v.MoreDone = max(0, len(v.Done)-mostDone); v.MoreDone > 0 {
			v.Done = v.Done[:mostDone] // the latest
		}
	}
	return v, nil
}

// longDay writes a day as people say it.
func longDay(on time.Time) string { return on.Format("Monday 2 January") }

// byName is the cookie that keeps who does the round with this device.
const byName = "velamen-by"

// byOf returns who does the round with the device that asks.
func byOf(r *http.Request) string {
	c, err := r.Cookie(byName)
	if err != nil {
		return ""
	}
	name, err := url.QueryUnescape(c.Value)
	if err != nil || len(name) > 4*longestName {
		return ""
	}
	return name
}

// setBy keeps who does the round on the device that asks.
func (s *Server) setBy(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	name := f.short("by")
	if f.wrong() {
		return fmt.Errorf("%w: %s", errBadRequest, f.errors["by"])
	}
	const year = 365 * 24 * 60 * 60
	c := &http.Cookie{Name: byName, Value: url.QueryEscape(name), Path: "/", MaxAge: year, HttpOnly: true, Secure: s.HTTPS, SameSite: http.SameSiteLaxMode}
	if name == "" {
		c.MaxAge = -1
	}
	http.SetCookie(w, c)
	return seeOther(w, r, "/?done=by#who")
}
