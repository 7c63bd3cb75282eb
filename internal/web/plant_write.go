package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
)

// writer is what the forms for writing something down know of the plant.
type writer struct {
	s      *Server
	u      care.Units
	sp     specimen
	course *care.Course // nil without one
}

// question is one part of a form: a field, several in a row, or words.
type question struct {
	Field  *field
	Row    []*field
	Legend string
	Text   string
	Terms  []term // to be read up
}

// term is a word with what it means.
type term struct{ Word, Means string }

func ask(f field) question { return question{Field: &f} }

// entryForm is the form for one kind of entry.
type entryForm struct {
	slug  string
	kind  care.Kind
	title string
	lead  string
	// ask returns the questions; d is what the entry says so far, or nothing
	// for a new one.
	ask func(w *writer, d care.Detail, fresh bool) []question
	// read returns what was answered. kept is what the entry said before.
	read      func(w *writer, f *form, kept care.Detail) care.Detail
	cautions  []culture.Situation
	evidence  []evidence
	multipart bool
	note      string // label of the note, if it is not the usual one
}

// evidence is something worth knowing before deciding, with where it is from.
type evidence struct{ Text, Basis string }

func formOf(kind care.Kind) *entryForm {
	if i := slices.IndexFunc(entryForms, func(f entryForm) bool { return f.kind == kind }); i >= 0 {
		return &entryForms[i]
	}
	return nil
}

// writeLink leads to a form.
type writeLink struct{ Path, Name string }

// often are the forms that stand in front.
var often = []care.Kind{care.FlushDone, care.RootsRead, care.Weighed, care.PestLook, care.Photographed, care.Noted}

// writeLinks returns the forms for a plant, and those less often needed.
func writeLinks(sp specimen) (front, more []writeLink) {
	for _, kind := range often {
		front = append(front, writeLink{writePath(sp, kind, ""), formOf(kind).title})
	}
	for _, f := range entryForms {
		if !slices.Contains(often, f.kind) {
			more = append(more, writeLink{writePath(sp, f.kind, ""), f.title})
		}
	}
	return front, more
}

// writePath leads to the form for a kind of entry, for a job if one is named.
func writePath(sp specimen, kind care.Kind, job string) string {
	path := sp.path() + "/write/" + formOf(kind).slug
	if job != "" {
		path += "?job=" + url.QueryEscape(job)
	}
	return path
}

// writeView is a form for one entry.
type writeView struct {
	frame
	Plant     plantHead
	Action    string
	Multipart bool
	Lead      string
	Problem   string
	Entry     string // id of the entry to be
	Job, Then string
	When      field
	Questions []question
	Note      field
	Evidence  []evidence
	Cautions  []string
	Send      string
	Changing  string // when the entry that is changed was written
	Withdraw  string // path
}

// showWrite shows an empty form.
func (s *Server) showWrite(w http.ResponseWriter, r *http.Request) error {
	wr, form, err := s.writerOf(r)
	if err != nil {
		return err
	}
	v := wr.view(form, care.Detail{}, true)
	v.Action = writePath(wr.sp, form.kind, "")
	v.Job, v.Then = r.URL.Query().Get("job"), r.URL.Query().Get("then")
	return s.render(w, r, http.StatusOK, "plant-write.html", v)
}

func (s *Server) writerOf(r *http.Request) (*writer, *entryForm, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, nil, err
	}
	i := slices.IndexFunc(entryForms, func(f entryForm) bool { return f.slug == r.PathValue("what") })
	if i < 0 {
		return nil, nil, fmt.Errorf("%w: nothing is written down under %s", errNotFound, r.PathValue("what"))
	}
	return s.newWriter(sp), &entryForms[i], nil
}

func (s *Server) newWriter(sp specimen) *writer {
	wr := &writer{s: s, u: sp.settings.Units, sp: sp}
	if len(sp.state.Repots) > 0 {
		if c, err := s.Book.Course(sp.id, s.Book.Today()); err == nil {
			wr.course = &c
		}
	}
	return wr
}

