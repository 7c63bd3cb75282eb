package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
)

// What a phone needs to go without reception: a script of its own between page
// and network, and the description by which the pages can be put on its home
// screen.
func offlineRoutes(on *router) {
	on.get("/service-worker.js", (*Server).sendWorker, anyone)
	on.get("/velamen.webmanifest", (*Server).sendManifest, anyone)
}

// sendWorker sends the service worker. It begins with the static files of this
// release, so that a new release brings a new worker, which fetches them.
func (s *Server) sendWorker(w http.ResponseWriter, r *http.Request) error {
	var files []string
	for name := range s.assets.files {
		files = append(files, s.assets.folder+name)
	}
	slices.Sort(files)
	list, err := json.Marshal(files)
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "text/javascript; charset=utf-8")
	h.Set("Cache-Control", "no-cache")
	_, err = fmt.Fprintf(w, "const staticFolder = %q;\nconst staticFiles = %s;\n%s", s.assets.folder, list, s.assets.files["service-worker.js"].content)
	return err
}

// sendManifest describes the pages as something to be put on a home screen.
func (s *Server) sendManifest(w http.ResponseWriter, r *http.Request) error {
	icon, err := s.assets.path("icon.svg")
	if err != nil {
		return err
	}
	text, err := json.Marshal(map[string]any{
		"name": "Velamen", "short_name": "Velamen", "description": "The recovery of repotted orchids, day by day",
		"id": "/", "start_url": "/", "scope": "/", "display": "standalone", "lang": "en",
		"background_color": "#faf7f0", "theme_color": "#faf7f0",
		"icons": []map[string]string{{"src": icon, "sizes": "any", "type": "image/svg+xml"}},
	})
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/manifest+json")
	w.Header().Set("Cache-Control", "no-cache")
	_, err = w.Write(text)
	return err
}
