package web

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/plot"
	"velamen/science/basis"
	"velamen/science/course"
)

// standsView is where a plant stands in its course.
type standsView struct {
	Day, Stage string
	Since      string
	Advice     string
	Warnings   []string
	Roots      string // the verdict of the roots, in a sentence
	RootsRole  string
	Supply     figureView
	TurnDown   figureView
	Due        []dueView
}

// dueView is one job due at the plant.
type dueView struct {
	Task, Amount, Path string
	Late               bool
}

func newDueView(sp specimen, job care.Job, today time.Time) dueView {
	return dueView{Task: sentence(string(job.Task)), Amount: job.Amount, Path: writePath(sp, job.Task.Answers(), job.Key), Late: job.Latest.Before(today)}
}

func newStandsView(sp specimen, u care.Units, c *care.Course, roots *rootsView) *standsView {
	v := &standsView{
		Day: fmt.Sprintf("Day %d", c.Day), Stage: string(c.Stage), Advice: c.Advice, Warnings: c.Warnings,
		Roots: roots.Short, RootsRole: roots.Role,
		Supply:   newFigure(u, "The roots can bring, of what the leaves used to lose", weekSupply(c)),
		TurnDown: newFigure(u, "Turned down by", c.TurnDown),
	}
	if c.Day < 0 {
		v.Day = "Before the work"
	}
	v.Since = fmt.Sprintf("%s on %s into %s", sentence(string(c.Work)), c.Repot.Format("2 January 2006"), sp.state.Record.Repot.To.Says(u))
	if !sp.state.Record.Repot.To.Known() {
		v.Since = fmt.Sprintf("%s on %s", sentence(string(c.Work)), c.Repot.Format("2 January 2006"))
	}
	return v
}

// weekSupply is what the roots bring this week.
func weekSupply(c *care.Course) care.Figure {
	f := c.Supply
	for _, in := range c.Now.Factor.Because.Inputs {
		if strings.HasPrefix(in.Name, "supply at its lowest") {
			f.Value = in.Value
		}
	}
	return f
}

// targetView is one target: what was usual, what to aim for now.
type targetView struct {
	Usual  string
	Figure figureView
}

// newTargets lists the targets of the week, in the order in which a grower can
// change them.
func newTargets(u care.Units, c *care.Course) []targetView {
	var list []targetView
	add := func(name string, usual basis.Value, f care.Figure) {
		v := targetView{Figure: newFigure(u, name, f)}
		if usual.Grade != 0 {
			v.Usual = u.Show(usual)
		}
		list = append(list, v)
	}
	n := c.Now
	add("Share of the usual care", basis.Value{}, n.Factor)
	if n.FeedGramsPerLitre != nil {
		add("Feed", c.Usual.FeedGramsPerLitre, *n.FeedGramsPerLitre)
	} else if n.FeedPpmN != nil {
		add("Feed, nitrogen", c.Usual.FeedPpmN, *n.FeedPpmN)
	}
	add("Feed solution, finished", c.Usual.FeedECmS, n.FeedECmS)
	list = append(list, targetView{
		Usual: u.ShowLight(c.Usual.LightPPFD.Value, c.Usual.LightDLI.Value, c.LuxPerPPFD),
		Figure: newFigureAs(u, "Light at the leaves, brightest", u.ShowLight(n.LightPPFD.Value.Value, n.LightDLI.Value.Value, c.LuxPerPPFD),
			lightRange(u, n, c.LuxPerPPFD), n.LightPPFD),
	})
	add("Day, not above", c.Usual.DayC, n.DayHeatCapC)
	list = append(list, targetView{Usual: string(c.Usual.Air), Figure: newFigureAs(u, "Air movement", airTarget(n), u.ShowRange(n.AirSpeedMS.Value), n.AirSpeedMS)})
	add("Humidity by day", c.Usual.DayRHPercent, n.DayRHPercent)
	add("Humidity by night", c.Usual.NightRHPercent, n.NightRHPercent)
	add("Vapour deficit by day", basis.Value{}, n.DayVPDKPa)
	add("Vapour deficit by night", basis.Value{}, n.NightVPDKPa)
	return list
}

