package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/internal/store"
)

// sharedView is what somebody sees who followed a link.
type sharedView struct {
	frame
	Day     string
	For     string
	Until   string
	May     bool // tick and note
	Path    string
	Stops   []sharedStop
	Plant   *sharedPlant
	Later   int // jobs that wait for the grower
	Nothing bool
	Note    field
	Entry   string
	Wrong   string
	Done    string
}

// sharedStop is the part of a shared round in one space.
type sharedStop struct {
	Space string
	Jobs  []sharedJob
}

// sharedJob is one job to be ticked.
type sharedJob struct {
	Key, Entry, Label, Name, Task, Amount string
	Button                                string
}

// sharedPlant is a plant to be looked at.
type sharedPlant struct {
	Label, Name, Group, Tale, Day, Advice, Flush string
	Warnings                                     []string
	Targets                                      []targetView
	Signs                                        []signList
	Cautions                                     []string
}

// sharedJobs are the jobs of today within a link, and how many more there are
// that it does not offer.
func (s *Server) sharedJobs(ctx context.Context, l store.Link) (jobs []care.Job, later int, err error) {
	open, err := s.openToday(ctx)
	for _, job := range open {
		switch {
		case !within(l, job.Plant, job.Space):
		case !sittersTasks[job.Task]:
			later++
		default:
			jobs = append(jobs, job)
		}
	}
	return jobs, later, err
}

// within reports whether a plant in a space lies in the reach of a link.
func within(l store.Link, plant, space string) bool {
	switch l.Sort {
	case linkPlant:
		return plant == l.Subject
	case linkRound:
		return l.Subject == "" || strings.EqualFold(space, l.Subject)
	}
	return false
}

func (s *Server) showShared(w http.ResponseWriter, r *http.Request) error {
	l, err := s.linkOf(r.Context(), r.PathValue("token"), "")
	if err != nil {
		return err
	}
	if l.Sort == linkCalendar {
		return errLinkEnded
	}
	v, err := s.newSharedView(r, l)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "shared.html", v)
}

func (s *Server) newSharedView(r *http.Request, l store.Link) (*sharedView, error) {
	jobs, later, err := s.sharedJobs(r.Context(), l)
	if err != nil {
		return nil, err
	}
	v := &sharedView{
		Day: longDay(s.Book.Today()), For: l.Name, Until: linkDay(l, s.Now()).Format("2 January 2006"), May: l.Scope == linkTicks,
		Path: "/s/" + r.PathValue("token"), Later: later, Nothing: len(jobs) == 0, Entry: newID(),
		Note: field{Name: "note", Label: "A note for the grower", Type: "textarea", Required: true, Hint: "What you saw, and on which plant."},
	}
	for _, job := range jobs {
		if len(v.Stops) == 0 || v.Stops[len(v.Stops)-1].Space != job.Space {
			v.Stops = append(v.Stops, sharedStop{Space: job.Space})
		}
		stop := &v.Stops[len(v.Stops)-1]
		form := taskForms[job.Task]
		stop.Jobs = append(stop.Jobs, sharedJob{job.Key, newID(), job.Label, job.Name, form.name, job.Amount, orWord(form.button, "Nothing seen")})
	}
	if l.Sort == linkPlant {
		if v.Plant, err = s.newSharedPlant(l.Subject); err != nil {
			return nil, err
		}
		v.Note.Hint = "What you saw."
	}
	v.Title, v.Bare, v.Style = "The round", true, "plant.css"
	if v.Plant != nil {
		v.Title = v.Plant.Label
	}
	return v, nil
}

func (s *Server) newSharedPlant(id string) (*sharedPlant, error) {
	sp, err := s.specimen(id)
	if err != nil {
		return nil, err
	}
	p, u := sp.state.Record, sp.settings.Units
	v := &sharedPlant{Label: p.Label, Name: p.Name, Group: p.Group}
	if len(sp.state.Repots) == 0 {
		return v, nil
	}
	c, err := s.Book.Course(id, s.Book.Today())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errUnavailable, err)
	}
	v.Tale = fmt.Sprintf("%s on %s: %s", sentence(string(c.Work)), c.Repot.Format("2 January 2006"), p.Repot.To.Says(u))
	v.Day = fmt.Sprintf("Day %d: %s", c.Day, c.Stage)
	v.Advice, v.Flush, v.Warnings = c.Advice, c.Flush.Says(u, homeNoun(sp)), c.Warnings
	v.Targets, v.Signs, v.Cautions = newTargets(u, &c), newSigns(&c), unlike(c.Cautions)
	return v, nil
}

