package storetest

import (
	"fmt"
	"iter"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// Nursery is a large collection with the journal of its last months, made from
// a small one: each of its plants is one of the small one's with other roots
// kept, so that no two have the same course. Three in ten are recovering, the
// others were repotted one to five years ago. Every plant has one entry a day:
// watered, fed, weighed, measured, now and then a note. It is the same every
// time.
type Nursery struct {
	Entries, Plants int
	Small           care.Case
}

// benchesPerSpace is how many spaces stand for each of the small collection's.
const benchesPerSpace = 8

// setUp is how many entries describe the collection itself.
func (n Nursery) setUp() int {
	return 3 + benchesPerSpace*len(n.Small.Spaces) + len(n.Small.Waters) + len(n.Small.Feeds)
}

// Today is the day after the last entry.
func (n Nursery) Today() time.Time {
	turns := (n.Entries - n.setUp() + n.Plants - 1) / n.Plants
	return Start.Truncate(24*time.Hour).AddDate(0, 0, turns)
}

// All streams the journal, as many entries as were asked for.
func (n Nursery) All() iter.Seq[care.Entry] {
	return func(yield func(care.Entry) bool) {
		made := 0
		next := func(at time.Time, kind care.Kind, plant string, d care.Detail) bool {
			made++
			return yield(care.Entry{ID: ID(made), At: at, Kind: kind, Plant: plant, By: "A. Grower", Detail: d})
		}
		for _, d := range n.collection() {
			if !next(Start, d.kind, "", d.detail) {
				return
			}
		}
		today := n.Today()
		for turn := 0; made < n.Entries; turn++ {
			for plant := 0; plant < n.Plants && made < n.Entries; plant++ {
				at := Start.Add(time.Duration(turn)*24*time.Hour + time.Duration(plant)*time.Second)
				kind, d := n.entry(plant, turn, at, today)
				if !next(at, kind, PlantID(plant), d) {
					return
				}
			}
		}
	}
}

type setting struct {
	kind   care.Kind
	detail care.Detail
}

func (n Nursery) collection() []setting {
	list := []setting{{care.PlaceSet, care.Detail{Place: &n.Small.Place}}}
	for _, space := range n.Small.Spaces {
		for i := range benchesPerSpace {
			one := space
			one.Name = fmt.Sprintf("%s %d", space.Name, i+1)
			one.DayC.Value += float64(i) / 10
			list = append(list, setting{care.SpaceSet, care.Detail{Space: &one}})
		}
	}
	for i := range n.Small.Waters {
		list = append(list, setting{care.WaterSet, care.Detail{Water: &n.Small.Waters[i]}})
	}
	for i := range n.Small.Feeds {
		list = append(list, setting{care.FeedSet, care.Detail{Feed: &n.Small.Feeds[i]}})
	}
	return append(list,
		setting{care.RoutineSet, care.Detail{Routine: &n.Small.Routine}},
		setting{care.SettingsSet, care.Detail{Settings: &care.Settings{MinutesPerDay: 960, LitresPerDay: 400}}})
}

// entry returns what is noted of a plant on a day.
func (n Nursery) entry(plant, turn int, at, today time.Time) (care.Kind, care.Detail) {
	p := n.Small.Plants[plant%len(n.Small.Plants)]
	switch turn {
	case 0:
		p.Label = fmt.Sprintf("N-%05d", plant+1)
		p.Space = fmt.Sprintf("%s %d", p.Space, plant/len(n.Small.Plants)%benchesPerSpace+1)
		return care.PlantSet, care.Detail{Plant: &p}
	case 1:
		r := p.Repot
		r.RootsKept = basis.Exactly(0.2+0.7*float64(plant*7919%9973)/9973, "share", basis.Given, "")
		daysAgo := 1 + plant*31%364
		if plant%10 >= 3 {
			daysAgo = 367 + plant*31%1461
		}
		r.Date = today.AddDate(0, 0, -daysAgo)
		return care.RepotDone, care.Detail{Repot: &r}
	}
	// No two neighbours are at the same point of their weeks.
	switch day := turn + plant*3; {
	case day%7 == 0:
		mm := 4 + float64(turn)/4
		return care.RootsRead, care.Detail{Roots: []care.RootReading{{Root: "a", LengthMM: mm, Tip: "growing", HowMM: 0.5}, {Root: "b", LengthMM: mm + 2, Tip: "growing", HowMM: 0.5}}}
	case day%10 == 3:
		return care.Noted, care.Detail{Note: "Two new tips below the newest growth, green to the collar."}
	case day%9 == 1:
		return care.FeedDone, care.Detail{ECmS: new(0.5), Job: fmt.Sprintf("%s/%s/%s", PlantID(plant), care.Feeding, at.Format(time.DateOnly))}
	case day%5 == 1:
		return care.Weighed, care.Detail{MassG: new(400 + float64(turn%30))}
	}
	return care.FlushDone, care.Detail{VolumeML: new(350.0), Job: fmt.Sprintf("%s/%s/%s", PlantID(plant), care.Flushing, at.Format(time.DateOnly))}
}
