package calendar

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// Feed is the work of some days as a calendar.
type Feed struct {
	ID      string // of the feed: part of every UID
	Name    string
	Made    time.Time
	Entries int    // how many entries the journal has
	Address string // of the pages, "https://host"; empty for a file
	Plant   string // id of the plant that the feed is of; empty for the round
	Days    []Day

	At    *Clock         // when the round is gone about; nil: all day
	Zone  *time.Location // of At; nil: UTC
	Alarm *int           // minutes before At, or after midnight of an all-day event; nil: none
}

// Clock is a time of day.
type Clock struct{ Hour, Minute int }

// ParseClock reads a time of day such as 07:30.
func ParseClock(text string) (Clock, error) {
	at, err := time.Parse("15:04", text)
	if err != nil {
		return Clock{}, fmt.Errorf("%q is no time of day; write it as in 07:30", text)
	}
	return Clock{at.Hour(), at.Minute()}, nil
}

// Day is the work of one day.
type Day struct {
	On    time.Time
	Round plan.Round
}

// Of returns the days of a feed with some of the jobs alone; with all of them
// where holds is nil. The minutes and litres of a day are then those of these
// jobs.
func Of(days []Day, holds func(care.Job) bool) []Day {
	if holds == nil {
		return days
	}
	out := make([]Day, len(days))
	for i, d := range days {
		out[i].On = d.On
		for _, stop := range d.Round.Stops {
			one := plan.Stop{Space: stop.Space}
			for _, job := range stop.Jobs {
				if !holds(job) {
					continue
				}
				one.Jobs = append(one.Jobs, job)
				one.Minutes += job.Minutes.Value
				one.Litres += job.ML / 1000
			}
			if one.Jobs != nil {
				out[i].Round.Stops = append(out[i].Round.Stops, one)
				out[i].Round.Fits.Minutes += one.Minutes
				out[i].Round.Fits.Litres += one.Litres
			}
		}
	}
	return out
}

// InSpace holds the jobs of one space.
func InSpace(space string) func(care.Job) bool {
	return func(job care.Job) bool { return strings.EqualFold(job.Space, space) }
}

// OfPlant holds the jobs of one plant.
func OfPlant(plant string) func(care.Job) bool {
	return func(job care.Job) bool { return job.Plant == plant }
}

// epoch is the day from which days are counted in a SEQUENCE.
var epoch = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

// sequence only rises: entries are never taken away, and time goes by.
func sequence(entries int, made time.Time) int { return entries + int(made.Sub(epoch).Hours()/24) }

// Write writes the feed.
func (f Feed) Write(w io.Writer) error {
	var l lines
	l.put("BEGIN", "VCALENDAR")
	l.put("VERSION", "2.0")
	l.put("PRODID", productID)
	l.put("CALSCALE", "GREGORIAN")
	l.put("METHOD", "PUBLISH")
	l.text("X-WR-CALNAME", f.Name)
	l.text("NAME", f.Name)
	l.put("REFRESH-INTERVAL;VALUE=DURATION", "PT1H")
	if f.At != nil && f.Zone != nil && f.Zone != time.UTC && len(f.Days) > 0 {
		l.zone(f.Zone, f.Days[0].On.AddDate(0, 0, -1), f.Days[len(f.Days)-1].On.AddDate(0, 0, 2))
	}
	stamp, rises := utc(f.Made), fmt.Sprint(sequence(f.Entries, f.Made))
	for i := range f.Days {
		f.event(&l, &f.Days[i], stamp, rises)
	}
	l.put("END", "VCALENDAR")
	_, err := io.WriteString(w, l.String())
	return err
}

