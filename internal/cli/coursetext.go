package cli

import (
	"fmt"
	"io"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/course"
)

const (
	lineWidth = 96
	dayLong   = "Monday 2 January 2006"
	dayShort  = "2 Jan"
)

// printCourse writes the course of one plant for a person.
func printCourse(w io.Writer, c care.Course, u care.Units, because bool) {
	title := c.Label
	if c.Name != "" {
		title += "  " + c.Name
	}
	fmt.Fprintf(w, "%s\n%s\n", title, strings.Repeat("=", min(lineWidth, len([]rune(title)))))
	fmt.Fprintln(w, wrap(fmt.Sprintf("%s, %s. %s on %s: %s (before: %s).", c.Group, c.Space, capital(string(c.Work)), c.Repot.Format(dayLong), c.Home, c.From), lineWidth, ""))
	fmt.Fprintf(w, "%s is day %d: %s.\n\n", capital(c.On.Format(dayLong)), c.Day, c.Stage)
	fmt.Fprintln(w, wrap(c.Advice, lineWidth, ""))
	for _, warning := range c.Warnings {
		fmt.Fprintln(w, "! "+wrap(warning, lineWidth-2, "  "))
	}
	fmt.Fprintln(w)
	printTurnDown(w, c, u)
	printTargets(w, c, u)
	printFlush(w, c, u)
	printMarks(w, c)
	printWeeks(w, c, u)
	printSigns(w, c)
	printAssumed(w, c, u)
	if because {
		printBecause(w, c, u)
	}
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func heading(w io.Writer, text string) { fmt.Fprintf(w, "%s\n", strings.ToUpper(text)) }

func printTurnDown(w io.Writer, c care.Course, u care.Units) {
	heading(w, "How far down")
	text := fmt.Sprintf("This week the roots can bring %s of what the leaves used to lose (%s): the model turns down by %s, practice by 30 to 50 %%, chosen %s. Decided by: %s.",
		u.Show(weekSupply(c)), u.ShowRange(weekSupply(c)), u.Show(c.Model.Value), u.Show(c.TurnDown.Value), c.TurnDown.Because.Limit)
	fmt.Fprintf(w, "%s\n\n", wrap("  "+text, lineWidth, "  "))
}

// weekSupply is the supply behind this week's turn-down.
func weekSupply(c care.Course) basis.Value {
	for _, in := range c.Now.Factor.Because.Inputs {
		if strings.HasPrefix(in.Name, "supply at its lowest") {
			return in.Value
		}
	}
	return c.Supply.Value
}

func printTargets(w io.Writer, c care.Course, u care.Units) {
	heading(w, "Targets now")
	t := table{indent: "  "}
	t.row("", "usual", "now", "range", "decided by")
	row := func(name, usual string, f care.Figure) {
		t.row(name, usual, u.Show(f.Value), u.ShowRange(f.Value), string(f.Because.Limit))
	}
	n := c.Now
	if n.FeedGramsPerLitre != nil {
		row("feed", u.Show(c.Usual.FeedGramsPerLitre), *n.FeedGramsPerLitre)
	}
	if n.FeedPpmN != nil {
		row("feed, nitrogen", u.Show(c.Usual.FeedPpmN), *n.FeedPpmN)
	}
	row("feed, finished", u.Show(c.Usual.FeedECmS), n.FeedECmS)
	t.row("feed every", u.Show(c.Usual.FeedEvery), "as usual", "", "")
	if u.Light != care.PPFD && u.Light != care.DLI {
		t.row("light", u.ShowLight(c.Usual.LightPPFD.Value, c.Usual.LightDLI.Value, c.LuxPerPPFD),
			u.ShowLight(n.LightPPFD.Value.Value, n.LightDLI.Value.Value, c.LuxPerPPFD), "", string(n.LightPPFD.Because.Limit))
	}
	row("light, PPFD", u.Show(c.Usual.LightPPFD), n.LightPPFD)
	row("light, daily sum", u.Show(c.Usual.LightDLI), n.LightDLI)
	row("day, not above", u.Show(c.Usual.DayC), n.DayHeatCapC)
	t.row("night", u.Show(c.Usual.NightC), "as usual", "", "")
	moving := string(n.Air)
	if n.TurnedAway {
		moving += ", turned away"
	}
	t.row("air", string(c.Usual.Air), moving, "", string(n.AirSpeedMS.Because.Limit))
	row("humidity by day", u.Show(c.Usual.DayRHPercent), n.DayRHPercent)
	row("  deficit", "", n.DayVPDKPa)
	row("humidity by night", u.Show(c.Usual.NightRHPercent), n.NightRHPercent)
	row("  deficit", "", n.NightVPDKPa)
	t.print(w)
	fmt.Fprintln(w)
}

func printFlush(w io.Writer, c care.Course, u care.Units) {
	heading(w, "Flush")
	f := c.Flush
	every := "every " + u.Show(f.Every.Value)
	if f.Every.Value.Value == 1 {
		every = "every day"
	}
	if f.Wettings > 1 {
		every += fmt.Sprintf(", and wet it %d times a day in all", f.Wettings)
	}
	amount := fmt.Sprintf("%s with low-salt water (%.1f times what it holds)", u.Show(f.Total.Value), f.Holdings)
	if f.Pours.Value.Value > 1 {
		amount += fmt.Sprintf(", in %.0f pours with %.0f minutes between", f.Pours.Value.Value, f.Wait.Value.Value)
	}
	fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("  %s: %s.", capital(every), amount), lineWidth, "  "))
	if f.Between != nil {
		often := fmt.Sprintf("every %d days", f.WaterEvery)
		if f.WaterEvery == 1 {
			often = "every day"
		}
		fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("  In between, water it %s with %s of plain water: %s.", often, u.Show(f.Between.Value), f.Between.Because.Limit), lineWidth, "  "))
	}
	fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("  Finished when the drainage reads at most %s and two cups in a row agree.", u.Show(f.DoneAt.Value)), lineWidth, "  "))
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("  Rhythm decided by: %s.", f.Decided), lineWidth, "  "))
}

