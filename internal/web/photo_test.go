package web

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"

	"velamen/internal/care"
	"velamen/internal/store"
)

// fakePhotos keeps pictures in memory, as store.Store does on the disk.
type fakePhotos struct {
	mu   sync.Mutex
	kept map[string]store.Photo
	file map[string][]byte
}

func withPhotos(c *Config, _ *bench) {
	c.Photos = &fakePhotos{kept: map[string]store.Photo{}, file: map[string][]byte{}}
}

func (f *fakePhotos) PutPhoto(_ context.Context, p store.Photo, content []byte) (store.Photo, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := store.CheckPhoto(p, content); err != nil {
		return p, err
	}
	p.Hash, p.Bytes = store.HashOf(content), len(content)
	f.kept[p.Hash], f.file[p.Hash] = p, content
	return p, nil
}

func (f *fakePhotos) Photo(_ context.Context, hash string) (store.Photo, []byte, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if _, ok := f.kept[hash]; !ok {
		return store.Photo{}, nil, store.ErrNotFound
	}
	return f.kept[hash], f.file[hash], nil
}

// jpegOf makes a picture of a size.
func jpegOf(t *testing.T, width, height int, shade uint8) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, width, height))
	for i := range img.Pix {
		img.Pix[i] = shade + uint8(i%7)
	}
	img.SetGray(1, 1, color.Gray{Y: 255})
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// upload sends a form with a picture as a browser does.
func (b *bench) upload(path string, values url.Values, file []byte) *http.Response {
	b.t.Helper()
	var text bytes.Buffer
	w := multipart.NewWriter(&text)
	for name, list := range values {
		for _, v := range list {
			if err := w.WriteField(name, v); err != nil {
				b.t.Fatal(err)
			}
		}
	}
	part, err := w.CreateFormFile("picture", "IMG_0001.jpg")
	if err != nil {
		b.t.Fatal(err)
	}
	_, _ = part.Write(file) // into memory
	if err := w.Close(); err != nil {
		b.t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, path, &text)
	r.Header.Set("Content-Type", w.FormDataContentType())
	return b.do(r)
}

