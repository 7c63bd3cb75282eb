package web

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/internal/plot"
	"velamen/science/basis"
	"velamen/science/outcome"
)

// betweenView is the curve that looks tell.
type betweenView struct {
	Says    string
	Why     *becauseView
	Mean    *figureView
	Picture template.HTML
	Title   string
	Rows    []betweenRow
}

// betweenRow is one stretch of days in which some came to it.
type betweenRow struct{ Days, Share, By, Band string }

func newBetweenView(r *care.OutcomeReport) *betweenView {
	if r.Between == nil {
		return nil
	}
	a := r.Question.Awaited
	v := &betweenView{Says: r.MedianSays(), Why: newBecause(care.Units{}, r.MedianBecause(), 0, ""), Title: "Share of plants that " + a.Had() + ", by day"}
	if r.Horizon > 0 && r.Signs > 0 {
		f := newFigure(care.Units{}, fmt.Sprintf("Of the first %.0f days, days %s", r.Horizon, a.Without()), r.MeanFigure())
		v.Mean = &f
	}
	seen := 0.0
	finite := 0
	curve := plot.StepCurve{Role: plot.Growth}
	p := plot.StepsPicture{ID: "between", Title: v.Title, Description: v.Says, XMax: 14}
	for _, m := range r.Between.Masses {
		if math.IsInf(m.ByDay, 1) {
			v.Rows = append(v.Rows, betweenRow{Days: fmt.Sprintf("later than day %.0f, or never", m.AfterDay), Share: share100(m.Share)})
			p.XMax = math.Max(p.XMax, m.AfterDay)
			break
		}
		row := betweenRow{Days: fmt.Sprintf("%.0f to %.0f", m.AfterDay, m.ByDay), Share: share100(m.Share), By: share100(math.Min(1, seen+m.Share))}
		if m.AfterDay == m.ByDay {
			row.Days = fmt.Sprintf("%.0f", m.ByDay)
		}
		curve.Spans = append(curve.Spans, plot.StepSpan{From: m.AfterDay, To: m.ByDay, Before: math.Min(1, seen), After: math.Min(1, seen+m.Share)})
		seen += m.Share
		says := fmt.Sprintf("by day %.0f: %s", m.ByDay, row.By)
		if finite < len(r.Bands) {
			b := r.Bands[finite]
			row.Band = fmt.Sprintf("%.0f to %.0f %%", 100*(1-b.High), 100*(1-b.Low))
			if len(curve.Band) == 0 && m.AfterDay > 0 {
				curve.Band = append(curve.Band, plot.StepBand{Day: 0, Low: 0, High: math.Max(0, 1-b.Low)})
			}
			curve.Band = append(curve.Band, plot.StepBand{Day: m.ByDay, Low: 1 - b.High, High: 1 - b.Low})
			says += " (" + row.Band + ")"
		}
		finite++
		p.Says = append(p.Says, plot.StepSays{From: m.AfterDay, To: m.ByDay, Says: says})
		p.XMax = math.Max(p.XMax, m.ByDay)
		v.Rows = append(v.Rows, row)
	}
	p.XMax = math.Ceil(p.XMax * 1.05)
	p.Curves = []plot.StepCurve{curve}
	if len(curve.Spans) > 0 {
		v.Picture = drawn(p.SVG())
	}
	return v
}

// drawn is a picture; one that cannot be drawn is left out, since a table says
// the same.
func drawn(svg string, err error) template.HTML {
	if err != nil {
		return ""
	}
	return template.HTML(svg) //nolint:gosec // made by package plot, which escapes every word
}

func share100(x float64) string { return fmt.Sprintf("%.0f %%", 100*x) }

func spanned(i outcome.Incidence) string {
	if i.Low == i.High {
		return share100(i.Share)
	}
	return fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*i.Share, 100*i.Low, 100*i.High)
}

// endsView is how they ended.
type endsView struct {
	Says             string
	Why              *becauseView
	Picture          template.HTML
	Title, SeenTitle string
	Rows             []endsRow
}

type endsRow struct {
	Day                 string
	Watched             int
	Seen, Died, Neither string
}

