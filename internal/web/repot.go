package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
)

func repotRoutes(on *router) {
	on.get("/repot", (*Server).showRepot)
	on.post("/repot", (*Server).repot)
	on.get("/plant/{id}/repotted", (*Server).showRepotted)
}

// repotView is the form in the order of the work at the bench.
type repotView struct {
	frame
	Entry, NewPlant string // ids of the entry and of a plant to be
	Plant           *plantHead
	PlantID, Change string
	Withdraw        string // path, when a repot is changed
	Piece           string // label of the plant it was divided from
	After           string // label of the plant that was repotted before, whose day and mix are filled in
	recordFields
	Date, Work          field
	From, To            homeFields
	RootsKept, RootTips field
	LeavesKept          field
	Pests               []pestChoice
	Flowers, Spike      field
	SpikeEvidence       []evidence
	Soaked              field
	Note                field
	NoSpaces            bool
	Problem             string
	Cautions            repotCautions
	Preview             *previewView
	Look                bool // the course was asked for
}

// pestChoice is one pest that may be ticked.
type pestChoice struct {
	Name, Label, Where string
	Chosen             bool
}

// repotCautions are shown where they apply.
type repotCautions struct{ Cutting, Tools, Pests, Dust, Moss, Lifting, Soak []string }

func (s *Server) cautions(situations ...culture.Situation) []string {
	var list []string
	for _, one := range situations {
		for _, c := range s.Book.Tables().Cautions(one) {
			list = append(list, c.Text.Is)
		}
	}
	return list
}

// bench is a repot in the making: the plant as it is known, and what was done.
type repotting struct {
	u     care.Units
	kase  care.Case
	id    string // of the plant; empty for one that is not known yet
	known *specimen
	plant care.Plant
	repot care.Repot
	spike string
}

// repottingOf starts from what the query names: a plant, one of its repots to be
// changed, or a plant that it is a piece of.
func (s *Server) repottingOf(r *http.Request, plant, change, piece string) (*repotting, *care.Entry, error) {
	b := &repotting{}
	s.Book.Read(func(c *care.Collection) { b.u, b.kase = c.Settings.Units, c.Case() })
	b.repot.Date = s.Book.Today()
	if piece != "" {
		mother, err := s.specimen(piece)
		if err != nil {
			return nil, nil, err
		}
		b.plant = care.Plant{Name: mother.state.Record.Name, Group: mother.state.Record.Group, Space: mother.state.Record.Space}
		b.repot = care.Repot{Date: mother.state.Record.Repot.Date, Work: care.Divided, From: mother.state.Record.Repot.From, SoakedHours: mother.state.Record.Repot.SoakedHours}
		return b, nil, nil
	}
	if plant == "" {
		return b, nil, nil
	}
	sp, err := s.specimen(plant)
	if err != nil {
		return nil, nil, err
	}
	b.id, b.known, b.plant = sp.id, &sp, sp.state.Record
	b.repot.From = sp.state.Record.Repot.To // it comes out of what it went into
	if change == "" {
		return b, nil, nil
	}
	entries, err := s.Book.Journal(r.Context(), sp.id)
	if err != nil {
		return nil, nil, err
	}
	old, err := standingOf(entries, change)
	if err == nil && old.Kind != care.RepotDone {
		err = fmt.Errorf("%w: no repot has this id", errNotFound)
	}
	if err != nil {
		return nil, nil, err
	}
	b.repot = *old.Detail.Repot
	if b.repot.Date.IsZero() {
		b.repot.Date = dayOf(old.At)
	}
	return b, &old, nil
}

