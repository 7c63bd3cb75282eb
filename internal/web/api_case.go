package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/casefile"
)

type (
	// caseAsked is somebody else's plant, told by a case file, by answers, or by
	// answers over a file.
	caseAsked struct {
		File    string            `json:"file,omitempty"` // TOML, of one plant
		Answers map[string]string `json:"answers,omitempty"`
		WhatIf  map[string]string `json:"what_if,omitempty"` // answers that make another case of it
		OrIf    map[string]string `json:"or_if,omitempty"`   // and one more
		Units   string            `json:"units,omitempty"`   // of what is said in words: "F ppm500 in"
		On      string            `json:"on,omitempty"`      // the day to look at; today if left out
	}
	// caseAnswered is its course, and those of the what-ifs beside it.
	caseAnswered struct {
		Course    care.Course     `json:"course"`
		File      string          `json:"file"` // the case, to be sent and opened
		WhatIf    *care.Course    `json:"what_if,omitempty"`
		OrIf      *care.Course    `json:"or_if,omitempty"`
		Contrasts []care.Contrast `json:"contrasts,omitempty"`
	}
	questionsRead struct {
		Questions []questionRead `json:"questions"`
	}
	questionRead struct {
		Key  string `json:"key"`
		Asks string `json:"asks"`
	}
)

// caseOperations answer somebody else's case. Nothing of it is kept.
func caseOperations() []operation {
	return []operation{
		{method: http.MethodGet, path: "/api/cases/questions", id: "listQuestions", summary: "The questions by which a case is told, the most telling first", answer: questionsRead{}, handle: (*Server).apiQuestions},
		{
			method: http.MethodPost, path: "/api/cases/answer", id: "answerCase", statuses: []int{http.StatusUnprocessableEntity},
			summary: "The course of somebody else’s plant, and of one or two what-ifs beside it. Nothing is kept",
			body:    caseAsked{}, answer: caseAnswered{}, handle: (*Server).apiCase,
			example: caseAsked{
				Answers: map[string]string{"group": "Phalaenopsis", "roots_kept": "60 %", "pot": "12 cm", "medium": "7 medium bark, 3 perlite", "space": "windowsill"},
				WhatIf:  map[string]string{"medium": "sphagnum", "space": "lamp shelf"}, OrIf: map[string]string{"roots_kept": "30 %"},
			},
		},
	}
}

func (s *Server) apiQuestions(*http.Request) (any, error) {
	var a questionsRead
	for _, q := range casefile.Questions() {
		a.Questions = append(a.Questions, questionRead{q.Key, q.Text})
	}
	return a, nil
}

// answersOf puts answers into the order of the questions; those that are none
// come last, and are told.
func answersOf(said map[string]string) (list []casefile.Answer) {
	for _, q := range casefile.Questions() {
		if text, ok := said[q.Key]; ok {
			list = append(list, casefile.Answer{Key: q.Key, Text: text})
		}
	}
	for key, text := range said {
		if !slices.ContainsFunc(list, func(a casefile.Answer) bool { return a.Key == key }) {
			list = append(list, casefile.Answer{Key: key, Text: text})
		}
	}
	return list
}

// caseProblems are answers that cannot be, told field by field.
func caseProblems(err error, at string) error {
	var wrong casefile.AnswerProblems
	if !errors.As(err, &wrong) {
		return err
	}
	refused := &unanswered{}
	for _, p := range wrong {
		refused.problems = append(refused.problems, care.Problem{Field: at + "." + p.Key, Message: p.Message})
	}
	return refused
}

// unanswered says what is wrong with a question that is not about an entry.
type unanswered struct{ problems []care.Problem }

func (e *unanswered) Error() string {
	lines := make([]string, len(e.problems))
	for i, p := range e.problems {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "; ")
}

func (s *Server) apiCase(r *http.Request) (any, error) {
	var asked caseAsked
	if err := readSent(r, &asked); err != nil {
		return nil, err
	}
	on := s.Book.Today()
	if asked.On != "" {
		day, err := time.Parse(time.DateOnly, asked.On)
		if err != nil || day.Year() < 1980 || day.Year() > 2100 {
			return nil, &unanswered{[]care.Problem{{Field: "on", Message: fmt.Sprintf("%q is not a day written like %s", asked.On, on.Format(time.DateOnly))}}}
		}
		on = day
	}
	kase, units, err := s.caseTold(asked)
	if err != nil {
		return nil, err
	}
	if units, err = units.With(asked.Units); err != nil {
		return nil, &unanswered{[]care.Problem{{Field: "units", Message: err.Error()}}}
	}
	courseOf := func(c care.Case, at string) (care.Course, error) {
		course, err := care.NewCourse(c, c.Plants[0], s.Book.Tables(), on)
		if err != nil {
			err = &unanswered{[]care.Problem{{Field: at, Message: err.Error()}}}
		}
		return course, err
	}
	a := caseAnswered{File: casefile.Write(kase, units)}
	if a.Course, err = courseOf(kase, "answers"); err != nil {
		return nil, err
	}
	ways := []*care.Course{&a.Course}
	for _, one := range []struct {
		name string
		said map[string]string
		to   **care.Course
	}{{"what_if", asked.WhatIf, &a.WhatIf}, {"or_if", asked.OrIf, &a.OrIf}} {
		if len(one.said) == 0 {
			continue
		}
		other, _, err := casefile.Apply(kase, 0, answersOf(one.said), s.Book.Tables())
		if err != nil {
			return nil, caseProblems(err, one.name)
		}
		what, err := courseOf(other, one.name)
		if err != nil {
			return nil, err
		}
		*one.to, ways = &what, append(ways, &what)
	}
	if len(ways) > 1 {
		a.Contrasts = care.Contrasts(units, ways...)
	}
	return a, nil
}

// caseTold makes the case of a question.
func (s *Server) caseTold(asked caseAsked) (care.Case, care.Units, error) {
	tables := s.Book.Tables()
	answers := answersOf(asked.Answers)
	if asked.File == "" {
		if _, told := asked.Answers["date"]; !told {
			answers = append(answers, casefile.Answer{Key: "date", Text: s.Book.Today().Format(time.DateOnly)})
		}
		c, u, err := casefile.Tell(answers, tables)
		return c, u, caseProblems(err, "answers")
	}
	c, u, err := casefile.Read(strings.NewReader(asked.File), "file", tables)
	var problems *casefile.Problems
	switch {
	case errors.As(err, &problems):
		refused := &unanswered{}
		for _, p := range problems.List {
			refused.problems = append(refused.problems, care.Problem{Field: fmt.Sprintf("file:%d", p.Line), Message: p.Message})
		}
		return c, u, refused
	case err != nil:
		return c, u, err
	case len(c.Plants) != 1:
		return c, u, &unanswered{[]care.Problem{{Field: "file", Message: fmt.Sprintf("tells of %d plants; one is expected", len(c.Plants))}}}
	case len(answers) == 0:
		return c, u, nil
	}
	c, _, err = casefile.Apply(c, 0, answers, tables)
	return c, u, caseProblems(err, "answers")
}
