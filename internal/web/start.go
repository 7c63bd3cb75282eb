package web

import "net/http"

func startRoutes(on *router) {
	on.get("/start", (*Server).showStart)
}

// startView is the first screen of an empty collection.
type startView struct {
	frame
}

func (s *Server) showStart(w http.ResponseWriter, r *http.Request) error {
	v := &startView{}
	v.Title = "A first place"
	return s.render(w, r, http.StatusOK, "start.html", v)
}
