package web

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"time"

	"velamen/internal/care"
	"velamen/internal/photo"
)

// photographSent is a picture of a plant.
type photographSent struct {
	Entry   string     `json:"entry,omitempty"` // id of the entry: sent twice with the same it is there once
	Picture []byte     `json:"picture"`         // JPEG or PNG, in base64
	At      *time.Time `json:"at,omitempty"`    // left out: when the picture says that it was taken, or now
	Note    string     `json:"note,omitempty"`
	By      string     `json:"by,omitempty"`
}

// photographTaken is what was kept.
type photographTaken struct {
	Entry string    `json:"entry"`
	At    time.Time `json:"at"`
	Photo string    `json:"photo"` // the hash of the picture
	Path  string    `json:"path"`  // where it is read
}

// photographOperations take pictures in the way the form does.
func photographOperations() []operation {
	return []operation{{
		method: http.MethodPost, path: "/api/plants/{id}/photographs", id: "addPhotograph", scope: writeScope, bytes: photoBytes * 4 / 3,
		statuses: []int{http.StatusNotFound, http.StatusConflict, http.StatusUnprocessableEntity}, params: []parameter{inPath("id", "The plant’s id, as the list of plants has it.", anID)},
		summary: "Take a photograph of a plant into its journal. What tells where it was taken or with what is taken off; it is read back at the path of the answer",
		body:    photographSent{}, answer: photographTaken{}, handle: (*Server).apiPhotograph,
		example: photographSent{Picture: leastPicture, Note: "from the left, with the ruler"},
	}}
}

// leastPicture is a grey PNG of one pixel, for the description's example.
var leastPicture = []byte("\x89\x50\x4e\x47\x0d\x0a\x1a\x0a\x00\x00\x00\x0d\x49\x48\x44\x52\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00\x3a\x7e\x9b\x55\x00\x00\x00\x0a\x49\x44\x41\x54\x78\x9c\x63\x68\x00\x00\x00\x82\x00\x81\x77\xcd\x72\xb6\x00\x00\x00\x00\x49\x45\x4e\x44\xae\x42\x60\x82")

func (s *Server) apiPhotograph(r *http.Request) (any, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, err
	}
	if s.Photos == nil {
		return nil, fmt.Errorf("%w: pictures are not kept here", errUnavailable)
	}
	var sent photographSent
	if err := readSent(r, &sent); err != nil {
		return nil, err
	}
	e := s.newEntry(care.Photographed, sp.id, care.Detail{Note: sent.Note})
	e.ID, e.By = orWord(sent.Entry, e.ID), sent.By
	if sent.At != nil {
		e.At = *sent.At
	}
	if len(sent.Picture) > photo.UsualBytes {
		return nil, &http.MaxBytesError{Limit: photo.UsualBytes}
	}
	err = s.keepPicture(r.Context(), bytes.NewReader(sent.Picture), &e, sent.At == nil)
	var refused *photo.Refusal
	if errors.As(err, &refused) {
		return nil, &unanswered{[]care.Problem{{Field: "picture", Message: refused.Text}}}
	}
	if err != nil {
		return nil, err
	}
	if _, err := s.keepSent(r.Context(), []care.Entry{e}); err != nil {
		return nil, err
	}
	return photographTaken{Entry: e.ID, At: e.At, Photo: e.Detail.Photo, Path: "/photo/" + e.Detail.Photo + "/" + viewSize}, nil
}
