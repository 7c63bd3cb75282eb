package web

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// doneView is what was entered together at one plant.
type doneView struct {
	Path, Label, Name string
	Plant             string
	Job               string // the job it answers
	Words             string // "flushed with 640 mL"
	With              string // what was measured along with it
	Time, By          string
	Skipped           bool
	Entries           []string // ids, to be undone together
	Also              []alsoView

	at time.Time
}

// alsoView is a further answer to the same job, from another hand or device.
type alsoView struct{ Words, Time, By, Entry string }

// rainView is a fall of rain and what it did.
type rainView struct {
	Amount, Time, By, Where string
	Flushed, Short          []string // labels, the latter with what would have been enough
	Entry                   string
}

// doneOn tells what a day has seen so far, the latest first.
func (s *Server) doneOn(ctx context.Context, on time.Time, u care.Units) (list []doneView, rains []rainView, err error) {
	done, fallen, err := s.Book.Done(ctx, on)
	if err != nil {
		return nil, nil, err
	}
	type moment struct {
		plant string
		at    int64
	}
	heads := map[moment]int{}
	for _, d := range done {
		if e := d.Entry; e.Detail.Job != "" {
			heads[moment{e.Plant, e.At.Unix()}] = len(list)
			list = append(list, newDoneView(d.Label, d.Name, e, u))
			for _, also := range d.Also {
				v := &list[len(list)-1]
				v.Also = append(v.Also, alsoView{entryWords(also, u), also.At.Format("15:04"), also.By, also.ID})
			}
		}
	}
	var alone []doneView
	for _, d := range done {
		e := d.Entry
		if e.Detail.Job != "" {
			continue
		}
		if i, ok := heads[moment{e.Plant, e.At.Unix()}]; ok {
			v := &list[i]
			v.With = strings.TrimPrefix(v.With+", "+entryWords(e, u), ", ")
			v.Entries = append(v.Entries, e.ID)
			continue
		}
		alone = append(alone, newDoneView(d.Label, d.Name, e, u))
	}
	for _, r := range fallen {
		var short []string
		for _, one := range r.Short {
			short = append(short, fmt.Sprintf("%s (%s)", one.Label, rainDepth.inUnits(u, math.Ceil(one.NeedsMM))))
		}
		rains = append(rains, rainView{
			Amount: rainDepth.inUnits(u, r.Rain.MM), Time: r.Rain.At.Format("15:04"), By: r.Rain.By, Where: r.Rain.Where,
			Flushed: r.Flushed, Short: short, Entry: r.Rain.Entry,
		})
	}
	list = append(list, alone...)
	slices.SortStableFunc(list, func(x, y doneView) int { return y.at.Compare(x.at) })
	return list, rains, nil
}

func newDoneView(label, name string, e care.Entry, u care.Units) doneView {
	return doneView{
		Path: "/plant/" + e.Plant, Label: label, Name: name, Plant: e.Plant, Job: e.Detail.Job, Words: entryWords(e, u),
		Time: e.At.Format("15:04"), By: e.By, Skipped: e.Kind == care.Skipped, Entries: []string{e.ID}, at: e.At,
	}
}

// doneWords are what an entry of each kind says when there is no more to say.
var doneWords = map[care.Kind]string{
	care.RepotPlanned: "repot planned", care.RepotDone: "repotted", care.FlushDone: "flushed", care.WaterGiven: "watered", care.FeedDone: "fed", care.MistDone: "misted", care.SupplementIn: "given a supplement",
	care.RainFell: "it rained", care.PlanAnew: "new plan asked for", care.Weighed: "weighed", care.DrainageRead: "drainage read", care.WetnessSeen: "looked at", care.SpotSet: "spot", care.LightReadAt: "light read", care.ForecastIn: "forecast handed in", care.RootsRead: "roots measured", care.Counted: "counted",
	care.SignSeen: "seen", care.BladeUsed: "cut", care.BladeCleaned: "blade cleaned",
	care.PestLook: "looked for pests, nothing found", care.Treated: "treated", care.Photographed: "photographed", care.Moved: "moved",
	care.SpikeDecided: "spike", care.Reviewed: "reviewed", care.Noted: "noted", care.Skipped: "skipped", care.PlantLost: "lost", care.PlantLeft: "left the collection",
}

// entryWords says in a few words what an entry says.
func entryWords(e care.Entry, u care.Units) string {
	d := e.Detail
	text := doneWords[e.Kind]
	amount := func(v *float64, unit string) string {
		if v == nil {
			return ""
		}
		return u.Show(basis.Exactly(*v, unit, basis.Measured, ""))
	}
	join := func(lead, tail string) {
		if tail != "" {
			text += lead + tail
		}
	}
	switch e.Kind {
	case care.FlushDone, care.WaterGiven, care.MistDone:
		join(" with ", amount(d.VolumeML, "mL"))
	case care.FeedDone:
		join(" at ", amount(d.ECmS, "mS/cm"))
	case care.DrainageRead:
		text = "drainage at " + amount(d.ECmS, "mS/cm")
	case care.WetnessSeen:
		join(": ", string(d.Wet))
	case care.Weighed:
		if d.MassG != nil {
			text = "weighs " + potMass.inUnits(u, *d.MassG)
		}
	case care.RootsRead:
		var roots []string
		for _, r := range d.Roots {
			one := fmt.Sprintf("%s %s", r.Root, rootLength.inUnits(u, r.LengthMM))
			if r.Tip != "" {
				one += ", " + r.Tip
			}
			roots = append(roots, one)
		}
		text = "roots: " + strings.Join(roots, "; ")
	case care.PestLook:
		if d.Pest != "" {
			text = "found " + d.Pest
		}
	case care.SignSeen:
		text = "seen: " + strings.ToLower(signWords[d.Sign])
	case care.BladeUsed:
		join(" with ", d.Blade)
	case care.Treated, care.SupplementIn:
		join(" with ", d.Product)
	case care.Moved:
		join(" to ", d.ToSpace)
	case care.SpikeDecided:
		join(" ", d.Spike)
	case care.Reviewed:
		join(": ", string(d.Stage))
	case care.RepotPlanned:
		text = "repot not planned any more"
		if !d.PlannedFor.IsZero() {
			text = "repot planned for " + d.PlannedFor.Format("2 January 2006")
		}
	case care.Skipped:
		if job := strings.ToLower(taskForms[care.TaskOf(d.Job)].name); job != "" {
			text = job + " skipped"
		}
		join(": ", d.Reason)
	}
	join(" – ", d.Note)
	return text
}