func newEndsView(r *care.OutcomeReport) *endsView {
	v := &endsView{Says: r.EndsSays(), Why: newBecause(care.Units{}, r.EndsBecause(), 0, ""), Title: "How they went, by day", SeenTitle: sentence(seenWords[r.Question.Awaited])}
	if r.Ends == nil || len(r.Ends.Steps) == 0 {
		return v
	}
	p := plot.StackPicture{ID: "ends", Title: v.Title, Description: v.Says, XMax: math.Max(14, math.Ceil(1.02*r.Ends.LastDay)), Days: []float64{0}}
	seen, neither, died := []float64{0}, []float64{1}, []float64{0}
	for i, s := range r.Ends.Steps {
		next := p.XMax
		if i+1 < len(r.Ends.Steps) {
			next = r.Ends.Steps[i+1].Day
		}
		v.Rows = append(v.Rows, endsRow{fmt.Sprintf("%.0f", s.Day), s.AtRisk, spanned(s.Seen), spanned(s.Died), share100(s.Unended)})
		p.Days = append(p.Days, s.Day)
		seen, neither, died = append(seen, s.Seen.Share), append(neither, math.Max(0, s.Unended)), append(died, s.Died.Share)
		p.Says = append(p.Says, plot.StepSays{From: s.Day, To: next, Says: fmt.Sprintf("by day %.0f: %s %s, died %s", s.Day, seenWords[r.Question.Awaited], share100(s.Seen.Share), share100(s.Died.Share))})
	}
	p.Parts = []plot.StackPart{{Name: seenWords[r.Question.Awaited], Class: "growth", Shares: seen}, {Name: "not yet", Class: "rest", Shares: neither}, {Name: "died", Class: "waiting", Shares: died}}
	v.Picture = drawn(p.SVG())
	return v
}

// seenWords name those in which it was seen.
var seenWords = map[care.Awaited]string{care.FirstRoot: "growing root", care.Establishment: "established"}

// comparedView sets the ways of a practice beside one another.
type comparedView struct {
	Title   string
	Horizon string
	Nothing string
	Ways    []wayView
	Pairs   []pairView
	Notes   []string
	Why     *becauseView
	Picture template.HTML
	Says    string
}

type wayView struct {
	Name                string
	Plants, Signs, Died int
	Median, Mean, Share string
	Borrowed, Looks     string
}

type pairView struct {
	Title string
	Says  []string
	// Firm says that something can be told.
	Firm   bool
	Differ []string
	Like   []likeView
}

// likeView is a difference within one group.
type likeView struct{ Group, Drawn string }

// wayRoles tell the first two curves; more are drawn in ink.
var wayRoles = []plot.Role{plot.Growth, plot.Waiting, plot.Plain}

func newComparedView(r *care.OutcomeReport) *comparedView {
	c, a := r.Compared, r.Question.Awaited
	v := &comparedView{Title: sentence(string(c.Practice)), Horizon: fmt.Sprintf("%.0f", c.Horizon)}
	if c.Unnoted > 0 {
		v.Notes = append(v.Notes, fmt.Sprintf("Of %s it is not known; they are left out here.", counted(c.Unnoted, "recovery", "recoveries")))
	}
	if c.TooSoon > 0 {
		v.Notes = append(v.Notes, fmt.Sprintf("%s left out that %s over, or no longer watched, within the first %.0f days: they had less time to be given one.", sentence(counted(c.TooSoon, "recovery is", "recoveries are")), wasWere(c.TooSoon), care.SupplementDays.Value))
	}
	if c.Others > 0 {
		v.Notes = append(v.Notes, fmt.Sprintf("%s of rarer ways are not listed.", sentence(counted(c.Others, "recovery", "recoveries"))))
	}
	if len(c.Ways) < 2 {
		v.Nothing = "All recoveries went one way as to this, as far as is known: there is nothing to compare."
		return v
	}
	switch c.Fit.Between {
	case outcome.NoneSeen:
		v.Notes = append(v.Notes, "The shares differ no more among the ways than chance would have them.")
	case outcome.Undecided:
		v.Notes = append(v.Notes, "The ways cannot say how much they differ among themselves, so each share is drawn toward a half by the weight of two plants.")
	}
	v.Why = newBecause(care.Units{}, c.CompareBecause(), 0, "")
	for _, w := range c.Ways {
		one := wayView{Name: w.Name, Plants: len(w.Recoveries), Signs: w.Signs, Died: w.Died, Median: "not reached", Mean: "watched too briefly",
			Share: fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*w.Share.Mean, 100*w.Share.Low, 100*w.Share.High), Borrowed: share100(w.Share.FromPrior)}
		if w.Median.Reached {
			one.Median = fmt.Sprintf("%.0f to %.0f", w.Median.AfterDay, w.Median.ByDay)
		}
		if w.MeanKnown {
			one.Mean = fmt.Sprintf("%.0f", w.Mean.Days)
		}
		if w.LookEvery > 0 {
			one.Looks = fmt.Sprintf("%.0f", w.LookEvery)
		}
		v.Ways = append(v.Ways, one)
	}
	for i := range c.Pairs {
		p := &c.Pairs[i]
		one := pairView{Title: fmt.Sprintf("“%s” against “%s”", c.Ways[p.First].Name, c.Ways[p.Second].Name)}
		for _, says := range c.PairSays(p, a) {
			one.Says = append(one.Says, sentence(says))
		}
		one.Firm = p.DaysKnown && p.Days.Verdict.Answer == outcome.Differs || p.Shares.Verdict.Answer == outcome.Differs
		for _, im := range p.Differ {
			one.Differ = append(one.Differ, sentence(c.DifferSays(p, im)))
		}
		for _, e := range p.Like.Effects {
			one.Like = append(one.Like, likeView{Group: e.Name, Drawn: fmt.Sprintf("%+.0f ± %.0f", e.Estimate, e.StandardError)})
		}
		v.Pairs = append(v.Pairs, one)
	}
	v.Says = strings.Join(v.Pairs[0].Says, " ")
	v.Picture = comparedPicture(c, a, v)
	return v
}

