package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
)

func shareRoutes(on *router) {
	on.get("/sharing", (*Server).showSharing, peopleOnly)
	on.post("/sharing", (*Server).makeLink)
	on.post("/sharing/remove", (*Server).removeLink)
	on.get("/s/{token}", (*Server).showShared, anyone)
	on.post("/s/{token}/tick", (*Server).tickShared, anyone)
	on.post("/s/{token}/note", (*Server).noteShared, anyone)
}

// sharingView lists the links that were handed out.
type sharingView struct {
	frame
	For, What, May, Until field
	Handed                []linkView
	Made                  string // the address of the one just made
	MadeFor, MadeWhat     string
	Calendar              bool // it is a calendar's
	Local                 bool // only this machine reaches it
}

// linkView is one link that was handed out.
type linkView struct {
	ID, Name, What, Until, Path string
	Ended                       bool
}

// longestLinkDays is how long a link may hold; calendars hold for ten years and
// end when they are taken back.
const (
	longestLinkDays = 366
	usualLinkDays   = 14
	calendarYears   = 10
)

func (s *Server) newSharingView(r *http.Request) (*sharingView, error) {
	v := &sharingView{
		For:   field{Name: "for", Label: "Whom is it for?", Hint: "Stands beside whatever they note.", Required: true},
		What:  field{Name: "what", Label: "It shows", Type: "select"},
		May:   field{Name: "may", Label: "They may", Type: "select", Options: []choice{{linkTicks, "look, tick and note", true}, {linkReads, "only look", false}}},
		Until: field{Name: "until", Label: "Until the end of", Type: "date", Value: s.Book.Today().AddDate(0, 0, usualLinkDays).Format(time.DateOnly)},
		Local: !s.access.required,
	}
	chosen := r.URL.Query().Get("what")
	add := func(value, label string) {
		v.What.Options = append(v.What.Options, choice{value, label, value == chosen})
	}
	add(linkRound, "the round")
	s.Book.Read(func(c *care.Collection) {
		for _, space := range c.Spaces {
			add(linkRound+":"+space.Name, "the round in "+space.Name)
		}
		if p := c.Plants[chosenPlant(chosen)]; p != nil {
			add(linkPlant+":"+p.ID, "the plant "+p.Record.Label)
		}
	})
	add(linkCalendar, "a calendar of all jobs")
	s.Book.Read(func(c *care.Collection) {
		if p := c.Plants[chosenPlant(chosen)]; p != nil {
			add(linkCalendar+":"+linkPlant+":"+p.ID, "a calendar of the jobs at "+p.Record.Label)
		}
		for _, space := range c.Spaces {
			add(linkCalendar+":"+space.Name, "a calendar of the jobs in "+space.Name)
		}
	})
	links, err := s.Secrets.Links(r.Context())
	if err != nil {
		return nil, fmt.Errorf("reading the links: %w", err)
	}
	for _, l := range links {
		path, err := s.linkPath(l)
		if err != nil {
			return nil, err
		}
		v.Handed = append(v.Handed, linkView{ID: l.ID, Name: l.Name, What: s.linkWords(l), Until: linkDay(l, s.Now()).Format("2 January 2006"), Path: path, Ended: !s.Now().Before(l.Expires)})
	}
	v.Title, v.Here = "Sharing", "sharing"
	return v, nil
}

func trimSort(text, sort string) string {
	if len(text) > len(sort) && text[:len(sort)+1] == sort+":" {
		return text[len(sort)+1:]
	}
	return ""
}

// chosenPlant is the plant of a choice: to be looked at, or its calendar.
func chosenPlant(chosen string) string {
	if calendar := trimSort(chosen, linkCalendar); calendar != "" {
		chosen = calendar
	}
	return trimSort(chosen, linkPlant)
}

// linkWords say what a link shows and what may be done with it.
func (s *Server) linkWords(l store.Link) string {
	text := map[string]string{linkRound: "the round", linkPlant: "a plant", linkCalendar: "a calendar of all jobs"}[l.Sort]
	label := func(plant string) (label string) {
		s.Book.Read(func(c *care.Collection) {
			if p := c.Plants[plant]; p != nil {
				label = p.Record.Label
			}
		})
		return orWord(label, "a plant that is gone")
	}
	switch plant := trimSort(l.Subject, linkPlant); {
	case l.Sort == linkPlant:
		text = "the plant " + label(l.Subject)
	case plant != "":
		text = "a calendar of the jobs at " + label(plant)
	case l.Subject != "" && l.Sort == linkRound:
		text = "the round in " + l.Subject
	case l.Subject != "":
		text = "a calendar of the jobs in " + l.Subject
	}
	if l.Scope == linkTicks {
		text += ", to tick and note"
	}
	return text
}

