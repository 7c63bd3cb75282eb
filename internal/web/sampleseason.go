package web

import (
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// sampleResident is an invented plant that was not repotted lately, with what was
// seen at it, so that the sample has a season to plan.
type sampleResident struct {
	label, name, group, space string
	years                     float64 // since its last repot
	potCm                     float64
	medium                    string
	seen                      []care.SeenSign // some days ago
	pest                      string
}

var sampleResidents = []sampleResident{
	{"P-101", "pink, old plant", "Phalaenopsis", "shelf", 2.6, 12, "sphagnum, loose", []care.SeenSign{care.MediumFailed, care.NewRootTip}, ""},
	{"P-102", "white, in bloom", "Phalaenopsis", "shelf", 2.4, 12, "medium bark", []care.SeenSign{care.InBloomSeen}, ""},
	{"C-101", "purple standard, over the rim", "Cattleya", "balcony", 3.2, 15, "coarse bark", []care.SeenSign{care.PotBound, care.NewRootTip}, ""},
	{"C-102", "green bifoliate", "Cattleya bifoliate", "balcony", 3, 12, "coarse bark", []care.SeenSign{care.RocksInPot, care.AtRest}, ""},
	{"O-101", "twinkling dwarf", "Oncidium", "balcony", 2.5, 9, "fine bark", []care.SeenSign{care.FlowersOver, care.NewGrowth}, ""},
	{"D-101", "spring nobile", "Dendrobium nobile", "terrace", 2.8, 10, "fine bark", []care.SeenSign{care.PotBound}, ""},
	{"S-101", "slipper, soft at the base", "Paphiopedilum Maudiae", "shelf", 1.6, 9, "fine bark", []care.SeenSign{care.BadSmell}, ""},
	{"Y-101", "big standard, cracked pot", "Cymbidium standard", "terrace", 3.4, 22, "medium bark", []care.SeenSign{care.PotBound, care.NewGrowth}, "scale"},
}

// sampleSeenDays is how many days ago the signs were seen.
const sampleSeenDays = 9

// sampleLooked is how many days ago the residents were looked at because of what
// was found beside them; there was nothing on them.
var sampleLooked = []int{18, 11, 6}

// seasonForSample returns what the journal knows of the residents.
func (s *Server) seasonForSample() (entries []care.Entry) {
	today := s.Book.Today()
	at := func(kind care.Kind, plant string, on time.Time, d care.Detail) {
		e := s.newEntry(kind, plant, d)
		e.At, e.By = on.Add(sampleHour*time.Hour), sampleBy
		entries = append(entries, e)
	}
	given := func(v float64, unit string) basis.Value { return basis.Exactly(v, unit, basis.Given, "") }
	for _, one := range sampleResidents {
		id := newID()
		potted := today.AddDate(0, 0, -int(365*one.years))
		at(care.PlantSet, id, potted, care.Detail{Plant: &care.Plant{Label: one.label, Name: one.name, Group: one.group, Space: one.space, Leaves: given(7, "1"), LeafLengthCm: given(18, "cm"), LeafWidthCm: given(4, "cm")}})
		at(care.RepotDone, id, potted.Add(time.Hour), care.Detail{Repot: &care.Repot{
			Date: potted, Work: care.Repotted, RootsKept: given(0.7, "share"),
			To: care.Home{Container: &care.Container{NominalCm: given(one.potCm, "cm")}, Medium: []care.Component{{Medium: one.medium, Parts: 4}, {Medium: "medium perlite", Parts: 1}}},
		}})
		seen := today.AddDate(0, 0, -sampleSeenDays)
		for _, sign := range one.seen {
			at(care.SignSeen, id, seen, care.Detail{Sign: sign})
		}
		for _, ago := range sampleLooked {
			at(care.PestLook, id, today.AddDate(0, 0, -ago), care.Detail{})
		}
		if one.pest != "" {
			at(care.PestLook, id, seen, care.Detail{Pest: one.pest})
		}
	}
	return entries
}
