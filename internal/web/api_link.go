package web

import (
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
)

// mostLinkDays is how long a link holds that a program makes: it outlives the
// token it was made with, if that is taken back.
const mostLinkDays = 31

// linkSent asks for a link, in the words of the page.
type linkSent struct {
	For   string `json:"for"`   // stands beside whatever they note
	What  string `json:"what"`  // "round", "round:" and a space, or "plant:" and an id
	May   string `json:"may"`   // "read", or "tick": look, tick and note
	Until string `json:"until"` // the last day, a month from now at most
}

// linkMade is a link with its address, which is told once.
type linkMade struct {
	linkRead
	Address string `json:"address"`
}

// linkRead is a link that was handed out, without its address.
type linkRead struct {
	ID    string `json:"id"`
	For   string `json:"for"`
	Shows string `json:"shows"`
	Until string `json:"until"`
	Ended bool   `json:"ended"`
}

// linksRead are those that were handed out.
type linksRead struct {
	Links []linkRead `json:"links"`
}

// linkEnded names a link that is taken back.
type linkEnded struct {
	ID string `json:"id"`
}

// linkOperations hand out what the page Sharing does, and take it back.
func linkOperations() []operation {
	refused := []int{http.StatusUnprocessableEntity}
	return []operation{
		{method: http.MethodGet, path: "/api/links", id: "listLinks", summary: "The links that were handed out, without their addresses", answer: linksRead{}, handle: (*Server).apiLinks},
		{
			method: http.MethodPost, path: "/api/links", id: "makeLink", scope: writeScope, statuses: refused, body: linkSent{}, answer: linkMade{}, handle: (*Server).apiMakeLink,
			summary: "Make a link to the round, that of one space, or one plant, for a month at most. Its address is told in this answer only; it stands under Sharing, where it can be taken back",
			example: linkSent{For: "Ida", What: linkRound, May: linkTicks, Until: "2026-11-30"},
		},
		{
			method: http.MethodPost, path: "/api/links/end", id: "endLink", scope: writeScope, body: linkEnded{}, answer: linksRead{}, handle: (*Server).apiEndLink,
			summary: "Take a link back: it opens nothing from now on. One that is gone is none to take back, and no mistake", example: linkEnded{ID: "0190b5c2-7d3e-7000-8000-0123456789ab"},
		},
	}
}

func (s *Server) readOf(l store.Link) linkRead {
	return linkRead{ID: l.ID, For: l.Name, Shows: s.linkWords(l), Until: linkDay(l, s.Now()).Format(time.DateOnly), Ended: !s.Now().Before(l.Expires)}
}

func (s *Server) apiLinks(r *http.Request) (any, error) {
	links, err := s.Secrets.Links(r.Context())
	if err != nil {
		return nil, fmt.Errorf("reading the links: %w", err)
	}
	list := linksRead{Links: []linkRead{}}
	for _, l := range links {
		list.Links = append(list.Links, s.readOf(l))
	}
	return list, nil
}

func (s *Server) apiMakeLink(r *http.Request) (any, error) {
	var sent linkSent
	if err := readSent(r, &sent); err != nil {
		return nil, err
	}
	f := &form{values: url.Values{"for": {sent.For}, "what": {sent.What}, "may": {sent.May}, "until": {sent.Until}}, errors: map[string]string{}}
	l := s.linkAsked(f)
	switch {
	case l.Sort == linkCalendar:
		f.say("what", "Calendars, which hold for years, are handed out by people, under Sharing.")
	case l.Expires.After(s.Now().AddDate(0, 0, mostLinkDays+1)):
		f.say("until", "A link that a program makes holds for %d days at most.", mostLinkDays)
	}
	if f.wrong() {
		var problems []care.Problem
		for _, field := range slices.Sorted(maps.Keys(f.errors)) {
			problems = append(problems, care.Problem{Field: field, Message: f.errors[field]})
		}
		return nil, &unanswered{problems}
	}
	l, err := s.newLink(r.Context(), l)
	if err != nil {
		return nil, err
	}
	path, err := s.linkPath(l)
	if err != nil {
		return nil, err
	}
	return linkMade{s.readOf(l), s.address(r) + path}, nil
}

func (s *Server) apiEndLink(r *http.Request) (any, error) {
	var sent linkEnded
	if err := readSent(r, &sent); err != nil {
		return nil, err
	}
	if err := s.Secrets.RemoveLink(r.Context(), sent.ID); err != nil && !errors.Is(err, store.ErrNotFound) {
		return nil, fmt.Errorf("taking a link back: %w", err)
	}
	return s.apiLinks(r)
}
