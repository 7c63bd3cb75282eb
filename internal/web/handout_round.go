package web

import (
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/paper"
)

// paperView is everything that leaves the screen.
type paperView struct {
	frame
	Label              labelFields
	LabelSpace, Plants field
	From, Days, Note   field
	Page, Weeks        field
	Address            string // that the codes lead to
	Local              bool   // only this machine reaches it
	Lacking            string // letters of plants' names that no font has
}

func (s *Server) newPaperView(r *http.Request) *paperView {
	u := s.units()
	v := &paperView{
		Label:  newLabelFields(u),
		Plants: field{Name: "plants", Label: "Only these labels", Hint: "P-001, C-007. Left empty: every plant."},
		From:   field{Name: "from", Label: "From", Type: "date", Value: s.Book.Today().Format(time.DateOnly)},
		Days:   field{Name: "days", Label: "For how many days", Mode: "numeric", Value: "7"},
		Note:   field{Name: "note", Label: "A word of yours on top", Hint: "Where the watering can stands, whom to call."},
		Weeks:  field{Name: "weeks", Label: "For how many weeks", Mode: "numeric", Value: "13"},
		Page:   field{Name: "page", Label: "Paper", Type: "select"},
	}
	for _, size := range paper.Sizes {
		v.Page.Options = append(v.Page.Options, choice{Value: size.Name, Label: size.Name})
	}
	v.LabelSpace = field{Name: "space", Label: "Of the plants in", Type: "select"}
	s.Book.Read(func(c *care.Collection) {
		v.LabelSpace.Options = spaceChoices(c)
		var names []string
		for _, p := range c.Plants {
			if p.Ended.IsZero() {
				names = append(names, p.Record.Label, p.Record.Name)
			}
		}
		slices.Sort(names)
		v.Lacking = paper.Lacking(names...)
	})
	v.Address, v.Local = s.address(r), !s.access.required
	v.Title, v.Here = "Paper", "paper"
	return v
}

func (s *Server) showPaper(w http.ResponseWriter, r *http.Request) error {
	return s.render(w, r, http.StatusOK, "paper.html", s.newPaperView(r))
}

// comingAsked works out the days that an address asks for.
func (s *Server) comingAsked(r *http.Request, unit string, each, otherwise int) ([]paper.WorkDay, error) {
	q := r.URL.Query()
	from := s.Book.Today()
	if text := q.Get("from"); text != "" {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil || day.Before(from) || day.Sub(from) > yearAhead {
			return nil, fmt.Errorf("%w: from has to be a day from today on, such as %s", errBadRequest, from.Format(time.DateOnly))
		}
		from = day
	}
	count := otherwise
	if text := q.Get(unit); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n*each > book.MostComingDays {
			return nil, fmt.Errorf("%w: %s has to be a number from 1 to %d", errBadRequest, unit, book.MostComingDays/each)
		}
		count = n
	}
	return s.workDays(r, from, count*each)
}

// workDays lays out days from a day on; those before it are taken as done.
func (s *Server) workDays(r *http.Request, from time.Time, days int) ([]paper.WorkDay, error) {
	today := s.Book.Today()
	lead := int(from.Sub(today).Hours() / 24)
	coming, err := s.Book.Coming(r.Context(), today, lead+days)
	if err != nil {
		return nil, err
	}
	list := make([]paper.WorkDay, 0, days)
	for _, day := range coming[min(lead, len(coming)):] {
		list = append(list, paper.WorkDay{On: day.On, Round: day.Round})
	}
	return list, nil
}

// sendRound sends the round of some days for whoever stands in.
func (s *Server) sendRound(w http.ResponseWriter, r *http.Request) error {
	size, err := paperAsked(r)
	if err != nil {
		return err
	}
	days, err := s.comingAsked(r, "days", 1, 7)
	if err != nil {
		return err
	}
	note := r.URL.Query().Get("note")
	const longestNote = 1000
	if len(note) > longestNote {
		return fmt.Errorf("%w: the word on top is longer than %d letters", errBadRequest, longestNote)
	}
	sheet := paper.RoundSheet{Days: days, On: s.Book.Today(), Units: s.units(), Notes: note, Cautions: s.cautions(culture.PureWater, culture.LiftingPots)}
	return sendPDF(w, "round", func(to io.Writer) error { return paper.WriteRound(to, sheet, size) })
}

// sendSeason sends the work of the weeks ahead.
func (s *Server) sendSeason(w http.ResponseWriter, r *http.Request) error {
	size, err := paperAsked(r)
	if err != nil {
		return err
	}
	const week, quarter = 7, 13
	days, err := s.comingAsked(r, "weeks", week, quarter)
	if err != nil {
		return err
	}
	sheet := paper.SeasonSheet{Days: days, On: s.Book.Today(), Units: s.units()}
	return sendPDF(w, "season", func(to io.Writer) error { return paper.WriteSeason(to, sheet, size) })
}
