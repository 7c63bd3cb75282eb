package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"

	"velamen/internal/care"
	"velamen/internal/photo"
	"velamen/internal/store"
)

// photoBytes is the longest body of a form with a picture: the largest picture
// and room for what goes with it.
const photoBytes = photo.UsualBytes + 1<<20

// opening lets one picture be opened at a time: it takes much memory.
var opening = make(chan struct{}, 1)

// takePicture takes the picture of a form in and notes it in the entry. What is
// wrong with it is said at its field.
func (s *Server) takePicture(r *http.Request, f *form, e *care.Entry) error {
	if s.Photos == nil {
		return fmt.Errorf("%w: pictures are not kept here", errUnavailable)
	}
	file, header, err := r.FormFile("picture")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) || err == nil && header.Size == 0 {
		f.say("picture", "Choose a picture or take one.")
		return nil
	}
	if err != nil {
		return fmt.Errorf("%w: %w", errBadRequest, err)
	}
	defer file.Close()
	if f.wrong() {
		f.say("picture", "Choose the picture once more: a browser does not send it again by itself.")
		return nil
	}
	err = s.keepPicture(r.Context(), file, e, f.text("when") == "")
	var refused *photo.Refusal
	if errors.As(err, &refused) {
		f.say("picture", "%s", refused.Text)
		return nil
	}
	return err
}

// keepPicture takes a picture in and notes it in its entry: what tells where or
// whose it is is taken off first, and what is no picture is refused with a
// photo.Refusal. dates lets the picture say when it was taken.
func (s *Server) keepPicture(ctx context.Context, file io.Reader, e *care.Entry, dates bool) error {
	select {
	case opening <- struct{}{}:
		defer func() { <-opening }()
	case <-ctx.Done():
		return ctx.Err()
	}
	picture, err := photo.Accept(file, photo.Limits{})
	if err != nil {
		return err
	}
	taken := picture.Taken.In(s.Now().Location())
	if dates && !taken.IsZero() && taken.Before(s.Now()) {
		e.At = taken
	}
	view, err := s.Photos.PutPhoto(ctx, store.Photo{MediaType: picture.View.MediaType, Width: picture.View.Width, Height: picture.View.Height, Taken: taken}, picture.View.Bytes)
	if err != nil {
		return fmt.Errorf("keeping a picture: %w", err)
	}
	thumbs.put(view.Hash, picture.Thumbnail.Bytes)
	e.Detail.Photo = view.Hash
	var settings care.Settings
	s.Book.Read(func(c *care.Collection) { settings = c.Settings })
	if settings.KeepOriginals {
		o := picture.Original
		kept, err := s.Photos.PutPhoto(ctx, store.Photo{MediaType: o.MediaType, Width: o.Width, Height: o.Height, Taken: taken, Original: true}, o.Bytes)
		if err != nil {
			return fmt.Errorf("keeping an original: %w", err)
		}
		e.Detail.Original = kept.Hash
	}
	return nil
}

// thumbnail returns the small copy of a picture, made from the copy for viewing
// where it is not at hand.
func (s *Server) thumbnail(r *http.Request, hash string) ([]byte, error) {
	if small, ok := thumbs.get(hash); ok {
		return small, nil
	}
	_, content, err := s.Photos.Photo(r.Context(), hash)
	if err != nil {
		return nil, err
	}
	select {
	case opening <- struct{}{}:
		defer func() { <-opening }()
	case <-r.Context().Done():
		return nil, r.Context().Err()
	}
	picture, err := photo.Accept(bytes.NewReader(content), photo.Limits{})
	if err != nil {
		return nil, fmt.Errorf("making a small copy of a picture: %w", err)
	}
	thumbs.put(hash, picture.Thumbnail.Bytes)
	return picture.Thumbnail.Bytes, nil
}

// photoDate is when a picture was taken, by its entry.
func photoDate(e care.Entry) string { return e.At.Format("2 January 2006") }

// apart says how much time lies between two pictures.
func apart(a, b time.Time) string {
	days := int(b.Sub(a).Hours()/24 + 0.5)
	if days < 0 {
		days = -days
	}
	return counted(days, "day apart", "days apart")
}
