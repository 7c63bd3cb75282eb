package paper

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/course"
)

// Sheet is what the hand-out of one plant shows.
type Sheet struct {
	Course care.Course
	Home   care.Home // that it was moved into
	Units  care.Units
	For    string // whom it is made for, or empty
}

// scales are the sizes that a hand-out is tried in until it fits one page.
var scales = []float64{1, 0.95, 0.9, 0.85, 0.8, 0.75}

// flowScale is that of a hand-out of several pages.
const flowScale = 0.9

// WriteCourse writes the hand-out of one plant, on one page unless its words
// are far too many.
func WriteCourse(w io.Writer, sheetOf Sheet, size Size) error {
	var s *sheet
	for _, scale := range scales {
		s = newSheet(size, "Course of "+titleOf(sheetOf.Course.Label, sheetOf.Course.Name), sheetOf.Course.On)
		s.scale = scale
		s.addPage()
		if sheetOf.lay(s) {
			break
		}
		s = nil
	}
	if s == nil { // its words are far too many: one column, on as many pages as they take
		s = newSheet(size, "Course of "+titleOf(sheetOf.Course.Label, sheetOf.Course.Name), sheetOf.Course.On)
		s.scale = flowScale
		s.addPage()
		sheetOf.flow(s)
	}
	s.footer = "Velamen · as of " + sheetOf.Course.On.Format(longDate) + " · the plant decides, not the calendar"
	return s.finish(w)
}

const (
	longDate  = "2 January 2006"
	shortDate = "Mon 2 Jan"
)

func titleOf(label, name string) string {
	if name == "" || name == label {
		return label
	}
	if label == "" {
		return name
	}
	return label + "  " + name
}

// head tells which plant it is and what was done.
func (d Sheet) head(top *column) {
	c := &d.Course
	top.text(titleOf(c.Label, c.Name), titleStyle)
	top.space(0.8)
	where := c.Group
	if c.Space != "" {
		where += ", " + c.Space
	}
	top.text(fmt.Sprintf("%s. %s on %s: %s.", where, capital(string(c.Work)), c.Repot.Format(longDate), d.Home.Says(d.Units)), bodyStyle)
	if c.Day >= 0 {
		top.text(fmt.Sprintf("%s is day %d: %s.", c.On.Format("Monday "+longDate), c.Day, c.Stage), bodyStyle)
	}
}

// flow sets everything in one column, page after page.
func (d Sheet) flow(s *sheet) {
	c := column{s: s, x: marginMM, y: s.y, width: s.width(), flows: true}
	d.head(&c)
	c.space(1.5)
	c.text(d.Course.Advice, boldStyle)
	for _, warning := range d.Course.Warnings {
		c.space(0.8)
		c.text("! "+warning, bodyStyle)
	}
	for _, part := range []func(*column){d.targets, d.picture, d.weeks, d.watering, d.dates, d.signs, d.small} {
		part(&c)
	}
}

// lay sets the page: the plant and what to do on top, targets and weeks on the
// left, the rest on the right, cautions below. It reports whether all of it fits.
func (d Sheet) lay(s *sheet) bool {
	c := &d.Course
	top := column{s: s, x: marginMM, y: s.y, width: s.width()}
	d.head(&top)
	top.space(1.5)
	s.pdf.SetFillColor(238, 238, 238)
	height := s.line(boldStyle)*float64(len(s.wrap(c.Advice, boldStyle, top.width-6))) + 3*s.scale
	s.pdf.Rect(top.x, top.y, top.width, height, "F")
	s.textAt(top.x+3, top.y+1.5*s.scale, top.width-6, c.Advice, boldStyle)
	top.y += height
	for _, warning := range c.Warnings {
		top.space(0.8)
		top.text("! "+warning, bodyStyle)
	}

	const gutter = 7.0
	left := column{s: s, x: marginMM, y: top.y, width: (s.width() - gutter) * 0.53}
	right := column{s: s, x: left.x + left.width + gutter, y: top.y, width: (s.width() - gutter) * 0.47}
	d.targets(&left)
	d.picture(&left)
	d.weeks(&left)
	d.watering(&right)
	d.dates(&right)
	d.signs(&right)

	below := column{s: s, x: marginMM, y: max(left.y, right.y), width: s.width()}
	d.small(&below)
	return below.y <= s.bottom
}

// targets sets what was usual and what to aim for now.
func (d Sheet) targets(c *column) {
	u, n, usual := d.Units, &d.Course.Now, &d.Course.Usual
	c.heading("Targets now")
	widths := []float64{0.28, 0.22, 0.22, 0.28}
	c.row(widths, cell{}, cell{text: "usual"}, cell{text: "now", bold: true}, cell{text: "range"})
	row := func(name string, was basis.Value, f care.Figure) {
		before := ""
		if was.Grade != 0 {
			before = u.Show(was)
		}
		c.row(widths, cell{text: name}, cell{text: before}, cell{text: u.Show(f.Value), bold: true}, cell{text: u.ShowRange(f.Value)})
	}
	row("of the usual care", basis.Value{}, n.Factor)
	switch {
	case n.FeedGramsPerLitre != nil:
		row("feed", usual.FeedGramsPerLitre, *n.FeedGramsPerLitre)
	case n.FeedPpmN != nil:
		row("feed, nitrogen", usual.FeedPpmN, *n.FeedPpmN)
	}
	row("feed, finished", usual.FeedECmS, n.FeedECmS)
	light := func(ppfd, dli float64) string { return u.ShowLight(ppfd, dli, d.Course.LuxPerPPFD) }
	span := ""
	if low, high := light(n.LightPPFD.Low, n.LightDLI.Low), light(n.LightPPFD.High, n.LightDLI.High); low != high {
		number, _, _ := strings.Cut(low, " ")
		span = number + " to " + high
	}
	c.row(widths, cell{text: "light, brightest"}, cell{text: light(usual.LightPPFD.Value, usual.LightDLI.Value)},
		cell{text: light(n.LightPPFD.Value.Value, n.LightDLI.Value.Value), bold: true}, cell{text: span})
	row("day, not above", usual.DayC, n.DayHeatCapC)
	c.row(widths, cell{text: "night"}, cell{text: u.Show(usual.NightC)}, cell{text: "as usual", bold: true}, cell{})
	air := string(n.Air)
	if n.TurnedAway {
		air += ", turned away"
	}
	c.row([]float64{widths[0], widths[1], widths[2] + widths[3]}, cell{text: "air"}, cell{text: string(usual.Air)}, cell{text: air, bold: true})
	row("humidity, day", usual.DayRHPercent, n.DayRHPercent)
	row("humidity, night", usual.NightRHPercent, n.NightRHPercent)
}

