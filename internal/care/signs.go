package care

import (
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
)

// signs fills in what may be seen at this stage, what it means, and the
// cautions that belong to the work.
func (s *subject) signs(out *Course) {
	stage := map[course.Stage]culture.CourseStage{
		course.Settling: culture.Settling, course.Rooting: culture.Rooting,
		course.SteppingUp: culture.SteppingUp, course.Established: culture.Established,
	}[out.Stage]
	for _, sign := range s.tables.Signs(stage, s.group) {
		one := Sign{Text: sign.Text.Is, Basis: sign.Text.Grade, Source: sign.Text.Source}
		switch sign.Meaning {
		case culture.NormalSign:
			out.Normal = append(out.Normal, one)
		case culture.WatchSign:
			out.Watch = append(out.Watch, one)
		case culture.ActSign:
			out.NotNormal = append(out.NotNormal, one)
		}
	}
	if s.plant.Repot.Flowers != NoFlowers && out.Stage != course.Established {
		out.Watch = append(out.Watch, Sign{
			Text:  "Keeping or cutting the spike is your choice. Flowers draw on the same stored water; that they last says nothing about the roots. If the marked tips stand still while it flowers, cutting is worth considering.",
			Basis: basis.CommonPractice,
		})
	}
	for _, situation := range s.situations() {
		for _, caution := range s.tables.Cautions(situation) {
			out.Cautions = append(out.Cautions, caution.Text.Is)
		}
	}
}

// situations are those of the work and the care of this plant.
func (s *subject) situations() []culture.Situation {
	var list []culture.Situation
	moss := s.plant.Repot.To.Mount != nil && s.plant.Repot.To.Mount.MossCm.Value > 0
	for _, c := range s.plant.Repot.To.Medium {
		if m, err := s.tables.Medium(c.Medium); err == nil && (m.Key == "moss-loose" || m.Key == "moss-firm") {
			moss = true
		}
	}
	if moss {
		list = append(list, culture.HandlingMoss)
	}
	if s.plant.Repot.To.Mount == nil {
		list = append(list, culture.PottingDust)
	}
	list = append(list, culture.CuttingPlants)
	if len(s.plant.Repot.Pests) > 0 {
		list = append(list, culture.UsingPesticide)
	}
	if s.space.Kind.UnderLamps() || s.space.Air == MovingAir {
		list = append(list, culture.ElectricityNearby)
	}
	return append(list, culture.PureWater)
}
