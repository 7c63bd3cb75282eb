package casefile

import (
	"velamen/internal/care"
)

// plantFields are the keys of [[plant]].
var plantFields = fields[care.Plant]{
	{"label", func(f *file, v *node, p *care.Plant) { f.text(v, &p.Label) }},
	{"name", func(f *file, v *node, p *care.Plant) { f.text(v, &p.Name) }},
	{"group", func(f *file, v *node, p *care.Plant) { f.named(v, groupNames, &p.Group) }},
	{"space", func(f *file, v *node, p *care.Plant) { f.refer(aSpace, v, &p.Space) }},
	{"leaves", func(f *file, v *node, p *care.Plant) { f.count(v, mostLeaves, &p.Leaves) }},
	{"leaf_length", func(f *file, v *node, p *care.Plant) { f.quantity(v, &leafMeasure, &p.LeafLengthCm) }},
	{"leaf_width", func(f *file, v *node, p *care.Plant) { f.quantity(v, &leafMeasure, &p.LeafWidthCm) }},
	{"leaf_area", func(f *file, v *node, p *care.Plant) { f.quantity(v, &leafArea, &p.LeafAreaCm2) }},
	{"pseudobulbs", func(f *file, v *node, p *care.Plant) { f.count(v, mostLeaves, &p.Pseudobulbs) }},
	{"vigour", func(f *file, v *node, p *care.Plant) { choose(f, v, care.Vigours, &p.Vigour) }},
	{"vigor", func(f *file, v *node, p *care.Plant) { choose(f, v, care.Vigours, &p.Vigour) }},
	{"routine", func(f *file, v *node, p *care.Plant) {
		var routine care.Routine
		if readTable(f, v, routineFields, &routine) {
			p.Routine = &routine
		}
	}},
	{"repot", func(f *file, v *node, p *care.Plant) {
		if readTable(f, v, repotFields, &p.Repot) && v.entry("date") == nil {
			f.missing(v, "the date of the repot is missing; write date = 2026-11-01")
		}
	}},
}

// mostLeaves bounds counts of leaves, bulbs and roots on one plant.
const mostLeaves = 5000

func (f *file) readPlant(table *node, p *care.Plant) {
	plantFields.read(f, table, p)
	switch {
	case p.Label != "":
		label := table.entry("label")
		if first, ok := f.spoken.define(aPlant, p.Label, label); !ok {
			f.say(label.at, label, "the label %s is already on the plant of line %d", excerpt(p.Label), f.line(first.at))
		}
	case p.Name == "" && table.entry("label") == nil && table.entry("name") == nil:
		f.missing(table, "the plant has neither a label nor a name")
	}
	if table.entry("repot") == nil {
		f.missing(table, "the plant has no [plant.repot]: the recovery starts with the day of the repot")
	}
}

// repotFields are the keys of [plant.repot].
var repotFields = fields[care.Repot]{
	{"date", func(f *file, v *node, r *care.Repot) { f.date(v, &r.Date) }},
	{"work", func(f *file, v *node, r *care.Repot) { choose(f, v, care.Works, &r.Work) }},
	{"roots_kept", func(f *file, v *node, r *care.Repot) { f.share(v, 0, &r.RootsKept) }},
	{"leaves_kept", func(f *file, v *node, r *care.Repot) { f.share(v, 0.01, &r.LeavesKept) }},
	{"root_tips", func(f *file, v *node, r *care.Repot) { f.count(v, mostLeaves, &r.LiveRootTips) }},
	{"soaked", func(f *file, v *node, r *care.Repot) { f.quantity(v, &soakTime, &r.SoakedHours) }},
	{"pests", func(f *file, v *node, r *care.Repot) {
		f.texts(v, func(n *node, pest string) {
			if f.means(n.at, n, pest, pestNames) {
				r.Pests = append(r.Pests, pest)
			}
		})
	}},
	{"flowers", func(f *file, v *node, r *care.Repot) { choose(f, v, care.FlowerStates, &r.Flowers) }},
	{"from", func(f *file, v *node, r *care.Repot) { f.home(v, &r.From) }},
	{"to", func(f *file, v *node, r *care.Repot) { f.home(v, &r.To) }},
}