func TestAPhotographIsTakenInShownAndMeasured(t *testing.T) {
	b := newBench(t, withSample, withPhotos)
	id := b.plant("C-003")
	path := "/plant/" + id + "/write/photograph"
	page := b.get(path)
	for _, want := range []string{`type="file"`, `accept="image/*"`, `capture="environment"`, `enctype="multipart/form-data"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the form lacks %q", want)
		}
	}
	values := url.Values{"entry": {hidden(t, page, "entry")}, "note": {"from the left"}}
	b.accepted(b.upload(path, values, jpegOf(t, 3000, 1000, 60)))
	e := b.last(id, care.Photographed)
	if e.Detail.Original != "" || e.Detail.Note != "from the left" || !e.At.Equal(testNow) {
		t.Errorf("kept %+v at %s", e.Detail, e.At)
	}
	for size, longest := range map[string]int{thumbSize: 480, viewSize: 2048} {
		answer := b.do(httptest.NewRequest(http.MethodGet, "/photo/"+e.Detail.Photo+"/"+size, nil))
		config, err := jpeg.DecodeConfig(answer.Body)
		if err != nil || config.Width != longest {
			t.Errorf("%s: %d px wide, %v", size, config.Width, err)
		}
		for header, want := range map[string]string{
			"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff", "Cache-Control": "private, max-age=31536000, immutable",
		} {
			if got := answer.Header.Get(header); got != want {
				t.Errorf("%s: %s is %q, want %q", size, header, got, want)
			}
		}
	}
	// A small copy can be made again from what is kept.
	thumbs.mu.Lock()
	delete(thumbs.held, e.Detail.Photo)
	thumbs.mu.Unlock()
	if answer := b.do(httptest.NewRequest(http.MethodGet, "/photo/"+e.Detail.Photo+"/small", nil)); answer.StatusCode != http.StatusOK {
		t.Errorf("the small copy made anew: %s", answer.Status)
	}
	if page := b.get("/plant/" + id); !strings.Contains(page, photoPath(e.Detail.Photo, thumbSize)) {
		t.Error("the plant's page does not show it")
	}

	// A ruler of 100 mm over 1000 px, a straight root of 400 px.
	measure := "/plant/" + id + "/measure/" + e.ID
	page = b.get(measure)
	marks := url.Values{
		"entry": {hidden(t, page, "entry")}, "scale": {"100 600, 1100 600"}, "scale_length": {"100"}, "root_marks": {"200 200; 400 200\n600 200"},
		"tilt": {"flat"}, "root": {"A"}, "tip": {"growing"}, "step": {"measure"},
	}
	answer := b.post(measure, marks)
	if page = body(t, answer); answer.StatusCode != http.StatusOK || !strings.Contains(page, "The root is") || !strings.Contains(page, "40.") {
		t.Errorf("measured: %s\n%s", answer.Status, errorsIn(page))
	}
	marks.Set("step", "keep")
	b.accepted(b.post(measure, marks))
	got := b.last(id, care.RootsRead)
	r := got.Detail.Roots[0]
	if r.Root != "A" || r.LengthMM < 39.5 || r.LengthMM > 41 || r.HowMM <= 0 || r.Tip != "growing" || !got.At.Equal(e.At) {
		t.Errorf("kept %+v at %s, want some 40 mm on the day of the picture", r, got.At)
	}
	b.accepted(b.post(measure, marks))
	if n := b.count(id, care.RootsRead); n < 1 || b.last(id, care.RootsRead).ID != got.ID {
		t.Errorf("sent twice, kept twice (%d)", n)
	}
	for name, c := range map[string]struct{ field, text, says string }{
		"one mark":       {"scale", "100 600", "Two marks are needed"},
		"half a place":   {"root_marks", "200 200 400", "two numbers"},
		"outside":        {"root_marks", "200 200, 9000 200", "outside the picture"},
		"no place":       {"root_marks", "here, there", "is no place"},
		"marks too near": {"scale", "100 600, 105 600", "px apart"},
		"no length":      {"scale_length", "", "How far apart"},
		"no mark":        {"root", "", "Which root"},
	} {
		slip := of(marks, c.field, c.text)
		answer := b.post(measure, slip)
		if page := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(errorsIn(page), c.says) {
			t.Errorf("%s: %s, says %q, want %q", name, answer.Status, errorsIn(page), c.says)
		}
	}
}

func TestPicturesThatAreRefused(t *testing.T) {
	b := newBench(t, withSample, withPhotos)
	path := "/plant/" + b.plant("C-003") + "/write/photograph"
	n := len(b.store.entries)
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"none":    {nil, "Choose a picture"},
		"a text":  {[]byte("not a picture at all"), "not a picture"},
		"a HEIC":  {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "HEIC"},
		"damaged": {jpegOf(t, 300, 200, 10)[:200], "damaged"},
	} {
		answer := b.upload(path, url.Values{"note": {"from the left"}}, c.file)
		page := body(t, answer)
		if answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(errorsIn(page), c.says) {
			t.Errorf("%s: %s, says %q, want %q", name, answer.Status, errorsIn(page), c.says)
		}
		if !strings.Contains(page, "from the left</textarea>") {
			t.Errorf("%s: the note is gone", name)
		}
	}
	if len(b.store.entries) != n {
		t.Error("something was kept all the same")
	}
	for _, path := range []string{"/photo/nonsense/full", "/photo/" + strings.Repeat("0", 64) + "/full", "/photo/" + strings.Repeat("0", 64) + "/huge", "/photo/..%2f..%2fpasswd/full"} {
		if answer := b.do(httptest.NewRequest(http.MethodGet, path, nil)); answer.StatusCode != http.StatusNotFound {
			t.Errorf("GET %s: %s", path, answer.Status)
		}
	}
}

func TestOriginalsAreKeptOnlyIfTheSettingSaysSo(t *testing.T) {
	b := newBench(t, withSample, withPhotos)
	id := b.plant("C-003")
	e := b.server.newEntry(care.SettingsSet, "", care.Detail{Settings: &care.Settings{Units: care.MetricUnits(), KeepOriginals: true}})
	if _, err := b.server.Book.Append(t.Context(), e); err != nil {
		t.Fatal(err)
	}
	b.accepted(b.upload("/plant/"+id+"/write/photograph", nil, jpegOf(t, 400, 300, 60)))
	got := b.last(id, care.Photographed)
	answer := b.do(httptest.NewRequest(http.MethodGet, photoPath(got.Detail.Original, viewSize), nil))
	if got.Detail.Original == "" || answer.StatusCode != http.StatusOK {
		t.Errorf("original %q: %s", got.Detail.Original, answer.Status)
	}
}

func TestTwoPicturesStandSideBySide(t *testing.T) {
	b := newBench(t, withSample, withPhotos)
	id := b.plant("C-003")
	var ids []string
	for i, when := range []string{"2026-11-01T09:00", "2026-11-15T09:00"} {
		b.accepted(b.upload("/plant/"+id+"/write/photograph", url.Values{"when": {when}}, jpegOf(t, 400, 300, uint8(40*i))))
		ids = append(ids, b.last(id, care.Photographed).ID)
	}
	page := b.get("/plant/" + id + "/photos?from=" + ids[0] + "&to=" + ids[1])
	if !strings.Contains(page, "1 November 2026 and 15 November 2026, 14 days apart") {
		t.Error("the two pictures are not beside each other")
	}
}

// Pictures are for those who are signed in.
func TestPicturesAreNotForEverybody(t *testing.T) {
	b := newBench(t, withSample, withPhotos, reachable)
	answer := b.do(httptest.NewRequest(http.MethodGet, "/photo/"+strings.Repeat("0", 64)+"/full", nil))
	if answer.StatusCode != http.StatusSeeOther || !strings.HasPrefix(answer.Header.Get("Location"), "/sign-in") {
		t.Errorf("%s to %s", answer.Status, answer.Header.Get("Location"))
	}
}
