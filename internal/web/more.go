package web

import "net/http"

// moreKey is that of the page with the screens that a phone's bar has no room
// for.
const moreKey = "more"

// moreView lists them; the links come with the frame.
type moreView struct{ frame }

func moreRoutes(on *router) {
	on.get("/more", showMore)
}

func showMore(s *Server, w http.ResponseWriter, r *http.Request) error {
	return s.render(w, r, http.StatusOK, "more.html", &moreView{frame{Title: "More", Here: moreKey}})
}
