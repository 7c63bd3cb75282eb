package bundle

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"

	"velamen/internal/care"
	"velamen/internal/store"
)

// format names the form of the file and its version.
const format = "velamen-bundle-1"

// Limits of a bundle that is read.
const (
	MaxEntries = 5_000_000
	MaxPhotos  = 200_000
	// mostOfOne bounds one entry or one photograph: base64 adds a third.
	mostOfOne = store.MaxPhotoBytes*3/2 + 1<<20
)

// From is what a bundle is made of.
type From interface {
	Count(ctx context.Context) (int, error)
	All(ctx context.Context) iter.Seq2[care.Entry, error]
	Photos(ctx context.Context) iter.Seq2[store.Photo, error]
	Photo(ctx context.Context, hash string) (store.Photo, []byte, error)
}

// photograph is a picture as the bundle carries it.
type photograph struct {
	store.Photo
	Content []byte `json:"content"`
}

// Write writes a collection. A photograph that is damaged is an error: a bundle
// is complete or it is none.
func Write(ctx context.Context, to io.Writer, from From, progress store.Progress) error {
	w := bufio.NewWriterSize(to, 1<<16)
	total, err := from.Count(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "{\"format\": %q,\n\"entries\": [", format)
	n := 0
	for e, err := range from.All(ctx) {
		if err != nil {
			return fmt.Errorf("reading the journal: %w", err)
		}
		if err := element(w, n, e); err != nil {
			return err
		}
		n++
		tell(progress, "writing entries", n, total)
	}
	fmt.Fprint(w, "\n],\n\"photographs\": [")
	n = 0
	for p, err := range from.Photos(ctx) {
		if err != nil {
			return fmt.Errorf("listing the photographs: %w", err)
		}
		_, content, err := from.Photo(ctx, p.Hash)
		if err != nil {
			return err
		}
		if err := element(w, n, photograph{p, content}); err != nil {
			return err
		}
		n++
		tell(progress, "writing photographs", n, 0)
	}
	fmt.Fprint(w, "\n]")
	if kept, ok := from.(Measured); ok {
		if err := writeReadings(ctx, w, kept, progress); err != nil {
			return err
		}
	}
	fmt.Fprint(w, "}\n")
	return w.Flush()
}

// element writes one element of a list, each on a line of its own.
func element(w *bufio.Writer, n int, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	if n > 0 {
		w.WriteByte(',')
	}
	w.WriteByte('\n')
	_, err = w.Write(text) // an earlier error comes back here too
	return err
}

func tell(progress store.Progress, doing string, done, total int) {
	if progress != nil && (done%256 == 0 || done == total) {
		progress(doing, done, total)
	}
}

// Read reads a bundle and hands out what it holds: entries, photographs, and
// readings in parts of at most partReadings. It stops at the first error,
// also one that a function returns. Photographs are checked against their hash;
// entries and readings are not checked.
func Read(ctx context.Context, from io.Reader, entry func(care.Entry) error, photo func(store.Photo, []byte) error, measure func([]care.Reading) error) error {
	bounded := &boundedReader{from: from, left: mostOfOne}
	d := json.NewDecoder(bounded)
	d.DisallowUnknownFields()
	r := reading{ctx: ctx, d: d, bounded: bounded}
	if err := r.all(entry, photo, measure); err != nil {
		return fmt.Errorf("at byte %d: %w", d.InputOffset(), err)
	}
	return nil
}

type reading struct {
	ctx     context.Context
	d       *json.Decoder
	bounded *boundedReader
}

func (r *reading) all(entry func(care.Entry) error, photo func(store.Photo, []byte) error, measure func([]care.Reading) error) error {
	if err := r.expect(json.Delim('{'), errors.New("this is no bundle: an object is expected")); err != nil {
		return err
	}
	if err := r.expect("format", errors.New(`this is no bundle: "format" comes first`)); err != nil {
		return err
	}
	if err := r.expect(format, fmt.Errorf("the format is not %q, the only one this release reads", format)); err != nil {
		return err
	}
	err := list(r, "entries", MaxEntries, entry)
	if err != nil {
		return err
	}
	err = list(r, "photographs", MaxPhotos, func(p photograph) error {
		if p.Bytes != len(p.Content) {
			return fmt.Errorf("photograph %s has %d bytes, not %d", p.Hash, len(p.Content), p.Bytes)
		}
		if err := store.CheckPhoto(p.Photo, p.Content); err != nil {
			return err
		}
		return photo(p.Photo, p.Content)
	})
	if err != nil {
		return err
	}
	if r.d.More() {
		err := list(r, "readings", MaxReadings/partReadings, func(m measured) error {
			part, err := m.readings()
			if err != nil {
				return err
			}
			return measure(part)
		})
		if err != nil {
			return err
		}
	}
	if err := r.expect(json.Delim('}'), errors.New("something follows the readings")); err != nil {
		return err
	}
	if _, err := r.d.Token(); err != io.EOF {
		return errors.New("something follows the bundle")
	}
	return nil
}

func (r *reading) expect(want json.Token, otherwise error) error {
	got, err := r.d.Token()
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	if err != nil {
		return errors.Join(otherwise, err)
	}
	if got != want {
		return otherwise
	}
	return nil
}

// list reads a named list, element by element.
func list[T any](r *reading, name string, most int, each func(T) error) error {
	wrong := fmt.Errorf("a list called %q is expected here", name)
	if err := r.expect(name, wrong); err != nil {
		return err
	}
	if err := r.expect(json.Delim('['), wrong); err != nil {
		return err
	}
	for n := 0; r.d.More(); n++ {
		if err := r.ctx.Err(); err != nil {
			return err
		}
		if n == most {
			return fmt.Errorf("there are more than %d %s", most, name)
		}
		r.bounded.left = mostOfOne
		var one T
		if err := r.d.Decode(&one); err != nil {
			return fmt.Errorf("%s, number %d: %w", name, n+1, err)
		}
		if err := each(one); err != nil {
			return fmt.Errorf("%s, number %d: %w", name, n+1, err)
		}
	}
	return r.expect(json.Delim(']'), wrong)
}

// boundedReader keeps one value from filling the memory.
type boundedReader struct {
	from io.Reader
	left int
}

func (b *boundedReader) Read(into []byte) (int, error) {
	if b.left <= 0 {
		return 0, fmt.Errorf("one element is larger than %d MB", mostOfOne>>20)
	}
	if len(into) > b.left {
		into = into[:b.left]
	}
	n, err := b.from.Read(into)
	b.left -= n
	return n, err
}