// dayOf is the calendar day of a moment, at midnight UTC.
func dayOf(at time.Time) time.Time {
	y, m, d := at.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

func (s *Server) showRepot(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	plant := q.Get("plant")
	if plant == "" && q.Get("label") != "" {
		plant = s.labelled(q.Get("label"))
	}
	b, old, err := s.repottingOf(r, plant, q.Get("change"), q.Get("piece"))
	if err != nil {
		return err
	}
	if q.Get("piece") == "" && b.id == "" {
		b.plant.Label = q.Get("label")
	}
	after := ""
	if old == nil && q.Get("piece") == "" {
		after = s.likeThatBefore(b, q.Get("after"))
	}
	v := s.newRepotView(b)
	v.After = after
	if old != nil {
		v.changing(b, *old)
		v.Note.Value = old.Detail.Note
	}
	if mother := q.Get("piece"); mother != "" {
		if sp, err := s.specimen(mother); err == nil {
			v.Piece = sp.label()
		}
	}
	return s.render(w, r, http.StatusOK, "repot.html", v)
}

// likeThatBefore fills in what one plant after the other has in common at a
// bench: day, space, and what they are put into, but for its size. It returns
// the label of the plant before, or nothing where there is none.
func (s *Server) likeThatBefore(b *repotting, before string) string {
	if before == "" {
		return ""
	}
	sp, err := s.specimen(before)
	if err != nil || len(sp.state.Repots) == 0 {
		return "" // the form is as good without
	}
	last := sp.state.Record.Repot
	b.repot.Date, b.repot.Work, b.repot.SoakedHours = last.Date, last.Work, last.SoakedHours
	if last.Work == care.Divided {
		b.repot.Work = care.Repotted
	}
	b.repot.To = care.Home{Medium: last.To.Medium}
	if c := last.To.Container; c != nil {
		b.repot.To.Container = &care.Container{Material: c.Material}
	}
	if m := last.To.Mount; m != nil {
		b.repot.To.Mount = &care.Mount{Material: m.Material}
	}
	if b.plant.Space == "" {
		b.plant.Space = sp.state.Record.Space
	}
	return sp.label()
}

func (s *Server) newRepotView(b *repotting) *repotView {
	u, r := b.u, b.repot
	tables := s.Book.Tables()
	v := &repotView{
		Entry: newID(), NewPlant: newID(), PlantID: b.id, recordFields: s.newRecordFields(u, b.kase, b.plant), NoSpaces: len(b.kase.Spaces) == 0,
		Date: field{Name: "date", Label: "Day of the work", Type: "date", Value: r.Date.Format(time.DateOnly), Required: true},
		Work: field{Name: "work", Label: "What was done", Type: "radios", Options: choices(care.Works, workOr(r.Work))},
		From: newHomeFields(tables, u, "from", r.From), To: newHomeFields(tables, u, "to", r.To),
		RootsKept:  field{Name: "roots_kept", Label: "Living roots kept", Mode: "decimal", Value: shown(u, r.RootsKept), Hint: "Of the living root length it had, by eye: 100 % if nothing living was cut."},
		RootTips:   field{Name: "root_tips", Label: "Growing root tips seen", Mode: "numeric", Value: countWords(r.LiveRootTips), Hint: "Green or red, glossy."},
		LeavesKept: field{Name: "leaves_kept", Label: "Leaves kept", Mode: "decimal", Value: shown(u, r.LeavesKept), Hint: "Of its leaf area; of a division, what went with this piece. 100 % if left empty."},
		Flowers:    field{Name: "flowers", Label: "Flowers", Type: "radios", Options: choices(care.FlowerStates, flowersOr(r.Flowers))},
		Spike:      field{Name: "spike", Label: "The spike", Type: "radios", Options: []choice{{"", "there is none", b.spike == ""}, {"kept", "Kept", b.spike == "kept"}, {"cut", "Cut", b.spike == "cut"}}},
		Soaked:     field{Name: "soaked", Label: "New medium soaked for", Mode: "decimal", Value: shown(u, r.SoakedHours), Unit: "h", Hint: "Fresh bark takes up water slowly; soaking it beforehand helps. 0 if it went in dry."},
		Note:       field{Name: "note", Label: "Note", Type: "textarea"}, SpikeEvidence: spikeEvidence,
	}
	if b.known != nil {
		head := newPlantHead(*b.known)
		v.Plant = &head
	} else {
		v.Label.Type = "listed"
		s.Book.Read(func(c *care.Collection) {
			for _, p := range c.Plants {
				if p.Ended.IsZero() {
					v.Label.Options = append(v.Label.Options, choice{Value: p.Record.Label, Label: p.Record.Name})
				}
			}
		})
		slices.SortFunc(v.Label.Options, func(a, b choice) int { return strings.Compare(a.Value, b.Value) })
		v.Label.Hint = "One of the collection, or a new one."
		v.Group.Hint = "Only for a plant that is new here. " + v.Group.Hint
	}
	for _, p := range tables.Pests() {
		one := pestChoice{Name: p.Name, Label: sentence(p.Name), Where: p.Where.Is}
		if p.Harmless {
			one.Where += " Harmless."
		}
		for _, seen := range r.Pests {
			if known, err := tables.Pest(seen); err == nil && known.Key == p.Key {
				one.Chosen = true
			}
		}
		v.Pests = append(v.Pests, one)
	}
	v.Cautions = repotCautions{
		Cutting: s.cautions(culture.CuttingPlants), Tools: s.cautions(culture.UsingFlame, culture.UsingBleach, culture.UsingLye),
		Pests: s.cautions(culture.UsingPesticide), Dust: s.cautions(culture.PottingDust), Moss: s.cautions(culture.HandlingMoss),
		Lifting: s.cautions(culture.LiftingPots), Soak: s.cautions(culture.PureWater),
	}
	v.Title, v.Here, v.Style, v.Module = "Repot", "repot", "plant.css", "modules/repot.js"
	if b.known != nil {
		v.Title = "Repot " + b.plant.Label
	}
	return v
}

func (v *repotView) changing(b *repotting, old care.Entry) {
	v.Title, v.Change = "Change the repot of "+b.known.label(), old.ID
	v.Withdraw = entryPath(*b.known, old.ID) + "/withdraw"
}

func workOr(w care.Work) care.Work {
	if w == "" {
		return care.Repotted
	}
	return w
}

func flowersOr(f care.FlowerState) care.FlowerState {
	if f == "" {
		return care.NoFlowers
	}
	return f
}

func countWords(v basis.Value) string {
	if v.Grade == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f", v.Value)
}

// keep puts what was typed back into the form.
func (v *repotView) keep(f *form) {
	fields := []*field{&v.Date, &v.Work, &v.RootsKept, &v.RootTips, &v.LeavesKept, &v.Flowers, &v.Spike, &v.Soaked, &v.Note}
	f.keep(append(fields, v.list()...)...)
	f.keep(v.From.list()...)
	f.keep(v.To.list()...)
	for i := range v.Pests {
		v.Pests[i].Chosen = slices.Contains(f.values["pest"], v.Pests[i].Name)
	}
	v.Entry, v.NewPlant, v.Problem = f.text("entry"), f.text("new_plant"), f.errors[""]
}

// repot takes the form: it shows the course that follows, or keeps the work.
func (s *Server) repot(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	plant := f.text("plant")
	if plant == "" {
		plant = s.labelled(f.text("label"))
	}
	b, old, err := s.repottingOf(r, plant, f.text("change"), "")
	if err != nil {
		return err
	}
	was := b.plant
	s.readRepotting(f, b)
	var preview *previewView
	if !f.wrong() {
		preview, err = s.preview(b)
		if err != nil {
			f.say("", "No course can be worked out from this: %s.", err)
		}
	}
	if !f.wrong() && f.text("step") != "look" {
		id, err := s.keepRepotting(r, f, b, old, was)
		if err := f.refusedBy(err); err != nil {
			return err
		}
		if !f.wrong() {
			return seeOther(w, r, "/plant/"+id+"/repotted")
		}
	}
	v := s.newRepotView(b)
	if old != nil {
		v.changing(b, *old)
	}
	v.keep(f)
	v.Preview, v.Look = preview, true
	status := http.StatusOK
	if f.wrong() {
		status = http.StatusUnprocessableEntity
	}
	return s.render(w, r, status, "repot.html", v)
}

// labelled returns the id of the living plant with a label, or nothing.
func (s *Server) labelled(label string) (id string) {
	s.Book.Read(func(c *care.Collection) {
		if p, err := c.ByLabel(label); err == nil && p.Ended.IsZero() {
			id = p.ID
		}
	})
	return id
}

// keepRepotting appends what the form says: the plant if it is new or its record
// changed, the repot, and the spike.
func (s *Server) keepRepotting(r *http.Request, f *form, b *repotting, old *care.Entry, was care.Plant) (id string, err error) {
	id = b.id
	at := s.Now()
	if !b.repot.Date.Equal(dayOf(at)) {
		// At noon of that day: in the middle of it wherever one looks from.
		at = time.Date(b.repot.Date.Year(), b.repot.Date.Month(), b.repot.Date.Day(), 12, 0, 0, 0, at.Location())
	}
	var entries []care.Entry
	add := func(kind care.Kind, when time.Time, d care.Detail) error {
		e := s.newEntry(kind, id, d)
		e.At = when.Truncate(time.Second)
		entries = append(entries, e)
		return nil
	}
	repot := b.repot
	if err := add(care.RepotDone, at, care.Detail{Repot: &repot, Note: f.text("note")}); err != nil {
		return id, err
	}
	record := b.plant
	record.Repot = care.Repot{}
	was.Repot = care.Repot{}
	if id == "" {
		id = formID(f.text("new_plant"))
		entries[0].Plant = id
		// The plant comes before its work.
		if err := add(care.PlantSet, at.Add(-time.Minute), care.Detail{Plant: &record}); err != nil {
			return id, err
		}
	} else if !samePlant(record, was) {
		if err := add(care.PlantSet, at.Add(-time.Minute), care.Detail{Plant: &record}); err != nil {
			return id, err
		}
	}
	if b.spike != "" && old == nil {
		if err := add(care.SpikeDecided, at, care.Detail{Spike: b.spike}); err != nil {
			return id, err
		}
	}
	if old != nil {
		entries[0].Corrects = old.ID
		if b.repot.Date.Equal(dayOf(old.At)) {
			entries[0].At = old.At
		}
	}
	return id, s.keep(r, f.text("entry"), entries...)
}

func samePlant(a, b care.Plant) bool {
	return a.Label == b.Label && a.Name == b.Name && a.Group == b.Group && a.Space == b.Space && a.Vigour == b.Vigour &&
		a.Leaves == b.Leaves && a.LeafLengthCm == b.LeafLengthCm && a.LeafWidthCm == b.LeafWidthCm && a.Pseudobulbs == b.Pseudobulbs
}
