package web

import (
	"context"
	"fmt"
	"html/template"
	"math"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/plot"
	"velamen/science/basis"
)

// flushView says how to flush, and whether the flush of today is done.
type flushView struct {
	Says    string
	Figures []figureView
	Rain    string
	Check   *finishView
}

// finishView is what the drainage of today says.
type finishView struct {
	Cups string
	Done bool
	Says string
}

func newFlushView(sp specimen, u care.Units, c *care.Course, entries []care.Entry, today time.Time) *flushView {
	f := c.Flush
	v := &flushView{Says: f.Says(u, homeNoun(sp))}
	for _, one := range []struct {
		name   string
		figure care.Figure
	}{
		{"Every", f.Every}, {"Water in all", f.Total}, {"Pours", f.Pours}, {"Wait between pours", f.Wait}, {"Done when the drainage is at most", f.DoneAt},
	} {
		if one.figure.Unit == "pours" || one.figure.Unit == "min" {
			if f.Pours.Value.Value <= 1 {
				continue
			}
		}
		view := newFigure(u, one.name, one.figure)
		if one.figure.Unit == "days" && one.figure.Value.Value == 1 {
			view.Shown = "day"
		}
		v.Figures = append(v.Figures, view)
	}
	if f.Between != nil {
		v.Figures = append(v.Figures, newFigure(u, "Water in between", *f.Between))
	}
	rain := fmt.Sprintf("%.0f mm", math.Ceil(f.RainMM))
	if u.Inches {
		rain = u.Show(basis.Exactly(f.RainMM, "mm", basis.Assumption, ""))
	}
	v.Rain = fmt.Sprintf("Outdoors, rain of %s or more does as well.", rain)
	v.Check = newFinishView(u, f, entries, today)
	return v
}

// homeNoun is what the plant stands in or on.
func homeNoun(sp specimen) string { return sp.state.Record.Repot.To.Noun() }

// newFinishView reads the drainage noted today. Without any it returns nil.
func newFinishView(u care.Units, f care.Flush, entries []care.Entry, today time.Time) *finishView {
	var cups []float64
	var shown []string
	for _, e := range care.Effective(entries, today.AddDate(0, 0, 2)) {
		if e.Kind == care.DrainageRead && e.Detail.ECmS != nil && sameDay(e.At, today) {
			cups = append(cups, *e.Detail.ECmS)
			shown = append(shown, u.Show(basis.Exactly(*e.Detail.ECmS, "mS/cm", basis.Measured, "")))
		}
	}
	if len(cups) == 0 {
		return nil
	}
	v := &finishView{Cups: strings.Join(shown, ", then ")}
	finish, err := f.Finished(cups)
	limit := u.Show(basis.Exactly(finish.LimitECmS, "mS/cm", basis.CommonPractice, ""))
	switch {
	case err != nil:
		v.Says = sentence(err.Error())
	case finish.Done:
		v.Done, v.Says = true, "The flush is done: the last cup is at most "+limit+" and the last two agree."
	case finish.StillToDrain:
		v.Says = "One cup says nothing yet: catch another."
	case !finish.NearInput:
		v.Says = "Not done: the last cup is still above " + limit + ". Pour once more."
	default:
		v.Says = fmt.Sprintf("Not done: the last two cups still differ by %.0f %%. Pour once more.", 100*finish.Difference)
	}
	return v
}

// forecastView is the water and the salt in the pot over the coming days.
type forecastView struct {
	Picture template.HTML
	Title   string
	Says    string
	Kept    bool
	Figures []figureView
	Days    []forecastDay
	Climate string
	learned *learnedView
}

// forecastDay is one row of the forecast's table.
type forecastDay struct{ Date, Water, Salt, Pour string }

// forecastDays is how far a pot is looked ahead; a mount is wetted so often that
// a few days say it all.
const forecastDays, mountForecastDays = 10, 4

// foretell works out the water and the salt in the pot over the coming days.
func (s *Server) foretell(ctx context.Context, sp specimen, c *care.Course) (care.Forecast, error) {
	days := forecastDays
	if sp.state.Record.Repot.To.Mount != nil {
		days = mountForecastDays
	}
	around, err := s.Book.Around(ctx, sp.state)
	if err != nil {
		return care.Forecast{}, err
	}
	return care.NewForecast(sp.kase, sp.state.Record, s.Book.Tables(), *c, care.Outlook{
		Last: sp.lastWater(c), Days: days, Pot: sp.state.Pot, Rains: s.Book.RainsOn(sp.state), Around: around, Learned: c.Learned, Name: sp.id,
	})
}

