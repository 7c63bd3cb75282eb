package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/science/light"
)

// readingsImport adds a logger's file.
type readingsImport struct {
	File      string `arg:"" help:"The collection."`
	In        string `arg:"" help:"The logger's file, or what velamen readings export wrote."`
	Space     string `help:"Space it was measured in; an export names its own." placeholder:"NAME"`
	Source    string `help:"Name of the sensor; the name of the file when left out." placeholder:"NAME"`
	Zone      string `help:"Time zone of the logger's clock: a name such as Europe/Berlin, or an offset such as +10:00 for a clock that is never changed. The place's own when left out." placeholder:"ZONE"`
	Map       string `help:"Which column holds what, as in temperature=CH1:F,humidity=3. Headings that say it themselves need none." placeholder:"LIST"`
	Dates     string `help:"Order of day, month and year where the dates leave it open: dmy, mdy or ymd." placeholder:"ORDER"`
	Delimiter string `help:"Mark between the cells; found out when left out. Write tab for a tabulator." placeholder:"MARK"`
	LightFrom string `help:"What shines, for light in lux or foot-candles; what the space says when left out." placeholder:"SOURCE"`
	Forecast  bool   `help:"It is a forecast: its times lie ahead. It takes the place of the one before for the space, or without --space for all outdoor spaces, and ends by itself."`
	Yes       bool   `help:"Add it. Without this, only how it is read and what would be added is shown."`
	JSON      bool   `help:"Print JSON for programs."`
}

func (c readingsImport) Run(r *run) (err error) {
	in, size, err := openIn(c.In)
	if err != nil {
		return err
	}
	defer in.Close()
	s, err := importCommand{File: c.File, Yes: c.Yes}.open(r)
	if err != nil {
		return storeProblem("opening the collection", err)
	}
	defer func() { err = errors.Join(err, storeProblem("closing the collection", s.Close())) }()
	place, err := placeOf(r.ctx, s)
	if err != nil {
		return err
	}
	o, err := c.options(r, place, in)
	if err != nil {
		return err
	}
	progress, end := r.progress()
	defer end()
	told := func(done, whole int64) {
		if progress != nil {
			progress("reading "+filepath.Base(c.In), int(done>>10), max(1, int(whole>>10)))
		}
	}
	file := readings.File{Name: filepath.Base(c.In), ReadSeeker: in, Bytes: size}
	if c.Forecast {
		end()
		return c.forecast(r, s, file, o)
	}
	var report readings.Report
	if c.Yes {
		report, err = readings.Import(r.ctx, file, o, s, r.clock(), told)
	} else {
		report, err = readings.Try(r.ctx, file, o, r.clock(), told)
	}
	if err != nil {
		if r.ctx.Err() != nil {
			return failure{fmt.Errorf("%s: %w; the same command goes on from there", c.In, err)}
		}
		return fmt.Errorf("%s: %w", c.In, err)
	}
	if c.Yes {
		if err := settle(r, s, place, progress); err != nil {
			return err
		}
	}
	end()
	if c.JSON {
		return writeJSON(r.out, struct {
			Format string `json:"format"`
			Kept   bool   `json:"import"` // false: only tried
			readings.Report
		}{"velamen-readings-import-1", c.Yes, report})
	}
	c.tell(r.out, o, report)
	return nil
}

func openIn(path string) (*os.File, int64, error) {
	in, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, 0, fmt.Errorf("there is no file %s", path)
	}
	if err != nil {
		return nil, 0, failed("opening the file to import", err)
	}
	info, err := in.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = errors.Join(fmt.Errorf("%s is no plain file", path), in.Close())
		return nil, 0, err
	}
	if err != nil {
		return nil, 0, failed("opening the file to import", errors.Join(err, in.Close()))
	}
	return in, info.Size(), nil
}

// options reads how the file is to be read.
func (c readingsImport) options(r *run, place *care.Collection, in io.ReadSeeker) (o readings.Options, err error) {
	o.Source, o.Dates = c.Source, readings.DateOrder(strings.ToLower(c.Dates))
	if o.Source == "" {
		o.Source = strings.TrimSuffix(filepath.Base(c.In), filepath.Ext(c.In))
	}
	if o.Delimiter, err = delimiter(c.Delimiter); err != nil {
		return o, err
	}
	if o.Map, err = readings.ParseMap(c.Map); err != nil {
		return o, fmt.Errorf("--map: %w", err)
	}
	o.Zone = readings.ZoneOf(place.Place, r.clock().Location())
	if c.Zone != "" {
		if o.Zone, err = readings.ParseZone(c.Zone); err != nil {
			return o, fmt.Errorf("--zone: %w", err)
		}
	}
	o.LightFrom = light.Sun
	if c.Space != "" {
		space, err := spaceNamed(place, c.Space)
		if err != nil {
			return o, err
		}
		o.Space, o.LightFrom = space.Name, lightOf(space)
	} else if !c.Forecast {
		first := make([]byte, 4096)
		n, _ := io.ReadFull(in, first)
		if !readings.IsTable(first[:n]) {
			return o, errors.New("--space is missing: in which space was it measured?")
		}
		if _, err := in.Seek(0, io.SeekStart); err != nil {
			return o, failed("reading the file to import", err)
		}
	}
	if c.LightFrom != "" {
		if o.LightFrom, err = light.ParseSource(c.LightFrom); err != nil {
			return o, fmt.Errorf("--light-from: %w", err)
		}
	}
	return o, nil
}

