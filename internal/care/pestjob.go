package care

import (
	"slices"
	"time"
)

// PestLooks returns the looks that the watches over a plant ask for. Looks that
// can be one are one.
func PestLooks(watches []PestWatch, repot time.Time) []Mark {
	var marks []Mark
	var days []time.Time
	for _, w := range watches { // the soonest first
		due := w.Due
		for _, d := range days {
			if !w.Earliest.After(d) && !d.After(due) {
				due = d
				break
			}
		}
		if !slices.ContainsFunc(days, due.Equal) {
			days = append(days, due)
		}
		m := Mark{Name: "pest look", Task: LookForPests, Date: due, Latest: latest(due, w.Latest), What: generalLookAt, Because: w.Because}
		if !repot.IsZero() {
			m.Day = daysBetween(midnight(repot), due)
		}
		switch {
		case w.General():
		case w.Beside != "":
			m.Name += ", " + w.Animal.Name
			m.What = w.Animal.Name + " was found on " + w.Beside + " beside it: " + w.Animal.Where.Is
		default:
			m.Name += ", " + w.Animal.Name
			m.What = w.Animal.Where.Is
		}
		marks = append(marks, m)
	}
	return marks
}

// generalLookAt is where to look when nothing in particular is looked for.
const generalLookAt = "leaf axils, sheaths, undersides, the pot's rim and the first roots"

// PestJobs returns the looks for pests that are due at a plant by a day, for
// plants without a course.
func PestJobs(p *PlantState, looks []Mark, on time.Time, u Units) []Job {
	w := &jobs{p: p, due: due{space: p.Record.Space}, on: midnight(on), u: u}
	for i := range looks {
		m := &looks[i]
		w.add(m.Task, m.Date, m.Latest, func() string { return m.What }, poured{}, m.Because)
	}
	return w.list
}

// WithLooks returns the course with the looks of a watch in place of those that
// were planned at the repot.
func (c Course) WithLooks(looks []Mark) Course {
	c.Marks = withLooks(c.Marks, looks)
	return c
}

// WithLooks returns the outline with the looks of a watch in place of those that
// were planned at the repot.
func (o *Outline) WithLooks(looks []Mark) *Outline {
	other := *o
	other.marks = withLooks(o.marks, looks)
	return &other
}

func withLooks(marks, looks []Mark) []Mark {
	list := make([]Mark, 0, len(marks)+len(looks))
	for _, m := range marks {
		if m.Task != LookForPests {
			list = append(list, m)
		}
	}
	list = append(list, looks...)
	slices.SortStableFunc(list, func(a, b Mark) int { return a.Date.Compare(b.Date) })
	return list
}