// linkPath is the path of a link's address.
func (s *Server) linkPath(l store.Link) (string, error) {
	token, err := signedLink(l)
	if err != nil {
		return "", fmt.Errorf("signing a link: %w", err)
	}
	if l.Sort == linkCalendar {
		return "/calendar/" + token + ".ics", nil
	}
	return "/s/" + token, nil
}

func (s *Server) showSharing(w http.ResponseWriter, r *http.Request) error {
	v, err := s.newSharingView(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "sharing.html", v)
}

// makeLink makes a link and shows its address.
func (s *Server) makeLink(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	l := s.linkAsked(f)
	if f.wrong() {
		v, err := s.newSharingView(r)
		if err != nil {
			return err
		}
		f.keep(&v.For, &v.What, &v.May, &v.Until)
		return s.render(w, r, http.StatusUnprocessableEntity, "sharing.html", v)
	}
	if l, err = s.newLink(r.Context(), l); err != nil {
		return err
	}
	v, err := s.newSharingView(r)
	if err != nil {
		return err
	}
	path, err := s.linkPath(l)
	if err != nil {
		return err
	}
	v.Made, v.MadeFor, v.MadeWhat, v.Calendar = s.address(r)+path, l.Name, s.linkWords(l), l.Sort == linkCalendar
	return s.render(w, r, http.StatusOK, "sharing.html", v)
}

// linkAsked is the link that a form asks for; what is wrong is said there.
func (s *Server) linkAsked(f *form) store.Link {
	l := store.Link{Name: f.name("for", "Say whom it is for, to know it by later."), Scope: one(f, "may", []string{linkTicks, linkReads})}
	s.readSubject(f, &l)
	switch {
	case l.Sort == linkCalendar:
		l.Scope, l.Expires = linkReads, s.Now().AddDate(calendarYears, 0, 0)
	default:
		l.Expires = s.linkEnd(f)
		if l.Scope == "" {
			f.say("may", "Choose what they may do.")
		}
	}
	return l
}

// readSubject reads what a link shows; the plant or space has to exist.
func (s *Server) readSubject(f *form, l *store.Link) {
	text := f.text("what")
	known := false
	s.Book.Read(func(c *care.Collection) {
		switch {
		case text == linkRound || text == linkCalendar:
			l.Sort, known = text, true
		case c.Plants[trimSort(text, linkPlant)] != nil:
			l.Sort, l.Subject, known = linkPlant, trimSort(text, linkPlant), true
		case c.Plants[chosenPlant(text)] != nil:
			l.Sort, l.Subject, known = linkCalendar, trimSort(text, linkCalendar), true
		default:
			for _, sort := range []string{linkRound, linkCalendar} {
				for _, space := range c.Spaces {
					if trimSort(text, sort) == space.Name {
						l.Sort, l.Subject, known = sort, space.Name, true
					}
				}
			}
		}
	})
	if !known {
		f.say("what", "Choose what it shows.")
	}
}

// linkEnd reads the last day of a link: it ends with that day, here.
func (s *Server) linkEnd(f *form) time.Time {
	day, err := time.Parse(time.DateOnly, f.text("until"))
	today := s.Book.Today()
	switch {
	case err != nil:
		f.say("until", "%q is no date; write it as in %s.", f.text("until"), today.Format(time.DateOnly))
	case day.Before(today):
		f.say("until", "That day is over.")
	case day.Sub(today).Hours() > 24*longestLinkDays:
		f.say("until", "A link holds for a year at most.")
	}
	return time.Date(day.Year(), day.Month(), day.Day()+1, 0, 0, 0, 0, s.Now().Location())
}

func (s *Server) removeLink(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	if err := s.Secrets.RemoveLink(r.Context(), f.text("link")); err != nil && !errors.Is(err, store.ErrNotFound) {
		return fmt.Errorf("taking a link back: %w", err)
	}
	return seeOther(w, r, "/sharing?"+url.Values{"done": {"unshared"}}.Encode())
}

// linkDay is the last day on which a link holds, here.
func linkDay(l store.Link, now time.Time) time.Time {
	return l.Expires.Add(-time.Second).In(now.Location())
}
