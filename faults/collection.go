package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
)

// collection puts a copy of a collection into a folder: the invented sample, made
// by the program, with notes, pictures and readings added.
func (h *harness) collection(ctx context.Context, folder string) (file string, err error) {
	template := h.made["sample"]
	if template == "" {
		template = filepath.Join(h.work, "template.velamen")
		if err := h.must(ctx, "init", template, "--sample"); err != nil {
			return "", err
		}
		if err := fill(ctx, template); err != nil {
			return "", err
		}
		h.made["sample"] = template
	}
	file = filepath.Join(folder, "orchids.velamen")
	return file, copyCollection(template, file)
}

// home makes a folder for one run with a copy of the collection in it; the caller
// removes it.
func (h *harness) home(ctx context.Context) (folder, file string, remove func(), err error) {
	if folder, remove, err = h.folder(); err != nil {
		return "", "", nil, err
	}
	if file, err = h.collection(ctx, folder); err != nil {
		remove()
	}
	return folder, file, remove, err
}

const picturesMade = 24

// fill adds notes, pictures and readings to a collection.
func fill(ctx context.Context, file string) error {
	s, err := store.Open(ctx, file, time.Now)
	if err != nil {
		return err
	}
	plant, err := firstPlant(ctx, s)
	if err != nil {
		return errors.Join(err, s.Close())
	}
	p := newPhone(plant)
	for range 40 {
		p.note(10)
	}
	for _, burst := range p.waiting {
		if _, err := s.Append(ctx, burst); err != nil {
			return errors.Join(err, s.Close())
		}
	}
	rnd := rand.New(rand.NewPCG(7, 7))
	for range picturesMade {
		// The store keeps what it is given; that it is a picture is checked before.
		content := make([]byte, 20_000+rnd.IntN(60_000))
		for i := range content {
			content[i] = byte(rnd.Uint32())
		}
		if _, err := s.PutPhoto(ctx, store.Photo{MediaType: "image/jpeg", Width: 640, Height: 480}, content); err != nil {
			return errors.Join(err, s.Close())
		}
	}
	if err := measure(ctx, s); err != nil {
		return errors.Join(err, s.Close())
	}
	return s.Close()
}

// measure adds what a sensor told in sixty days, and sums it up.
func measure(ctx context.Context, s *store.Store) error {
	rnd := rand.New(rand.NewPCG(8, 8))
	now := time.Now().Truncate(time.Hour)
	var list []care.Reading
	for at := now.AddDate(0, 0, -60); at.Before(now); at = at.Add(10 * time.Minute) {
		list = append(list,
			care.Reading{Space: "bench", Source: "node", Quantity: care.AirTemperature, At: at, Value: 18 + 6*rnd.Float64()},
			care.Reading{Space: "bench", Source: "node", Quantity: care.AirHumidity, At: at, Value: 50 + 20*rnd.Float64()})
	}
	if _, err := s.KeepReadings(ctx, list); err != nil {
		return err
	}
	// As the program does it, so that an import of all of it sums up the same.
	_, c, err := s.Collection(ctx)
	if err != nil {
		return err
	}
	zone := readings.ZoneOf(c.Place, time.Local)
	_, err = s.Settle(ctx, func(space string) care.DayClock { return c.DayClock(space, zone) }, nil)
	return err
}

func firstPlant(ctx context.Context, s *store.Store) (string, error) {
	for e, err := range s.All(ctx) {
		if err != nil {
			return "", err
		}
		if e.Kind == care.PlantSet {
			return e.Plant, nil
		}
	}
	return "", errors.New("there is no plant in the collection")
}

// plantIn returns the first plant of a collection.
func plantIn(ctx context.Context, file string) (string, error) {
	s, err := store.OpenReading(ctx, file, time.Now)
	if err != nil {
		return "", err
	}
	defer s.Close()
	return firstPlant(ctx, s)
}

// served starts the program on a collection and returns its first plant besides.
func (h *harness) served(ctx context.Context, file string) (plant string, s *server, err error) {
	if plant, err = plantIn(ctx, file); err != nil {
		return "", nil, err
	}
	s, err = h.serve(ctx, file)
	return plant, s, err
}

// copyCollection copies a collection that nobody has open.
func copyCollection(from, to string) error {
	if err := copyFile(from, to); err != nil {
		return err
	}
	folder := store.PhotoFolder(from)
	files, err := os.ReadDir(folder)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if err := os.Mkdir(store.PhotoFolder(to), 0o700); err != nil {
		return err
	}
	for _, f := range files {
		if err := copyFile(filepath.Join(folder, f.Name()), filepath.Join(store.PhotoFolder(to), f.Name())); err != nil {
			return err
		}
	}
	return nil
}

func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// sound wants the program's own check to find a collection whole.
func (h *harness) sound(ctx context.Context, file string) error { return h.must(ctx, "verify", file) }

// contentOf sums up what a collection says: every entry, every picture with what is
// noted of it, and what sensors measured, in their order.
func contentOf(ctx context.Context, file string) (string, error) {
	s, err := store.OpenReading(ctx, file, time.Now)
	if err != nil {
		return "", err
	}
	defer s.Close()
	sum := sha256.New()
	for e, err := range s.All(ctx) {
		if err != nil {
			return "", err
		}
		fmt.Fprintf(sum, "%s %d %s %d %q %q %q %q\n%s\n", e.ID, e.At.UnixMicro(), e.At.Format("-07:00"), e.Recorded.UnixMicro(), e.Kind, e.Plant, e.Corrects, e.By, detailOf(e))
	}
	for p, err := range s.Photos(ctx) {
		if err != nil {
			return "", err
		}
		_, content, err := s.Photo(ctx, p.Hash)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(sum, "%+v\n%x\n", p, sha256.Sum256(content))
	}
	for r, err := range s.Readings(ctx, store.ReadingQuery{}) {
		if err != nil {
			return "", err
		}
		fmt.Fprintf(sum, "%q %q %s %d %g\n", r.Space, r.Source, r.Quantity, r.At.Unix(), r.Value)
	}
	if err := climateOf(ctx, s, sum); err != nil {
		return "", err
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}

// climateOf sums up the summaries of what sensors measured.
func climateOf(ctx context.Context, s *store.Store, sum io.Writer) error {
	sensors, err := s.Sensors(ctx)
	if err != nil {
		return err
	}
	for _, one := range sensors {
		from, until := one.First.AddDate(0, 0, -1), one.Last.AddDate(0, 0, 1)
		hours, err := s.ClimateHours(ctx, one.Space, from, until)
		if err != nil {
			return err
		}
		days, err := s.ClimateDays(ctx, one.Space, from, until)
		if err != nil {
			return err
		}
		fmt.Fprintf(sum, "%+v\n%+v\n", hours, days)
	}
	return nil
}

// leftovers lists files in a folder that belong to none of the named collections.
func leftovers(folder string, names ...string) (list []string, err error) {
	files, err := os.ReadDir(folder)
next:
	for _, f := range files {
		for _, name := range names {
			if strings.HasPrefix(f.Name(), name) {
				continue next
			}
		}
		list = append(list, f.Name())
	}
	return list, err
}

// moment draws a time up to a length.
func moment(rnd *rand.Rand, most time.Duration) time.Duration {
	return time.Duration(rnd.Int64N(int64(most)))
}
