package web

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/plan"
)

func aheadRoutes(on *router) {
	on.get("/round/ahead", (*Server).showAhead)
	on.get("/round/short", (*Server).showShort)
	on.post("/away", (*Server).goAway)
	on.post("/away/remove", (*Server).stayHere)
}

// aheadView is the plan of the coming days.
type aheadView struct {
	frame
	Days      []aheadDay
	Busy      bool // some day has a job
	Missed    []missedLine
	More      int // further ones, which cost less than those shown
	Harm      string
	Anew      string // what a new plan would cost, where it is worth it
	Proof     string
	Fixes     []string
	Stopped   bool
	Pending   int
	Aways     []awayView
	Pace      []paceLine
	PaceWhy   []*becauseView
	From, To  field
	Sitter    field
	SitterMin field
	Short     field
}

// aheadDay is one day of it; the shares are of the widest.
type aheadDay struct {
	Path, Day, Jobs, Minutes, Litres string
	Away, Tight                      bool
	Share, SetupShare, LimitAt       float64
}

// missedLine is something that is late or left out.
type missedLine struct{ Path, Label, What, Due, When, Cost string }

// awayView is one absence with what it asks for.
type awayView struct {
	Entry, Days, Sitter string
	Before              []string // to do before leaving, beyond the round
	Sit                 []sitterDay
	CannotWait          []missedLine
}

type sitterDay struct {
	Day, Minutes string
	Jobs         []string
}

type paceLine struct{ Task, Takes, From string }

// shownMissed is how many are listed.
const shownMissed = 12

// longestAhead is how far the plan reaches for an absence.
const longestAhead = 60

func (s *Server) showAhead(w http.ResponseWriter, r *http.Request) error {
	var v *aheadView
	ready, err := s.planned(w, r, func(ctx context.Context) (err error) {
		v, err = s.newAheadView(ctx)
		return err
	})
	if !ready {
		return err
	}
	return s.render(w, r, http.StatusOK, "round-ahead.html", v)
}

func (s *Server) newAheadView(ctx context.Context) (*aheadView, error) {
	today := s.Book.Today()
	days := book.PlanDays
	var units care.Units
	var aways []care.AwayAt
	s.Book.Read(func(c *care.Collection) {
		units = c.Settings.Units
		for _, a := range c.Aways {
			if a.To.Before(today) || a.From.After(today.AddDate(0, 0, longestAhead-1)) {
				continue
			}
			aways = append(aways, a)
			days = max(days, min(longestAhead, int(a.To.Sub(today).Hours()/24)+4))
		}
	})
	p, err := s.Book.Plan(ctx, book.Ask{From: today, Days: days})
	if err != nil {
		return nil, err
	}
	anew, worth, err := s.Book.Anew(ctx, &p)
	if err != nil {
		return nil, err
	}
	v := &aheadView{
		Pending: p.Pending, Stopped: p.Stopped,
		From:      field{Name: "from", Label: "First day away", Type: "date", Required: true},
		To:        field{Name: "to", Label: "Last day away", Type: "date", Required: true},
		Sitter:    field{Name: "sitter", Label: "Who looks after the plants", Hint: "Empty: nobody."},
		SitterMin: field{Name: "sitter_minutes", Label: "For how long a day", Unit: "min", Mode: "decimal"},
		Short:     field{Name: "minutes", Label: "Minutes there are", Value: "20", Mode: "decimal"},
	}
	v.Title, v.Here, v.Style = "The days ahead", "round", "ahead.css"
	s.layDays(v, &p, aways, units)
	v.Harm = fmt.Sprintf("%.1f", p.Harm)
	if worth {
		v.Anew = shownStress(anew)
	}
	n := len(p.Missed)
	for _, m := range p.Missed[max(0, n-shownMissed):] {
		v.Missed = append(v.Missed, missedOf(&p, m))
	}
	v.More = n - len(v.Missed)
	if p.Proof != nil {
		v.Proof = p.Proof.Says(p.From)
	}
	for i := range p.Fixes {
		v.Fixes = append(v.Fixes, p.Fixes[i].Says(p.From))
	}
	for _, a := range aways {
		v.Aways = append(v.Aways, newAwayView(&p, a))
	}
	for _, task := range care.Tasks {
		takes := p.Pace.Minutes(task)
		line := paceLine{taskForms[task].name, shownMinutes(takes.Value), "assumed"}
		if one, ok := p.Pace[task]; ok {
			line.From = fmt.Sprintf("from %d of yours", one.Times)
			v.PaceWhy = append(v.PaceWhy, newBecause(units, one.Because, 0, taskForms[task].name))
		}
		v.Pace = append(v.Pace, line)
	}
	return v, nil
}

