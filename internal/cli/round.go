package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"sort"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/plan"
	"velamen/internal/store"
)

// roundCommand shows the round of a day and the plan of the days after it.
type roundCommand struct {
	File    string   `arg:"" help:"The collection; it may be in use."`
	Minutes *float64 `help:"Minutes there are on the first day: what is done in them, and what waits." placeholder:"N"`
	Litres  *float64 `help:"Litres there are on the first day, of all waters together." placeholder:"N"`
	Date    string   `help:"The first day, as 2026-11-24; default today." placeholder:"DATE"`
	Days    int      `help:"How many days to plan." default:"14" placeholder:"N"`
	JSON    bool     `name:"json" help:"Print JSON for programs, in minutes, litres and stress days."`
}

// mostPlanDays is the longest plan.
const mostPlanDays = 120

func (c roundCommand) Run(r *run) (err error) {
	on, err := dayOf(c.Date, r.today)
	if err != nil {
		return err
	}
	if c.Days < 1 || c.Days > mostPlanDays {
		return fmt.Errorf("--days %d; 1 to %d can be planned", c.Days, mostPlanDays)
	}
	for name, v := range map[string]*float64{"minutes": c.Minutes, "litres": c.Litres} {
		if v != nil && !(*v >= 0 && *v <= 1e5) {
			return fmt.Errorf("--%s %g is outside 0 to 100000", name, *v)
		}
	}
	b, done, err := openBook(r, c.File)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, done()) }()
	progress, end := r.progress()
	if err := r.workOut(b, on, progress); err != nil {
		return err
	}
	ask := book.Ask{From: on, Days: c.Days, Minutes: c.Minutes, Litres: c.Litres, Watch: func(done, steps int, harm float64) bool {
		if progress != nil {
			progress(fmt.Sprintf("planning, %.2f stress days so far; Ctrl-C takes the best", harm), done, steps)
		}
		return r.ctx.Err() == nil
	}}
	// Who interrupts the search gets the best plan so far: it is still to be made
	// of what the collection says.
	p, err := b.Plan(context.WithoutCancel(r.ctx), ask)
	end()
	if err != nil {
		return err
	}
	anew, worth := 0.0, false
	if c.Minutes == nil && c.Litres == nil && !p.Stopped {
		if anew, worth, err = b.Anew(r.ctx, &p); err != nil {
			return err
		}
	}
	var u care.Units
	b.Read(func(k *care.Collection) { u = k.Settings.Units })
	if c.JSON {
		report := newRoundReport(&p)
		if worth {
			report.Anew = &anew
		}
		return writeJSON(r.out, report)
	}
	printRound(r.out, &p, u)
	if worth {
		fmt.Fprintf(r.out, "This keeps to the plan of the morning. A new one would cost %.2f stress days; ask for it under the days ahead.\n", anew)
	}
	return nil
}

// workOut works out the courses that a plan needs, however many there are. Who
// interrupts it gets a plan without those that are missing.
func (r *run) workOut(b *book.Book, on time.Time, progress store.Progress) error {
	return b.WorkOut(context.WithoutCancel(r.ctx), on, func(done, of int) bool {
		if progress != nil {
			progress("working out the courses; Ctrl-C goes on without the rest", done, of)
		}
		return r.ctx.Err() == nil
	})
}

// openBook opens a collection for reading, whole.
func openBook(r *run, path string) (*book.Book, func() error, error) {
	s, err := store.OpenReading(r.ctx, path, r.clock)
	if err != nil {
		return nil, nil, storeProblem("opening the collection", err)
	}
	done := func() error { return storeProblem("closing the collection", s.Close()) }
	tables, err := culture.Load()
	if err != nil {
		return nil, nil, errors.Join(failed("reading the culture tables", err), done())
	}
	b, err := book.Open(r.ctx, s, tables, r.clock)
	if err != nil {
		return nil, nil, errors.Join(storeProblem("reading the collection", err), done())
	}
	return b, done, nil
}

