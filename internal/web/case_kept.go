package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/internal/casefile"
)

// keptCases lists the cases that were kept, the latest first. One that cannot be
// read any more has no page, but can be dropped.
func (s *Server) keptCases() (list []keptView) {
	var kept []care.KeptCase
	s.Book.Read(func(c *care.Collection) { kept = c.Cases })
	for _, one := range slices.Backward(kept) {
		v := keptView{Entry: one.Entry, Name: one.Name, Day: one.At.Format("2 January 2006")}
		if c, u, err := casefile.Read(strings.NewReader(one.File), one.Name, s.Book.Tables()); err == nil && len(c.Plants) == 1 {
			if packed, err := packCase(c, u); err == nil {
				v.Path = "/cases/answer?" + url.Values{"c": {packed}}.Encode()
			}
		}
		list = append(list, v)
	}
	return list
}

// keepCase writes a case into the journal; no plant of it joins the collection.
func (s *Server) keepCase(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	c, u, err := unpackCase(f.text("c"), s.Book.Tables())
	if err != nil {
		return err
	}
	name := orWord(f.short("name"), orWord(c.Plants[0].Name, c.Plants[0].Label))
	if f.wrong() {
		return fmt.Errorf("%w: %s", errBadRequest, f.errors["name"])
	}
	e := s.newEntry(care.CaseKept, "", care.Detail{Case: &care.CaseText{Name: name, File: casefile.Write(c, u)}})
	if err := s.appendOnce(r.Context(), f.text("entry"), []care.Entry{e}); err != nil {
		return err
	}
	return seeOther(w, r, "/cases?done=kept")
}

// dropCase withdraws a case that was kept.
func (s *Server) dropCase(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	id := f.text("entry")
	known := false
	s.Book.Read(func(c *care.Collection) {
		known = slices.ContainsFunc(c.Cases, func(one care.KeptCase) bool { return one.Entry == id })
	})
	if !known {
		return seeOther(w, r, "/cases")
	}
	e := s.newEntry(care.Withdrawn, "", care.Detail{})
	e.Corrects = id
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, "/cases?done=dropped")
}