// tell says how the file was read and what became of it.
func (c readingsImport) tell(w io.Writer, o readings.Options, report readings.Report) {
	f := report.Findings
	if l := report.Layout; l != nil {
		fmt.Fprintf(w, "%s is read so\n", c.In)
		describeLayout(w, l)
		fmt.Fprintf(w, "\nThe first line, %d, says", l.Example.Line)
		for _, v := range l.Example.Values {
			_, _, unit := v.Quantity.Range()
			fmt.Fprintf(w, " %s %.4g %s,", v.Quantity, v.Value, unit)
		}
		fmt.Fprintf(w, " at %s.\n\n", l.Example.At.In(o.Zone).Format("15:04 on Monday 2 January 2006, MST"))
	}
	if f.Values > 0 {
		fmt.Fprintf(w, "%d lines with %d readings, from %s to %s.\n", f.Lines, f.Values, f.First.In(o.Zone).Format("2006-01-02 15:04"), f.Last.In(o.Zone).Format("2006-01-02 15:04"))
	} else {
		fmt.Fprintf(w, "%d lines without a single reading.\n", f.Lines)
	}
	for _, part := range []struct {
		n    int
		what string
		list []readings.Finding
	}{
		{f.LeftOut, "could not be read and are left out", f.Wrong},
		{f.Steps, "times run against the others: the clock was set, or files were joined", f.StepsAt},
		{f.Gaps, "gaps", f.GapList},
		{f.Spikes, "single spikes, kept but left out of the summaries", f.SpikeAt},
	} {
		if part.n == 0 {
			continue
		}
		fmt.Fprintf(w, "%d %s\n", part.n, part.what)
		const most = 5
		for i, one := range part.list {
			if i == most {
				fmt.Fprintf(w, "    and %d more\n", part.n-most)
				break
			}
			fmt.Fprintf(w, "    line %d: %s\n", one.Line, one.Text)
		}
	}
	if !c.Yes {
		fmt.Fprintln(w, "Nothing was added yet: the same command with --yes adds it.")
		return
	}
	if report.Resumed > 0 && report.Added == 0 {
		fmt.Fprintln(w, "This file had been imported before: nothing is new.")
		return
	}
	if report.Resumed > 0 {
		fmt.Fprintf(w, "The first %d lines were kept by an earlier import of this file.\n", report.Resumed)
	}
	fmt.Fprintf(w, "%d readings are added; %d were there already.\n", report.Added, report.Kept.Doubled)
	if report.Kept.Differ > 0 {
		fmt.Fprintf(w, "%d differ from what was there for the same moment and sensor; what was there stays.\n", report.Kept.Differ)
	}
}

func describeLayout(w io.Writer, l *readings.Layout) {
	t := table{indent: "  "}
	mark := string(l.Delimiter)
	if l.Delimiter == '\t' {
		mark = "a tabulator"
	}
	decimal := "a point"
	if l.DecimalComma {
		decimal = "a comma"
	}
	t.row("text", fmt.Sprintf("%s, cells parted by %s, decimals by %s", l.Encoding, mark, decimal))
	headings := fmt.Sprintf("in line %d", l.HeadingLine)
	if l.HeadingLine == 0 {
		headings = "none"
	}
	t.row("headings", fmt.Sprintf("%s; data from line %d on", headings, l.FirstLine))
	when := "every line says how far from UTC it is"
	if !l.OwnOffset {
		when = "a clock in " + l.Zone.String()
	}
	if l.Dates != "" {
		when += ", dates " + string(l.Dates)
	}
	if l.Backward {
		when += ", newest first"
	}
	t.row("times", when)
	if l.Interval > 0 {
		t.row("interval", l.Interval.String())
	}
	for i, column := range l.Columns {
		name := column.Heading
		if name == "" {
			name = fmt.Sprintf("column %d", i+1)
		}
		switch {
		case column.Meaning == readings.NotRead:
			t.row(name, "is not read")
		case column.Taken:
			t.row(name, fmt.Sprintf("is read as %s, taken to be in %s by its values", column.Meaning, column.Unit))
		case column.Unit != "":
			t.row(name, fmt.Sprintf("is read as %s in %s", column.Meaning, column.Unit))
		default:
			t.row(name, "is read as "+string(column.Meaning))
		}
	}
	t.print(w)
}

var _ readings.Store = (*store.Store)(nil)
