package bundle

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
)

// Into is what a bundle is read into.
type Into interface {
	Restore(ctx context.Context, entries []care.Entry) ([]care.Entry, error)
	PutPhoto(ctx context.Context, p store.Photo, content []byte) (store.Photo, error)
}

// Summary is what a bundle holds, and how much of it was new.
type Summary struct {
	Entries, Photos, Readings int
	Added                     int // entries; the others were there already
	Kept                      care.Kept
}

// Check reads a whole bundle without keeping anything and reports everything
// that is wrong with its entries.
func Check(ctx context.Context, from io.Reader, now time.Time) (Summary, error) {
	var s Summary
	var wrong problems
	err := Read(ctx, from, func(e care.Entry) error {
		s.Entries++
		for _, p := range e.Check(now) {
			wrong.add(fmt.Sprintf("entry %s: %v", e.ID, p))
		}
		return nil
	}, func(store.Photo, []byte) error {
		s.Photos++
		return nil
	}, func(list []care.Reading) error {
		s.Readings += len(list)
		for _, r := range list {
			if err := r.Check(now); err != nil {
				wrong.add(fmt.Sprintf("a reading of %s in %s: %v", r.Source, r.Space, err))
			}
		}
		return nil
	})
	if err == nil {
		err = wrong.err()
	}
	return s, err
}

// Import reads a bundle into a collection, twice: nothing is kept before all of
// it was checked. The entries are added all or none. An entry, photograph or
// reading that is there already is passed over, so that importing twice changes
// nothing. The summaries of readings are left to the caller.
func Import(ctx context.Context, from io.ReadSeeker, into Into, now time.Time, progress store.Progress) (Summary, error) {
	s, err := Check(ctx, from, now)
	if err != nil {
		return s, err
	}
	if _, err := from.Seek(0, io.SeekStart); err != nil {
		return s, err
	}
	entries := make([]care.Entry, 0, s.Entries)
	photos := 0
	err = Read(ctx, from, func(e care.Entry) error {
		entries = append(entries, e)
		return nil
	}, func(p store.Photo, content []byte) error {
		photos++
		tell(progress, "keeping photographs", photos, s.Photos)
		_, err := into.PutPhoto(ctx, p, content)
		return err
	}, func(list []care.Reading) error {
		kept, ok := into.(Measured)
		if !ok {
			return errors.New("readings cannot be kept here")
		}
		done, err := kept.KeepReadings(ctx, list)
		s.Kept.Add(done)
		tell(progress, "keeping readings", s.Kept.Added+s.Kept.Doubled, s.Readings)
		return err
	})
	if err != nil {
		return s, err
	}
	added, err := into.Restore(ctx, entries)
	s.Added = len(added)
	return s, err
}

// problems lists what is wrong, up to a bound.
type problems struct {
	list []string
	more int
}

func (p *problems) add(text string) {
	const most = 20
	if len(p.list) < most {
		p.list = append(p.list, text)
		return
	}
	p.more++
}

func (p *problems) err() error {
	if len(p.list) == 0 {
		return nil
	}
	text := strings.Join(p.list, "\n")
	if p.more > 0 {
		text += fmt.Sprintf("\nand %d more", p.more)
	}
	return errors.New(text)
}
