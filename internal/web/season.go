package web

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
)

func seasonRoutes(on *router) {
	on.get("/season", (*Server).showSeason)
	on.post("/season/date", (*Server).setRepotDate)
}

// seasonView is which plants to repot when.
type seasonView struct {
	frame
	Repots     []seasonRepot
	Left       []seasonPlant
	Later      []seasonPlant
	LessUrgent int
	Pending    int
	Weeks      []seasonWeek
	Shorted    bool
	Stopped    bool
	Weekend    string
	Media      []string
	Homes      []string
	Tools      string
	Wrong      string // what is wrong with a date that was typed
	HasLimits  bool
	Busy       bool // some week asks for something
}

type seasonPlant struct {
	Path, ID, Label, Name string
	Causes                []string
	Why                   string
	Set                   field // a date of the grower's own
}

type seasonRepot struct {
	seasonPlant
	On, Date, Timing string
	Fixed            bool
	Emergency        bool
	Caveats          []string
	Asks             string // minutes and litres of the weeks after it
	Because          *becauseView
}

// seasonWeek is the load of one week; shares are of the widest bar.
type seasonWeek struct {
	Date, Week, Repots, Minutes, Limit, Litres, Bench string
	Over                                              bool
	Share, NewShare, LimitAt                          float64
}

func (s *Server) showSeason(w http.ResponseWriter, r *http.Request) error {
	var v *seasonView
	ready, err := s.planned(w, r, func(ctx context.Context) (err error) {
		v, err = s.newSeasonView(ctx)
		return err
	})
	if !ready {
		return err
	}
	return s.render(w, r, http.StatusOK, "season.html", v)
}

func (s *Server) newSeasonView(ctx context.Context) (*seasonView, error) {
	today := s.Book.Today()
	made, err := s.Book.Season(ctx, today, nil)
	if err != nil {
		return nil, err
	}
	u := s.units()
	v := &seasonView{LessUrgent: made.Further, Pending: made.Pending, Stopped: made.Stopped, Shorted: made.Shorted}
	v.Title, v.Here, v.Style, v.Module = "Season", "season", "season.css", "modules/season.js"
	for _, one := range made.Repots {
		c := &made.List[one.Candidate]
		rounds, litres := 0.0, 0.0
		for k := range c.Minutes {
			rounds, litres = rounds+c.Minutes[k], litres+c.Litres[k]
		}
		line := seasonRepot{
			seasonPlant: seasonPlantOf(c.Plant, c.Label, c.Name, c.Causes, "", one.On),
			On:          longDay(one.On), Date: one.On.Format(time.DateOnly), Timing: c.Timing, Fixed: one.Set, Emergency: c.Emergency, Caveats: c.Caveats,
			Asks:    fmt.Sprintf("%s at the bench, then %s and %s over %d weeks", shownMinutes(c.Bench.Value), shownMinutes(rounds), shownLitres(u, litres), care.ProspectWeeks),
			Because: newBecause(u, c.Prospect.Because, 0, ""),
		}
		v.Repots = append(v.Repots, line)
	}
	for _, one := range made.Left {
		c := &made.List[one.Candidate]
		v.Left = append(v.Left, seasonPlantOf(c.Plant, c.Label, c.Name, c.Causes, one.Why, time.Time{}))
	}
	for _, one := range made.Later {
		v.Later = append(v.Later, seasonPlantOf(one.Plant, one.Label, "", one.Causes, one.Why, time.Time{}))
	}
	v.layWeeks(made, u)
	end := weekendAfter(today)
	m := made.MaterialsFor(made.List, end)
	if m.Labels > 0 {
		v.Weekend = longDay(end)
		for _, one := range m.Media {
			v.Media = append(v.Media, fmt.Sprintf("%s of %s", shownLitres(u, math.Ceil(10*one.Litres)/10), one.Medium))
		}
		for _, one := range m.Homes {
			v.Homes = append(v.Homes, fmt.Sprintf("%d × %s", one.Count, one.Home))
		}
		v.Tools = fmt.Sprintf("%d labels, %d ties, %d blades: a fresh or flamed one for every plant", m.Labels, m.Ties, m.Blades)
	}
	return v, nil
}

