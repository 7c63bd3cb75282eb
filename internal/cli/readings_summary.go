package cli

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
	"velamen/science/basis"
)

// readingsSummary prints the measured climate.
type readingsSummary struct {
	File  string `arg:"" help:"The collection; it may be in use."`
	Space string `help:"Only this space." placeholder:"NAME"`
	By    string `help:"What one line sums up: day or hour." enum:"day,hour" default:"day"`
	From  string `help:"From this day on; the last 14 days when left out, of hours the last 2." placeholder:"DAY"`
	Until string `help:"Up to and including this day." placeholder:"DAY"`
	Units string `help:"Units to show, as for velamen course." placeholder:"LIST"`
	JSON  bool   `help:"Print JSON for programs, in °C, %, kPa and µmol m⁻² s⁻¹."`
}

// spaceClimate is what was measured in one space.
type spaceClimate struct {
	Space string             `json:"space"`
	Days  []care.ClimateDay  `json:"days,omitempty"`
	Hours []care.ClimateHour `json:"hours,omitempty"`
}

func (c readingsSummary) Run(r *run) (err error) {
	from, err := dayOption("from", c.From)
	if err != nil {
		return err
	}
	until, err := dayOption("until", c.Until)
	if err != nil {
		return err
	}
	if until.IsZero() {
		until = r.today
	}
	until = until.AddDate(0, 0, 1)
	if from.IsZero() {
		days := 14
		if c.By == "hour" {
			days = 2
		}
		from = until.AddDate(0, 0, -days)
	}
	s, err := store.OpenReading(r.ctx, c.File, r.clock)
	if err != nil {
		return storeProblem("opening the collection", err)
	}
	defer func() { err = errors.Join(err, storeProblem("closing the collection", s.Close())) }()
	place, err := placeOf(r.ctx, s)
	if err != nil {
		return err
	}
	units, err := place.Settings.Units.With(c.Units)
	if err != nil {
		return fmt.Errorf("--units: %w", err)
	}
	list, err := c.climates(r, s, place, from, until)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(r.out, struct {
			Format string         `json:"format"`
			Spaces []spaceClimate `json:"spaces"`
		}{"velamen-climate-1", list})
	}
	if len(list) == 0 {
		fmt.Fprintln(r.out, "Nothing was measured in this time. A logger's file comes in with: velamen readings import")
	}
	for _, one := range list {
		fmt.Fprintln(r.out, one.Space)
		if c.By == "hour" {
			printHours(r.out, units, one.Hours, place.DayClock(one.Space, zoneOf(r, place)).Zone)
		} else {
			printDays(r.out, units, one.Days)
		}
	}
	return nil
}

// climates reads the summaries of every space that was measured in.
func (c readingsSummary) climates(r *run, s *store.Store, place *care.Collection, from, until time.Time) ([]spaceClimate, error) {
	sensors, err := s.Sensors(r.ctx)
	if err != nil {
		return nil, storeProblem("reading the collection", err)
	}
	var list []spaceClimate
	for _, sensor := range sensors {
		if c.Space != "" && !strings.EqualFold(c.Space, sensor.Space) || len(list) > 0 && list[len(list)-1].Space == sensor.Space {
			continue
		}
		one := spaceClimate{Space: sensor.Space}
		if c.By == "hour" {
			clock := place.DayClock(sensor.Space, zoneOf(r, place))
			one.Hours, err = s.ClimateHours(r.ctx, sensor.Space, clock.Begin(from), clock.Begin(until))
		} else {
			one.Days, err = s.ClimateDays(r.ctx, sensor.Space, from, until)
		}
		if err != nil {
			return nil, storeProblem("reading the climate", err)
		}
		if len(one.Days)+len(one.Hours) > 0 {
			list = append(list, one)
		}
	}
	if c.Space != "" && len(list) == 0 {
		if _, err := spaceNamed(place, c.Space); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// temperatureRange shows the least and the most of a temperature.
func temperatureRange(u care.Units, s care.Spread) string {
	if !s.Known() {
		return ""
	}
	low, high := u.Show(basis.Exactly(s.Min, "°C", basis.Measured, "")), u.Show(basis.Exactly(s.Max, "°C", basis.Measured, ""))
	return low + " to " + high
}

func printDays(w io.Writer, u care.Units, days []care.ClimateDay) {
	t := table{indent: "  "}
	t.row("", "day", "night", "humidity, day", "night", "VPD, day", "night", "light", "hours")
	share := func(s care.Spread) string {
		if !s.Known() {
			return ""
		}
		return fmt.Sprintf("%.0f to %.0f %%", s.Min, s.Max)
	}
	vpd := func(s care.Spread) string {
		if !s.Known() {
			return ""
		}
		return fmt.Sprintf("%.2f kPa", s.Mean)
	}
	for _, d := range days {
		light := ""
		if d.DLIHours > 0 {
			light = fmt.Sprintf("%.1f mol/m²", d.DLIMol)
			if d.DLIHours < 23 {
				light += fmt.Sprintf(" in %.0f h", d.DLIHours)
			}
		}
		hours := fmt.Sprint(d.Lit.Hours + d.Dark.Hours)
		if d.Suspect > 0 {
			hours += fmt.Sprintf(", %d spikes left out", d.Suspect)
		}
		t.row(d.Date.Format("Mon 2 Jan"), temperatureRange(u, d.Lit.TempC), temperatureRange(u, d.Dark.TempC), share(d.Lit.RHPercent), share(d.Dark.RHPercent),
			vpd(d.Lit.VPDKPa), vpd(d.Dark.VPDKPa), light, hours)
	}
	t.print(w)
}

func printHours(w io.Writer, u care.Units, hours []care.ClimateHour, zone *time.Location) {
	t := table{indent: "  "}
	t.row("", "", "temperature", "humidity", "VPD", "light", "readings")
	for _, h := range hours {
		part := "night"
		if h.Lit {
			part = "day"
		}
		cell := func(s care.Spread, form string) string {
			if !s.Known() {
				return ""
			}
			return fmt.Sprintf(form, s.Mean)
		}
		t.row(h.Start.In(zone).Format("Mon 2 Jan 15:04"), part, temperatureRange(u, h.TempC), cell(h.RHPercent, "%.0f %%"), cell(h.VPDKPa, "%.2f kPa"),
			cell(h.PPFD, "%.0f µmol"), fmt.Sprint(max(h.TempC.Count, h.RHPercent.Count, h.PPFD.Count)))
	}
	t.print(w)
}
