package cli

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"time"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/paper"
)

// handoutCommand prints the course of one plant as a page to pin up.
type handoutCommand struct {
	File  string `arg:"" help:"The collection, a case file (TOML), or - for a case from standard input."`
	Out   string `short:"o" required:"" help:"The PDF to write." placeholder:"FILE"`
	Plant string `help:"The plant with this label; needed where the file tells of several." placeholder:"LABEL"`
	Page  string `help:"Size of the paper: A4 or Letter." default:"A4" placeholder:"SIZE"`
	Date  string `help:"The day it is for, as 2026-11-24; default today." placeholder:"DATE"`
	Units string `help:"Units to show, as for velamen course." placeholder:"LIST"`
}

func (c handoutCommand) Run(r *run) error {
	on, err := dayOf(c.Date, r.today)
	if err != nil {
		return err
	}
	size, err := paper.SizeOf(c.Page)
	if err != nil {
		return fmt.Errorf("--page: %w", err)
	}
	tables, err := culture.Load()
	if err != nil {
		return failed("reading the culture tables", err)
	}
	if isCollection(c.File) {
		return c.fromCollection(r, on, size)
	}
	file, name, err := open(c.File, r.in)
	if err != nil {
		return err
	}
	defer file.Close()
	kase, units, err := casefile.Read(file, name, tables)
	if err != nil {
		return err
	}
	if units, err = units.With(c.Units); err != nil {
		return fmt.Errorf("--units: %w", err)
	}
	plant, err := oneOf(kase.Plants, c.Plant, name)
	if err != nil {
		return err
	}
	if err := writeHandout(c.Out, kase, plant, tables, units, on, size); err != nil {
		return err
	}
	fmt.Fprintf(r.out, "%s: the course of %s on %s paper.\n", c.Out, plantTitle(plant), size.Name)
	return nil
}

// fromCollection prints the course of a plant whose journal is kept.
func (c handoutCommand) fromCollection(r *run, on time.Time, size paper.Size) (err error) {
	b, done, err := openBook(r, c.File)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, done()) }()
	if c.Plant == "" {
		return fmt.Errorf("%s holds a whole collection; name a plant with --plant LABEL", c.File)
	}
	var id string
	var plant care.Plant
	var units care.Units
	b.Read(func(k *care.Collection) {
		units = k.Settings.Units
		var found *care.PlantState
		if found, err = k.ByLabel(c.Plant); err == nil {
			id, plant = found.ID, found.Record
		}
	})
	if err != nil {
		return err
	}
	if units, err = units.With(c.Units); err != nil {
		return fmt.Errorf("--units: %w", err)
	}
	course, err := b.Course(id, on)
	if err != nil {
		return err
	}
	if err := writeSheet(c.Out, paper.Sheet{Course: course, Home: plant.Repot.To, Units: units}, size); err != nil {
		return err
	}
	fmt.Fprintf(r.out, "%s: the course of %s on %s paper.\n", c.Out, plantTitle(plant), size.Name)
	return nil
}

func plantTitle(p care.Plant) string {
	if p.Label != "" {
		return p.Label
	}
	return p.Name
}

// oneOf returns the plant with a label, or the only one there is.
func oneOf(plants []care.Plant, label, file string) (care.Plant, error) {
	if label == "" && len(plants) == 1 {
		return plants[0], nil
	}
	if label == "" {
		return care.Plant{}, fmt.Errorf("%s tells of %d plants; name one with --plant, such as --plant %s", file, len(plants), plantTitle(plants[0]))
	}
	list, err := only(plants, label, file)
	if err != nil {
		return care.Plant{}, err
	}
	return list[0], nil
}

// writeHandout writes the course of a plant as a page.
func writeHandout(path string, kase care.Case, plant care.Plant, tables culture.Table, units care.Units, on time.Time, size paper.Size) error {
	course, err := care.NewCourse(kase, plant, tables, on)
	if err != nil {
		return err
	}
	return writeSheet(path, paper.Sheet{Course: course, Home: plant.Repot.To, Units: units}, size)
}

func writeSheet(path string, sheet paper.Sheet, size paper.Size) error {
	var pdf bytes.Buffer
	if err := paper.WriteCourse(&pdf, sheet, size); err != nil {
		return failed("making the hand-out", err)
	}
	return writeWhole(path, pdf.Bytes())
}

// writeWhole writes a file, or leaves what was there.
func writeWhole(path string, content []byte) error {
	next := path + ".part"
	if err := os.WriteFile(next, content, 0o644); err != nil {
		return failed("writing "+path, err)
	}
	if err := os.Rename(next, path); err != nil {
		_ = os.Remove(next)
		return failed("writing "+path, err)
	}
	return nil
}
