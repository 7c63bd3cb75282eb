package web

import (
	"fmt"
	"html/template"
	"math"
	"net/http"
	"time"

	"velamen/internal/care"
	"velamen/internal/plot"
	"velamen/science/basis"
	"velamen/science/growth"
)

// rootsView is what the marked roots say.
type rootsView struct {
	Asks        bool // a reading is in question
	Says, Short string
	Role        string
	Next        string
	Picture     template.HTML
	Title       string
	Roots       []rootView
	Mean        *figureView
	Prior       string
}

// rootView is one root.
type rootView struct {
	Mark, Says, Role string
	Chance, Rate     string
	Next             string
	Readings         []readingView
	Questions        []questionView
}

type readingView struct{ Date, Length, Tip string }

// questionView is a reading that waits for an answer.
type questionView struct {
	Says, Root         string
	Action, ChangePath string
	Causes             []causeView
}

// causeView is an answer that can be given at once.
type causeView struct{ Value, Label string }

// rootAnswers are what may be answered to a question, by its causes; other causes
// are put right by changing the entry.
var rootAnswers = map[growth.Cause][]causeView{
	growth.TipLost: {{"broken", "The tip broke off"}, {"chewed", "The tip was chewed"}},
	growth.NewTip:  {{"growing", "A new tip has come"}},
}

func newRootsView(sp specimen, u care.Units, c *care.Course, r care.Rooting) *rootsView {
	v := &rootsView{Title: "Marked roots of " + c.Label, Role: "plain"}
	v.Prior = fmt.Sprintf("Roots of this group in full growth are taken to lengthen by %s (%s; %s).", u.Show(r.Prior), u.ShowRange(r.Prior), r.Prior.Grade)
	speaking, asked := 0, 0
	for _, root := range r.Roots {
		one := newRootView(sp, u, root)
		v.Roots = append(v.Roots, one)
		asked += len(one.Questions)
		if root.Evidence.Speaks() {
			speaking++
		}
	}
	verdict := r.Verdict
	switch {
	case len(r.Roots) == 0:
		v.Short = "No root has been measured since: mark two or three tips."
		v.Says = "No root has been measured since. Mark two or three tips and write down their lengths; weekly is often enough."
		return v
	case verdict.State == growth.Growing:
		v.Role = "growth"
		v.Says = fmt.Sprintf("Roots are growing: the chance that at least one marked root lengthens by more than %s is %s.", u.Show(growth.GrowingRate), percent(verdict.AtLeast))
		v.Short = "Roots are growing."
	case verdict.State == growth.Stopped:
		v.Role, v.Short = "waiting", "No marked root grows."
		v.Says = "No marked root grows"
		if verdict.AtMost > 0 {
			v.Says += fmt.Sprintf(": the chance that one still lengthens by more than %s is at most %s", u.Show(growth.GrowingRate), percent(verdict.AtMost))
		}
		v.Says += ". Change nothing for that alone; look for new tips."
	default:
		v.Role, v.Short = "waiting", "Too early to say whether roots grow."
		v.Says = fmt.Sprintf("Too early to say: the chance that a marked root grows lies between %s and %s.", percent(verdict.AtLeast), percent(verdict.AtMost))
	}
	if asked > 0 {
		v.Asks = true
		v.Short += " A reading waits for your answer."
	}
	if verdict.Next.Rule != 0 {
		v.Next = fmt.Sprintf("Worth measuring next on %s: %s.", care.GrowthDate(verdict.Next.Day).Format("Monday 2 January"), verdict.Next.Rule)
	}
	if speaking > 0 {
		sd := verdict.Mean.SD()
		mean := basis.Value{Value: verdict.Mean.MMPerDay, Low: verdict.Mean.MMPerDay - 1.645*sd, High: verdict.Mean.MMPerDay + 1.645*sd, Unit: "mm/day", Grade: basis.Measured}
		f := newFigure(u, "Mean growth of the roots that can be judged", care.Figure{Value: mean, Because: &care.Because{
			Rule: "a local linear trend follows each root from one reading to the next; the rates of the roots are pooled with each other and with what is known of the group; nine in ten lie in the range",
			Inputs: []care.Input{
				{Name: "rate of the group's roots in full growth", Value: r.Prior}, {Name: "counts as growing from", Value: growth.GrowingRate},
				{Name: "is called clear from a chance of", Value: growth.ClearChance}, {Name: "how a rate wanders", Value: growth.RateNoise},
			},
			Note: fmt.Sprintf("%d of %d marked roots can be judged", speaking, len(r.Roots)),
		}})
		v.Mean = &f
	}
	v.Picture = rootsPicture(u, c, r, v)
	return v
}

