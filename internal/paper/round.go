package paper

import (
	"fmt"
	"io"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// WorkDay is the work of one day.
type WorkDay struct {
	On    time.Time
	Round plan.Round
}

// RoundSheet is the round of several days for whoever stands in.
type RoundSheet struct {
	Days     []WorkDay
	On       time.Time // when it was made
	Units    care.Units
	Cautions []string // of the work that is in it
	Notes    string   // from the grower, or empty
}

// advice is what somebody who stands in has to know first. It follows from the
// course: nearly always the answer is to leave a plant alone.
const advice = "Do what is listed, in this order, and tick it. Leave everything else alone: yellow old leaves, wrinkles and dropped flowers are nearly always normal after a repot. Pour over the sink or a tray and let it drain. If a crown, a base or a growth turns soft, or a wet patch spreads, keep it dry and call the grower. When in doubt, do nothing."

// WriteRound writes the round of some days with boxes to be ticked.
func WriteRound(w io.Writer, r RoundSheet, size Size) error {
	s := newSheet(size, "Round", r.On)
	s.footer = "Velamen · made on " + r.On.Format(longDate) + " · as if every day before had been done as listed"
	s.addPage()
	title := "The round"
	if len(r.Days) > 0 {
		title = "The round, " + r.Days[0].On.Format("2 January")
		if last := r.Days[len(r.Days)-1].On; len(r.Days) > 1 {
			title += " to " + last.Format("2 January")
		}
	}
	c := s.column()
	c.text(title, titleStyle)
	c.space(1)
	c.text(advice, bodyStyle)
	if r.Notes != "" {
		c.space(1)
		c.text(r.Notes, boldStyle)
	}
	if len(r.Cautions) > 0 {
		c.space(1)
		c.text(strings.Join(r.Cautions, " "), quietStyle)
	}
	s.y = c.y
	for _, day := range r.Days {
		s.workDay(day, r.Units)
	}
	return s.finish(w)
}

// column is the whole width from where the page is filled to.
func (s *sheet) column() column { return column{s: s, x: marginMM, y: s.y, width: s.width()} }

// room starts a page unless so many millimetres are left; again is called at the
// top of the new page.
func (s *sheet) room(mm float64, again func()) {
	if s.y+mm <= s.bottom {
		return
	}
	s.addPage()
	if again != nil {
		again()
	}
}

// dayHeading sets the heading of a day.
func (s *sheet) dayHeading(text, sum string) {
	c := s.column()
	c.space(3)
	c.heading(text)
	if sum != "" {
		w := s.measure(sum, quietStyle)
		s.textAt(c.x+c.width-w, c.y-s.line(headStyle)-1.2, w+1, sum, quietStyle)
	}
	s.y = c.y
}

// workDay sets one day: spaces in walking order, and in each its jobs. What the
// plan puts off stands on its own day.
func (s *sheet) workDay(d WorkDay, u care.Units) {
	name := d.On.Format("Monday 2 January")
	heading := func(more string) {
		sum := ""
		if d.Round.Fits.Minutes > 0 {
			sum = fmt.Sprintf("about %.0f min, %s", d.Round.Fits.Minutes, litres(u, d.Round.Fits.Litres))
		}
		s.dayHeading(name+more, sum)
	}
	s.room(24, nil)
	heading("")
	if len(d.Round.Stops) == 0 {
		c := s.column()
		c.text("Nothing is due.", bodyStyle)
		s.y = c.y
	}
	for _, stop := range d.Round.Stops {
		again := func() { heading(", continued") }
		s.room(14, again)
		c := s.column()
		c.space(1.6)
		c.text(capital(stop.Space), boldStyle)
		s.y = c.y + 0.8
		for _, job := range stop.Jobs {
			s.job(job, again)
		}
	}
}

// job sets one job with its box.
func (s *sheet) job(job care.Job, again func()) {
	const boxes, labelShare, taskShare = 6.0, 0.34, 0.16
	width := s.width() - boxes
	cells := []struct {
		text  string
		st    style
		share float64
	}{
		{titleOf(job.Label, job.Name), bodyStyle, labelShare}, {capital(string(job.Task)), boldStyle, taskShare}, {capital(job.Amount), bodyStyle, 1 - labelShare - taskShare},
	}
	high := 0.0
	for _, c := range cells {
		high = max(high, float64(len(s.wrap(c.text, c.st, c.share*width-2)))*s.line(c.st))
	}
	high = max(high+1.2, 6)
	s.room(high, again)
	s.box(marginMM, s.y+0.4)
	x := marginMM + boxes
	for _, c := range cells {
		s.textAt(x, s.y, c.share*width-2, c.text, c.st)
		x += c.share * width
	}
	s.y += high
	s.rule(marginMM+boxes, s.y-0.6, width)
}

func litres(u care.Units, l float64) string {
	if u.Inches {
		return fmt.Sprintf("%.1f gal", l/3.785411784) // US gallon: 231 cubic inches, by definition
	}
	return fmt.Sprintf("%.1f L", l)
}
