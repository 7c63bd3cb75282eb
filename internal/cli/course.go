package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"sync"
	"time"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
)

// courseCommand shows the courses of the plants in a case file.
type courseCommand struct {
	File    string `arg:"" optional:"" help:"Case file (TOML), or - for standard input. See --example."`
	Plant   string `help:"Only the plant with this label." placeholder:"LABEL"`
	Date    string `help:"The day to look at, as 2026-11-24; default today." placeholder:"DATE"`
	Units   string `help:"Units to show, such as F,fc,ppm500,in (C F fc lx ppfd dli EC ppm500 ppm640 ppm700 cm in)." placeholder:"LIST"`
	Groups  string `help:"CSV file with culture groups of your own, laid over the built-in ones. See --groups-template." placeholder:"FILE"`
	All     bool   `help:"The full course of every plant, however many there are."`
	Because bool   `help:"Explain every number: inputs, rule, source, range, and what decided."`
	JSON    bool   `name:"json" help:"Print JSON for programs, in °C, mS/cm, µmol, mL."`
	Example bool   `help:"Print a commented example of a case file and stop."`

	GroupsTemplate bool `help:"Print the columns of a --groups file with one row to change, and stop."`
}

func (c courseCommand) Run(r *run) error {
	if c.Example {
		_, err := r.out.WriteString(casefile.Example())
		return err
	}
	if c.GroupsTemplate {
		return writeGroupsTemplate(r.out)
	}
	if c.File == "" {
		return errors.New("which case file? Give its name, or write a first one with: velamen course --example > case.toml")
	}
	on, err := dayOf(c.Date, r.today)
	if err != nil {
		return err
	}
	file, name, err := open(c.File, r.in)
	if err != nil {
		return err
	}
	defer file.Close()
	return c.show(r, file, name, on)
}

// show reads a case and prints its courses.
func (c courseCommand) show(r *run, file io.Reader, name string, on time.Time) error {
	tables, err := c.tables()
	if err != nil {
		return err
	}
	kase, units, err := casefile.Read(file, name, tables)
	if err != nil {
		return err
	}
	if units, err = units.With(c.Units); err != nil {
		return fmt.Errorf("--units: %w", err)
	}
	plants := kase.Plants
	if c.Plant != "" {
		if plants, err = only(plants, c.Plant, name); err != nil {
			return err
		}
	}
	courses, err := allCourses(r.ctx, kase, plants, tables, on)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if c.JSON {
		return writeJSON(r.out, courseReport(courses, c.Because))
	}
	if len(courses) > 1 {
		printOverview(r.out, courses, units)
		fmt.Fprintln(r.out)
	}
	if len(courses) > fewPlants && !c.All {
		fmt.Fprintf(r.out, "The full course of one plant: --plant %s; of every plant: --all\n", courses[0].Label)
		return nil
	}
	for i, course := range courses {
		if i > 0 {
			fmt.Fprintln(r.out)
		}
		printCourse(r.out, course, units, c.Because)
	}
	return nil
}

// fewPlants is how many full courses are shown without being asked for.
const fewPlants = 3

func (c courseCommand) tables() (culture.Table, error) {
	if c.Groups == "" {
		return culture.Load()
	}
	own, err := os.Open(c.Groups)
	if err != nil {
		return culture.Table{}, fmt.Errorf("--groups: %w", err)
	}
	defer own.Close()
	return culture.Load(own)
}

// writeGroupsTemplate writes a file of own groups with one row to change.
func writeGroupsTemplate(w io.Writer) error {
	tables, err := culture.Load()
	if err != nil {
		return failed("reading the culture tables", err)
	}
	g, err := tables.Lookup("phalaenopsis")
	if err != nil {
		return failed("writing the template", err)
	}
	g.Note = "These are the figures of " + g.Name + "; change what differs. The columns aliases and family to note may stay empty."
	g.Key, g.Name, g.Aliases = "my-group", "My own group", nil
	return culture.WriteGroups(w, g)
}

// open opens a case file; "-" is standard input.
func open(path string, in io.Reader) (io.ReadCloser, string, error) {
	if path == "-" {
		return io.NopCloser(in), "standard input", nil
	}
	f, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, "", fmt.Errorf("there is no file %s; write a first one with: velamen course --example > %s", path, path)
	}
	if err != nil {
		return nil, "", failed("opening the case file", err)
	}
	info, err := f.Stat()
	if err == nil && info.IsDir() {
		f.Close()
		return nil, "", fmt.Errorf("%s is a folder; a case file is expected", path)
	}
	if isCollection(path) {
		f.Close()
		return nil, "", fmt.Errorf("%s is a collection, where a case file is expected; its courses are on its pages, and one plant's on paper: velamen handout %s --plant LABEL -o FILE.pdf", path, path)
	}
	return f, path, nil
}

// isCollection reports whether a file is a database, as collections are: it
// begins with the words by which SQLite 3 knows its own.
func isCollection(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, len(databaseMark))
	_, err = io.ReadFull(f, head)
	return err == nil && string(head) == databaseMark
}

// databaseMark is how an SQLite 3 file begins ("Database File Format", section
// 1.3.1, from memory).
const databaseMark = "SQLite format 3\x00"

// dayOf reads a day as written on the command line.
func dayOf(text string, today time.Time) (time.Time, error) {
	if text == "" {
		return today, nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, fmt.Errorf("--date %q is not a day; write it as %s", text, today.Format(time.DateOnly))
	}
	if day.Year() < 1980 || day.Year() > 2100 {
		return time.Time{}, fmt.Errorf("--date %s is outside the years 1980 to 2100", text)
	}
	return day, nil
}

// only returns the plant with a label.
func only(plants []care.Plant, label, file string) ([]care.Plant, error) {
	var labels []string
	for _, p := range plants {
		if strings.EqualFold(p.Label, label) {
			return []care.Plant{p}, nil
		}
		labels = append(labels, p.Label)
	}
	const shown = 12
	if len(labels) > shown {
		labels = append(labels[:shown], fmt.Sprintf("and %d more", len(plants)-shown))
	}
	return nil, fmt.Errorf("--plant %q: no plant in %s has this label; there are %s", label, file, strings.Join(labels, ", "))
}

// allCourses works out the courses of all plants, several at a time, and stops
// early when the context ends.
func allCourses(ctx context.Context, kase care.Case, plants []care.Plant, tables culture.Table, on time.Time) ([]care.Course, error) {
	courses := make([]care.Course, len(plants))
	problems := make([]error, len(plants))
	next := make(chan int)
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(plants)) {
		workers.Go(func() {
			for i := range next {
				courses[i], problems[i] = care.NewCourse(kase, plants[i], tables, on)
			}
		})
	}
	for i := range plants {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	workers.Wait()
	if ctx.Err() != nil {
		return nil, fmt.Errorf("stopped: %w", ctx.Err())
	}
	return courses, errors.Join(problems...)
}