func (s *Server) layDays(v *aheadView, p *book.Plan, aways []care.AwayAt, u care.Units) {
	widest := 1.0
	for i := range p.Days {
		d := &p.Days[i]
		widest = math.Max(widest, d.Minutes)
		if !math.IsInf(d.Limit, 1) {
			widest = math.Max(widest, d.Limit)
		}
	}
	share := func(x float64) float64 { return math.Round(1000*x/widest) / 10 }
	for i := range p.Days {
		d := &p.Days[i]
		litres := 0.0
		for _, one := range d.Litres {
			litres += one
		}
		line := aheadDay{
			Path: "/?date=" + d.On.Format(time.DateOnly), Day: d.On.Format("Mon 2 Jan"), Jobs: fmt.Sprint(len(d.Items)),
			Minutes: shownMinutes(d.Minutes), Litres: shownLitres(u, litres), Share: share(d.Minutes - d.Setup), SetupShare: share(d.Setup),
		}
		if i == 0 {
			line.Path, line.Day = "/", "Today"
		}
		if !math.IsInf(d.Limit, 1) {
			line.Minutes, line.LimitAt = minutesOf(d.Minutes, d.Limit), share(d.Limit)
			line.Tight = d.Limit-d.Minutes < 0.05*d.Limit
		}
		for _, a := range aways {
			line.Away = line.Away || a.Holds(d.On)
		}
		v.Busy = v.Busy || d.Minutes > 0
		v.Days = append(v.Days, line)
	}
}

// minutesOf writes minutes of those there are.
func minutesOf(needs, there float64) string {
	return strings.TrimSuffix(shownMinutes(needs), " min") + " of " + shownMinutes(there)
}

func missedOf(p *book.Plan, m plan.Missed) missedLine {
	one, c := p.Of(m.Plant, m.Coming)
	what := taskForms[c.Task].name
	when := "left out"
	switch {
	case m.FeedOnly:
		what = taskForms[care.Feeding].name
	case m.Day >= 0:
		when = "planned for " + p.From.AddDate(0, 0, m.Day).Format("Mon 2 Jan")
	}
	return missedLine{"/plant/" + one.ID, one.Label, what, p.From.AddDate(0, 0, max(c.Due, -99)).Format("Mon 2 Jan"), when, shownStress(m.Cost)}
}

