package web

import (
	"errors"
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
	Base, Other string // packed
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
	WhatIf      []field
	Asked       string // the what-if in words
	Contrasts   []care.Contrast
	HandOut     string
	HandOutUS   string
	OtherOut    string
	File        string
	Change      string
	Entry       string // id of the entry if it is kept
}

// showCase works a case out, and a what-if beside it. Nothing is stored.
func (s *Server) showCase(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	if q.Get("c") == "" {
		return seeOther(w, r, "/cases")
	}
	v, err := s.newCaseView(q.Get("c"), q.Get("w"), q.Get("if"))
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "case-answer.html", v)
}

func (s *Server) newCaseView(packed, other, asked string) (*caseView, error) {
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
		Base: packed, Other: other, Plant: orWord(p.Name, p.Label), Advice: course.Advice, Warnings: course.Warnings,
		Tale:    fmt.Sprintf("%s, %s. %s on %s: %s.", course.Group, course.Space, sentence(string(course.Work)), course.Repot.Format("2 January 2006"), p.Repot.To.Says(u)),
		Flush:   course.Flush.Says(u, p.Repot.To.Noun()),
		Targets: newTargets(u, &course), Signs: newSigns(&course), Dates: newDates(&course, u), Cautions: unlike(course.Cautions),
		HandOut: at("/cases/handout", packed, ""), HandOutUS: at("/cases/handout", packed, "Letter"), File: at("/cases/file", packed, ""), Change: at("/cases", packed, ""),
		WhatIf: whatIfFields(s, u), Entry: newID(),
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
	if other == "" {
		return v, nil
	}
	d, _, err := unpackCase(other, s.Book.Tables())
	if err != nil {
		return nil, err
	}
	what, err := care.NewCourse(d, d.Plants[0], s.Book.Tables(), today)
	if err != nil {
		return nil, fmt.Errorf("%w: no course can be worked out: %w", errBadRequest, err)
	}
	v.Contrasts, v.Asked, v.OtherOut = care.Contrasts(&course, &what, u), asked, at("/cases/handout", other, "")
	return v, nil
}

// The what-ifs of a page, by their key in casefile.Questions.
func whatIfFields(s *Server, u care.Units) []field {
	none := choice{Label: "as told"}
	media, spaces, mounts := []choice{none}, append([]choice{none}, choices(care.SpaceKinds, care.SpaceKind(""))...), []choice{none}
	for _, m := range s.Book.Tables().Media() {
		media = append(media, choice{mediumWords(s.Book.Tables(), m), sentence(mediumWords(s.Book.Tables(), m)), false})
	}
	for _, m := range s.Book.Tables().Mounts() {
		mounts = append(mounts, choice{m.Key, sentence(m.Name), false})
	}
	return []field{
		{Name: "medium", Label: "What if the medium were", Type: "select", Options: media},
		{Name: "mount", Label: "or it were mounted on", Type: "select", Options: mounts},
		{Name: "space", Label: "or it stood on or in", Type: "select", Options: spaces},
		{Name: "roots_kept", Label: "or of the roots were kept", Unit: "%", Mode: "decimal"},
		{Name: "pot", Label: "or the pot were", Unit: potLength.usual(u), Mode: "decimal"},
	}
}

// unitOf is the unit behind a bare number in a what-if.
func whatIfUnit(key string, u care.Units) string {
	switch key {
	case "roots_kept":
		return "%"
	case "pot":
		return potLength.usual(u)
	}
	return ""
}

// askWhatIf lays another answer beside a case.
func (s *Server) askWhatIf(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	packed := f.text("c")
	c, u, err := unpackCase(packed, s.Book.Tables())
	if err != nil {
		return err
	}
	var answers []casefile.Answer
	asked := ""
	for _, one := range whatIfFields(s, u) {
		text := f.short(one.Name)
		if text == "" {
			continue
		}
		if unit := whatIfUnit(one.Name, u); unit != "" {
			if _, rest, err := leadingNumber(text); err == nil && rest == "" {
				text += " " + unit
			}
		}
		answers = append(answers, casefile.Answer{Key: one.Name, Text: text})
		asked = joinComma(asked, text)
	}
	if len(answers) == 0 {
		f.say("medium", "Change one thing at least.")
	}
	other, _, err := casefile.Apply(c, 0, answers, s.Book.Tables())
	var problems casefile.AnswerProblems
	switch {
	case errors.As(err, &problems):
		for _, p := range problems {
			f.say(p.Key, "%s.", sentence(p.Message))
		}
	case err != nil:
		return err
	}
	if f.wrong() {
		v, err := s.newCaseView(packed, "", "")
		if err != nil {
			return err
		}
		for i := range v.WhatIf {
			f.keep(&v.WhatIf[i])
		}
		return s.render(w, r, http.StatusUnprocessableEntity, "case-answer.html", v)
	}
	beside, err := packCase(other, u)
	if err != nil {
		return err
	}
	return seeOther(w, r, "/cases/answer?"+url.Values{"c": {packed}, "w": {beside}, "if": {asked}}.Encode()+"#beside")
}

func joinComma(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
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
