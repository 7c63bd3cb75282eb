package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"

	"velamen/internal/care"
	"velamen/internal/store"
)

func photoRoutes(on *router) {
	on.get("/photo/{hash}/{size}", (*Server).sendPhoto)
	on.get("/plant/{id}/photos", (*Server).showPhotos)
	on.get("/plant/{id}/measure/{entry}", (*Server).showMeasure)
	on.post("/plant/{id}/measure/{entry}", (*Server).measurePicture)
}

// The sizes of a picture.
const (
	thumbSize = "small"
	viewSize  = "full"
)

func photoPath(hash, size string) string { return "/photo/" + hash + "/" + size }

// sendPhoto sends a picture. Its name is the hash of its content, so that it
// never changes.
func (s *Server) sendPhoto(w http.ResponseWriter, r *http.Request) error {
	hash, size := r.PathValue("hash"), r.PathValue("size")
	if s.Photos == nil || !isPhotoHash(hash) || size != thumbSize && size != viewSize {
		return notThere(r)
	}
	kind, content := "image/jpeg", []byte(nil)
	var err error
	if size == thumbSize {
		content, err = s.thumbnail(r, hash)
	} else {
		var p store.Photo
		p, content, err = s.Photos.Photo(r.Context(), hash)
		kind = p.MediaType
	}
	if errors.Is(err, store.ErrNotFound) {
		return notThere(r)
	}
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	h.Set("Content-Length", fmt.Sprint(len(content)))
	_, err = w.Write(content)
	return err
}

// isPhotoHash reports whether a name can be that of a picture.
func isPhotoHash(name string) bool {
	if len(name) != 64 {
		return false
	}
	for _, c := range []byte(name) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// photoThumb is a picture in a list.
type photoThumb struct {
	Entry, Date, Note string
	Small, Full       string // paths
	Page, Measure     string
	Original          string
	Chosen            bool
}

func newThumb(sp specimen, e care.Entry) photoThumb {
	t := photoThumb{
		Entry: e.ID, Date: photoDate(e), Note: e.Detail.Note, Small: photoPath(e.Detail.Photo, thumbSize), Full: photoPath(e.Detail.Photo, viewSize),
		Page: sp.path() + "/photos?of=" + e.ID, Measure: sp.path() + "/measure/" + e.ID,
	}
	if e.Detail.Original != "" {
		t.Original = photoPath(e.Detail.Original, viewSize)
	}
	return t
}

// pictures returns the entries with pictures that still count, newest first.
func pictures(entries []care.Entry) []care.Entry {
	list := care.Effective(entries, farAhead)
	list = slices.DeleteFunc(list, func(e care.Entry) bool { return e.Detail.Photo == "" })
	slices.Reverse(list)
	return list
}

func thumbsOf(sp specimen, entries []care.Entry, most int) []photoThumb {
	var list []photoThumb
	for _, e := range pictures(entries) {
		if len(list) == most {
			break
		}
		list = append(list, newThumb(sp, e))
	}
	return list
}

// photosView is the pictures of one plant: all of them, one, or two side by
// side.
type photosView struct {
	frame
	Plant       plantHead
	Take        string
	All         []photoThumb
	One         *photoThumb
	Left, Right *photoThumb
	Apart       string
	From, To    field // dates to compare
}

func (s *Server) showPhotos(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	entries, err := s.Book.Journal(r.Context(), sp.id)
	if err != nil {
		return err
	}
	list := pictures(entries)
	v := &photosView{Plant: newPlantHead(sp), Take: writePath(sp, care.Photographed, "")}
	v.Title, v.Here, v.Style = "Photographs of "+sp.label(), "collection", "plant.css"
	v.From = field{Name: "from", Label: "From", Type: "select"}
	v.To = field{Name: "to", Label: "To", Type: "select"}
	pick := func(key string) *care.Entry {
		if i := slices.IndexFunc(list, func(e care.Entry) bool { return e.ID == r.URL.Query().Get(key) }); i >= 0 {
			return &list[i]
		}
		return nil
	}
	if e := pick("of"); e != nil {
		one := newThumb(sp, *e)
		v.One = &one
	}
	from, to := pick("from"), pick("to")
	if len(list) > 1 {
		if from == nil {
			from = &list[len(list)-1]
		}
		if to == nil {
			to = &list[0]
		}
		if r.URL.Query().Has("from") {
			left, right := newThumb(sp, *from), newThumb(sp, *to)
			v.Left, v.Right, v.Apart = &left, &right, apart(from.At, to.At)
		}
		for _, e := range slices.Backward(list) {
			label := e.At.Format("2 Jan 2006, 15:04")
			v.From.Options = append(v.From.Options, choice{e.ID, label, e.ID == from.ID})
			v.To.Options = append(v.To.Options, choice{e.ID, label, e.ID == to.ID})
		}
	}
	for _, e := range list {
		v.All = append(v.All, newThumb(sp, e))
	}
	return s.render(w, r, http.StatusOK, "photo-list.html", v)
}