func lightRange(u care.Units, n care.Targets, luxPerPPFD float64) string {
	low := u.ShowLight(n.LightPPFD.Low, n.LightDLI.Low, luxPerPPFD)
	high := u.ShowLight(n.LightPPFD.High, n.LightDLI.High, luxPerPPFD)
	if low == high {
		return ""
	}
	number, _, _ := strings.Cut(low, " ")
	return number + " to " + high
}

// courseView is the course as a picture and as a table.
type courseView struct {
	Picture template.HTML
	Title   string
	Says    string
	Weeks   []weekView
}

// weekView is one row of the table.
type weekView struct {
	From, Stage, Factor, Feed, Light, Day, RH, Flush string
	Step                                             string // what became of its step, or that it has to be earned
	Here                                             bool
}

// newCourseView draws the course from the repot to the week in which the usual
// care is reached, or to the present one.
func newCourseView(id string, u care.Units, c *care.Course) (*courseView, error) {
	last := len(c.Weeks) - 1
	for i, w := range c.Weeks {
		if w.Stage == course.Established {
			last = i
			break
		}
	}
	last = min(max(last, 11, c.Day/7), len(c.Weeks)-1)
	picture := plot.CoursePicture{ID: id, Title: "The course of " + c.Label, Today: float64(c.Day)}
	lowest := c.Weeks[0]
	v := &courseView{}
	for i, w := range c.Weeks[:last+1] {
		n := w.Targets
		if n.Factor.Value.Value < lowest.Targets.Factor.Value.Value {
			lowest = w
		}
		row := newWeekView(u, c, w)
		picture.Weeks = append(picture.Weeks, plot.CourseWeek{
			FromDay: w.FromDay, ToDay: w.ToDay, Stage: string(w.Stage),
			Low: n.Factor.Low, Value: n.Factor.Value.Value, High: n.Factor.High,
			DayRH: n.DayRHPercent.Value.Value, NightRH: n.NightRHPercent.Value.Value,
			FlushDays: max(1, int(w.Flush.Every.Value.Value)), Says: row.says(i, w),
		})
		v.Weeks = append(v.Weeks, row)
	}
	v.Says = fmt.Sprintf("Least in week %d: %s of the usual care", lowest.FromDay/7+1, u.Show(lowest.Targets.Factor.Value))
	if span := u.ShowRange(lowest.Targets.Factor.Value); span != "" {
		v.Says += ", anywhere from " + span
	}
	v.Says += "."
	end := c.Weeks[last]
	if end.Stage == course.Established {
		v.Says += fmt.Sprintf(" The usual care is reached about %s, if growing roots earn every step.", end.From.Format("2 January 2006"))
	} else {
		v.Says += " The usual care is not expected within the time shown."
	}
	picture.Description = v.Says
	v.Title = picture.Title
	svg, err := picture.SVG()
	v.Picture = template.HTML(svg) //nolint:gosec // made by package plot, which escapes every word
	return v, err
}

func newWeekView(u care.Units, c *care.Course, w care.Week) weekView {
	n := w.Targets
	feed := n.FeedECmS
	if n.FeedGramsPerLitre != nil {
		feed = *n.FeedGramsPerLitre
	}
	every := fmt.Sprintf("every %.0f days", w.Flush.Every.Value.Value)
	if w.Flush.Every.Value.Value == 1 {
		every = "daily"
	}
	step := ""
	if w.Earned {
		step = "if earned"
		if w.Step != course.Open {
			step = w.Step.String()
		}
	}
	return weekView{
		Step: step, From: w.From.Format("2 Jan"), Stage: string(w.Stage), Factor: u.Show(n.Factor.Value), Feed: u.Show(feed.Value),
		Light: u.ShowLight(n.LightPPFD.Value.Value, n.LightDLI.Value.Value, c.LuxPerPPFD), Day: u.Show(n.DayHeatCapC.Value),
		RH: u.Show(n.DayRHPercent.Value) + ", " + u.Show(n.NightRHPercent.Value), Flush: every,
		Here: c.Day >= w.FromDay && c.Day <= w.ToDay,
	}
}

