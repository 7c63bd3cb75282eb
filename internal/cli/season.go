package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/plan"
)

// seasonCommand shows which plants to repot when.
type seasonCommand struct {
	File string `arg:"" help:"The collection; it may be in use."`
	Date string `help:"The first day, as 2026-11-24; default today." placeholder:"DATE"`
	JSON bool   `name:"json" help:"Print JSON for programs, in minutes and litres a week."`
}

func (c seasonCommand) Run(r *run) (err error) {
	on, err := dayOf(c.Date, r.today)
	if err != nil {
		return err
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
	s, err := b.Season(context.WithoutCancel(r.ctx), on, func(done, steps int, value float64) bool {
		if progress != nil {
			progress("choosing the weeks; Ctrl-C takes the best so far", done, steps)
		}
		return r.ctx.Err() == nil
	})
	end()
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(r.out, newSeasonReport(s))
	}
	printSeason(r.out, s)
	return nil
}

func printSeason(w io.Writer, s *book.Season) {
	fmt.Fprintf(w, "%d weeks from %s: %d to repot, %d without room, %d better left alone for now\n", book.SeasonWeeks, s.From.Format("2 January 2006"), len(s.Repots), len(s.Left), len(s.Later))
	if s.Stopped {
		fmt.Fprintln(w, "The search was stopped: this is the best plan found so far.")
	}
	if s.Pending > 0 {
		fmt.Fprintf(w, "%d recoveries under way are not counted: their courses were not worked out.\n", s.Pending)
	}
	if len(s.Repots) > 0 {
		fmt.Fprintln(w, "\nRepot")
		t := table{indent: "  "}
		for _, one := range s.Repots {
			c := &s.List[one.Candidate]
			when := one.On.Format("Mon 2 Jan")
			if one.Set {
				when += ", set"
			}
			t.row(when, c.Label, c.Name, says(c.Causes), strings.Join(append([]string{c.Timing}, c.Caveats...), "; "))
		}
		t.print(w)
	}
	if len(s.Left) > 0 {
		fmt.Fprintln(w, "\nNo room for")
		t := table{indent: "  "}
		for _, one := range s.Left {
			t.row(s.List[one.Candidate].Label, says(s.List[one.Candidate].Causes), one.Why)
		}
		t.print(w)
	}
	if len(s.Later) > 0 {
		fmt.Fprintln(w, "\nLeave alone for now")
		t := table{indent: "  "}
		for _, one := range s.Later {
			t.row(one.Label, says(one.Causes), one.Why)
		}
		t.print(w)
	}
	fmt.Fprintln(w, "\nThe weeks")
	t := table{indent: "  ", right: []bool{false, true, true, true, true, true}}
	t.row("", "repots", "bench min", "round min", "of", "L")
	for _, week := range s.Weeks {
		t.row(week.From.Format("2 Jan"), fmt.Sprint(week.Repots), fmt.Sprintf("%.0f", week.Bench), fmt.Sprintf("%.0f", week.Minutes), limitText(week.MinutesLimit), fmt.Sprintf("%.0f", week.Litres))
	}
	t.print(w)
	if s.Shorted {
		fmt.Fprintln(w, "! The dates that were set need more than there is.")
	}
	m := s.MaterialsFor(s.List, s.From.AddDate(0, 0, 6))
	if m.Labels == 0 {
		return
	}
	fmt.Fprintln(w, "\nFor the first week")
	for _, one := range m.Media {
		fmt.Fprintf(w, "  %.1f L of %s\n", one.Litres, one.Medium)
	}
	for _, one := range m.Homes {
		fmt.Fprintf(w, "  %d × %s\n", one.Count, one.Home)
	}
	fmt.Fprintf(w, "  %d labels, %d ties, %d blades: a fresh one for every plant\n", m.Labels, m.Ties, m.Blades)
	fmt.Fprintln(w, "  gloves and a mask; wet media before they dust")
}

func says(causes []care.Cause) string {
	list := make([]string, len(causes))
	for i, c := range causes {
		list[i] = c.Says
	}
	return strings.Join(list, "; ")
}

func limitText(v float64) string {
	if math.IsInf(v, 1) {
		return "–"
	}
	return fmt.Sprintf("%.0f", v)
}

// seasonReport is the JSON answer of velamen season.
type seasonReport struct {
	Format    string         `json:"format"`
	From      time.Time      `json:"from"`
	Repots    []repotReport  `json:"repots"`
	Left      []leftReport   `json:"no_room_for,omitempty"`
	Later     []care.NotNow  `json:"leave_alone,omitempty"`
	Weeks     []weekReport   `json:"weeks"`
	Materials plan.Materials `json:"materials_first_week"`
	Value     float64        `json:"urgency_met"`
	Bound     float64        `json:"urgency_at_most"`
	Further   int            `json:"less_urgent,omitempty"` // candidates that were not weighed
	Stopped   bool           `json:"stopped,omitempty"`     // the search, before its end
	Pending   int            `json:"recoveries_not_counted,omitempty"`
}

type repotReport struct {
	On  time.Time `json:"on"`
	Set bool      `json:"set,omitempty"`
	care.Candidate
}

type leftReport struct {
	care.Candidate
	Why string `json:"why"`
}

type weekReport struct {
	From          time.Time `json:"from"`
	Repots        int       `json:"repots"`
	Bench         float64   `json:"bench_minutes"`
	Minutes       float64   `json:"round_minutes"`
	MinutesLimit  *float64  `json:"round_minutes_limit,omitempty"`
	Litres        float64   `json:"litres"`
	LitresLimit   *float64  `json:"litres_limit,omitempty"`
	OfThemForPlan float64   `json:"round_minutes_for_the_plan"`
}

func newSeasonReport(s *book.Season) seasonReport {
	r := seasonReport{Format: "velamen-season-1", From: s.From, Later: s.Later, Value: s.Value, Bound: s.Bound, Further: s.Further, Stopped: s.Stopped, Pending: s.Pending, Repots: []repotReport{}, Materials: s.MaterialsFor(s.List, s.From.AddDate(0, 0, 6))}
	for _, one := range s.Repots {
		r.Repots = append(r.Repots, repotReport{one.On, one.Set, s.List[one.Candidate].Candidate})
	}
	for _, one := range s.Left {
		r.Left = append(r.Left, leftReport{s.List[one.Candidate].Candidate, one.Why})
	}
	finite := func(v float64) *float64 {
		if math.IsInf(v, 1) {
			return nil
		}
		return &v
	}
	for _, w := range s.Weeks {
		r.Weeks = append(r.Weeks, weekReport{w.From, w.Repots, w.Bench, w.Minutes, finite(w.MinutesLimit), w.Litres, finite(w.LitresLimit), w.NewMinutes})
	}
	return r
}
