package cli

import (
	"fmt"
	"io"
	"strings"
	"time"

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
	if c.Day < 0 {
		fmt.Fprintf(w, "%s is %d days before that; what follows is its first week.\n\n", c.On.Format(dayLong), -c.Day)
	} else {
		fmt.Fprintf(w, "%s is day %d: %s.\n\n", c.On.Format(dayLong), c.Day, c.Stage)
	}
	fmt.Fprintln(w, wrap(c.Advice, lineWidth, ""))
	for _, warning := range c.Warnings {
		fmt.Fprintln(w, "! "+wrap(warning, lineWidth-2, "  "))
	}
	fmt.Fprintln(w)
	printToday(w, c, u)
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

// paragraph writes text with an indent, wrapped.
func paragraph(w io.Writer, text string) {
	fmt.Fprintf(w, "  %s\n", wrap(text, lineWidth-2, "  "))
}

func heading(w io.Writer, text string) { fmt.Fprintf(w, "%s\n", strings.ToUpper(text)) }

// printToday lists what the course asks for on its day.
func printToday(w io.Writer, c care.Course, u care.Units) {
	if c.Day < 0 {
		return
	}
	heading(w, "Today")
	due := false
	say := func(format string, args ...any) {
		due = true
		fmt.Fprintf(w, "  - %s\n", wrap(fmt.Sprintf(format, args...), lineWidth-4, "    "))
	}
	if c.NextFlush.Equal(c.On) {
		fed := ""
		if c.NextFeed.Equal(c.On) {
			fed = ", the last pour fed"
		}
		say("flush with %s%s", u.Show(c.Flush.Total.Value), fed)
	}
	if c.Flush.Wettings > 1 {
		say("wet it %d times in all", c.Flush.Wettings)
	}
	for _, m := range c.Marks {
		if m.Date.Equal(c.On) && m.Name != "first root" {
			say("%s: %s", m.Name, m.What)
		}
	}
	if !due {
		fmt.Fprintln(w, "  Nothing.")
	}
	fmt.Fprintf(w, "  Counted from the repot: next flush %s, next feed, in its last pour, %s.\n\n", when(c.NextFlush, c.On), when(c.NextFeed, c.On))
}

// when names a day, or says that it is today.
func when(day, on time.Time) string {
	if day.Equal(on) {
		return "today"
	}
	return day.Format("on Monday 2 January")
}

func printTurnDown(w io.Writer, c care.Course, u care.Units) {
	heading(w, "How far down")
	text := fmt.Sprintf("This week the roots can bring %s of what the leaves used to lose (%s): the model turns down by %s, practice by 30 to 50 %%, chosen %s%s. Decided by: %s.",
		u.Show(weekSupply(c)), u.ShowRange(weekSupply(c)), u.Show(c.Model.Value), u.Show(c.TurnDown.Value), beyond(c), c.TurnDown.Because.Limit)
	paragraph(w, text)
	fmt.Fprintln(w)
}

// beyond says that a turn-down is no ordinary one.
func beyond(c care.Course) string {
	if c.TurnDown.Value.Value > course.OrdinaryTurnDown.Value+1e-9 {
		return ", beyond the ordinary"
	}
	return ""
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
	n := c.Now
	t.row("", "usual", "now", "range", "decided by")
	// What decides the share of the usual is said above; here only what differs.
	decided := func(f care.Figure) string {
		if f.Because.Limit == n.Factor.Because.Limit {
			return ""
		}
		return string(f.Because.Limit)
	}
	row := func(name, usual string, f care.Figure) {
		t.row(name, usual, u.Show(f.Value), u.ShowRange(f.Value), decided(f))
	}
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
			u.ShowLight(n.LightPPFD.Value.Value, n.LightDLI.Value.Value, c.LuxPerPPFD),
			u.ShowLight(n.LightPPFD.Low, n.LightDLI.Low, c.LuxPerPPFD)+" to "+u.ShowLight(n.LightPPFD.High, n.LightDLI.High, c.LuxPerPPFD), decided(n.LightPPFD))
	}
	row("light, PPFD", u.Show(c.Usual.LightPPFD), n.LightPPFD)
	row("light, daily sum", u.Show(c.Usual.LightDLI), n.LightDLI)
	row("day, not above", u.Show(c.Usual.DayC), n.DayHeatCapC)
	t.row("night", u.Show(c.Usual.NightC), "as usual", "", "")
	moving := string(n.Air)
	if n.TurnedAway {
		moving += ", turned away"
	}
	t.row("air", string(c.Usual.Air), moving, "", decided(n.AirSpeedMS))
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
	amount := fmt.Sprintf("%s of water (%s), %.1f times what it holds", u.Show(f.Total.Value), f.WaterName, f.Holdings)
	if f.Pours.Value.Value > 1 {
		amount += fmt.Sprintf(", in %.0f pours with %.0f minutes between", f.Pours.Value.Value, f.Wait.Value.Value)
	}
	paragraph(w, fmt.Sprintf("%s: %s.", capital(every), amount))
	if f.Between != nil {
		often := fmt.Sprintf("every %d days", f.WaterEvery)
		if f.WaterEvery == 1 {
			often = "every day"
		}
		paragraph(w, fmt.Sprintf("In between, water it %s with %s of plain water: %s.", often, u.Show(f.Between.Value), f.Between.Because.Limit))
	}
	paragraph(w, fmt.Sprintf("Finished when the drainage reads at most %s and two cups in a row agree.", u.Show(f.DoneAt.Value)))
	paragraph(w, fmt.Sprintf("Rhythm decided by: %s.", f.Decided))
	fmt.Fprintln(w)
}

func printMarks(w io.Writer, c care.Course) {
	heading(w, "Dates")
	t := table{indent: "  "}
	for _, m := range c.Marks {
		state := ""
		switch {
		case m.Date.Before(c.On):
			state = "past"
		case m.Date.Equal(c.On):
			state = "today"
		}
		t.row(m.Date.Format("Mon 2 Jan 2006"), fmt.Sprintf("day %d", m.Day), m.Name, state, m.What)
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
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("Patience: with no root at all and its stomata shut, the plant would live on the water in leaves and bulbs for about %.0f days (%.0f to %.0f) at these targets.", c.Patience.Value.Value, c.Patience.Low, c.Patience.High), lineWidth, ""))
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
