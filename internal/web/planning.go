package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"time"

	"velamen/internal/care"
)

func planningRoutes(on *router) {
	on.post("/plan/best", (*Server).takeBest)
	on.post("/plan/on", (*Server).searchOn)
	on.post("/plan/anew", (*Server).planAnew)
}

// planningView is how far the search for a plan has come.
type planningView struct {
	frame
	Says        string
	Done, Steps int
	Back        string
}

// patience is how long a page waits for a plan before it shows how far the search
// has come.
const patience = time.Second

// lookAgain is after how many seconds such a page looks again.
const lookAgain = "1"

// planned does the work that a page needs a plan for, or shows how far the search has come
// and returns that it is not ready: it goes on meanwhile, and can be stopped. What
// is made has to be remembered by the book.
func (s *Server) planned(w http.ResponseWriter, r *http.Request, work func(ctx context.Context) error) (ready bool, err error) {
	wait := s.Patience
	if wait == 0 {
		wait = patience
	}
	late := time.NewTimer(wait)
	defer late.Stop()
	if now, searching := s.Book.Searching(); searching {
		select {
		case <-now.Ended:
		case <-late.C:
			return false, s.showPlanning(w, r)
		}
	}
	ended := make(chan error, 1)
	go func() { ended <- work(context.WithoutCancel(r.Context())) }()
	select {
	case err := <-ended:
		return err == nil, err
	case <-late.C:
		return false, s.showPlanning(w, r)
	case <-r.Context().Done(): // nobody waits any more; what is begun is still of use
		return false, r.Context().Err()
	}
}

// showPlanning shows how far the search has come.
func (s *Server) showPlanning(w http.ResponseWriter, r *http.Request) error {
	v := &planningView{Back: r.URL.RequestURI(), Says: "The courses are being worked out first."}
	v.Title, v.Here = "Planning", "round"
	season := r.URL.Path == "/season"
	if season {
		v.Here = "season"
	}
	if now, searching := s.Book.Searching(); searching && now.Steps > 0 {
		v.Done, v.Steps = now.Done, now.Steps
		if v.Says = fmt.Sprintf("The best plan so far costs %s stress days.", shownStress(now.Cost)); season {
			v.Says = "The weeks of the season are being chosen."
		}
	}
	w.Header().Set("Refresh", lookAgain)
	w.Header().Set("Cache-Control", "no-store")
	return s.render(w, r, http.StatusAccepted, "planning.html", v)
}

// planPages are the pages that wait for plans.
var planPages = []string{"/", "/round/ahead", "/round/short", "/season"}

// backTo reads the page from which a search was stopped or begun again.
func backTo(f *form) (string, error) {
	to, err := url.Parse(f.text("back"))
	if err != nil || to.IsAbs() || to.Host != "" || !slices.Contains(planPages, to.Path) {
		return "", fmt.Errorf("%w: %q is no page that waits for a plan", errBadRequest, f.text("back"))
	}
	return to.RequestURI(), nil
}

// takeBest stops the search under way: the page it is for shows the best plan so
// far.
func (s *Server) takeBest(w http.ResponseWriter, r *http.Request) error {
	return andBack(w, r, s.Book.TakeBest)
}

// searchOn looks for better plans than those whose search was stopped.
func (s *Server) searchOn(w http.ResponseWriter, r *http.Request) error {
	return andBack(w, r, s.Book.SearchOn)
}

// andBack does something to a search and leads back to the page it was asked from.
func andBack(w http.ResponseWriter, r *http.Request, do func()) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	back, err := backTo(f)
	if err != nil {
		return err
	}
	do()
	return seeOther(w, r, back)
}

// planAnew asks for a plan that does not keep to the one of the morning.
func (s *Server) planAnew(w http.ResponseWriter, r *http.Request) error {
	if _, err := readForm(r); err != nil {
		return err
	}
	if _, err := s.Book.Append(r.Context(), s.newEntry(care.PlanAnew, "", care.Detail{})); err != nil {
		return err
	}
	return seeOther(w, r, "/round/ahead?done=anew")
}
