package web

import (
	"fmt"
	"iter"
	"net/http"
	"net/url"
	"strings"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/plan"
	"velamen/science/course"
)

// taskForm is how a task is asked about: what one tap says, and what the part
// that takes values is called.
type taskForm struct {
	name   string
	button string // empty where a value is needed
	more   string // empty where there is no value to give
	keep   string
	value  string // what the button under the values sends
	skips  []string
}

var taskForms = map[care.Task]taskForm{
	care.Flushing:     {"Flush", "Flushed", "+ values", "Flushed, with these", "done", []string{"still wet", "not home", "no water left"}},
	care.Feeding:      {"Feed", "Fed", "+ value", "Fed, with this", "done", []string{"not growing", "no feed mixed"}},
	care.Watering:     {"Water", "Watered", "+ look", "Watered, with this", "done", []string{"still wet", "not home"}},
	care.Misting:      {"Mist", "Misted", "", "", "", []string{"damp enough", "not home"}},
	care.LookForPests: {"Pest look", "None seen", "found", "Found this", "found", []string{"no time", "no lens at hand"}},
	care.MeasureRoots: {"Measure roots", "", "Enter lengths", "Keep these lengths", "done", []string{"no tips to see", "no time"}},
	care.Review:       {"Review", "Reviewed", "+ note", "Reviewed, with this", "done", []string{"too early to say", "no time"}},
	care.Photograph:   {"Photograph", "", "", "", "", []string{"no time", "no light"}},
}

// feedEC is how strong what was fed is.
var feedEC = measure{"the EC of a feed", "mS/cm", 0, 50, saltUnit, saltWritings}

// blankRoots is how many roots can be added at a time.
const blankRoots = 2

// form makes the form of a job, still empty.
func (m *roundMaker) form(key, plant string, task care.Task) jobView {
	f := taskForms[task]
	v := jobView{
		ID: elementID(key), Key: key, Plant: plant, Entry: newID(), Task: f.name,
		Button: f.button, More: f.more, Keep: f.keep, Value: f.value, Skips: f.skips, Fields: m.fields(plant, task),
	}
	if task == care.Photograph && m.s.Photos != nil {
		v.Picture = "/plant/" + plant + "/write/photograph?" + url.Values{"job": {key}, "then": {"/#" + v.ID}}.Encode()
	}
	return v
}

// fields are the values that a task takes, and what may be seen at those that look
// closely: it would make a long page of every job.
func (m *roundMaker) fields(plant string, task care.Task) []field {
	list := m.ownFields(plant, task)
	if task == care.LookForPests || task == care.Review { // the looks that take their time
		sign := field{Name: "sign", Label: "Also seen", Type: "select", Options: []choice{{"", "nothing of note", true}}}
		for _, s := range care.SeenSigns {
			sign.Options = append(sign.Options, choice{string(s), signWords[s], false})
		}
		list = append(list, sign)
	}
	return list
}

func (m *roundMaker) ownFields(plant string, task care.Task) []field {
	switch task {
	case care.Flushing:
		return []field{
			{Name: "ec", Label: "EC of the last drainage", Unit: drainageEC.usual(m.units), Mode: "decimal"},
			{Name: "mass", Label: "Weight after draining", Unit: potMass.usual(m.units), Mode: "decimal"},
			wetnessField("Found it", ""),
		}
	case care.Watering:
		return []field{wetnessField("Found it", "")}
	case care.Feeding:
		return []field{{Name: "ec", Label: "EC of the feed", Unit: feedEC.usual(m.units), Mode: "decimal"}}
	case care.LookForPests:
		f := field{Name: "pest", Label: "What is it?", Type: "select", Options: []choice{{"", "Choose", true}}}
		for _, p := range m.s.Book.Tables().Pests() {
			f.Options = append(f.Options, choice{p.Name, sentence(p.Name), false})
		}
		return []field{f, {Name: "note", Label: "Where, how many"}}
	case care.Review:
		stages := []course.Stage{course.Settling, course.Rooting, course.SteppingUp, course.Established}
		f := field{Name: "stage", Label: "Where it stands", Type: "select", Options: append([]choice{{"", "Not said", true}}, choices(stages, course.Stage(""))...)}
		return []field{f, {Name: "note", Label: "What you saw"}}
	case care.MeasureRoots:
		var list []field
		for i, root := range m.roots(plant) {
			list = append(list, roundRootFields(i, root, m.units)...)
		}
		for range blankRoots {
			list = append(list, roundRootFields(len(list)/3, rootKnown{}, m.units)...)
		}
		return list
	}
	return nil
}

