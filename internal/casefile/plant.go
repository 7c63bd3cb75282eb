package casefile

import (
	"strconv"

	"github.com/pelletier/go-toml/v2/unstable"

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
		if !readTable(f, v, repotFields, &p.Repot) {
			return
		}
		if v.entry("date") == nil {
			f.missing(v, "the date of the repot is missing; write date = 2026-11-01")
		}
		f.checkWork(v, p.Repot)
	}},
}

// mostLeaves bounds counts of leaves, bulbs and roots on one plant.
const mostLeaves = 5000

func (f *file) readPlant(table *node, p *care.Plant) {
	plantFields.read(f, table, p)
	if p.Label != "" {
		label := table.entry("label")
		if first, ok := f.spoken.define(aPlant, p.Label, label); !ok {
			f.say(label.at, label, "the label %s is already on the plant of line %d%s", excerpt(p.Label), f.line(first.at), capitals(first, p.Label))
		}
	}
	if table.entry("group") == nil {
		f.missing(table, `the group is missing; write what sort of orchid it is, as in group = "Phalaenopsis"`)
	}
	if table.entry("repot") == nil {
		f.missing(table, "the plant has no [plant.repot]: the recovery starts with the day of the repot")
	}
}

// labelByNumber calls each plant that has neither a label nor a name by its
// number in the file.
func (f *file) labelByNumber(list *node, plants []care.Plant) {
	for i := range plants {
		p, table := &plants[i], list.inside[i]
		if table.kind != unstable.Table || table.entry("label") != nil || table.entry("name") != nil {
			continue
		}
		label := "plant " + strconv.Itoa(table.number)
		if first, ok := f.spoken.define(aPlant, label, table); !ok {
			f.say(table.at, table, "a plant without a label or a name is called by its number, but %s is the label of line %d; give this plant a label", excerpt(label), f.line(first.at))
			continue
		}
		p.Label = label
	}
}

// checkSpaces notes the plants that may stand in any of several spaces.
func (f *file) checkSpaces(root *node, plants []care.Plant) {
	spaces := root.entry("space")
	if spaces == nil || len(spaces.inside) < 2 {
		return
	}
	example := "balcony"
	if names := f.spoken.inOrder[aSpace]; len(names) > 0 {
		example = names[0]
	}
	for i := range plants {
		if table := root.entry("plant").inside[i]; table.kind == unstable.Table && table.entry("space") == nil {
			f.say(table.at, table, "the plant may stand in any of %d spaces; write in which, as in space = %s", len(spaces.inside), excerpt(example))
		}
	}
}

// checkWork notes work that does not lead to the new home.
func (f *file) checkWork(repot *node, r care.Repot) {
	to := repot.entry("to")
	if to == nil {
		return
	}
	switch {
	case r.Work == care.Mounted && r.To.Known() && to.entry("mount") == nil:
		f.missing(to, `a mounted plant needs a mount to live on; write to = { mount = { material = "cork", size = "12 x 25 cm" } }, or work = "repotted"`)
	case (r.Work == care.Repotted || r.Work == care.Divided) && r.To.Mount != nil && r.To.Container == nil:
		work := repot.entry("work")
		f.say(work.at, work, `a plant that comes onto a mount is mounted; write work = "mounted", or the pot it went into, as in to = { pot = "12 cm" }`)
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
