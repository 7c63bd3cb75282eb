package care

import (
	"slices"
	"time"

	"velamen/science/course"
)

// Aftermath is what the journal says of a plant between one repot and the next,
// as far as the outcome of that recovery asks for it. The readings of its roots
// stand with the plant.
type Aftermath struct {
	Space  string // where the plant stood when it was repotted
	Vigour Vigour // before the repot
	// Alive is the last time somebody tended the plant or looked at it.
	Alive time.Time
	// Reviews are those that say where the plant stands, without repetitions in
	// between.
	Reviews []StageSeen
	// Supplements are the days on which seaweed or the like was given in the
	// first weeks.
	Supplements []SupplementGiven
}

// StageSeen is a review that says where a plant stands.
type StageSeen struct {
	At    time.Time
	Stage course.Stage
}

// SupplementGiven is one supplement as its label calls it.
type SupplementGiven struct {
	At      time.Time
	Product string
}

// tends reports whether somebody who made such an entry had the plant before
// them, alive: notes about its record, its end, or a job that was left do not
// say so.
func (k Kind) tends() bool {
	switch k {
	case FlushDone, WaterGiven, FeedDone, MistDone, SupplementIn, Weighed, DrainageRead, RootsRead, Counted, PestLook, Treated, Photographed, SpikeDecided, Reviewed:
		return true
	}
	return false
}

// follow keeps what an entry says of the recovery that is under way. It comes
// before the entry itself is applied.
func (p *PlantState) follow(e Entry) {
	if e.Kind == RepotDone {
		p.Aftermaths = append(p.Aftermaths, Aftermath{Space: p.Record.Space, Vigour: p.Record.Vigour})
		return
	}
	if len(p.Aftermaths) == 0 || !p.Ended.IsZero() {
		return
	}
	now := &p.Aftermaths[len(p.Aftermaths)-1]
	if e.Kind.tends() {
		now.Alive = e.At
	}
	switch e.Kind {
	case Reviewed:
		if e.Detail.Stage == "" {
			return
		}
		n := len(now.Reviews)
		// Of reviews that say the same in a row the first and the last tell all:
		// when it was first so, and until when it was.
		if n >= 2 && now.Reviews[n-1].Stage == e.Detail.Stage && now.Reviews[n-2].Stage == e.Detail.Stage {
			now.Reviews[n-1].At = e.At
			return
		}
		now.Reviews = append(now.Reviews, StageSeen{e.At, e.Detail.Stage})
	case SupplementIn:
		if daysBetween(p.Record.Repot.Date, midnight(e.At)) <= int(SupplementDays.Value) {
			now.Supplements = append(now.Supplements, SupplementGiven{e.At, e.Detail.Product})
		}
	}
}

// cloneAftermaths copies them so that the last can be changed.
func cloneAftermaths(list []Aftermath) []Aftermath {
	list = slices.Clone(list)
	if n := len(list); n > 0 {
		list[n-1].Reviews = slices.Clone(list[n-1].Reviews)
		list[n-1].Supplements = slices.Clone(list[n-1].Supplements)
	}
	return list
}