func printMarks(w io.Writer, c care.Course) {
	heading(w, "Dates")
	t := table{indent: "  "}
	for _, m := range c.Marks {
		when := ""
		if m.Date.Before(c.On) {
			when = "past"
		}
		t.row(m.Date.Format("Mon 2 Jan 2006"), fmt.Sprintf("day %d", m.Day), m.Name, when, m.What)
	}
	t.print(w)
	fmt.Fprintln(w)
}

func printWeeks(w io.Writer, c care.Course, u care.Units) {
	heading(w, "The weeks")
	t := table{indent: "  ", right: []bool{false, false, false, true, true, true, true, true, true, true}}
	t.row("", "from", "stage", "of usual", "feed", "light", "day max", "RH day", "night", "flush", "")
	shown := 0
	for _, week := range c.Weeks {
		note := ""
		if week.Earned {
			note = "if earned"
		}
		here := " "
		if c.Day >= week.FromDay && c.Day <= week.ToDay {
			here = ">"
		}
		n := week.Targets
		feed := n.FeedECmS
		if n.FeedGramsPerLitre != nil {
			feed = *n.FeedGramsPerLitre
		}
		if shown++; shown > mostWeeks && here != ">" && week.Stage != course.Established {
			continue
		}
		t.row(here, week.From.Format(dayShort), string(week.Stage), u.Show(n.Factor.Value), u.Show(feed.Value),
			u.ShowLight(n.LightPPFD.Value.Value, n.LightDLI.Value.Value, c.LuxPerPPFD), u.Show(n.DayHeatCapC.Value),
			u.Show(n.DayRHPercent.Value), u.Show(n.NightRHPercent.Value), fmt.Sprintf("%.0f d", week.Flush.Every.Value.Value), note)
	}
	t.print(w)
	last := c.Weeks[len(c.Weeks)-1]
	if last.Stage != course.Established {
		fmt.Fprintf(w, "  … and so on; the usual care is not expected within a year.\n")
	}
	fmt.Fprintln(w)
}

