package paper

import (
	"fmt"
	"io"
	"time"

	"velamen/internal/care"
)

// SeasonSheet is the work of the weeks ahead on one list: every look, review and
// measurement by its day, and how much flushing each week brings.
type SeasonSheet struct {
	Days  []WorkDay
	On    time.Time
	Units care.Units
}

// WriteSeason writes the work list of a season, week by week.
func WriteSeason(w io.Writer, r SeasonSheet, size Size) error {
	s := newSheet(size, "The season's work", r.On)
	s.footer = "Velamen · made on " + r.On.Format(longDate) + " · as if every day before had been done as listed"
	s.addPage()
	c := s.column()
	c.text("The season’s work", titleStyle)
	c.space(1)
	if len(r.Days) > 0 {
		c.text(fmt.Sprintf("%s to %s. Flushes, waterings and feeds are summed by the week; what is done once stands on its day.",
			r.Days[0].On.Format(longDate), r.Days[len(r.Days)-1].On.Format(longDate)), bodyStyle)
	}
	s.y = c.y
	for from := 0; from < len(r.Days); from += 7 {
		s.week(r.Days[from:min(from+7, len(r.Days))], r.Units)
	}
	return s.finish(w)
}

// week sets the work of a week.
func (s *sheet) week(days []WorkDay, u care.Units) {
	var minutes, water float64
	counts := map[care.Task]int{}
	single := 0
	for _, d := range days {
		minutes += d.Round.Fits.Minutes
		water += d.Round.Fits.Litres
		for _, stop := range d.Round.Stops {
			for _, job := range stop.Jobs {
				counts[job.Task]++
				if !recurring[job.Task] {
					single++
				}
			}
		}
	}
	name := "Week of " + days[0].On.Format("2 January 2006")
	heading := func(more string) {
		s.dayHeading(name+more, fmt.Sprintf("about %.0f min, %s", minutes, litres(u, water)))
	}
	s.room(24, nil)
	heading("")
	c := s.column()
	text := ""
	for _, t := range []struct {
		task      care.Task
		one, many string
	}{{care.Flushing, "flush", "flushes"}, {care.Watering, "watering", "waterings"}, {care.Feeding, "feed", "feeds"}, {care.Misting, "misting", "mistings"}} {
		n := counts[t.task]
		if n == 0 {
			continue
		}
		if text != "" {
			text += ", "
		}
		word := t.many
		if n == 1 {
			word = t.one
		}
		text += fmt.Sprintf("%d %s", n, word)
	}
	if text == "" && single == 0 {
		text = "Nothing is due"
	}
	if text != "" {
		c.text(text+".", bodyStyle)
	}
	s.y = c.y + 0.8
	for _, d := range days {
		for _, one := range once(d) {
			s.job(one, func() { heading(", continued") })
		}
	}
}

// once are the jobs of a day that are not of every few days. Plants of one space
// that ask for the same stand in one line.
func once(d WorkDay) (list []care.Job) {
	type same struct {
		task          care.Task
		space, amount string
	}
	at := map[same]int{}
	for _, stop := range d.Round.Stops {
		for _, job := range stop.Jobs {
			if recurring[job.Task] {
				continue
			}
			who := titleOf(job.Label, job.Name)
			key := same{job.Task, stop.Space, job.Amount}
			if i, met := at[key]; met {
				list[i].Label += ", " + who
				continue
			}
			at[key] = len(list)
			job.Label, job.Name = who, ""
			job.Amount = d.On.Format("Mon 2 Jan") + ", " + stop.Space + ": " + job.Amount
			list = append(list, job)
		}
	}
	return list
}

// recurring are the tasks of every few days.
var recurring = map[care.Task]bool{care.Flushing: true, care.Watering: true, care.Feeding: true, care.Misting: true}