func newRootView(sp specimen, u care.Units, root care.MarkedRoot) rootView {
	e := root.Evidence
	v := rootView{Mark: root.Mark, Role: "plain", Chance: percent(e.Chance)}
	clear := growth.ClearChance.Value
	switch {
	case e.Status == growth.Lost, e.Status == growth.Resting, e.Status == growth.InQuestion:
		v.Says, v.Role = e.Status.String(), "waiting"
	case !e.Speaks():
		v.Says = "one reading so far"
		v.Chance = ""
	case e.Chance >= clear:
		v.Says, v.Role = "growing", "growth"
	case e.Chance <= 1-clear:
		v.Says, v.Role = "standing still", "waiting"
	default:
		v.Says, v.Role = "not clear yet", "waiting"
	}
	if e.Status == growth.Lost || e.Status == growth.InQuestion {
		v.Chance = ""
	}
	if e.Speaks() {
		sd := e.Pooled.SD()
		rate := basis.Value{Value: e.Pooled.MMPerDay, Low: e.Pooled.MMPerDay - 1.645*sd, High: e.Pooled.MMPerDay + 1.645*sd, Unit: "mm/day"}
		v.Rate = u.Show(rate) + " (" + u.ShowRange(rate) + ")"
	}
	if e.Next.Rule != 0 {
		v.Next = care.GrowthDate(e.Next.Day).Format("Mon 2 Jan")
	}
	for _, r := range root.Readings {
		tip := r.Reading.Tip
		if r.Reading.Confirmed {
			tip = joined(tip, "looked at again")
		}
		v.Readings = append(v.Readings, readingView{r.At.Format("2 Jan"), lengthWords(u, r.Reading), tip})
	}
	for _, q := range root.Track.Questions {
		v.Questions = append(v.Questions, newQuestionView(sp, u, root, q))
	}
	return v
}

func joined(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}

// newQuestionView puts a questioned reading as a question to the grower.
func newQuestionView(sp specimen, u care.Units, root care.MarkedRoot, q growth.Question) questionView {
	mm := func(x float64) string { return u.Show(basis.Exactly(x, "mm", basis.Measured, "")) }
	v := questionView{Root: root.Mark}
	v.Says = fmt.Sprintf("Root %s, %s: %s is %s, %s on %s. What happened?", root.Mark,
		care.GrowthDate(q.Reading.Day).Format("2 January"), mm(q.Reading.LengthMM), q.Kind, mm(q.AgainstMM), care.GrowthDate(q.AgainstDay).Format("2 January"))
	for _, r := range root.Readings {
		if math.Floor(care.GrowthDay(r.At)) == math.Floor(q.Reading.Day) {
			v.ChangePath = entryPath(sp, r.Entry)
			v.Action = v.ChangePath + "/answer"
		}
	}
	for _, cause := range q.Kind.Causes() {
		v.Causes = append(v.Causes, rootAnswers[cause]...)
	}
	v.Causes = append(v.Causes, causeView{"confirmed", "I looked again: it is right"})
	return v
}

