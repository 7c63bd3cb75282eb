package web

import (
	"fmt"
	"io"
	"net/http"
	"net/url"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/paper"
)

// caseView is the answer to a case.
type caseView struct {
	frame
	Base        string // packed
	Plant, Tale string
	Day         string
	Advice      string
	Warnings    []string
	Flush       string
	Targets     []targetView
	Course      *courseView
	Signs       []signList
	Dates       []dateView
	Cautions    []string
	Assumed     []assumedView
	WhatIfs     []whatIfForm
	Beside      []besideView // what stands beside the case
	Contrasts   []contrastView
	HandOut     string
	HandOutUS   string
	File        string
	Change      string
	Entry       string // id of the entry if it is kept
}

// besideView is a what-if beside a case: what was asked, and where it goes on.
type besideView struct{ Head, Asked, Path, HandOut string }

// contrastView is a row of the comparison.
type contrastView struct {
	Name string
	Ways []contrastCell
}

type contrastCell struct {
	Text   string
	Differ bool
}

// showCase works a case out, and what-ifs beside it. Nothing is stored.
func (s *Server) showCase(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	if q.Get("c") == "" {
		return seeOther(w, r, "/cases")
	}
	f := &form{values: q, errors: map[string]string{}}
	v, err := s.newCaseView(q.Get("c"), f)
	if err != nil {
		return err
	}
	status := http.StatusOK
	if f.wrong() {
		status = http.StatusUnprocessableEntity
	}
	return s.render(w, r, status, "case-answer.html", v)
}

// newCaseView works a case out, and beside it the what-ifs that are asked for.
func (s *Server) newCaseView(packed string, f *form) (*caseView, error) {
	c, u, err := unpackCase(packed, s.Book.Tables())
	if err != nil {
		return nil, err
	}
	today := s.Book.Today()
	p := c.Plants[0]
	course, err := care.NewCourse(c, p, s.Book.Tables(), today)
	if err != nil {
		return nil, fmt.Errorf("%w: no course can be worked out: %w", errBadRequest, err)
	}
	at := func(path, packed, page string) string {
		q := url.Values{"c": {packed}}
		if page != "" {
			q.Set("page", page)
		}
		return path + "?" + q.Encode()
	}
	v := &caseView{
		Base: packed, Plant: orWord(p.Name, p.Label), Advice: course.Advice, Warnings: course.Warnings,
		Tale:    fmt.Sprintf("%s, %s. %s on %s: %s.", course.Group, course.Space, sentence(string(course.Work)), course.Repot.Format("2 January 2006"), p.Repot.To.Says(u)),
		Flush:   course.Flush.Says(u, p.Repot.To.Noun()),
		Targets: newTargets(u, &course), Signs: newSigns(&course), Dates: newDates(&course, u), Cautions: unlike(course.Cautions),
		HandOut: at("/cases/handout", packed, ""), HandOutUS: at("/cases/handout", packed, "Letter"), File: at("/cases/file", packed, ""), Change: at("/cases", packed, ""),
		Entry: newID(),
	}
	v.Day = "Before the work"
	if course.Day >= 0 {
		v.Day = fmt.Sprintf("Day %d: %s", course.Day, course.Stage)
	}
	if v.Course, err = newCourseView("course", u, &course); err != nil {
		return nil, err
	}
	for _, a := range course.Assumed {
		v.Assumed = append(v.Assumed, newAssumed(u, a))
	}
	v.Title, v.Here, v.Style = "A case: "+v.Plant, "cases", "plant.css"
	return v, s.compare(v, c, u, &course, f)
}

// sendCaseHandout sends the course of a case as a page to pin up.
func (s *Server) sendCaseHandout(w http.ResponseWriter, r *http.Request) error {
	c, u, err := unpackCase(r.URL.Query().Get("c"), s.Book.Tables())
	if err != nil {
		return err
	}
	size, err := paperAsked(r)
	if err != nil {
		return err
	}
	course, err := care.NewCourse(c, c.Plants[0], s.Book.Tables(), s.Book.Today())
	if err != nil {
		return fmt.Errorf("%w: no course can be worked out: %w", errBadRequest, err)
	}
	sheet := paper.Sheet{Course: course, Home: c.Plants[0].Repot.To, Units: u}
	return sendPDF(w, "course "+orWord(course.Label, course.Name), func(to io.Writer) error { return paper.WriteCourse(to, sheet, size) })
}

// sendCaseFile sends a case as a file that can be sent on and opened.
func (s *Server) sendCaseFile(w http.ResponseWriter, r *http.Request) error {
	c, u, err := unpackCase(r.URL.Query().Get("c"), s.Book.Tables())
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/toml; charset=utf-8")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s.toml"`, fileName("case "+orWord(c.Plants[0].Label, c.Plants[0].Name))))
	_, err = io.WriteString(w, casefile.Write(c, u))
	return err
}
