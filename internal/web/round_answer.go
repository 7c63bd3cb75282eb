package web

import (
	"context"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/science/course"
)

// mostRoundRoots is as many roots as one form takes.
const mostRoundRoots = 20

// answerJob takes what was done about a job.
func (s *Server) answerJob(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	key := f.text("job")
	plant, task, err := s.jobOf(key)
	if err != nil {
		return err
	}
	entries, err := s.answers(f, key, plant.id, task)
	if err != nil {
		return err
	}
	if f.wrong() {
		v, err := s.newJobPage(r, key)
		if err != nil {
			return err
		}
		v.keepRoots(f, s.units())
		f.keep(v.values()...)
		v.Wrong = true
		return s.render(w, r, http.StatusUnprocessableEntity, "round-job.html", v)
	}
	for i := range entries {
		entries[i].By = byOf(r)
	}
	if err := s.appendOnce(r.Context(), f.text("entry"), entries); err != nil {
		return err
	}
	today := s.Book.Today()
	back := roundPath(today, today, part{f.values.Has("space"), f.short("space")})
	return seeOther(w, r, back+"#"+anchor(f.text("next")))
}

// answers reads the entries that a job's form amounts to: the first answers the
// job, the others say what was measured along with it.
func (s *Server) answers(f *form, key, plant string, task care.Task) (list []care.Entry, err error) {
	u := s.units()
	add := func(kind care.Kind, d care.Detail) {
		list = append(list, s.newEntry(kind, plant, d))
	}
	if reason, skips := f.skipped(); skips {
		add(care.Skipped, care.Detail{Job: key, Reason: reason, Wet: one(f, "wet", care.Wetnesses)})
		return list, nil
	}
	d := care.Detail{Job: key, Note: f.text("note")}
	switch task {
	case care.Flushing:
		d.VolumeML, d.WaterName, d.Wet = f.ml(), f.short("water"), one(f, "wet", care.Wetnesses)
		add(care.FlushDone, d)
		if ec := f.number("ec", drainageEC, u); ec != nil {
			add(care.DrainageRead, care.Detail{ECmS: ec})
		}
		if mass := f.number("mass", potMass, u); mass != nil {
			add(care.Weighed, care.Detail{MassG: mass})
		}
	case care.Feeding:
		d.VolumeML, d.WaterName = f.ml(), f.short("water")
		d.ECmS = f.number("ec", feedEC, u)
		add(care.FeedDone, d)
	case care.Watering:
		d.VolumeML, d.WaterName, d.Wet = f.ml(), f.short("water"), one(f, "wet", care.Wetnesses)
		add(care.WaterGiven, d)
	case care.Misting:
		d.VolumeML, d.WaterName = f.ml(), f.short("water")
		add(care.MistDone, d)
	case care.LookForPests:
		if f.text("do") == "found" {
			d.Pest = f.required("pest", "Choose what it is, or press None seen.")
			// A pest that the tables do not know would leave the plant without a
			// course.
			if _, err := s.Book.Tables().Pest(d.Pest); err != nil && d.Pest != "" {
				f.say("pest", "%q is not one of the choices.", d.Pest)
			}
		}
		add(care.PestLook, d)
	case care.Review:
		d.Stage = one(f, "stage", []course.Stage{course.Settling, course.Rooting, course.SteppingUp, course.Established})
		add(care.Reviewed, d)
	case care.MeasureRoots:
		d.Roots = f.roots(u)
		add(care.RootsRead, d)
	default:
		return nil, fmt.Errorf("%w: a %s is not entered here", errBadRequest, task)
	}
	if sign := one(f, "sign", care.SeenSigns); sign != "" {
		add(care.SignSeen, care.Detail{Sign: sign})
	}
	return list, nil
}

// skipped reads why a job is skipped, if it is.
func (f *form) skipped() (reason string, skips bool) {
	if reason = f.short("skip"); reason != "" {
		return reason, true
	}
	reason = f.short("reason")
	switch {
	case f.text("do") == "skip":
		if reason == "" {
			f.say("reason", "Say why, or choose one of the reasons.")
		}
		return reason, true
	case reason != "":
		f.say("reason", "A reason is written here: press Skip, or empty it.")
	}
	return "", false
}

// number reads an optional quantity.
func (f *form) number(name string, m measure, u care.Units) *float64 {
	text := f.text(name)
	if text == "" {
		return nil
	}
	v, err := m.read(text, u)
	if err != nil {
		f.say(name, "%s.", sentence(err.Error()))
		return nil
	}
	return &v.Value
}

// ml reads what the page asked to pour.
func (f *form) ml() *float64 {
	text := f.text("ml")
	if text == "" {
		return nil
	}
	v, err := pourVolume.read(text+" mL", care.Units{})
	if err != nil {
		return nil // it was not typed: no person can mend it
	}
	return &v.Value
}

// roots reads the lengths of marked roots; rows without a length were left out.
func (f *form) roots(u care.Units) []care.RootReading {
	var list []care.RootReading
	first := ""
	for i := range mostRoundRoots {
		length := fmt.Sprintf("length.%d", i)
		if !f.values.Has(length) {
			break
		}
		if first == "" {
			first = length
		}
		mm := f.number(length, rootLength, u)
		mark := f.short(fmt.Sprintf("root.%d", i))
		switch {
		case mm == nil:
			continue
		case mark == "":
			f.say(fmt.Sprintf("root.%d", i), "Which root is it? A letter or the colour of its thread will do.")
		case slices.ContainsFunc(list, func(other care.RootReading) bool { return strings.EqualFold(other.Root, mark) }):
			f.say(fmt.Sprintf("root.%d", i), "%s is measured above already.", mark)
		}
		list = append(list, care.RootReading{Root: mark, LengthMM: *mm, Tip: one(f, fmt.Sprintf("tip.%d", i), tipStates)})
	}
	if len(list) == 0 && !f.wrong() {
		if first == "" {
			first = "length.0"
		}
		f.say(first, "Enter one length at least.")
	}
	return list
}

// appendOnce keeps what a form says. Sent twice, the form is kept once: id is
// that which its first entry gets.
func (s *Server) appendOnce(ctx context.Context, id string, entries []care.Entry) error {
	first := &entries[0]
	if id == "" {
		_, err := s.Book.Append(ctx, entries...)
		return err
	}
	fresh := first.ID
	first.ID = id
	known, err := s.known(ctx, *first)
	if err != nil {
		return err
	}
	if known == first.Kind {
		return nil
	}
	if known != "" { // the page was gone back to, and now says something else
		first.ID = fresh
	}
	_, err = s.Book.Append(ctx, entries...)
	if err != nil {
		if known, lookErr := s.known(ctx, *first); lookErr == nil && known == first.Kind {
			return nil // the same form arrived twice at once
		}
	}
	return err
}

// known returns the kind of the entry that a plant's journal has under the id
// of another, or nothing.
func (s *Server) known(ctx context.Context, e care.Entry) (care.Kind, error) {
	history, err := s.Book.Journal(ctx, e.Plant)
	if err != nil {
		return "", err
	}
	for _, kept := range history {
		if kept.ID == e.ID {
			return kept.Kind, nil
		}
	}
	return "", nil
}

var anchorForm = regexp.MustCompile(`^[a-z][a-z0-9-]{0,40}$`)

// anchor returns the place on the page that was asked for, if it can be one.
func anchor(name string) string {
	if anchorForm.MatchString(name) {
		return name
	}
	return "main"
}
