package web

import (
	"time"

	"velamen/internal/care"
)

// readRepotting reads the whole form into what is known of the plant so far.
func (s *Server) readRepotting(f *form, b *repotting) {
	if b.known == nil {
		b.plant = s.readRecord(f, b.u, b.kase, care.Plant{})
	} else {
		// What was known and is not asked again stays.
		kept := b.plant
		for name, text := range map[string]string{"label": kept.Label, "name": kept.Name, "group": kept.Group} {
			if f.text(name) == "" {
				f.values.Set(name, text)
			}
		}
		if f.text("space") == "" {
			f.values.Set("space", kept.Space)
		}
		b.plant = s.readRecord(f, b.u, b.kase, kept)
		b.plant.Label, b.plant.Name, b.plant.Group = kept.Label, kept.Name, kept.Group
		if !b.known.state.Ended.IsZero() {
			f.say("", "%s has left the collection; withdraw that in its journal first.", kept.Label)
		}
	}
	before := b.repot
	b.repot = care.Repot{}
	r := &b.repot
	r.Date = f.day("date", s.Now())
	r.Work = one(f, "work", care.Works)
	r.Flowers = one(f, "flowers", care.FlowerStates)
	b.spike = one(f, "spike", []string{"kept", "cut"})
	r.RootsKept = f.quantity("roots_kept", keptShare, b.u, before.RootsKept)
	r.LeavesKept = f.quantity("leaves_kept", keptShare, b.u, before.LeavesKept)
	if r.LeavesKept.Grade != 0 && r.LeavesKept.Value < 0.01 {
		f.say("leaves_kept", "At least a hundredth of the leaves must be left.")
	}
	r.LiveRootTips = f.counted("root_tips", before.LiveRootTips)
	r.SoakedHours = f.quantity("soaked", soakTime, b.u, before.SoakedHours)
	for _, name := range f.values["pest"] {
		if _, err := s.Book.Tables().Pest(name); err != nil {
			f.say("", "%s", nameProblem(err))
		}
		r.Pests = append(r.Pests, name)
	}
	r.From = f.home(s.Book.Tables(), b.u, "from", before.From)
	r.To = f.home(s.Book.Tables(), b.u, "to", before.To)
	if r.Work == care.Mounted && r.To.Mount == nil && r.To.Known() {
		f.say("to_kind", "It was mounted: say onto what, or choose another kind of work.")
	}
}

// soakTime is how long a medium was soaked.
var soakTime = measure{"a soak", "h", 0, 336, always("h"), []writing{{"h", "hr hrs hour hours", 1, 0}, {"min", "minute minutes", 1.0 / 60, 0}, {"days", "d day", 24, 0}}}

// day reads a calendar day that is not ahead.
func (f *form) day(name string, now time.Time) time.Time {
	day, err := time.Parse(time.DateOnly, f.text(name))
	switch {
	case err != nil:
		f.say(name, "%q is no date; write it as in %s.", f.text(name), now.Format(time.DateOnly))
	case day.Year() < 1980:
		f.say(name, "%s lies before 1980.", day.Format(time.DateOnly))
	case day.After(dayOf(now)):
		f.say(name, "%s lies ahead: what is written down has been done.", day.Format("2 January 2006"))
	}
	return day
}

// previewView is the course that follows from what was typed.
type previewView struct {
	Course  *courseView
	Day     string
	Advice  string
	Warning []string
	Flush   string
	Targets []targetView
	Assumed []assumedView
}

// preview works the course out without keeping anything.
func (s *Server) preview(b *repotting) (*previewView, error) {
	p := b.plant
	p.Repot = b.repot
	c, err := care.NewCourse(b.kase, p, s.Book.Tables(), s.Book.Today())
	if err != nil {
		return nil, err
	}
	v := &previewView{Advice: c.Advice, Warning: c.Warnings, Flush: c.Flush.Says(b.u, b.repot.To.Noun()), Targets: newTargets(b.u, &c)}
	v.Day = string(c.Stage)
	for _, a := range c.Assumed {
		v.Assumed = append(v.Assumed, newAssumed(b.u, a))
	}
	v.Course, err = newCourseView("preview", b.u, &c)
	return v, err
}

// mostParts is how many components of a mix a form takes.
const mostParts = 4
