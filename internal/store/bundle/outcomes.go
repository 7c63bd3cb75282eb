package bundle

import (
	"fmt"
	"strconv"

	"velamen/internal/care"
)

// OutcomeColumns are the columns of an OutcomeTable.
var OutcomeColumns = []string{
	"plant", "after_day", "by_day", "ending", "awaited", "label", "name", "repot", "number", "went", "end_day", "looks",
	"root_after_day", "root_by_day", "established_after_day", "established_by_day",
	"group", "photosynthesis", "space", "vigour", "work", "home", "medium", "medium_before", "soaked", "season", "supplement", "product",
	"roots_kept_percent", "flowers", "usual_root_days", "usual_established_days", "problem",
}

// OutcomeTable is how recoveries went, one row each. Its columns plant, after_day,
// by_day and ending are those that velamen calc outcomes reads, for what was
// waited for: a plant that died or left counts in them as such only before it
// was seen. Recoveries that cannot be right have their reason in the last
// column, and no ending.
func OutcomeTable(outcomes []*care.Outcome, a care.Awaited) Table {
	t := Table{Name: "outcomes.csv", rows: [][]string{OutcomeColumns}}
	seen := map[string]int{}
	for _, o := range outcomes {
		name := shortLabel(o.Label) + " " + o.Repot.Format("2006-01-02")
		if seen[name]++; seen[name] > 1 {
			name += fmt.Sprintf(" (%d)", seen[name])
		}
		s := o.Root
		if a == care.Establishment {
			s = o.Established
		}
		after, by, ending := strconv.Itoa(s.AfterDay), "", "not yet"
		switch {
		case o.Problem != "":
			after, ending = "", ""
		case s.Seen():
			by, ending = strconv.Itoa(s.ByDay), "seen"
		case o.Ending == care.Dead:
			after, by, ending = strconv.Itoa(min(o.AliveDay, o.EndDay)), strconv.Itoa(o.EndDay), "died"
		case o.Ending == care.GoneAway:
			ending = "left"
		}
		f := o.Factors
		t.rows = append(t.rows, []string{
			name, after, by, ending, string(a), o.Label, o.Name, o.Repot.Format("2006-01-02"), strconv.Itoa(o.Number), string(o.Ending), whole(o.EndDay), strconv.Itoa(s.Looks),
			strconv.Itoa(o.Root.AfterDay), whole(o.Root.ByDay), strconv.Itoa(o.Established.AfterDay), whole(o.Established.ByDay),
			f.Group, f.Photosynthesis, f.Space, f.Vigour, f.Work, f.Home, f.Medium, f.Before, f.Soaked, f.Season, f.Supplement, f.Product,
			percentOf(f.RootsKept), f.Flowers, dayFigure(f.UsualRoot.Value), dayFigure(f.UsualEstablished.Value), o.Problem,
		})
	}
	return t
}

// shortLabel keeps a label short enough for a name on one line.
func shortLabel(label string) string {
	const most = 40
	if runes := []rune(label); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return label
}

// whole writes a day, nothing for none.
func whole(day int) string {
	if day == 0 {
		return ""
	}
	return strconv.Itoa(day)
}

func percentOf(share float64) string {
	if share == 0 {
		return ""
	}
	return strconv.FormatFloat(100*share, 'f', 0, 64)
}

func dayFigure(days float64) string {
	if days == 0 {
		return ""
	}
	return strconv.FormatFloat(days, 'f', 0, 64)
}
