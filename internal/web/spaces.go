package web

import "net/http"

func spacesRoutes(on *router) {
	on.get("/spaces", (*Server).showSpaces)
}

// spacesView is every space with its climate and what its plants need.
type spacesView struct {
	frame
}

// spaceView is the form of one space.
type spaceView struct {
	frame
}

func (s *Server) showSpaces(w http.ResponseWriter, r *http.Request) error {
	v := &spacesView{}
	v.Title, v.Here = "Spaces", "spaces"
	return s.render(w, r, http.StatusOK, "spaces.html", v)
}
