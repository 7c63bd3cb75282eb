package intake

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/culture"
)

// Into is what an intake is added to.
type Into struct {
	Have   *care.Collection // as it stands
	Tables culture.Table
	Now    time.Time
	NewID  func() string // makes ids, each later than the one before
}

// Row is one plant or thing of an intake.
type Row struct {
	Line     int      // of the spreadsheet; 0 for a case file
	What     string   // "plant C-07", "space balcony"
	Adds     []string // in words; empty when nothing is added
	Remarks  []string // worth a look
	Problems []string // what keeps the intake from being added
}

// Draft is an intake before it is added.
type Draft struct {
	Rows    []Row
	Entries []care.Entry // of all rows; not to be added while there are problems
}

// Problems counts what keeps the draft from being added.
func (d *Draft) Problems() int {
	n := 0
	for _, r := range d.Rows {
		n += len(r.Problems)
	}
	return n
}

// Plants counts the plants that are added.
func (d *Draft) Plants() int {
	n := 0
	for _, e := range d.Entries {
		if e.Kind == care.PlantSet {
			n++
		}
	}
	return n
}

// drafter collects rows and entries.
type drafter struct {
	into   Into
	draft  Draft
	labels map[string]bool // in use, in small letters
	spaces map[string]bool
	number int // of the last label made up here
}

func newDrafter(into Into) *drafter {
	d := &drafter{into: into, labels: map[string]bool{}, spaces: map[string]bool{}}
	for _, p := range into.Have.Plants {
		d.labels[strings.ToLower(p.Record.Label)] = true
	}
	for _, s := range into.Have.Spaces {
		d.spaces[strings.ToLower(s.Name)] = true
	}
	return d
}

// entry drafts an entry and notes what is wrong with it at its row.
func (d *drafter) entry(r *Row, at time.Time, kind care.Kind, plant string, detail care.Detail) {
	e := care.Entry{ID: d.into.NewID(), At: at, Kind: kind, Plant: plant, Detail: detail}
	for _, p := range e.Check(d.into.Now) {
		r.Problems = append(r.Problems, p.Error())
	}
	d.draft.Entries = append(d.draft.Entries, e)
}

// space drafts a space of which nothing but its name is known, unless it is
// there already.
func (d *drafter) space(r *Row, name string, at time.Time) {
	if name == "" || d.spaces[strings.ToLower(name)] {
		return
	}
	d.spaces[strings.ToLower(name)] = true
	d.entry(r, at, care.SpaceSet, "", care.Detail{Space: &care.Space{Name: name}})
	r.Adds = append(r.Adds, "the space "+name)
}

// plant drafts a plant and, if it has a date, its repot.
func (d *drafter) plant(r *Row, p care.Plant, note string) {
	d.label(r, &p)
	r.What = "plant " + p.Label
	d.group(r, &p)
	repot := p.Repot
	p.Repot = care.Repot{}
	at := d.into.Now
	if !repot.Date.IsZero() {
		at = repot.Date
	}
	id := d.into.NewID()
	d.entry(r, at, care.PlantSet, id, care.Detail{Plant: &p})
	r.Adds = append(r.Adds, describe(p))
	if !repot.Date.IsZero() {
		d.entry(r, at, care.RepotDone, id, care.Detail{Repot: &repot})
		r.Adds = append(r.Adds, string(workOf(repot))+" on "+repot.Date.Format(time.DateOnly))
	}
	if note != "" {
		d.entry(r, at, care.Noted, id, care.Detail{Note: note})
		r.Adds = append(r.Adds, "a note")
	}
}

func workOf(r care.Repot) care.Work {
	if r.Work == "" {
		return care.Repotted
	}
	return r.Work
}

// label checks a plant's label, or makes one up for a plant without.
func (d *drafter) label(r *Row, p *care.Plant) {
	p.Label = strings.TrimSpace(p.Label)
	if p.Label == "" {
		for p.Label == "" || d.labels[strings.ToLower(p.Label)] {
			d.number++
			p.Label = fmt.Sprintf("P-%03d", d.number)
		}
		r.Remarks = append(r.Remarks, "it has no label and is called "+p.Label)
	} else if d.labels[strings.ToLower(p.Label)] {
		r.Problems = append(r.Problems, fmt.Sprintf("the label %s is in use already", p.Label))
	}
	d.labels[strings.ToLower(p.Label)] = true
}

// group finds a plant's culture group, from its name when none is given.
func (d *drafter) group(r *Row, p *care.Plant) {
	if p.Group == "" && p.Name != "" {
		if g, err := d.into.Tables.Lookup(p.Name); err == nil {
			p.Group = g.Key
			r.Remarks = append(r.Remarks, "its group "+g.Key+" is taken from its name")
			return
		}
	}
	if p.Group == "" {
		r.Remarks = append(r.Remarks, "its group is not known; without one no course can be worked out")
		return
	}
	if _, err := d.into.Tables.Lookup(p.Group); err != nil {
		r.Remarks = append(r.Remarks, err.Error()+"; until it is known no course can be worked out")
	}
}

// describe tells a plant in one line.
func describe(p care.Plant) string {
	parts := []string{p.Name, p.Group, p.Space}
	parts = slices.DeleteFunc(parts, func(s string) bool { return s == "" })
	return strings.Join(parts, ", ")
}
