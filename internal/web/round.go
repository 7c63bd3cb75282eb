package web

import "net/http"

func roundRoutes(on *router) {
	on.get("/{$}", (*Server).showRound)
}

// roundView is the day's work in walking order.
type roundView struct {
	frame
}

func (s *Server) showRound(w http.ResponseWriter, r *http.Request) error {
	if s.empty() {
		return seeOther(w, r, "/start")
	}
	v := &roundView{}
	v.Title, v.Here = "Round", "round"
	return s.render(w, r, http.StatusOK, "round.html", v)
}
