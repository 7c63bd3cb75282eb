package web

import "net/http"

func settingsRoutes(on *router) {
	on.get("/settings", (*Server).showSettings, peopleOnly)
}

// settingsView is what the grower chose once, and who has access.
type settingsView struct {
	frame
}

func (s *Server) showSettings(w http.ResponseWriter, r *http.Request) error {
	v := &settingsView{}
	v.Title, v.Here = "Settings", "settings"
	return s.render(w, r, http.StatusOK, "settings.html", v)
}
