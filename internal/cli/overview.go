package cli

import (
	"fmt"
	"io"
	"strings"

	"velamen/internal/care"
	"velamen/science/course"
)

// printOverview lists many plants, one line each: where they stand today.
func printOverview(w io.Writer, courses []care.Course, u care.Units) {
	fmt.Fprintf(w, "%s: %d plants\n", capital(courses[0].On.Format(dayLong)), len(courses))
	t := table{indent: "  ", right: []bool{false, false, false, true, false, true, true, true, true, true}}
	t.row("", "group", "space", "day", "stage", "of usual", "feed", "day max", "RH day/night", "flush")
	for _, c := range courses {
		n := c.Now
		feed := n.FeedECmS
		if n.FeedGramsPerLitre != nil {
			feed = *n.FeedGramsPerLitre
		}
		flush := fmt.Sprintf("%s / %.0f d", u.Show(c.Flush.Total.Value), c.Flush.Every.Value.Value)
		note := ""
		if c.Intensive {
			note = "intensive care"
		}
		stage := string(c.Stage)
		if c.Day < 0 {
			stage = "not yet"
		} else if c.Stage == course.SteppingUp || c.Stage == course.Established {
			stage += ", if earned"
		}
		group, _, _ := strings.Cut(c.Group, " (")
		t.row(c.Label, group, c.Space, fmt.Sprint(c.Day), stage, u.Show(n.Factor.Value), u.Show(feed.Value), u.Show(n.DayHeatCapC.Value),
			fmt.Sprintf("%.0f/%.0f %%", n.DayRHPercent.Value.Value, n.NightRHPercent.Value.Value), flush, note)
	}
	t.print(w)
}
