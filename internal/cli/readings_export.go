package cli

import (
	"errors"
	"fmt"
	"io"

	"velamen/internal/readings"
	"velamen/internal/store"
)

// readingsExport writes readings as CSV.
type readingsExport struct {
	File    string `arg:"" help:"The collection; it may be in use."`
	Out     string `arg:"" help:"The file to write, or - for standard output."`
	Space   string `help:"Only what was measured in this space." placeholder:"NAME"`
	From    string `help:"From this day on, UTC." placeholder:"DAY"`
	Until   string `help:"Up to and including this day, UTC." placeholder:"DAY"`
	Replace bool   `help:"Write over a file of this name."`
}

func (c readingsExport) Run(r *run) (err error) {
	q := store.ReadingQuery{Space: c.Space}
	if q.From, err = dayOption("from", c.From); err != nil {
		return err
	}
	if q.Until, err = dayOption("until", c.Until); err != nil {
		return err
	}
	if !q.Until.IsZero() {
		q.Until = q.Until.AddDate(0, 0, 1)
	}
	s, err := store.OpenReading(r.ctx, c.File, r.clock)
	if err != nil {
		return storeProblem("opening the collection", err)
	}
	defer func() { err = errors.Join(err, storeProblem("closing the collection", s.Close())) }()
	progress, end := r.progress()
	defer end()
	told := func(n int) {
		if progress != nil {
			progress("writing readings", n, 0)
		}
	}
	n := 0
	write := func(w io.Writer) (err error) {
		n, err = readings.WriteTable(w, s.Readings(r.ctx, q), told)
		return err
	}
	if c.Out == "-" {
		return storeProblem("exporting", write(r.out))
	}
	if err := store.WriteFile(c.Out, c.Replace, write); err != nil {
		return withReplace(storeProblem("exporting", err))
	}
	fmt.Fprintf(r.out, "%d readings are in %s. They come back with: velamen readings import FILE %s --yes\n", n, c.Out, c.Out)
	return nil
}