// says tells a week in a sentence.
func (v weekView) says(i int, w care.Week) string {
	text := fmt.Sprintf("Week %d, %s to %s, %s: %s of the usual care, feed %s, light %s, days up to %s, humidity %s by day and night, flush %s",
		i+1, v.From, w.To.Format("2 Jan"), v.Stage, v.Factor, v.Feed, v.Light, v.Day, v.RH, v.Flush)
	switch {
	case w.Earned && w.Step == course.Open:
		text += "; only if growing roots earn it"
	case v.Step != "":
		text += "; " + v.Step
	}
	return text + "."
}

// signList is what may be seen now, by what it means.
type signList struct {
	Title, Role string
	Signs       []signView
}

// signView is one sign with where the knowledge of it comes from.
type signView struct{ Text, Basis string }

func newSigns(c *care.Course) []signList {
	var list []signList
	for _, kind := range []struct {
		title, role string
		signs       []care.Sign
	}{
		{"To be expected now", "growth", c.Normal}, {"Worth watching", "waiting", c.Watch}, {"A reason to act", "act", c.NotNormal},
	} {
		if len(kind.signs) == 0 {
			continue
		}
		one := signList{Title: kind.title, Role: kind.role}
		for _, sign := range kind.signs {
			known := sign.Basis.String()
			switch {
			case strings.Contains(sign.Source, known):
				known = sign.Source
			case sign.Source != "":
				known += ": " + sign.Source
			}
			one.Signs = append(one.Signs, signView{sign.Text, known})
		}
		list = append(list, one)
	}
	return list
}

// dateView is a day that matters.
type dateView struct {
	Date, Name, What string
	Past, Today      bool
	Why              *becauseView
	on               time.Time
}

func newDates(c *care.Course, u care.Units) []dateView {
	var list []dateView
	for _, m := range c.Marks {
		list = append(list, dateView{
			Date: dayWords(m.Date, c.On), Name: sentence(m.Name), What: m.What,
			Past: m.Date.Before(c.On), Today: m.Date.Equal(c.On), Why: newBecause(u, m.Because, 0, ""), on: m.Date,
		})
	}
	return list
}

// paced lets the day of a first root be what own plants of the group make of it.
func (s *Server) paced(list []dateView, c *care.Course) error {
	for i, m := range c.Marks {
		if m.Name != care.FirstRootMark || m.Because == nil || len(m.Because.Inputs) == 0 {
			continue
		}
		p, err := s.Book.Pace(c.Group, care.FirstRoot, m.Because.Inputs[0].Value)
		if err != nil || p.Looks == 0 {
			return err
		}
		date := c.Repot.AddDate(0, 0, int(math.Round(p.Here.Value)))
		list[i] = dateView{
			Date: dayWords(date, c.On), Name: list[i].Name, What: p.Says(), Past: date.Before(c.On), Today: date.Equal(c.On),
			Why: newBecause(care.Units{}, p.PaceBecause(), 0, ""), on: date,
		}
	}
	slices.SortStableFunc(list, func(a, b dateView) int { return a.on.Compare(b.on) })
	return nil
}

// dayWords writes a day near another without its year.
func dayWords(day, near time.Time) string {
	if days := day.Sub(near).Hours() / 24; days > -300 && days < 300 {
		return day.Format("Mon 2 Jan")
	}
	return day.Format("2 Jan 2006")
}

// airTarget says how the air should move.
func airTarget(n care.Targets) string {
	if n.TurnedAway {
		return string(n.Air) + ", turned away"
	}
	return string(n.Air)
}
