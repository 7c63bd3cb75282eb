package web

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/google/uuid"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
)

// recordFields are the questions about a plant itself.
type recordFields struct {
	Label, Name, Group, Space     field
	Leaves, LeafLength, LeafWidth field
	Bulbs, Vigour                 field
}

// recordView adds a plant or changes its record.
type recordView struct {
	frame
	Action, Back string
	Entry, Plant string // ids of the entry and, for a new plant, of the plant
	Known        bool
	recordFields
	NoSpaces bool
	Note     field
}

var vigourWords = map[care.Vigour]string{
	care.Strong: "strong: it never wilted", care.Ordinary: "ordinary", care.Weak: "weak", care.Rescue: "rescue: losing water faster than its roots bring it",
}

func (s *Server) newRecordFields(u care.Units, kase care.Case, p care.Plant) recordFields {
	count := func(v basis.Value) string {
		if v.Grade == 0 {
			return ""
		}
		return strconv.FormatFloat(v.Value, 'f', -1, 64)
	}
	q := recordFields{
		Label:      field{Name: "label", Label: "Label", Value: p.Label, Hint: "What stands on its tag. No two plants have the same."},
		Name:       field{Name: "name", Label: "Name", Value: p.Name, Hint: "May stay empty."},
		Group:      field{Name: "group", Label: "Group", Value: p.Group, Type: "listed", Hint: "A genus, a group, an abbreviation or what the nursery's label says."},
		Space:      field{Name: "space", Label: "Space", Type: "select", Options: []choice{{Label: "not said"}}},
		Leaves:     field{Name: "leaves", Label: "Leaves", Mode: "numeric", Value: count(p.Leaves)},
		LeafLength: field{Name: "leaf_length", Label: "Length of a leaf", Mode: "decimal", Value: shown(u, p.LeafLengthCm)},
		LeafWidth:  field{Name: "leaf_width", Label: "Width of a leaf", Mode: "decimal", Value: shown(u, p.LeafWidthCm)},
		Bulbs:      field{Name: "bulbs", Label: "Bulbs or canes", Mode: "numeric", Value: count(p.Pseudobulbs)},
		Vigour:     field{Name: "vigour", Label: "State before the work", Type: "radios", Options: []choice{{Label: "not judged", Chosen: p.Vigour == ""}}},
	}
	for _, v := range care.Vigours {
		q.Vigour.Options = append(q.Vigour.Options, choice{string(v), sentence(vigourWords[v]), v == p.Vigour})
	}
	if len(kase.Spaces) == 1 && p.Space == "" {
		p.Space = kase.Spaces[0].Name
	}
	for _, one := range kase.Spaces {
		q.Space.Options = append(q.Space.Options, choice{one.Name, one.Name, strings.EqualFold(one.Name, p.Space)})
	}
	for _, g := range s.Book.Tables().Groups() {
		q.Group.Options = append(q.Group.Options, choice{Value: g.Name, Label: g.Name})
	}
	return q
}

func (q *recordFields) list() []*field {
	return []*field{&q.Label, &q.Name, &q.Group, &q.Space, &q.Leaves, &q.LeafLength, &q.LeafWidth, &q.Bulbs, &q.Vigour}
}

// readRecord reads the questions about a plant. Routine and whatever the form
// does not ask for stay as they were.
func (s *Server) readRecord(f *form, u care.Units, kase care.Case, kept care.Plant) care.Plant {
	p := kept
	p.Repot = care.Repot{}
	p.Label = f.short("label")
	if p.Label == "" {
		f.say("label", "Write down what stands on its tag.")
	}
	p.Name = f.short("name")
	p.Group = f.required("group", "Which group? A genus is enough to begin with.")
	if p.Group != "" {
		if _, err := s.Book.Tables().Lookup(p.Group); err != nil {
			f.say("group", "%s", nameProblem(err))
		}
	}
	p.Space = f.text("space")
	if p.Space == "" && len(kase.Spaces) > 1 {
		f.say("space", "Choose where it stands: the course needs its climate.")
	}
	p.Leaves = f.counted("leaves", kept.Leaves)
	p.Pseudobulbs = f.counted("bulbs", kept.Pseudobulbs)
	p.LeafLengthCm = f.quantity("leaf_length", plantLength, u, kept.LeafLengthCm)
	p.LeafWidthCm = f.quantity("leaf_width", plantLength, u, kept.LeafWidthCm)
	p.Vigour = one(f, "vigour", care.Vigours)
	return p
}

// counted reads an optional count as a quantity.
func (f *form) counted(name string, kept basis.Value) basis.Value {
	n := f.whole(name, 5000)
	switch {
	case n == nil:
		return basis.Value{}
	case kept.Grade != 0 && kept.Value == float64(*n):
		return kept
	}
	return basis.Exactly(float64(*n), "", basis.Given, "")
}

