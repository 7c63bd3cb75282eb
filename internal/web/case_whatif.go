package web

import (
	"errors"
	"net/url"

	"velamen/internal/care"
	"velamen/internal/casefile"
)

// whatIfForm asks for one what-if.
type whatIfForm struct {
	Title string
	Asked []field // what most want to know
	More  []field
	Open  bool // something is asked among the latter
}

// whatIfs are the what-ifs of a page: what their fields' names begin with, and
// what they are called.
var whatIfs = []struct{ mark, title, head string }{{"", "What if", "What if"}, {"or_", "Or what if", "Or what if"}}

// newWhatIfForm asks what could be otherwise. The keys are those of
// casefile.Questions.
func (s *Server) newWhatIfForm(u care.Units, mark, title string) whatIfForm {
	none := choice{Label: "as told"}
	media, spaces, mounts := []choice{none}, append([]choice{none}, choices(care.SpaceKinds, care.SpaceKind(""))...), []choice{none}
	for _, m := range s.Book.Tables().Media() {
		media = append(media, choice{mediumWords(s.Book.Tables(), m), sentence(mediumWords(s.Book.Tables(), m)), false})
	}
	for _, m := range s.Book.Tables().Mounts() {
		mounts = append(mounts, choice{m.Key, sentence(m.Name), false})
	}
	return whatIfForm{
		Title: title,
		Asked: []field{
			{Name: mark + "medium", Label: "The medium were", Type: "select", Options: media},
			{Name: mark + "space", Label: "It stood on or in", Type: "select", Options: spaces},
			{Name: mark + "roots_kept", Label: "Of the roots were kept", Unit: "%", Mode: "decimal"},
		},
		More: []field{
			{Name: mark + "mount", Label: "It were mounted on", Type: "select", Options: mounts},
			{Name: mark + "pot", Label: "The pot were", Unit: potLength.usual(u), Mode: "decimal"},
		},
	}
}

// whatIfUnit is the unit behind a bare number in a what-if.
func whatIfUnit(key string, u care.Units) string {
	switch key {
	case "roots_kept":
		return "%"
	case "pot":
		return potLength.usual(u)
	}
	return ""
}

// compare lays the what-ifs that an address asks for beside a case. What is wrong
// with one is said in its form.
func (s *Server) compare(v *caseView, c care.Case, u care.Units, told *care.Course, f *form) error {
	ways := []*care.Course{told}
	for _, one := range whatIfs {
		asks := s.newWhatIfForm(u, one.mark, one.title)
		beside, way, err := s.whatIf(&asks, one.mark, c, u, f)
		if err != nil {
			return err
		}
		if way != nil {
			beside.Head = one.head
			v.Beside, ways = append(v.Beside, beside), append(ways, way)
		}
		v.WhatIfs = append(v.WhatIfs, asks)
	}
	if len(ways) == 1 {
		return nil
	}
	for _, row := range care.Contrasts(u, ways...) {
		line := contrastView{Name: row.Name}
		for i, text := range row.Ways {
			line.Ways = append(line.Ways, contrastCell{text, row.Differ[i]})
		}
		v.Contrasts = append(v.Contrasts, line)
	}
	return nil
}

// whatIf works one what-if out; there is none where nothing is asked, or where
// something is wrong.
func (s *Server) whatIf(asks *whatIfForm, mark string, c care.Case, u care.Units, f *form) (beside besideView, way *care.Course, err error) {
	var answers []casefile.Answer
	for _, list := range [][]field{asks.Asked, asks.More} {
		for i := range list {
			key := list[i].Name[len(mark):]
			text := f.short(list[i].Name)
			if text == "" {
				continue
			}
			if unit := whatIfUnit(key, u); unit != "" {
				if _, rest, err := leadingNumber(text); err == nil && rest == "" {
					text += " " + unit
				}
			}
			answers = append(answers, casefile.Answer{Key: key, Text: text})
			asks.Open = asks.Open || key == "mount" || key == "pot"
			beside.Asked = joinComma(beside.Asked, text)
		}
	}
	keep := func() {
		for _, list := range [][]field{asks.Asked, asks.More} {
			for i := range list {
				f.keep(&list[i])
			}
		}
	}
	if keep(); len(answers) == 0 {
		return beside, nil, nil
	}
	other, _, err := casefile.Apply(c, 0, answers, s.Book.Tables())
	var problems casefile.AnswerProblems
	switch {
	case errors.As(err, &problems):
		for _, p := range problems {
			f.say(mark+p.Key, "%s.", sentence(p.Message))
		}
		keep()
		return beside, nil, nil
	case err != nil:
		return beside, nil, err
	}
	course, err := care.NewCourse(other, other.Plants[0], s.Book.Tables(), s.Book.Today())
	if err != nil {
		f.say(asks.Asked[0].Name, "No course can be worked out: %s.", err)
		keep()
		return beside, nil, nil
	}
	packed, err := packCase(other, u)
	if err != nil {
		return beside, nil, err
	}
	address := url.Values{"c": {packed}}.Encode()
	beside.Path, beside.HandOut = "/cases/answer?"+address, "/cases/handout?"+address
	return beside, &course, nil
}

func joinComma(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}