// shownStress writes stress days as they can be told apart.
func shownStress(v float64) string {
	if v < 0.095 {
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

func newAwayView(p *book.Plan, a care.AwayAt) awayView {
	v := awayView{Entry: a.Entry, Days: longDay(a.From) + " to " + longDay(a.To)}
	if a.SitterMinutes > 0 {
		v.Sitter = fmt.Sprintf("%s, %s a day", orWord(a.Sitter, "a sitter"), shownMinutes(a.SitterMinutes))
	}
	first, last := int(a.From.Sub(p.From).Hours()/24), int(a.To.Sub(p.From).Hours()/24)
	for day := range p.Days {
		d := &p.Days[day]
		sit := sitterDay{Day: longDay(d.On), Minutes: shownMinutes(d.Minutes)}
		for _, one := range d.Items {
			plant, c := p.Of(one.Plant, one.Coming)
			words := plant.Label + ": " + strings.ToLower(taskForms[c.Task].name)
			if jobs := p.JobsOf(one.Plant, one.Coming, day); len(jobs) > 0 && day >= first && day <= last {
				words += " " + jobs[0].Amount
			}
			switch {
			case c.Before && day < first:
				v.Before = append(v.Before, words+" on "+d.On.Format("Monday 2 January"))
			case day < first && day >= first-2 && c.Due > day && c.Task == care.Flushing:
				v.Before = append(v.Before, words+" on "+d.On.Format("Monday 2 January")+", early")
			case day >= first && day <= last:
				sit.Jobs = append(sit.Jobs, words)
			}
		}
		if len(sit.Jobs) > 0 {
			v.Sit = append(v.Sit, sit)
		}
	}
	// A stress day and more is what a plant should not be left to.
	const tooMuch = 1
	for _, m := range p.Missed {
		_, c := p.Of(m.Plant, m.Coming)
		if m.Cost >= tooMuch && !m.FeedOnly && c.Due >= first-1 && c.Due <= last {
			v.CannotWait = append([]missedLine{missedOf(p, m)}, v.CannotWait...)
		}
	}
	return v
}

// goAway takes an absence.
func (s *Server) goAway(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	today := s.Book.Today()
	a := care.Away{From: f.comingDay("from", today), To: f.comingDay("to", today), Sitter: f.short("sitter")}
	if !f.wrong() && a.To.Before(a.From) {
		f.say("to", "That is before the first day.")
	}
	if !f.wrong() && a.To.Sub(a.From) > 365*24*time.Hour {
		f.say("to", "That is more than a year.")
	}
	if minutes := f.number("sitter_minutes", dayMinutes, s.units()); minutes != nil {
		a.SitterMinutes = *minutes
	}
	if f.wrong() {
		v, err := s.newAheadView(r.Context())
		if err != nil {
			return err
		}
		f.keep(&v.From, &v.To, &v.Sitter, &v.SitterMin)
		return s.render(w, r, http.StatusUnprocessableEntity, "round-ahead.html", v)
	}
	if _, err := s.Book.Append(r.Context(), s.newEntry(care.AwaySet, "", care.Detail{Away: &a})); err != nil {
		return err
	}
	return seeOther(w, r, "/round/ahead?done=kept#away")
}

// comingDay reads a calendar day from today on.
func (f *form) comingDay(name string, today time.Time) time.Time {
	text := f.required(name, "Which day?")
	if text == "" {
		return time.Time{}
	}
	on, err := time.Parse(time.DateOnly, text)
	switch {
	case err != nil:
		f.say(name, "%q is not written like %s.", text, today.Format(time.DateOnly))
	case on.Before(today.AddDate(0, 0, -1)), on.After(today.AddDate(2, 0, 0)):
		f.say(name, "Choose a day from today on, within two years.")
	}
	return on
}

// stayHere withdraws an absence.
func (s *Server) stayHere(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	e := s.newEntry(care.Withdrawn, "", care.Detail{})
	e.Corrects = f.text("entry")
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, "/round/ahead?done=withdrawn#away")
}

// shortView is what is done first on a bad day.
type shortView struct {
	frame
	Minutes field
	Stopped bool
	Back    string
	Says    string
	Notes   []string
	Stops   []shortStop
	Waits   []missedLine
	Harm    string
}

type shortStop struct {
	Space, Sum string
	Jobs       []shortJob
}

type shortJob struct{ Path, Label, Name, Task, Amount, Minutes string }

// showShort shows what to do in the few minutes there are.
func (s *Server) showShort(w http.ResponseWriter, r *http.Request) error {
	u := s.units()
	q := r.URL.Query()
	v := &shortView{Minutes: field{Name: "minutes", Label: "Minutes there are", Value: q.Get("minutes"), Mode: "decimal"}}
	v.Title, v.Here, v.Style = "A short round", "round", "round.css"
	if v.Minutes.Value == "" {
		v.Minutes.Value = "20"
	}
	minutes, err := dayMinutes.read(v.Minutes.Value, u)
	if err != nil {
		v.Minutes.Error = sentence(err.Error()) + "."
		return s.render(w, r, http.StatusUnprocessableEntity, "round-short.html", v)
	}
	var p book.Plan
	ready, err := s.planned(w, r, func(ctx context.Context) (err error) {
		p, err = s.Book.Plan(ctx, book.Ask{From: s.Book.Today(), Days: book.PlanDays, Minutes: &minutes.Value})
		return err
	})
	if !ready {
		return err
	}
	v.Stopped, v.Back = p.Stopped, r.URL.RequestURI()
	day := p.Round(0)
	n, pauses := 0, false
	for _, stop := range day.Stops {
		one := shortStop{Space: sentence(orWord(stop.Space, "somewhere")), Sum: shownMinutes(stop.Minutes) + ", " + shownLitres(u, stop.Litres)}
		for _, j := range stop.Jobs[:min(len(stop.Jobs), mostJobs)] {
			one.Jobs = append(one.Jobs, shortJob{jobPath(j.Key), j.Label, j.Name, taskForms[j.Task].name, j.Amount, shownMinutes(j.Minutes.Value)})
		}
		n += len(stop.Jobs)
		pauses = pauses || slices.ContainsFunc(stop.Jobs, func(j care.Job) bool { return strings.Contains(j.Amount, " between") })
		v.Stops = append(v.Stops, one)
	}
	these := fmt.Sprintf("do these %d jobs", n)
	switch {
	case n == 0 && len(day.Waits) == 0:
		these = "nothing is due"
	case n == 0:
		these = "not one job fits"
	case n == 1:
		these = "do this one job"
	}
	v.Says = fmt.Sprintf("You have %s: %s.", shownMinutes(minutes.Value), these)
	if day.Setup > 0 {
		v.Notes = append(v.Notes, shownMinutes(day.Setup)+" of them go into going from space to space and mixing.")
	}
	if pauses {
		v.Notes = append(v.Notes, "The waits between pours are not counted: begin with these and come back.")
	}
	for _, one := range day.Waits[max(0, len(day.Waits)-shownMissed):] {
		v.Waits = append(v.Waits, missedLine{Path: "/plant/" + one.Job.Plant, Label: one.Job.Label, What: taskForms[one.Job.Task].name, When: plannedFor(one.Planned), Cost: shownStress(one.Stress)})
	}
	sum := 0.0
	for _, one := range day.Waits {
		sum += one.Stress
	}
	v.Harm = shownStress(sum)
	return s.render(w, r, http.StatusOK, "round-short.html", v)
}

func plannedFor(on time.Time) string {
	if on.IsZero() {
		return "left out"
	}
	return "planned for " + on.Format("Mon 2 Jan")
}