// sharedForm reads what was sent through a link that lets tick and note.
func (s *Server) sharedForm(r *http.Request) (store.Link, *form, error) {
	l, err := s.linkOf(r.Context(), r.PathValue("token"), "")
	if err != nil {
		return l, nil, err
	}
	if l.Scope != linkTicks || l.Sort == linkCalendar {
		return l, nil, fmt.Errorf("%w: this link is for looking only", errForbidden)
	}
	f, err := readForm(r)
	return l, f, err
}

// tickShared takes a tick: the job was done, or could not be. It has to be one
// that the link shows now; one that was answered meanwhile stays answered.
func (s *Server) tickShared(w http.ResponseWriter, r *http.Request) error {
	l, f, err := s.sharedForm(r)
	if err != nil {
		return err
	}
	key := f.text("job")
	note, reason := f.short("note"), ""
	if f.text("do") == "skip" {
		note, reason = "", orWord(note, "could not be done")
	}
	if f.wrong() {
		return fmt.Errorf("%w: %s", errBadRequest, f.errors["note"])
	}
	s.ticking.Lock() // two at once are found to be one
	defer s.ticking.Unlock()
	back := "/s/" + r.PathValue("token") + "?done=ticked"
	jobs, _, err := s.sharedJobs(r.Context(), l)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(jobs, func(j care.Job) bool { return j.Key == key })
	if i < 0 {
		if s.answeredWithin(l, key) {
			return seeOther(w, r, back)
		}
		return fmt.Errorf("%w: this job is not among those of the link today", errForbidden)
	}
	e := s.ticked(jobs[i], reason, note)
	e.By = l.Name
	if err := s.appendOnce(r.Context(), sharedEntry(f), []care.Entry{e}); err != nil {
		return err
	}
	return seeOther(w, r, back)
}

// answeredWithin reports whether a job within a link's reach was answered
// already, so that a tick sent twice is no error.
func (s *Server) answeredWithin(l store.Link, key string) (answered bool) {
	s.Book.Read(func(c *care.Collection) {
		if p := c.Plants[plantOfJob(key)]; p != nil && within(l, p.ID, p.Record.Space) {
			_, answered = p.Done[key]
		}
	})
	return answered
}

// sharedEntry is the id that the form carries for its entry; one that is no id is
// passed over.
func sharedEntry(f *form) string { return formID(f.text("entry")) }

// noteShared takes a note: on the plant of the link, or on one of the round's by
// its label.
func (s *Server) noteShared(w http.ResponseWriter, r *http.Request) error {
	l, f, err := s.sharedForm(r)
	if err != nil {
		return err
	}
	plant := l.Subject
	if l.Sort == linkRound {
		plant = s.labelled(f.short("label"))
		reached := false
		s.Book.Read(func(c *care.Collection) {
			if p := c.Plants[plant]; p != nil {
				reached = within(l, plant, p.Record.Space)
			}
		})
		if !reached {
			f.say("label", "No plant of this round has the label %s.", f.short("label"))
		}
	}
	note := f.required("note", "Write what you saw.")
	if f.wrong() {
		v, err := s.newSharedView(r, l)
		if err != nil {
			return err
		}
		f.keep(&v.Note)
		v.Wrong = f.errors["label"]
		return s.render(w, r, http.StatusUnprocessableEntity, "shared.html", v)
	}
	e := s.newEntry(care.Noted, plant, care.Detail{Note: note})
	e.By = l.Name
	if err := s.appendOnce(r.Context(), sharedEntry(f), []care.Entry{e}); err != nil {
		return err
	}
	return seeOther(w, r, "/s/"+r.PathValue("token")+"?done=noted")
}