func printRound(w io.Writer, p *book.Plan, u care.Units) {
	day := p.Round(0)
	limit := ""
	if day.Limits.Minutes > 0 {
		limit = fmt.Sprintf(" of %.0f", day.Limits.Minutes)
	}
	fmt.Fprintf(w, "%s: %s%s, %.1f L\n", capital(p.From.Format(dayLong)), minutesText(day.Fits.Minutes), limit, day.Fits.Litres)
	if p.Stopped {
		fmt.Fprintln(w, "The search was stopped: this is the best plan found so far.")
	}
	if p.Pending > 0 {
		fmt.Fprintf(w, "%d plants are not in it: their courses were not worked out.\n", p.Pending)
	}
	if day.Off {
		fmt.Fprintln(w, "The day allows no time.")
	}
	for _, stop := range day.Stops {
		fmt.Fprintf(w, "\n%s  %s, %.1f L\n", orText(stop.Space, "somewhere"), minutesText(stop.Minutes), stop.Litres)
		t := table{indent: "  ", folds: true}
		for _, job := range stop.Jobs {
			amount := job.Amount
			if job.Due.After(p.From) {
				amount += ", due " + job.Due.Format("Mon 2 Jan")
			}
			t.row(job.Label, string(job.Task), amount)
		}
		t.print(w)
	}
	if len(day.Waits) > 0 {
		fmt.Fprintf(w, "\nWaits, the least harmful first\n")
		t := table{indent: "  "}
		for _, one := range day.Waits {
			when := "left out"
			if !one.Planned.IsZero() {
				when = one.Planned.Format("Mon 2 Jan")
			}
			t.row(one.Job.Label, string(one.Job.Task), when, fmt.Sprintf("%.2f stress days", one.Stress), one.Cost)
		}
		t.print(w)
	}
	fmt.Fprintln(w, "\nThe days ahead")
	t := table{indent: "  ", right: []bool{false, true, true, true, true}}
	t.row("", "jobs", "min", "of", "L")
	for i := range p.Days {
		d := &p.Days[i]
		limit := "–"
		if !math.IsInf(d.Limit, 1) {
			limit = fmt.Sprintf("%.0f", d.Limit)
		}
		litres := 0.0
		for _, v := range d.Litres {
			litres += v
		}
		t.row(d.On.Format("Mon 2 Jan"), fmt.Sprint(len(d.Items)), fmt.Sprintf("%.0f", d.Minutes), limit, fmt.Sprintf("%.1f", litres))
	}
	t.print(w)
	printShortfall(w, p, u)
	for _, one := range p.Troubles {
		fmt.Fprintf(w, "! %s: %s\n", one.Label, one.Why)
	}
}

// printShortfall says what cannot be done on time, what that costs, and what
// would mend it.
func printShortfall(w io.Writer, p *book.Plan, _ care.Units) {
	if len(p.Missed) == 0 {
		fmt.Fprintln(w, "\nEverything is done on time.")
		return
	}
	fmt.Fprintf(w, "\nNot on time: %d, %.2f stress days in all; the least harmful first\n", len(p.Missed), p.Harm)
	t := table{indent: "  ", right: []bool{false, false, false, false, true}}
	const most = 20
	for _, m := range p.Missed[:min(most, len(p.Missed))] {
		one, c := p.Of(m.Plant, m.Coming)
		what := string(c.Task)
		if m.FeedOnly {
			what = string(care.Feeding)
		}
		when := "left out"
		if m.Day >= 0 && !m.FeedOnly {
			when = "on " + p.From.AddDate(0, 0, m.Day).Format("Mon 2 Jan")
		}
		t.row(one.Label, what, "due "+p.From.AddDate(0, 0, c.Due).Format("Mon 2 Jan"), when, fmt.Sprintf("%.2f", m.Cost))
	}
	t.print(w)
	if n := len(p.Missed) - most; n > 0 {
		fmt.Fprintf(w, "  and %d more, which cost more\n", n)
	}
	if p.Proof != nil {
		fmt.Fprintln(w, p.Proof.Says(p.From))
	}
	if len(p.Fixes) > 0 {
		var list []string
		for i := range p.Fixes {
			list = append(list, p.Fixes[i].Says(p.From))
		}
		fmt.Fprintln(w, "What would mend it: "+strings.Join(list, "; ")+".")
	}
}