// percent writes a share; what is nearly sure is not called so.
func percent(share float64) string {
	switch {
	case share > 0.99 && share < 1:
		return "over 99 %"
	case share > 0 && share < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// rootsPicture draws the readings and the trends; a picture that cannot be drawn
// is left out, since the table says the same.
func rootsPicture(u care.Units, c *care.Course, r care.Rooting, v *rootsView) template.HTML {
	from := care.GrowthDay(c.Repot)
	today := math.Floor(r.Verdict.Day)
	const aheadDays = 14
	unit, factor := "mm", 1.0
	if u.Inches {
		unit, factor = "in", 1/25.4
	}
	p := plot.RootsPicture{ID: "roots", Title: v.Title, Description: v.Says, Unit: unit, XMin: 0, XMax: today - from + aheadDays, Today: today - from}
	first := today
	for i, root := range r.Roots {
		one := v.Roots[i]
		curve := plot.RootCurve{Name: root.Mark + ": " + one.Says, Role: plot.Role(one.Role)}
		asked := map[float64]bool{}
		for _, q := range root.Track.Questions {
			asked[math.Floor(q.Reading.Day)] = true
		}
		for _, read := range root.Readings {
			day := care.GrowthDay(read.At)
			first = math.Min(first, math.Floor(day))
			curve.Read = append(curve.Read, plot.RootPoint{
				X: day - from, Length: factor * read.Reading.LengthMM, Error: factor * max(read.Reading.HowMM, 0), Asked: asked[math.Floor(day)],
				Says: fmt.Sprintf("%s, %s: %s", root.Mark, read.At.Format("2 January"), lengthWords(u, read.Reading)),
			})
		}
		for _, b := range trendOf(r.Judge, root.Track, today+aheadDays) {
			curve.X = append(curve.X, b.Day-from)
			curve.Low = append(curve.Low, factor*b.LowMM)
			curve.Middle = append(curve.Middle, factor*b.LengthMM)
			curve.High = append(curve.High, factor*b.HighMM)
		}
		p.Roots = append(p.Roots, curve)
	}
	p.XMin = math.Max(0, first-from-3)
	svg, err := p.SVG()
	if err != nil {
		return ""
	}
	return template.HTML(svg) //nolint:gosec // made by package plot, which escapes every word
}

// trendOf returns the length of a root with its nine-in-ten band: smoothed over
// the readings of its present stretch of growth, then ahead.
func trendOf(judge growth.Judge, t growth.Track, until float64) []growth.Forecast {
	const coverage, bandSDs = 0.9, 1.645
	if t.From >= len(t.Steps) || t.Status != growth.Followed && t.Status != growth.Resting {
		return nil
	}
	var list []growth.Forecast
	for _, b := range growth.Smooth(nil, t.Steps[t.From:]) {
		sd := math.Sqrt(b.LengthVar)
		list = append(list, growth.Forecast{Day: b.Day, LengthMM: b.LengthMM, LowMM: b.LengthMM - bandSDs*sd, HighMM: b.LengthMM + bandSDs*sd})
	}
	trend := judge.Trend
	if t.Status == growth.Resting {
		trend = growth.Trend{}
	}
	last := t.Steps[len(t.Steps)-1].Belief
	for day := last.Day + 2; day <= until; day += 2 {
		f, err := trend.Forecast(last, day, coverage, growth.RulerStraightErrorMM.Value)
		if err != nil {
			return list
		}
		f.LowMM = math.Max(f.LowMM, 0)
		list = append(list, f)
	}
	return list
}

// answerQuestion takes the answer to a questioned reading: the same entry again
// with what became of the root.
func (s *Server) answerQuestion(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	old, err := s.standingEntry(r, sp)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	mark, answer := f.text("root"), f.text("answer")
	d := old.Detail
	d.Roots = append([]care.RootReading(nil), d.Roots...)
	found := false
	for i := range d.Roots {
		if one := &d.Roots[i]; one.Root == mark {
			found = true
			switch answer {
			case "confirmed":
				one.Confirmed = true
			case "broken", "chewed", "growing":
				one.Tip = answer
			default:
				return fmt.Errorf("%w: %q is no answer", errBadRequest, answer)
			}
		}
	}
	if !found {
		return fmt.Errorf("%w: the entry says nothing of root %q", errBadRequest, mark)
	}
	if err := s.correct(r, old, old.At, d); err != nil {
		return err
	}
	return seeOther(w, r, sp.path()+"?done=answered#roots")
}

func lengthWords(u care.Units, r care.RootReading) string {
	text := u.Show(basis.Exactly(r.LengthMM, "mm", basis.Measured, ""))
	if r.HowMM > 0 {
		text += " ± " + u.Show(basis.Exactly(r.HowMM, "mm", basis.Measured, ""))
	}
	return text
}

// sameDay reports whether two moments fall on one calendar day.
func sameDay(a, b time.Time) bool {
	ay, am, ad := a.Date()
	by, bm, bd := b.Date()
	return ay == by && am == bm && ad == bd
}
