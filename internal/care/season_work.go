package care

import (
	"fmt"
	"math"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
)

// Prospect is what a repot and the weeks after it ask for.
type Prospect struct {
	Bench   basis.Value // minutes at the bench
	Minutes []float64   // of rounds, by week after it
	Litres  []float64
	Media   []MediumNeed
	Home    string // size and material of the pot, or the mount
	Mounted bool
	Guessed bool // no course could be worked out; the figures are those of an ordinary one
	Because *Because
}

// MediumNeed is how much of one component of a mix is needed.
type MediumNeed struct {
	Medium string  `json:"medium"`
	Litres float64 `json:"litres"`
}

// ProspectWeeks is for how many weeks after a repot the rounds are reckoned: the
// six of recovery and two of stepping up.
const ProspectWeeks = 8

var (
	benchMinutes = basis.Assumed(25, 15, 45, "min") // cleaning, cutting, potting, label
	mountMinutes = basis.Assumed(35, 20, 60, "min")
	// spillShare is what of a medium is needed beyond the room in the pot: it
	// settles, and some falls.
	spillShare   = basis.Assumed(0.15, 0.05, 0.3, "share")
	rootsAtRepot = basis.Assumed(0.6, 0.4, 0.8, "share")
)

// Prospect works out what a repot on a day would ask for, from the course that it
// would start: with the home the plant has now, and six tenths of its roots kept.
func (c *Collection) Prospect(p *PlantState, tables culture.Table, on time.Time, pace WorkPace) Prospect {
	record := p.Record
	now := record.Repot.To
	record.Repot = Repot{Date: midnight(on), Work: Repotted, RootsKept: rootsAtRepot, From: now, To: now}
	out := Prospect{Bench: benchMinutes, Minutes: make([]float64, ProspectWeeks), Litres: make([]float64, ProspectWeeks)}
	if now.Mount != nil {
		record.Repot.Work, out.Bench, out.Mounted = Mounted, mountMinutes, true
	}
	out.Because = &Because{
		Rule:   "the jobs of the course that this repot would start, each at your own pace, week by week; the home it has now, freshly filled",
		Inputs: []Input{{"roots kept", rootsAtRepot}, {"at the bench", out.Bench}},
	}
	kase := c.Case()
	s, err := settle(kase, record, tables)
	if err == nil {
		out.materials(s, tables)
		var course Course
		if course, err = NewCourse(kase, record, tables, midnight(on)); err == nil {
			state := &PlantState{ID: p.ID, Record: record, LastFlush: record.Repot.Date}
			for _, one := range course.Outline().Ahead(state, Horizon{From: record.Repot.Date, Days: 7 * ProspectWeeks}) {
				week := min(max(one.Due, 0)/7, ProspectWeeks-1)
				out.Minutes[week] += pace.Minutes(one.Task).Value
				out.Litres[week] += one.ML / 1000
				if one.Fed {
					out.Minutes[week] += pace.Minutes(Feeding).Value
				}
			}
		}
	}
	if err != nil {
		out.Guessed = true
		for week := range ProspectWeeks {
			out.Minutes[week], out.Litres[week] = 8, 0.7 // a flush every third day and what goes with it
		}
		out.Because.Note = "no course can be worked out: " + err.Error()
	}
	return out
}

// materials fills in what has to be there on the day.
func (p *Prospect) materials(s *subject, tables culture.Table) {
	to := s.plant.Repot.To
	if m := to.Mount; m != nil {
		p.Home = fmt.Sprintf("%s mount, %.0f × %.0f cm", m.Material, m.WidthCm.Value, m.HeightCm.Value)
		if moss := m.WidthCm.Value * m.HeightCm.Value * m.MossCm.Value / 1000; moss > 0 {
			p.Media = []MediumNeed{{"sphagnum", moss * (1 + spillShare.Value)}}
		}
		return
	}
	k := to.Container
	if k == nil {
		return
	}
	p.Home = fmt.Sprintf("%s pot, %.3g cm", k.Material, k.TopCm.Value)
	top, bottom := k.TopCm.Value, k.BottomCm.Value
	litres := k.HeightCm.Value * (top*top + top*bottom + bottom*bottom) / 3 / 1000
	if !k.Square {
		litres *= math.Pi / 4
	}
	parts := 0.0
	for _, one := range to.Medium {
		parts += one.Parts
	}
	for _, one := range to.Medium {
		name := one.Medium
		if m, err := tables.Medium(one.Medium); err == nil {
			name = m.Name
		}
		p.Media = append(p.Media, MediumNeed{name, litres * one.Parts / parts * (1 + spillShare.Value)})
	}
}

// LoadAhead adds up what all recoveries under way ask for, by week, from outlines
// that are at hand.
func LoadAhead(o *Outline, p *PlantState, h Horizon, pace WorkPace, minutes, litres []float64) {
	for _, one := range o.Ahead(p, h) {
		week := min(max(one.Due, 0)/7, len(minutes)-1)
		minutes[week] += pace.Minutes(one.Task).Value
		if one.Fed {
			minutes[week] += pace.Minutes(Feeding).Value
		}
		litres[week] += one.ML / 1000
	}
}