func minutesText(v float64) string { return fmt.Sprintf("%.0f min", math.Round(v)) }

func orText(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}

// roundReport is the JSON answer of velamen round.
type roundReport struct {
	Format string          `json:"format"`
	Round  plan.Round      `json:"round"`
	Days   []dayReport     `json:"days"`
	Missed []missedReport  `json:"missed,omitempty"`
	Harm   float64         `json:"stress_days"`
	Proof  string          `json:"impossible_because,omitempty"`
	Fixes  []string        `json:"would_mend_it,omitempty"`
	Pace   []care.TaskPace `json:"pace,omitempty"`

	Stopped  bool            `json:"stopped,omitempty"` // the search, before its end
	Pending  int             `json:"plants_not_worked_out,omitempty"`
	Troubles []troubleReport `json:"plants_without_a_course,omitempty"`
	Anew     *float64        `json:"a_new_plan_would_cost,omitempty"` // stress days, where it is worth asking for
}

type troubleReport struct {
	Plant string `json:"plant"`
	Label string `json:"label"`
	Why   string `json:"why"`
}

type dayReport struct {
	On      time.Time          `json:"on"`
	Minutes float64            `json:"minutes"`
	Setup   float64            `json:"setup_minutes"`
	Limit   *float64           `json:"limit_minutes,omitempty"`
	Litres  map[string]float64 `json:"litres"`
	Jobs    []jobReport        `json:"jobs"`
}

type jobReport struct {
	Plant string    `json:"plant"`
	Label string    `json:"label"`
	Task  care.Task `json:"task"`
	Fed   bool      `json:"fed,omitempty"`
	Due   time.Time `json:"due"`
	Late  int       `json:"days_late,omitempty"`
	Cost  float64   `json:"stress_days,omitempty"`
}

type missedReport struct {
	jobReport
	Planned  time.Time `json:"planned_for,omitzero"`
	FeedOnly bool      `json:"feed_only,omitempty"`
}

func newRoundReport(p *book.Plan) roundReport {
	r := roundReport{Format: "velamen-round-1", Round: p.Round(0), Harm: p.Harm, Stopped: p.Stopped, Pending: p.Pending}
	for _, one := range p.Troubles {
		r.Troubles = append(r.Troubles, troubleReport(one))
	}
	job := func(plant, coming int) jobReport {
		one, c := p.Of(plant, coming)
		return jobReport{Plant: one.ID, Label: one.Label, Task: c.Task, Due: p.From.AddDate(0, 0, c.Due)}
	}
	for i := range p.Days {
		d := &p.Days[i]
		day := dayReport{On: d.On, Minutes: d.Minutes, Setup: d.Setup, Litres: d.Litres}
		if !math.IsInf(d.Limit, 1) {
			day.Limit = &d.Limit
		}
		for _, one := range d.Items {
			j := job(one.Plant, one.Coming)
			j.Fed, j.Late, j.Cost = one.Fed, one.Late, one.Cost
			day.Jobs = append(day.Jobs, j)
		}
		r.Days = append(r.Days, day)
	}
	for _, m := range p.Missed {
		one := missedReport{jobReport: job(m.Plant, m.Coming), FeedOnly: m.FeedOnly}
		one.Cost = m.Cost
		if m.Day >= 0 {
			one.Planned = p.From.AddDate(0, 0, m.Day)
		}
		r.Missed = append(r.Missed, one)
	}
	if p.Proof != nil {
		r.Proof = p.Proof.Says(p.From)
	}
	for i := range p.Fixes {
		r.Fixes = append(r.Fixes, p.Fixes[i].Says(p.From))
	}
	for _, one := range p.Pace {
		r.Pace = append(r.Pace, one)
	}
	sort.Slice(r.Pace, func(i, k int) bool { return r.Pace[i].Task < r.Pace[k].Task })
	return r
}
