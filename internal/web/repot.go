package web

import "net/http"

func repotRoutes(on *router) {
	on.get("/repot", (*Server).showRepot)
}

// repotView is the form in the order of the work at the bench.
type repotView struct {
	frame
}

func (s *Server) showRepot(w http.ResponseWriter, r *http.Request) error {
	v := &repotView{}
	v.Title, v.Here = "Repot", "repot"
	return s.render(w, r, http.StatusOK, "repot.html", v)
}
