package web

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"strings"
	"unicode"

	"velamen/internal/paper"
)

func handoutRoutes(on *router) {
	on.get("/plant/{id}/handout", (*Server).sendPlantHandout)
	on.get("/plant/{id}/label.pdf", (*Server).sendLabel)
	on.get("/paper", (*Server).showPaper)
	on.get("/paper/labels", (*Server).sendLabels)
	on.get("/paper/round", (*Server).sendRound)
	on.get("/paper/season", (*Server).sendSeason)
}

// paperAsked reads the size of paper from the address.
func paperAsked(r *http.Request) (paper.Size, error) {
	size, err := paper.SizeOf(r.URL.Query().Get("page"))
	if err != nil {
		return size, fmt.Errorf("%w: %w", errBadRequest, err)
	}
	return size, nil
}

// sendPlantHandout sends the course of a plant as a page to pin up.
func (s *Server) sendPlantHandout(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	size, err := paperAsked(r)
	if err != nil {
		return err
	}
	c, err := s.Book.Course(sp.id, s.Book.Today())
	if err != nil {
		return fmt.Errorf("%w: %w", errBadRequest, err)
	}
	sheet := paper.Sheet{Course: c, Home: sp.state.Record.Repot.To, Units: sp.settings.Units}
	return sendPDF(w, "course "+sp.label(), func(to io.Writer) error { return paper.WriteCourse(to, sheet, size) })
}

// sendPDF sends a document once it could be made whole.
func sendPDF(w http.ResponseWriter, name string, write func(io.Writer) error) error {
	var pdf bytes.Buffer
	if err := write(&pdf); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`inline; filename="%s.pdf"`, fileName(name)))
	_, err := w.Write(pdf.Bytes())
	return err
}

// fileName is a name that every file system takes.
func fileName(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r < 0x80 && (unicode.IsLetter(r) || unicode.IsDigit(r)), r == '-', r == '.':
			return r
		}
		return '-'
	}, strings.ToLower(name))
}
