package web

import (
	"net/http"
)

// repottedView is the end of the work: the course, a label, and what comes next.
type repottedView struct {
	frame
	Plant   plantHead
	Stands  *standsView
	Targets []targetView
	Course  *courseView
	Flush   string
	Trouble string
	Next    string // hygiene before the next plant
	Divided bool
	Piece   string // path to write down another piece
	After   string // path to write down the next plant
}

func (s *Server) showRepotted(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	v := &repottedView{Plant: newPlantHead(sp), Piece: "/repot?piece=" + sp.id, After: "/repot?after=" + sp.id}
	v.Title, v.Here, v.Style, v.Module, v.Notice = sp.label()+" is repotted", "repot", "plant.css", "modules/plant.js", "Kept."
	if cautions := s.cautions("cutting"); len(cautions) > 0 {
		v.Next = cautions[0]
	}
	if n := len(sp.state.Repots); n > 0 {
		v.Divided = sp.state.Repots[n-1].Repot.Work == "divided"
	}
	u := sp.settings.Units
	c, err := s.Book.Course(sp.id, s.Book.Today())
	if err != nil {
		v.Trouble = sentence(err.Error())
		return s.render(w, r, http.StatusOK, "repot-done.html", v)
	}
	v.Stands = newStandsView(sp, u, &c, &rootsView{})
	v.Targets = newTargets(u, &c)
	v.Flush = c.Flush.Says(u, homeNoun(sp))
	if v.Course, err = newCourseView("course", u, &c); err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "repot-done.html", v)
}
