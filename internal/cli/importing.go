package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/store"
	"velamen/internal/store/bundle"
	"velamen/internal/store/intake"
)

// importCommand adds to a collection what was written elsewhere.
type importCommand struct {
	File      string `arg:"" help:"The collection."`
	In        string `arg:"" help:"An export of velamen (.json), a case file (.toml), or a spreadsheet of plants saved as CSV."`
	Map       string `help:"Which column holds what, as in label=Tag,group=Genus,repotted=\"Date potted\". Headings that say it themselves need none." placeholder:"LIST"`
	Dates     string `help:"Order of day, month and year where the dates leave it open: dmy, mdy or ymd." placeholder:"ORDER"`
	Delimiter string `help:"Mark between the cells; found out when left out. Write tab for a tabulator." placeholder:"MARK"`
	Yes       bool   `help:"Add it. Without this, only what would be added is shown."`
}

func (c importCommand) Run(r *run) error {
	in, err := os.Open(c.In)
	if errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("there is no file %s", c.In)
	}
	if err != nil {
		return failed("opening the file to import", err)
	}
	defer in.Close()
	s, err := c.open(r)
	if err != nil {
		return storeProblem("opening the collection", err)
	}
	switch strings.ToLower(filepath.Ext(c.In)) {
	case ".json":
		err = c.bundle(r, s, in)
	case ".toml":
		err = c.caseFile(r, s, in)
	default:
		err = c.sheet(r, s, in)
	}
	return errors.Join(err, storeProblem("closing the collection", s.Close()))
}

// open opens the collection for what is asked: a look disturbs nobody.
func (c importCommand) open(r *run) (*store.Store, error) {
	if c.Yes {
		return store.Open(r.ctx, c.File, r.clock)
	}
	return store.OpenReading(r.ctx, c.File, r.clock)
}

func (c importCommand) bundle(r *run, s *store.Store, in io.ReadSeeker) error {
	if !c.Yes {
		summary, err := bundle.Check(r.ctx, in, r.clock())
		if err != nil {
			return fmt.Errorf("%s: %w", c.In, err)
		}
		fmt.Fprintf(r.out, "%s is whole: %d entries, %d photographs, %d readings. What is in %s already will be passed over.\n", c.In, summary.Entries, summary.Photos, summary.Readings, c.File)
		c.askForYes(r)
		return nil
	}
	progress, end := r.progress()
	defer end()
	summary, err := bundle.Import(r.ctx, in, s, r.clock(), progress)
	if err != nil {
		return fmt.Errorf("%s: %w", c.In, err)
	}
	if summary.Readings > 0 {
		place, err := placeOf(r.ctx, s)
		if err != nil {
			return err
		}
		if err := settle(r, s, place, progress); err != nil {
			return err
		}
	}
	end()
	fmt.Fprintf(r.out, "%d of %d entries were new and are added; %d photographs are kept.\n", summary.Added, summary.Entries, summary.Photos)
	if summary.Readings > 0 {
		fmt.Fprintf(r.out, "%d of %d readings were new and are added.\n", summary.Kept.Added, summary.Readings)
	}
	return nil
}

func (c importCommand) caseFile(r *run, s *store.Store, in io.Reader) error {
	into, err := c.into(r, s)
	if err != nil {
		return err
	}
	kase, units, err := casefile.Read(in, c.In, into.Tables)
	if err != nil {
		return err
	}
	return c.finish(r, s, intake.Case(kase, units, into))
}

func (c importCommand) sheet(r *run, s *store.Store, in io.Reader) error {
	options := intake.SheetOptions{Dates: intake.DateOrder(strings.ToLower(c.Dates))}
	var err error
	if options.Map, err = intake.ParseMap(c.Map); err != nil {
		return fmt.Errorf("--map: %w", err)
	}
	if options.Delimiter, err = delimiter(c.Delimiter); err != nil {
		return err
	}
	into, err := c.into(r, s)
	if err != nil {
		return err
	}
	sheet, err := intake.ReadSheet(in, options, into)
	if err != nil {
		return fmt.Errorf("%s: %w", c.In, err)
	}
	describeColumns(r.out, sheet)
	return c.finish(r, s, sheet.Draft)
}

