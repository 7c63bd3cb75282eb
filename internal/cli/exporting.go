package cli

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/internal/store/bundle"
)

// exportCommand writes a collection in open formats.
type exportCommand struct {
	File    string `arg:"" help:"The collection."`
	Out     string `arg:"" help:"A name ending in .json for everything in one file, photographs and readings included; any other for a folder of CSV tables."`
	Replace bool   `help:"Write over files of these names."`
}

func (c exportCommand) Run(r *run) (err error) {
	s, err := store.OpenReading(r.ctx, c.File, r.clock)
	if err != nil {
		return storeProblem("opening the collection", err)
	}
	defer func() { err = errors.Join(err, storeProblem("closing the collection", s.Close())) }()
	if strings.HasSuffix(strings.ToLower(c.Out), ".json") {
		progress, end := r.progress()
		defer end()
		err := store.WriteFile(c.Out, c.Replace, func(w io.Writer) error { return bundle.Write(r.ctx, w, s, progress) })
		if err != nil {
			return withReplace(storeProblem("exporting", err))
		}
		fmt.Fprintf(r.out, "The whole collection is in %s. It comes back with: velamen import NEWFILE %s --yes\n", c.Out, c.Out)
		return nil
	}
	entries, collection, err := s.Collection(r.ctx)
	if err != nil {
		return storeProblem("reading the collection", err)
	}
	tables, err := bundle.Tables(entries, collection)
	if err != nil {
		return storeProblem("exporting", err)
	}
	if err := bundle.WriteFolder(c.Out, tables, c.Replace); err != nil {
		return withReplace(storeProblem("exporting", err))
	}
	folder, err := withReadings(r, s, c.Out, c.Replace)
	if err != nil {
		return err
	}
	fmt.Fprintf(r.out, "In %s:\n", c.Out)
	for _, t := range tables {
		fmt.Fprintf(r.out, "  %s\n", t.Name)
	}
	if folder {
		fmt.Fprintf(r.out, "  %s\n", readingsFile)
	}
	fmt.Fprintln(r.out, "Cells that a spreadsheet program would run as a formula have an apostrophe in front. Photographs are in the .json export only.")
	return nil
}

// withReplace adds the way out to an error about a file that exists.
func withReplace(err error) error {
	if errors.Is(err, store.ErrExists) {
		return fmt.Errorf("%w; --replace writes over it", err)
	}
	return err
}

// readingsFile is what the readings are called in a folder of tables.
const readingsFile = "readings.csv"

// withReadings adds what sensors measured to a folder of tables, if anything
// was.
func withReadings(r *run, s *store.Store, folder string, replace bool) (bool, error) {
	sensors, err := s.Sensors(r.ctx)
	if err != nil || len(sensors) == 0 {
		return false, storeProblem("exporting", err)
	}
	progress, end := r.progress()
	defer end()
	err = store.WriteFile(filepath.Join(folder, readingsFile), replace, func(w io.Writer) error {
		_, err := readings.WriteTable(w, s.Readings(r.ctx, store.ReadingQuery{}), func(n int) {
			if progress != nil {
				progress("writing readings", n, 0)
			}
		})
		return err
	})
	return true, withReplace(storeProblem("exporting", err))
}