// event writes the work of a day.
func (f *Feed) event(l *lines, d *Day, stamp, rises string) {
	jobs := 0
	for _, stop := range d.Round.Stops {
		jobs += len(stop.Jobs)
	}
	l.put("BEGIN", "VEVENT")
	l.put("UID", d.On.Format(time.DateOnly)+"."+f.ID+"@velamen")
	l.put("DTSTAMP", stamp)
	l.put("SEQUENCE", rises)
	f.when(l, d)
	l.put("TRANSP", "TRANSPARENT")
	if f.Address != "" {
		l.put("URL", f.Address+f.page(d.On))
	}
	if jobs == 0 {
		l.text("SUMMARY", "Nothing is due")
		l.put("STATUS", "CANCELLED")
		l.put("END", "VEVENT")
		return
	}
	l.text("SUMMARY", summary(d, jobs))
	l.text("DESCRIPTION", description(d))
	l.put("STATUS", "CONFIRMED")
	if f.Alarm != nil {
		l.put("BEGIN", "VALARM")
		l.put("ACTION", "DISPLAY")
		l.text("DESCRIPTION", summary(d, jobs))
		sign := ""
		if f.At != nil {
			sign = "-"
		}
		l.put("TRIGGER", fmt.Sprintf("%sPT%dM", sign, *f.Alarm))
		l.put("END", "VALARM")
	}
	l.put("END", "VEVENT")
}

// page is the path of the page that an event leads to.
func (f *Feed) page(on time.Time) string {
	if f.Plant != "" {
		return "/plant/" + f.Plant
	}
	return "/?date=" + on.Format(time.DateOnly)
}

// when writes the day, or the time from the hour that was asked for on.
func (f *Feed) when(l *lines, d *Day) {
	if f.At == nil {
		l.put("DTSTART;VALUE=DATE", d.On.Format(dateForm))
		l.put("DTEND;VALUE=DATE", d.On.AddDate(0, 0, 1).Format(dateForm))
		return
	}
	minutes := max(5, int(math.Ceil(d.Round.Fits.Minutes)))
	zone := f.Zone
	if zone == nil {
		zone = time.UTC
	}
	// An hour that the clock leaves out becomes the one after it.
	start := time.Date(d.On.Year(), d.On.Month(), d.On.Day(), f.At.Hour, f.At.Minute, 0, 0, zone)
	if zone == time.UTC {
		l.put("DTSTART", utc(start))
	} else {
		l.put("DTSTART;TZID="+zone.String(), start.Format(localForm))
	}
	l.put("DURATION", fmt.Sprintf("PT%dM", minutes))
}

func summary(d *Day, jobs int) string {
	if jobs == 1 {
		for _, stop := range d.Round.Stops {
			for _, job := range stop.Jobs {
				return taskTitle(job)
			}
		}
	}
	text := fmt.Sprintf("Round: %d jobs", jobs)
	if m := d.Round.Fits.Minutes; m > 0 {
		text += fmt.Sprintf(", %.0f min", m)
	}
	if l := d.Round.Fits.Litres; l > 0 {
		text += fmt.Sprintf(", %.1f L", l)
	}
	return text
}

// taskTitle is a job in a few words.
func taskTitle(job care.Job) string {
	text := strings.ToUpper(string(job.Task[:1])) + string(job.Task[1:]) + " " + job.Label
	if job.Name != "" {
		text += " " + job.Name
	}
	return text
}

// mostListed bounds the list inside an event; a calendar on a phone shows no
// more.
const mostListed = 200

// description lists the jobs by space.
func description(d *Day) string {
	var b strings.Builder
	listed, more := 0, 0
	for _, stop := range d.Round.Stops {
		if listed < mostListed {
			if b.Len() > 0 {
				b.WriteByte('\n')
			}
			b.WriteString(strings.ToUpper(stop.Space))
		}
		for _, job := range stop.Jobs {
			if listed == mostListed {
				more++
				continue
			}
			listed++
			b.WriteString("\n– " + taskTitle(job) + ": " + job.Amount)
		}
	}
	if more > 0 {
		fmt.Fprintf(&b, "\nand %d more", more)
	}
	return b.String()
}