func (s *Server) forecast(ctx context.Context, sp specimen, u care.Units, c *care.Course) (*forecastView, error) {
	f, err := s.foretell(ctx, sp, c)
	if err != nil {
		return nil, err
	}
	v := &forecastView{Kept: f.Kept, Climate: sentence(f.Climate) + ".", learned: newLearnedView(sp, u, c, &f), Title: "Water and salt in the home of " + c.Label}
	mounted := sp.state.Record.Repot.To.Mount != nil
	v.Figures = []figureView{newFigure(u, "Driest in the days ahead", f.LeastWater)}
	says := fmt.Sprintf("It holds %s of what it can at its driest, and its salt reaches %s.", u.Show(f.LeastWater.Value), u.Show(f.MostSalt.Value))
	if mounted {
		v.Figures = []figureView{newFigure(u, "Roots are wet, hours a day", f.WetHours)}
		says = fmt.Sprintf("Its roots are wet for %s a day, and its salt reaches %s.", u.Show(f.WetHours.Value), u.Show(f.MostSalt.Value))
	}
	v.Figures = append(v.Figures, newFigure(u, "Saltiest in the days ahead", f.MostSalt))
	v.Says = fmt.Sprintf("The next flush is due on %s. ", f.Due.Format("Monday 2 January")) + says
	if f.Due.Equal(c.On) {
		v.Says = "A flush is due today. With the rhythm kept from then on: " + strings.ToLower(says[:1]) + says[1:]
	}
	salt, unit := saltFactor(u)
	picture := plot.PotPicture{
		ID: "pot", Title: v.Title, Description: v.Says, Start: f.Start, Ahead: f.Ahead, SaltUnit: unit,
		Water:  hourBand(f.Water, 100),
		Salt:   hourBand(f.Salt, salt),
		Driest: 100 * f.Driest.Value, Saltiest: salt * f.Salty.Value,
	}
	if mounted {
		picture.Driest = 0 // a mount dries every day; its wet hours count
	}
	for _, p := range f.Pours {
		picture.Pours = append(picture.Pours, plot.PourMark{Hour: p.At.Sub(f.Start).Hours(), Fed: p.Fed, Says: pourWords(u, p)})
	}
	svg, err := picture.SVG()
	v.Picture = template.HTML(svg) //nolint:gosec // made by package plot, which escapes every word
	v.Days = forecastTable(u, f)
	return v, err
}

func hourBand(b care.Band, factor float64) plot.HourBand {
	scaled := func(list []float64) []float64 {
		out := make([]float64, len(list))
		for i, x := range list {
			out[i] = factor * x
		}
		return out
	}
	return plot.HourBand{Value: scaled(b.Value), Low: scaled(b.Low), High: scaled(b.High)}
}

// saltFactor turns mS/cm into what the grower's meter shows.
func saltFactor(u care.Units) (factor float64, unit string) {
	w, _ := drainageEC.writing(saltUnit(u))
	return 1 / w.factor, w.symbol
}

func pourWords(u care.Units, p care.Poured) string {
	what := "flush"
	switch {
	case p.Wetted:
		what = "water"
	case p.Fed:
		what = "flush, the last pour fed"
	}
	return fmt.Sprintf("%s: %s, %s", p.At.Format("Mon 2 Jan, 15:04"), what, u.Show(basis.Exactly(p.ML, "mL", basis.Assumption, "")))
}

// forecastTable tells each day by its driest and its saltiest hour.
func forecastTable(u care.Units, f care.Forecast) []forecastDay {
	var rows []forecastDay
	for h := 0; h+24 <= len(f.Water.Value); h += 24 {
		row := forecastDay{Date: f.Start.Add(time.Duration(h) * time.Hour).Format("Mon 2 Jan")}
		water, salt := h, h
		for i := h; i < h+24; i++ {
			if f.Water.Value[i] < f.Water.Value[water] {
				water = i
			}
			if f.Salt.Value[i] > f.Salt.Value[salt] {
				salt = i
			}
		}
		value := func(b care.Band, i int, unit string) string {
			q := basis.Value{Value: b.Value[i], Low: b.Low[i], High: b.High[i], Unit: unit}
			if span := u.ShowRange(q); span != "" {
				return u.Show(q) + " (" + span + ")"
			}
			return u.Show(q)
		}
		row.Water, row.Salt = value(f.Water, water, "share"), value(f.Salt, salt, "mS/cm")
		var pours []string
		for _, p := range f.Pours {
			if at := int(p.At.Sub(f.Start).Hours()); at >= h && at < h+24 {
				_, words, _ := strings.Cut(pourWords(u, p), ": ")
				pours = append(pours, words)
			}
		}
		row.Pour = strings.Join(pours, "; ")
		rows = append(rows, row)
	}
	return rows
}
