package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/science/light"
)

// readingsHours sums a logger's file up by the hour and keeps nothing.
type readingsHours struct {
	In        string `arg:"" help:"The logger's file."`
	Out       string `arg:"" optional:"" help:"The file to write, or - for standard output." default:"-"`
	Zone      string `help:"Time zone of the logger's clock: a name such as Europe/Berlin, or an offset such as +10:00 for a clock that is never changed. This computer's own when left out." placeholder:"ZONE"`
	Map       string `help:"Which column holds what, as in temperature=CH1:F,humidity=3. Headings that say it themselves need none." placeholder:"LIST"`
	Dates     string `help:"Order of day, month and year where the dates leave it open: dmy, mdy or ymd." placeholder:"ORDER"`
	Delimiter string `help:"Mark between the cells; found out when left out. Write tab for a tabulator." placeholder:"MARK"`
	LightFrom string `help:"What shines, for light in lux or foot-candles: the sun when left out." placeholder:"SOURCE"`
	Replace   bool   `help:"Write over a file of this name."`
}

var hoursHeadings = []string{"hour", "readings",
	"temperature_min_c", "temperature_mean_c", "temperature_max_c", "humidity_min_percent", "humidity_mean_percent", "humidity_max_percent",
	"deficit_min_kpa", "deficit_mean_kpa", "deficit_max_kpa", "light_min_umol", "light_mean_umol", "light_max_umol"}

func (c readingsHours) Run(r *run) (err error) {
	in, size, err := openIn(c.In)
	if err != nil {
		return err
	}
	defer in.Close()
	o, err := c.options(r)
	if err != nil {
		return err
	}
	sample, err := io.ReadAll(io.LimitReader(in, readings.SampleBytes))
	if err != nil {
		return failed("reading the logger's file", err)
	}
	if readings.IsTable(sample) {
		return fmt.Errorf("%s is an export of readings, perhaps of several sensors; import it instead: velamen readings import", c.In)
	}
	layout, err := readings.Look(sample, o)
	if err != nil {
		return fmt.Errorf("%s: %w", c.In, err)
	}
	if _, err := in.Seek(0, io.SeekStart); err != nil {
		return failed("reading the logger's file", err)
	}
	progress, end := r.progress()
	defer end()
	counted := &readings.Counter{From: in}
	told := func(int) {
		if progress != nil {
			progress("reading "+filepath.Base(c.In), int(counted.N()>>10), max(1, int(size>>10)))
		}
	}
	var f readings.Findings
	hours := 0
	write := func(w io.Writer) (err error) {
		out := bufio.NewWriterSize(w, 1<<16)
		fmt.Fprintf(out, "%s\n", strings.Join(hoursHeadings, ","))
		f, err = layout.Hours(r.ctx, counted, o, care.DayClock{Zone: o.Zone}, told, func(h care.ClimateHour) error {
			hours++
			_, err := out.Write(hourLine(out.AvailableBuffer(), &h, o.Zone))
			return err
		})
		return errors.Join(err, out.Flush())
	}
	if c.Out == "-" {
		if err := write(r.out); err != nil {
			return fmt.Errorf("%s: %w", c.In, err)
		}
	} else if err := store.WriteFile(c.Out, c.Replace, write); err != nil {
		return withReplace(fmt.Errorf("%s: %w", c.In, err))
	}
	end()
	// Beside the table on standard output, not in it.
	to := r.err
	if c.Out != "-" {
		to = r.out
		fmt.Fprintf(to, "%d hours of %s are in %s.\n", hours, lineCount(f.Lines), c.Out)
	}
	if f.LeftOut > 0 {
		fmt.Fprintf(to, "%s could not be read:\n", lineCount(f.LeftOut))
		for _, w := range f.Wrong {
			fmt.Fprintf(to, "  line %d: %s\n", w.Line, w.Text)
		}
	}
	return nil
}

func lineCount(n int) string {
	if n == 1 {
		return "1 line"
	}
	return fmt.Sprintf("%d lines", n)
}

func (c readingsHours) options(r *run) (o readings.Options, err error) {
	o.Space, o.Source = "logger", filepath.Base(c.In)
	o.Dates, o.Zone, o.LightFrom = readings.DateOrder(strings.ToLower(c.Dates)), r.clock().Location(), light.Sun
	if o.Delimiter, err = delimiter(c.Delimiter); err != nil {
		return o, err
	}
	if o.Map, err = readings.ParseMap(c.Map); err != nil {
		return o, fmt.Errorf("--map: %w", err)
	}
	if c.Zone != "" {
		if o.Zone, err = readings.ParseZone(c.Zone); err != nil {
			return o, fmt.Errorf("--zone: %w", err)
		}
	}
	if c.LightFrom != "" {
		if o.LightFrom, err = light.ParseSource(c.LightFrom); err != nil {
			return o, fmt.Errorf("--light-from: %w", err)
		}
	}
	return o, nil
}

// hourLine writes an hour as a line of CSV; what was not measured stays empty.
func hourLine(line []byte, h *care.ClimateHour, zone *time.Location) []byte {
	line = h.Start.In(zone).AppendFormat(line, time.RFC3339)
	line = append(line, ',')
	line = strconv.AppendInt(line, int64(h.TempC.Count+h.RHPercent.Count+h.PPFD.Count), 10)
	for _, s := range [...]struct {
		care.Spread
		places int
	}{{h.TempC, 3}, {h.RHPercent, 3}, {h.VPDKPa, 4}, {h.PPFD, 2}} {
		for _, v := range [...]float64{s.Min, s.Mean, s.Max} {
			line = append(line, ',')
			if s.Known() {
				line = strconv.AppendFloat(line, v, 'f', s.places, 64)
			}
		}
	}
	return append(line, '\n')
}