// comparedPicture draws the curves of the first ways with their bands.
func comparedPicture(c *care.Comparison, a care.Awaited, v *comparedView) template.HTML {
	p := plot.StepsPicture{ID: "compared", Title: "Share of plants that " + a.Had() + ", by the day on which it was found", Description: v.Says, XMax: math.Max(14, math.Ceil(1.05*c.Horizon))}
	for i, w := range c.Ways {
		if i == len(wayRoles) {
			break
		}
		curve := plot.StepCurve{Name: fmt.Sprintf("%s (%d)", w.Name, len(w.Recoveries)), Role: wayRoles[i]}
		before := 0.0
		for _, s := range w.Curve.Steps {
			curve.Spans = append(curve.Spans, plot.StepSpan{From: s.Day, To: s.Day, Before: before, After: 1 - s.Unseen})
			before = 1 - s.Unseen
			if i < 2 {
				curve.Band = append(curve.Band, plot.StepBand{Day: s.Day, Low: 1 - s.High, High: 1 - s.Low})
			}
		}
		p.Curves = append(p.Curves, curve)
	}
	return drawn(p.SVG())
}

// paceView is how long a group takes usually, and here.
type paceView struct {
	Group, Usual, Here string
	Signs, Looks       int
	Why                *becauseView
}

// pacesOf sets the usual days of each group that has own records against them.
func (s *Server) pacesOf(r *care.OutcomeReport) []paceView {
	var list []paceView
	done := map[string]bool{}
	for _, o := range r.Counted {
		group := o.Factors.Group
		if done[group] {
			continue
		}
		done[group] = true
		g, err := s.Book.Tables().Lookup(group)
		if err != nil {
			continue
		}
		usual := g.Derived.Recovery.FirstRoot.Days
		if r.Question.Awaited == care.Establishment {
			usual = g.Derived.Recovery.Reestablished.Days
		}
		usual.Unit = "days"
		p, err := s.Book.Pace(group, r.Question.Awaited, usual)
		if err != nil || p.Looks == 0 {
			continue
		}
		u := care.Units{}
		list = append(list, paceView{Group: group, Usual: daysAndRange(p.Usual), Here: daysAndRange(p.Here), Signs: p.Signs, Looks: p.Looks, Why: newBecause(u, p.PaceBecause(), 0, "")})
	}
	slices.SortFunc(list, func(a, b paceView) int { return cmp.Or(b.Looks-a.Looks, strings.Compare(a.Group, b.Group)) })
	return list
}

// daysAndRange writes days under a heading that says they are days.
func daysAndRange(v basis.Value) string {
	return fmt.Sprintf("%.0f (%.0f to %.0f)", v.Value, v.Low, v.High)
}