// whenLayout is how a browser writes a date with a time.
const whenLayout = "2006-01-02T15:04"

// view makes the form ready to be shown.
func (wr *writer) view(f *entryForm, d care.Detail, fresh bool) *writeView {
	v := &writeView{
		Plant: newPlantHead(wr.sp), Multipart: f.multipart, Lead: f.lead, Entry: newID(), Evidence: f.evidence, Send: "Keep",
		When:      field{Name: "when", Label: "When", Type: "datetime-local", Value: wr.s.Now().Format(whenLayout), Required: !f.multipart},
		Questions: f.ask(wr, d, fresh),
		Note:      field{Name: "note", Label: "Note", Type: "textarea", Value: d.Note},
	}
	if f.note != "" {
		v.Note.Label = f.note
	}
	if f.kind == care.Noted {
		v.Note.Required = true
	}
	if f.multipart && fresh {
		v.When.Value, v.When.Hint = "", "Left empty: when the camera took it, as far as the picture says so; otherwise now."
	}
	for _, situation := range f.cautions {
		for _, one := range wr.s.Book.Tables().Cautions(situation) {
			v.Cautions = append(v.Cautions, one.Text.Is)
		}
	}
	v.Title, v.Here, v.Style, v.Module = f.title, "collection", "plant.css", "modules/plant-form.js"
	return v
}

// keep puts what was typed back into the form.
func (v *writeView) keep(f *form) {
	f.keep(&v.When, &v.Note)
	keepQuestions(f, v.Questions)
	v.Entry, v.Job, v.Then = f.text("entry"), f.text("job"), f.text("then")
	v.Problem = f.errors[""]
}

func keepQuestions(f *form, list []question) {
	for _, q := range list {
		if q.Field != nil {
			f.keep(q.Field)
		}
		f.keep(q.Row...)
	}
}

// write takes a form.
func (s *Server) write(w http.ResponseWriter, r *http.Request) error {
	wr, form, err := s.writerOf(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	e := s.newEntry(form.kind, wr.sp.id, care.Detail{})
	e.At = f.when(e.At, s.Now().Location())
	e.Detail = form.read(wr, f, care.Detail{})
	e.Detail.Note, e.Detail.Job = f.text("note"), f.text("job")
	if form.multipart {
		if err := s.takePicture(r, f, &e); err != nil {
			return err
		}
	}
	f.checkEntry(e, s.Now())
	if !f.wrong() {
		err := f.refusedBy(s.keep(r, f.text("entry"), e))
		if err != nil {
			return err
		}
	}
	if f.wrong() {
		v := wr.view(form, care.Detail{}, true)
		v.Action = writePath(wr.sp, form.kind, "")
		v.keep(f)
		return s.render(w, r, http.StatusUnprocessableEntity, "plant-write.html", v)
	}
	then := wr.sp.path() + "?done=kept"
	switch {
	case f.text("then") != "":
		then = keptPath(ownPath(f.text("then")))
	case form.kind == care.DrainageRead:
		then += "#flush"
	case form.kind == care.WetnessSeen || form.kind == care.Weighed:
		then += "#learned"
	case form.kind == care.RootsRead:
		then += "#roots"
	}
	return seeOther(w, r, then)
}

// keptPath is a path on which it is said that something was kept.
func keptPath(path string) string {
	u, err := url.Parse(path)
	if err != nil {
		return path
	}
	q := u.Query()
	q.Set("done", "kept")
	u.RawQuery = q.Encode()
	return u.String()
}

// showChange shows the form of an entry that may be changed.
func (s *Server) showChange(w http.ResponseWriter, r *http.Request) error {
	wr, form, old, err := s.changing(r)
	if err != nil {
		return err
	}
	v, err := wr.changeView(form, old)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "plant-write.html", v)
}

