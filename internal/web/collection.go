package web

import "net/http"

func collectionRoutes(on *router) {
	on.get("/collection", (*Server).showCollection)
}

// collectionView is the list of plants.
type collectionView struct {
	frame
}

func (s *Server) showCollection(w http.ResponseWriter, r *http.Request) error {
	v := &collectionView{}
	v.Title, v.Here = "Collection", "collection"
	return s.render(w, r, http.StatusOK, "collection.html", v)
}