// weekendAfter is the Sunday that ends the week of a day.
func weekendAfter(on time.Time) time.Time {
	for on.Weekday() != time.Sunday {
		on = on.AddDate(0, 0, 1)
	}
	return on
}

func seasonPlantOf(id, label, name string, causes []care.Cause, why string, on time.Time) seasonPlant {
	p := seasonPlant{Path: "/plant/" + id, ID: id, Label: label, Name: name, Why: why, Set: field{Name: "on", Label: "Another day", Type: "date"}}
	if !on.IsZero() {
		p.Set.Value = on.Format(time.DateOnly)
	}
	for _, c := range causes {
		p.Causes = append(p.Causes, sentence(c.Says))
	}
	return p
}

func (v *seasonView) layWeeks(made *book.Season, u care.Units) {
	widest := 1.0
	for _, w := range made.Weeks {
		widest = math.Max(widest, w.Minutes)
		if !math.IsInf(w.MinutesLimit, 1) {
			widest = math.Max(widest, w.MinutesLimit)
		}
	}
	share := func(x float64) float64 { return math.Round(1000*x/widest) / 10 }
	for i, w := range made.Weeks {
		line := seasonWeek{
			Date: w.From.Format(time.DateOnly), Week: w.From.Format("2 Jan"), Minutes: shownMinutes(w.Minutes), Litres: shownLitres(u, w.Litres),
			Share: share(w.Minutes - w.NewMinutes), NewShare: share(w.NewMinutes),
			Over: w.Minutes > w.MinutesLimit+0.5 || w.Litres > w.LitresLimit+0.05 || w.Bench > w.BenchLimit+0.5,
		}
		if w.Repots > 0 {
			line.Repots = fmt.Sprintf("%d to repot, %s at the bench", w.Repots, shownMinutes(w.Bench))
		}
		if !math.IsInf(w.MinutesLimit, 1) {
			line.Limit, line.LimitAt, v.HasLimits = shownMinutes(w.MinutesLimit), share(w.MinutesLimit), true
		}
		if i >= book.SeasonWeeks {
			line.Date = "" // no repot can be set into it here
		}
		v.Busy = v.Busy || w.Minutes > 0
		v.Weeks = append(v.Weeks, line)
	}
}

// setRepotDate takes a day for a repot, or takes it back.
func (s *Server) setRepotDate(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	today, id := s.Book.Today(), f.text("plant")
	known := false
	s.Book.Read(func(c *care.Collection) { known = c.Plants[id] != nil })
	if !known {
		return fmt.Errorf("%w: %s", book.ErrUnknownPlant, id)
	}
	d := care.Detail{}
	if f.text("do") != "free" {
		on, err := time.Parse(time.DateOnly, f.text("on"))
		last := today.AddDate(0, 0, 7*book.SeasonWeeks-1)
		if err != nil || on.Before(today) || on.After(last) {
			v, viewErr := s.newSeasonView(r.Context())
			if viewErr != nil {
				return viewErr
			}
			v.Wrong = fmt.Sprintf("%s is no day from %s to %s; nothing was kept.", quoted(f.text("on")), longDay(today), longDay(last))
			return s.render(w, r, http.StatusUnprocessableEntity, "season.html", v)
		}
		d.PlannedFor = on
	}
	if _, err := s.Book.Append(r.Context(), s.newEntry(care.RepotPlanned, id, d)); err != nil {
		return err
	}
	return seeOther(w, r, "/season?done=kept#p"+strings.ReplaceAll(id, "-", ""))
}

func quoted(text string) string { return fmt.Sprintf("%q", text) }

// Anchor is where the plant stands on the page.
func (p seasonPlant) Anchor() string { return "p" + strings.ReplaceAll(p.ID, "-", "") }