// nameProblem tells a name that means nothing, or too much, with what it may
// have been meant for.
func nameProblem(err error) string {
	var unknown *culture.UnknownNameError
	var ambiguous *culture.AmbiguousNameError
	switch {
	case errors.As(err, &unknown) && len(unknown.Nearest) > 0:
		return fmt.Sprintf("%q is not known. Nearest: %s.", unknown.Name, strings.Join(unknown.Nearest, "; "))
	case errors.As(err, &unknown):
		return fmt.Sprintf("%q is not known, and nothing comes near it.", unknown.Name)
	case errors.As(err, &ambiguous):
		return fmt.Sprintf("%q has kinds with different needs. Write one of: %s.", ambiguous.Name, strings.Join(ambiguous.Candidates, "; "))
	}
	return sentence(err.Error()) + "."
}

// labelTaken says so if another plant that is still here has the label.
func (s *Server) labelTaken(f *form, label, id string) {
	s.Book.Read(func(c *care.Collection) {
		if p, err := c.ByLabel(label); err == nil && p.ID != id && p.Ended.IsZero() {
			f.say("label", "%s is on another plant already.", p.Record.Label)
		}
	})
}

func (s *Server) showNewPlant(w http.ResponseWriter, r *http.Request) error {
	var kase care.Case
	var u care.Units
	s.Book.Read(func(c *care.Collection) { kase, u = c.Case(), c.Settings.Units })
	v := s.newRecordView(u, kase, care.Plant{Label: r.URL.Query().Get("label")})
	return s.render(w, r, http.StatusOK, "plant-record.html", v)
}

func (s *Server) newRecordView(u care.Units, kase care.Case, p care.Plant) *recordView {
	v := &recordView{
		Action: "/plant/new", Back: "/collection", Entry: newID(), Plant: newID(), recordFields: s.newRecordFields(u, kase, p), NoSpaces: len(kase.Spaces) == 0,
		Note: field{Name: "note", Label: "Note", Type: "textarea"},
	}
	v.Title, v.Here, v.Style, v.Module = "Add a plant", "collection", "plant.css", "modules/plant-form.js"
	return v
}

func (s *Server) addPlant(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	var kase care.Case
	var u care.Units
	s.Book.Read(func(c *care.Collection) { kase, u = c.Case(), c.Settings.Units })
	p := s.readRecord(f, u, kase, care.Plant{})
	id := formID(f.text("plant"))
	s.labelTaken(f, p.Label, id)
	if !f.wrong() {
		e := s.newEntry(care.PlantSet, id, care.Detail{Plant: &p, Note: f.text("note")})
		if err := f.refusedBy(s.keep(r, f.text("entry"), e)); err != nil {
			return err
		}
	}
	if f.wrong() {
		v := s.newRecordView(u, kase, p)
		v.keep(f)
		return s.render(w, r, http.StatusUnprocessableEntity, "plant-record.html", v)
	}
	if f.text("then") == "repot" {
		return seeOther(w, r, "/repot?done=added&plant="+id)
	}
	return seeOther(w, r, "/plant/"+id+"?done=added")
}

// formID returns the id a form carries for a new plant, or a new one where it
// carries none.
func formID(text string) string {
	if id, err := uuid.Parse(text); err == nil {
		return id.String()
	}
	return newID()
}

func (v *recordView) keep(f *form) {
	f.keep(v.list()...)
	f.keep(&v.Note)
	v.Entry, v.Plant = f.text("entry"), f.text("plant")
}

func (s *Server) knownRecordView(sp specimen) (*recordView, error) {
	v := s.newRecordView(sp.settings.Units, sp.kase, sp.state.Record)
	v.Title, v.Known, v.Plant = "Record of "+sp.label(), true, sp.id
	v.Action, v.Back = sp.path()+"/record", sp.path()
	return v, nil
}

func (s *Server) showRecord(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	v, err := s.knownRecordView(sp)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "plant-record.html", v)
}

func (s *Server) changeRecord(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	p := s.readRecord(f, sp.settings.Units, sp.kase, sp.state.Record)
	s.labelTaken(f, p.Label, sp.id)
	if !f.wrong() {
		e := s.newEntry(care.PlantSet, sp.id, care.Detail{Plant: &p, Note: f.text("note")})
		if err := f.refusedBy(s.keep(r, f.text("entry"), e)); err != nil {
			return err
		}
	}
	if f.wrong() {
		v, err := s.knownRecordView(sp)
		if err != nil {
			return err
		}
		v.keep(f)
		return s.render(w, r, http.StatusUnprocessableEntity, "plant-record.html", v)
	}
	return seeOther(w, r, sp.path()+"?done=kept")
}
