package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
)

//go:embed static
var staticFiles embed.FS

// assets are the stylesheet, the modules and the pictures of the pages. They
// stand below a folder that is named by the hash of them all, so that modules
// import each other by relative names and nothing is ever out of date.
type assets struct {
	folder string // "/static/<hash>/"
	files  map[string]asset
}

type asset struct {
	kind    string
	content []byte
	packed  []byte // with gzip, where that saves something
}

// The types of what is kept under static, lest a machine's own tables decide.
var assetKinds = map[string]string{
	".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml",
	".png": "image/png", ".webmanifest": "application/manifest+json",
}

func loadAssets() (assets, error) {
	a := assets{files: map[string]asset{}}
	sum := sha256.New()
	err := fs.WalkDir(staticFiles, "static", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := staticFiles.ReadFile(name)
		if err != nil {
			return err
		}
		kind, ok := assetKinds[path.Ext(name)]
		if !ok {
			return fmt.Errorf("%s has no known type (%s)", name, mime.TypeByExtension(path.Ext(name)))
		}
		fmt.Fprintf(sum, "%s\n%d\n", name, len(content))
		sum.Write(content)
		a.files[name[len("static/"):]] = asset{kind, content, packed(content)}
		return nil
	})
	a.folder = "/static/" + hex.EncodeToString(sum.Sum(nil))[:16] + "/"
	return a, err
}

// path returns the address of a file under static.
func (a assets) path(name string) (string, error) {
	if _, ok := a.files[name]; !ok {
		return "", fmt.Errorf("there is no static file %s", name)
	}
	return a.folder + name, nil
}

func assetRoutes(on *router) {
	on.get("/static/{version}/{name...}", (*Server).sendAsset, anyone)
}

func (s *Server) sendAsset(w http.ResponseWriter, r *http.Request) error {
	file, ok := s.assets.files[r.PathValue("name")]
	if !ok {
		return notThere(r)
	}
	if "/static/"+r.PathValue("version")+"/" == s.assets.folder {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	} // an older page asked: it gets what there is, once
	w.Header().Set("Content-Type", file.kind)
	_, err := w.Write(choosePacked(w, r, file.content, file.packed))
	return err
}
