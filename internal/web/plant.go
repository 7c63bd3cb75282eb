package web

import "net/http"

func plantRoutes(on *router) {
	on.get("/plant/{id}", (*Server).showPlant)
}

// plantView is one plant with its course.
type plantView struct {
	frame
}

func (s *Server) showPlant(w http.ResponseWriter, r *http.Request) error {
	v := &plantView{}
	v.Title, v.Here = "Plant", "collection"
	return s.render(w, r, http.StatusOK, "plant.html", v)
}
