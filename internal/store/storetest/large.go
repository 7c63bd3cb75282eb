package storetest

import (
	"fmt"
	"iter"
	"time"

	"velamen/internal/care"
)

// Large streams a journal of so many plants, each added and repotted and then
// kept as plants are: flushed and fed, weighed and measured, now and then with
// a note. It is the same every time.
func Large(entries, plants int) iter.Seq[care.Entry] {
	return func(yield func(care.Entry) bool) {
		for n := range entries {
			plant, turn := n%plants, n/plants
			e := care.Entry{
				ID: ID(n), Plant: PlantID(plant), By: "A. Grower",
				At: Start.Add(time.Duration(turn)*24*time.Hour + time.Duration(plant)*time.Second),
			}
			switch {
			case turn == 0:
				e.Kind = care.PlantSet
				e.Detail.Plant = &care.Plant{Label: fmt.Sprintf("P-%05d", plant), Name: "Cattleya", Group: "Cattleya", Space: fmt.Sprintf("bench %d", plant%10)}
			case turn == 1:
				e.Kind = care.RepotDone
				e.Detail.Repot = &care.Repot{Work: care.Repotted, RootsKept: given(0.6, "share"), To: care.Home{Medium: []care.Component{{Medium: "medium bark", Parts: 1}}}}
			case turn%7 == 0:
				e.Kind = care.RootsRead
				e.Detail.Roots = []care.RootReading{{Root: "a", LengthMM: float64(turn) / 4, Tip: "growing", HowMM: 0.5}, {Root: "b", LengthMM: float64(turn) / 5, Tip: "growing", HowMM: 0.5}}
			case turn%10 == 3:
				e.Kind, e.Detail.Note = care.Noted, "Two new tips below the newest growth, green to the collar."
			case turn%5 == 1:
				e.Kind, e.Detail.MassG = care.Weighed, new(400+float64(turn%30))
			default:
				e.Kind, e.Detail.VolumeML, e.Detail.ECmS = care.FlushDone, new(350.0), new(0.3)
				e.Detail.Job = fmt.Sprintf("%s/flush/%s", e.Plant, e.At.Format(time.DateOnly))
			}
			if !yield(e) {
				return
			}
		}
	}
}