// lastWeek is the week in which the usual care is reached, or the last that is
// worth a line.
func (d Sheet) lastWeek() int {
	const most = 26
	for i, w := range d.Course.Weeks {
		if w.Stage == course.Established || i == most {
			return i
		}
	}
	return len(d.Course.Weeks) - 1
}

// weeks sets the weeks ahead; weeks that ask for the same stand in one line.
func (d Sheet) weeks(c *column) {
	u := d.Units
	c.heading("The weeks")
	widths := []float64{0.13, 0.26, 0.12, 0.19, 0.19, 0.11}
	c.row(widths, cell{text: "from"}, cell{text: "stage"}, cell{text: "share", right: true}, cell{text: "feed", right: true}, cell{text: "light", right: true}, cell{text: "flush", right: true})
	last, earned, before := d.lastWeek(), false, ""
	for i := range d.Course.Weeks[:last+1] {
		w := &d.Course.Weeks[i]
		if w.To.Before(d.Course.On) {
			continue
		}
		n := &w.Targets
		feed := n.FeedECmS
		if n.FeedGramsPerLitre != nil {
			feed = *n.FeedGramsPerLitre
		}
		stage := string(w.Stage)
		if w.Earned {
			stage, earned = stage+"*", true
		}
		cells := []cell{{text: w.From.Format("2 Jan")}, {text: stage}, {text: u.Show(n.Factor.Value), right: true}, {text: u.Show(feed.Value), right: true},
			{text: u.ShowLight(n.LightPPFD.Value.Value, n.LightDLI.Value.Value, d.Course.LuxPerPPFD), right: true}, {text: fmt.Sprintf("%.0f d", w.Flush.Every.Value.Value), right: true}}
		says := fmt.Sprint(cells[1:])
		if says == before {
			continue
		}
		before = says
		c.row(widths, cells...)
	}
	if earned {
		c.text("* only if growing roots have earned the step; otherwise stay a week longer", quietStyle)
	}
	if d.Course.Weeks[last].Stage != course.Established {
		c.text("The usual care is not expected before that.", quietStyle)
	}
}

// watering says how to flush and feed, and when next.
func (d Sheet) watering(c *column) {
	k := &d.Course
	c.heading("Water and feed")
	c.text(k.Flush.Says(d.Units, d.Home.Noun()), bodyStyle)
	c.space(0.8)
	if k.Day >= 0 {
		feed := "Feed every " + d.Units.Show(k.Usual.FeedEvery) + ", in the last pour of a flush, at the strength on the left."
		c.text(feed, bodyStyle)
		c.space(0.8)
		c.text(fmt.Sprintf("Counted from the repot: next flush %s, next feed %s.", k.NextFlush.Format(shortDate), k.NextFeed.Format(shortDate)), bodyStyle)
	}
}

// dates sets the days that matter from now on.
func (d Sheet) dates(c *column) {
	c.heading("Dates")
	widths := []float64{0.25, 0.75}
	for _, m := range d.Course.Marks {
		if m.Date.Before(d.Course.On) {
			continue
		}
		date := m.Date.Format(shortDate)
		if m.Date.Sub(d.Course.On).Hours() > 300*24 {
			date = m.Date.Format("Jan 2006")
		}
		c.row(widths, cell{text: date}, cell{text: capital(m.Name) + ": " + m.What})
	}
}

// signs sets what is normal, what to watch and when to act.
func (d Sheet) signs(c *column) {
	for _, kind := range []struct {
		title string
		signs []care.Sign
	}{{"Normal now: leave it", d.Course.Normal}, {"Worth watching", d.Course.Watch}, {"When to act", d.Course.NotNormal}} {
		if len(kind.signs) == 0 {
			continue
		}
		c.heading(kind.title)
		for _, sign := range kind.signs {
			c.item(sign.Text)
		}
	}
}

// small sets cautions and what was assumed.
func (d Sheet) small(c *column) {
	if cautions := slices.Compact(slices.Sorted(slices.Values(d.Course.Cautions))); len(cautions) > 0 {
		c.heading("Cautions")
		c.text(strings.Join(cautions, " "), quietStyle)
	}
	if len(d.Course.Assumed) > 0 {
		c.heading("Assumed, because nothing was said")
		var parts []string
		for _, a := range d.Course.Assumed {
			value := a.Value
			if value == "" {
				value = d.Units.Show(a.Is)
			}
			parts = append(parts, strings.NewReplacer(".", ": ", "_", " ").Replace(a.Field)+" "+value)
		}
		c.text(strings.Join(parts, "; ")+".", quietStyle)
	}
}

func capital(text string) string {
	if text == "" {
		return ""
	}
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}