// tipStates are the states of a root tip that an entry may name.
var tipStates = []string{"growing", "resting", "chewed", "broken"}

// roundRootFields ask for the mark, the length and the tip of one root; the mark of
// a known one stands fast.
func roundRootFields(i int, root rootKnown, u care.Units) []field {
	mark := field{Name: fmt.Sprintf("root.%d", i), Label: "Another root"}
	length := field{Name: fmt.Sprintf("length.%d", i), Label: "Length", Unit: rootLength.usual(u), Mode: "decimal"}
	if root.Mark != "" {
		mark.Type, mark.Value = "hidden", root.Mark
		length.Label, length.Hint = "Root "+root.Mark, "was "+root.Last
	}
	tip := field{Name: fmt.Sprintf("tip.%d", i), Label: "Tip", Type: "select", Options: append([]choice{{"", "not said", true}}, choices(tipStates, "")...)}
	return []field{mark, length, tip}
}

// jobPage is one job on a page of its own: for a reason in one's own words, and
// for what has to be typed again.
type jobPage struct {
	frame
	Job    jobView
	Path   string // of the plant
	Name   string
	Why    *becauseView
	Reason field
	Wrong  bool
}

func (s *Server) showJob(w http.ResponseWriter, r *http.Request) error {
	v, err := s.newJobPage(r, r.URL.Query().Get("job"))
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "round-job.html", v)
}

// newJobPage makes the page of a job. One that is not due any more, because
// somebody else answered it, can be answered all the same.
func (s *Server) newJobPage(r *http.Request, key string) (*jobPage, error) {
	plant, task, err := s.jobOf(key)
	if err != nil {
		return nil, err
	}
	m := s.newRoundMaker()
	m.on = s.Book.Today()
	v := &jobPage{
		Job: m.form(key, plant.id, task), Path: "/plant/" + plant.id, Name: plant.name,
		Reason: field{Name: "reason", Label: "Another reason"},
	}
	v.Job.Label, v.Job.Next = plant.label, v.Job.ID
	day, _, err := s.Book.Round(r.Context(), m.on)
	if err != nil {
		return nil, err
	}
	for job := range openJobs(day) {
		if job.Key == key {
			entry := v.Job.Entry
			v.Job = m.job(job)
			v.Job.Entry, v.Job.Next = entry, v.Job.ID
			v.Why = newBecause(m.units, job.Because, 0, "")
		}
	}
	v.Title, v.Here, v.Style = v.Job.Task+" "+plant.label, "round", "round.css"
	return v, nil
}

// jobPath is the address of the page of a job.
func jobPath(key string) string { return "/round/job?" + url.Values{"job": {key}}.Encode() }

// jobOf returns what the key of a job names.
func (s *Server) jobOf(key string) (p inhabitant, task care.Task, err error) {
	task = care.TaskOf(key)
	if _, ok := taskForms[task]; !ok {
		return p, task, fmt.Errorf("%w: there is no job %q", errBadRequest, key)
	}
	p.id, _, _ = strings.Cut(key, "/")
	s.Book.Read(func(c *care.Collection) {
		if plant := c.Plants[p.id]; plant != nil {
			p.label, p.name, p.space = plant.Record.Label, plant.Record.Name, plant.Record.Space
		}
	})
	if p.label == "" {
		return p, task, fmt.Errorf("%w: %s", book.ErrUnknownPlant, p.id)
	}
	return p, task, nil
}

// values returns the fields of a job by name, to be filled with what was typed.
func (v *jobPage) values() []*field {
	list := []*field{&v.Reason}
	for i := range v.Job.Fields {
		list = append(list, &v.Job.Fields[i])
	}
	return list
}

// keepRoots adds rows for roots that the form was sent with beyond those it
// starts with.
func (v *jobPage) keepRoots(f *form, u care.Units) {
	for i := len(v.Job.Fields) / 3; f.values.Has(fmt.Sprintf("length.%d", i)) && i < mostRoundRoots; i++ {
		v.Job.Fields = append(v.Job.Fields, roundRootFields(i, rootKnown{}, u)...)
	}
}

// openJobs goes through the jobs of a round, those that wait included.
func openJobs(day plan.Round) iter.Seq[care.Job] {
	return func(yield func(care.Job) bool) {
		for _, stop := range day.Stops {
			for _, job := range stop.Jobs {
				if !yield(job) {
					return
				}
			}
		}
		for _, w := range day.Waits {
			if !yield(w.Job) {
				return
			}
		}
	}
}