func (s *Server) changing(r *http.Request) (*writer, *entryForm, care.Entry, error) {
	sp, err := s.specimenOf(r)
	if err != nil {
		return nil, nil, care.Entry{}, err
	}
	old, err := s.standingEntry(r, sp)
	if err != nil {
		return nil, nil, old, err
	}
	form := formOf(old.Kind)
	if form == nil {
		return nil, nil, old, fmt.Errorf("%w: entries of this kind are not changed here", errNotFound)
	}
	return s.newWriter(sp), form, old, nil
}

func (wr *writer) changeView(f *entryForm, old care.Entry) (*writeView, error) {
	v := wr.view(f, old.Detail, false)
	v.Title, v.Action, v.Send = "Change: "+f.title, entryPath(wr.sp, old.ID), "Keep the change"
	v.When.Value = old.At.In(wr.s.Now().Location()).Format(whenLayout)
	v.Changing, v.Withdraw = recordedWords(old), entryPath(wr.sp, old.ID)+"/withdraw"
	v.Multipart = false
	return v, nil
}

// change takes the changed form of an entry: the old one stays in the journal.
func (s *Server) change(w http.ResponseWriter, r *http.Request) error {
	wr, form, old, err := s.changing(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	at := f.when(old.At, s.Now().Location())
	if f.text("when") == old.At.In(s.Now().Location()).Format(whenLayout) {
		at = old.At // to the second
	}
	d := form.read(wr, f, old.Detail)
	d.Note, d.Job, d.Photo, d.Original = f.text("note"), old.Detail.Job, old.Detail.Photo, old.Detail.Original
	now := old
	now.At, now.Detail = at, d
	f.checkEntry(now, s.Now())
	if !f.wrong() {
		err := f.refusedBy(s.correct(r, old, at, d))
		if err != nil {
			return err
		}
	}
	if f.wrong() {
		v, err := wr.changeView(form, old)
		if err != nil {
			return err
		}
		v.keep(f)
		return s.render(w, r, http.StatusUnprocessableEntity, "plant-write.html", v)
	}
	return seeOther(w, r, wr.sp.path()+"?done=kept#journal")
}

// when reads the field of that name; an empty one is the given time.
func (f *form) when(now time.Time, place *time.Location) time.Time {
	text := f.text("when")
	if text == "" || text == now.In(place).Format(whenLayout) {
		return now
	}
	for _, layout := range []string{whenLayout, whenLayout + ":05", time.DateOnly} {
		if at, err := time.ParseInLocation(layout, text, place); err == nil {
			return at
		}
	}
	f.say("when", "%q is no date with a time; write it as in %s.", text, now.In(place).Format(whenLayout))
	return now
}

// entryFields says which field of a form a field of an entry comes from.
var entryFields = map[string]string{
	"at": "when", "detail.note": "note", "detail.volume_ml": "volume", "detail.ec_ms": "ec", "detail.mass_g": "mass",
	"detail.leaves": "leaves", "detail.pseudobulbs": "bulbs", "detail.wrinkle": "wrinkle", "detail.to_space": "space",
	"detail.spike": "spike", "detail.roots": "length0", "detail.photo": "picture",
}

// checkEntry says what is wrong with an entry at the fields it comes from, as
// far as the form has not said so already.
func (f *form) checkEntry(e care.Entry, now time.Time) {
	if f.wrong() {
		return
	}
	for _, p := range e.Check(now) {
		name, known := entryFields[p.Field]
		message := sentence(p.Message) + "."
		if !known {
			message = p.Field + ": " + p.Message + "."
		}
		f.say(name, "%s", message)
	}
}

// refusedBy says what the book refused; another error is returned.
func (f *form) refusedBy(err error) error {
	var refused *book.Invalid
	if !errors.As(err, &refused) {
		return err
	}
	for _, p := range refused.Problems {
		f.say(entryFields[p.Field], "%s.", sentence(p.Message))
	}
	return nil
}