// mostWeeks is how many weeks are listed before only the present one and the
// last are.
const mostWeeks = 26

func printSigns(w io.Writer, c care.Course) {
	list := func(title string, signs []care.Sign) {
		if len(signs) == 0 {
			return
		}
		heading(w, title)
		for _, s := range signs {
			fmt.Fprintf(w, "  - %s\n", wrap(fmt.Sprintf("%s (%s)", s.Text, s.Basis), lineWidth-4, "    "))
		}
		fmt.Fprintln(w)
	}
	list("Normal now", c.Normal)
	list("Worth watching", c.Watch)
	list("Not normal: act", c.NotNormal)
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("Patience: with no root at all, the water in leaves and bulbs would last about %.0f days (%.0f to %.0f) at these targets.", c.Patience.Value.Value, c.Patience.Low, c.Patience.High), lineWidth, ""))
	if len(c.Cautions) > 0 {
		heading(w, "Cautions")
		for _, text := range c.Cautions {
			fmt.Fprintf(w, "  - %s\n", wrap(text, lineWidth-4, "    "))
		}
		fmt.Fprintln(w)
	}
}

func printAssumed(w io.Writer, c care.Course, u care.Units) {
	if len(c.Assumed) == 0 {
		return
	}
	heading(w, "Assumed, because the case does not say")
	t := table{indent: "  "}
	for _, a := range c.Assumed {
		value := a.Value
		if value == "" {
			value = u.Show(a.Is)
			if span := u.ShowRange(a.Is); span != "" {
				value += " (" + span + ")"
			}
		}
		t.row(a.Field, value, a.Why)
	}
	t.print(w)
	fmt.Fprintln(w)
}

func printBecause(w io.Writer, c care.Course, u care.Units) {
	heading(w, "Because")
	one := func(name, shown string, f *care.Figure) {
		b := f.Because
		span := u.ShowRange(f.Value)
		if span != "" {
			span = " (" + span + ")"
		}
		fmt.Fprintf(w, "  %s: %s%s, %s\n", name, shown, span, f.Grade)
		fmt.Fprintf(w, "      %s\n", wrap("rule: "+b.Rule, lineWidth-6, "        "))
		for _, in := range b.Inputs {
			line := fmt.Sprintf("from: %s %s", in.Name, u.Show(in.Value))
			if span := u.ShowRange(in.Value); span != "" {
				line += " (" + span + ")"
			}
			line += ", " + in.Grade.String()
			if in.Source != "" {
				line += ": " + in.Source
			}
			fmt.Fprintf(w, "      %s\n", wrap(line, lineWidth-6, "        "))
		}
		if b.Limit != "" {
			fmt.Fprintf(w, "      %s\n", wrap("decided by: "+string(b.Limit), lineWidth-6, "        "))
		}
		if b.Note != "" {
			fmt.Fprintf(w, "      %s\n", wrap("note: "+b.Note, lineWidth-6, "        "))
		}
	}
	c.Figures(func(name string, f *care.Figure) { one(name, u.Show(f.Value), f) })
	for _, m := range c.Marks {
		fmt.Fprintf(w, "  %s: %s\n", m.Name, m.Date.Format("2 January 2006"))
		fmt.Fprintf(w, "      %s\n", wrap("rule: "+m.Because.Rule, lineWidth-6, "        "))
		for _, in := range m.Because.Inputs {
			fmt.Fprintf(w, "      %s\n", wrap(fmt.Sprintf("from: %s %s, %s", in.Name, u.Show(in.Value), in.Grade), lineWidth-6, "        "))
		}
	}
	fmt.Fprintln(w)
}