// delimiter reads the mark between cells; 0 when it is to be found out.
func delimiter(text string) (rune, error) {
	switch {
	case text == "":
		return 0, nil
	case strings.EqualFold(text, "tab"):
		return '\t', nil
	}
	mark, size := utf8.DecodeRuneInString(text)
	if size != len(text) || !strings.ContainsRune(",;|\t:", mark) {
		return 0, fmt.Errorf("--delimiter %q is not one of , ; | : tab", text)
	}
	return mark, nil
}

func (c importCommand) into(r *run, s *store.Store) (intake.Into, error) {
	tables, err := culture.Load()
	if err != nil {
		return intake.Into{}, failed("reading the culture tables", err)
	}
	_, have, err := s.Collection(r.ctx)
	if err != nil {
		return intake.Into{}, storeProblem("reading the collection", err)
	}
	return intake.Into{Have: have, Tables: tables, Now: r.clock(), NewID: newID}, nil
}

// describeColumns says how each column is read.
func describeColumns(w io.Writer, s intake.Sheet) {
	t := table{indent: "  "}
	for _, c := range s.Columns {
		if c.Field == "" {
			t.row(c.Heading, "is not read")
			continue
		}
		t.row(c.Heading, "is read as "+string(c.Field))
	}
	fmt.Fprintln(w, "Columns")
	t.print(w)
	fmt.Fprintln(w)
}

// finish shows a draft, or adds it: all or nothing.
func (c importCommand) finish(r *run, s *store.Store, draft intake.Draft) error {
	problems := draft.Problems()
	if !c.Yes {
		describeRows(r.out, draft.Rows, func(intake.Row) bool { return true })
		fmt.Fprintf(r.out, "\n%d plants would be added", draft.Plants())
		if problems > 0 {
			fmt.Fprintf(r.out, ", but %d problems come first. Nothing is added while there are any.\n", problems)
			return nil
		}
		fmt.Fprintln(r.out, ".")
		c.askForYes(r)
		return nil
	}
	if problems > 0 {
		var list strings.Builder
		describeRows(&list, draft.Rows, func(row intake.Row) bool { return len(row.Problems) > 0 })
		return fmt.Errorf("%s: nothing was added because of %d problems\n%s", c.In, problems, strings.TrimRight(list.String(), "\n"))
	}
	if r.ctx.Err() != nil {
		return fmt.Errorf("stopped, nothing was added: %w", r.ctx.Err())
	}
	added, err := s.Append(r.ctx, draft.Entries)
	if err != nil {
		return storeProblem("adding to the collection", err)
	}
	fmt.Fprintf(r.out, "%d plants are added, in %d entries.\n", plantsIn(added), len(added))
	return nil
}

func (c importCommand) askForYes(r *run) {
	fmt.Fprintln(r.out, "Nothing was added yet: the same command with --yes adds it.")
}

func plantsIn(entries []care.Entry) int {
	draft := intake.Draft{Entries: entries}
	return draft.Plants()
}

// describeRows tells row by row what is added and what is wrong.
func describeRows(w io.Writer, rows []intake.Row, wanted func(intake.Row) bool) {
	for _, row := range rows {
		if !wanted(row) {
			continue
		}
		if row.Line > 0 {
			fmt.Fprintf(w, "line %d, ", row.Line)
		}
		fmt.Fprintf(w, "%s: %s\n", row.What, strings.Join(row.Adds, "; "))
		for _, remark := range row.Remarks {
			fmt.Fprintf(w, "    note: %s\n", remark)
		}
		for _, problem := range row.Problems {
			fmt.Fprintf(w, "    problem: %s\n", problem)
		}
	}
}
