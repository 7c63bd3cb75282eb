package web

import (
	"net/http"
	"slices"

	"velamen/internal/care"
)

// rainForm is the question, with the id of the entry that will answer it.
type rainForm struct {
	field
	Entry string
}

// newRainForm asks how much it rained.
func newRainForm(u care.Units) rainForm {
	return rainForm{Entry: newID(), field: field{Name: "mm", Label: "How much rain fell?", Unit: rainDepth.usual(u), Hint: "Counted once for every plant outdoors.", Mode: "decimal", Required: true}}
}

// noteRain takes a fall of rain, once for all plants outdoors.
func (s *Server) noteRain(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	u := s.units()
	f.required("mm", "How much was it? The gauge says.")
	mm := f.number("mm", rainDepth, u)
	if f.wrong() {
		v, err := s.roundOn(r, s.Book.Today())
		if err != nil {
			return err
		}
		v.Rain = newRainForm(u)
		f.keep(&v.Rain.field)
		return s.showRoundView(w, r, http.StatusUnprocessableEntity, v)
	}
	e := s.newEntry(care.RainFell, "", care.Detail{RainMM: mm})
	e.By = byOf(r)
	if id := f.text("entry"); id != "" {
		e.ID = id
		known := false
		s.Book.Read(func(c *care.Collection) {
			known = slices.ContainsFunc(c.Rains, func(rain care.Rain) bool { return rain.Entry == id })
		})
		if known { // the form was sent twice
			return seeOther(w, r, "/#rain")
		}
	}
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, "/#rain")
}

// undo withdraws what was entered together. The journal still shows it.
func (s *Server) undo(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	var entries []care.Entry
	for _, id := range f.values["entry"] {
		e := s.newEntry(care.Withdrawn, f.text("plant"), care.Detail{})
		e.Corrects, e.By = id, byOf(r)
		entries = append(entries, e)
	}
	if _, err := s.Book.Append(r.Context(), entries...); err != nil {
		return err
	}
	return seeOther(w, r, "/?done=withdrawn#"+anchor(f.text("next")))
}
