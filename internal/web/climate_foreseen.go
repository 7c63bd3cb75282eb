package web

import (
	"bytes"
	"fmt"
	"net/http"

	"velamen/internal/care"
	"velamen/internal/readings"
)

// What a file holds: what was measured, or a forecast.
const (
	holdsMeasured    = ""
	holdsForecast    = "forecast"
	holdsForOutdoors = "outdoors" // a forecast for every outdoor space
)

// holdsField asks what a file holds.
func holdsField(space care.Space) field {
	return field{Name: "holds", Label: "It holds", Type: "select", Options: []choice{
		{holdsMeasured, "what was measured here", true}, {holdsForecast, "a forecast for " + space.Name, false}, {holdsForOutdoors, "a forecast for outdoors", false},
	}, Hint: "One for outdoors drives the plan of the spaces under the open sky. A room takes only the air behind its glass from it, for dew and humidifier: its own warmth, humidity and light follow heating, airing and curtains, which no forecast of outdoors tells."}
}

// foreseenView is the forecast that a space goes by.
type foreseenView struct{ Says, Entry, Path string }

// foreseen returns the forecast that a space goes by now, or nil.
func (s *Server) foreseen(space care.Space) *foreseenView {
	var f care.ForeseenAt
	var ok bool
	s.Book.Read(func(c *care.Collection) { f, ok = c.ForeseenIn(space.Name) })
	zone := s.zone()
	if !ok || !f.Until().After(s.Now()) {
		return nil
	}
	says := fmt.Sprintf("The plan goes by the forecast file %s of %s, until %s; what is measured counts before it.",
		f.File, f.At.In(zone).Format("2 January"), f.Until().In(zone).Format("Monday 2 January, 15:04"))
	if f.Space == "" {
		says += " It is for all outdoor spaces."
	}
	return &foreseenView{Says: says, Entry: f.Entry, Path: spacePath(space.Name) + "/forecast/remove"}
}

// takeForecast shows how a forecast is read, or keeps the one that was shown.
func (s *Server) takeForecast(w http.ResponseWriter, r *http.Request, f *form, file waitingFile, o readings.Options, keep bool) error {
	v, err := s.newClimateView(r)
	if err != nil {
		return err
	}
	if f.text("holds") == holdsForOutdoors {
		o.Space = ""
	}
	foreseen, report, err := readings.Foresee(r.Context(), readings.File{Name: file.name, ReadSeeker: bytes.NewReader(file.content), Bytes: int64(len(file.content))}, o, s.Now())
	if err != nil && r.Context().Err() != nil {
		return err
	}
	if err != nil {
		f.say("file", "%s", ended(sentence(err.Error())))
		f.keep(v.Upload.fields()...)
		v.Upload.File.Error = f.errors["file"]
		v.Upload.Waiting, v.Upload.Name = file.id, file.name
		return s.render(w, r, http.StatusUnprocessableEntity, "climate.html", v)
	}
	if keep {
		e := s.newEntry(care.ForecastIn, "", care.Detail{Foreseen: &foreseen})
		e.By = byOf(r)
		if problems := e.Check(s.Now()); len(problems) > 0 {
			return fmt.Errorf("%w: %w", errBadRequest, problems[0])
		}
		if _, err := s.Book.Append(r.Context(), e); err != nil {
			return err
		}
		return seeOther(w, r, v.Path+"/climate?done=foreseen")
	}
	f.keep(v.Upload.fields()...)
	v.Upload.Name, v.Upload.Waiting = file.name, file.id
	report.Findings.Gaps, report.Findings.Values = 0, 0 // it tells of itself below
	v.Upload.show(report, o)
	light := ""
	if len(foreseen.PPFD) > 0 {
		light = ", light too"
	}
	v.Upload.Facts = append(v.Upload.Facts, fmt.Sprintf("It tells of %d hours%s, from %s to %s; it takes the place of the forecast before.", len(foreseen.TempC), light,
		foreseen.Start.In(o.Zone).Format("Monday 2 January, 15:04"), foreseen.Until().In(o.Zone).Format("Monday 2 January, 15:04")))
	return s.render(w, r, http.StatusOK, "climate.html", v)
}

// removeForecast withdraws a forecast.
func (s *Server) removeForecast(w http.ResponseWriter, r *http.Request) error {
	space, err := s.spaceOf(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	var at care.ForeseenAt
	var ok bool
	s.Book.Read(func(c *care.Collection) { at, ok = c.ForeseenIn(space.Name) })
	if !ok || at.Entry != f.text("entry") {
		return fmt.Errorf("%w: it was taken back or replaced already", errNotFound)
	}
	e := s.newEntry(care.Withdrawn, "", care.Detail{})
	e.Corrects, e.By = at.Entry, byOf(r)
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, spacePath(space.Name)+"/climate?done=back")
}
