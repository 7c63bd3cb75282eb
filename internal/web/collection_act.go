package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
)

const (
	// manyBytes holds the ids of mostPlants plants and of their entries.
	manyBytes = 1 << 20
	// mostPlants is as many plants as one act is done to.
	mostPlants = 5000
)

// act is something that can be written down for many plants at once.
type act string

const (
	actNote  act = "note"
	actMove  act = "move"
	actFlush act = "flush"
	actFeed  act = "feed"
	actLeft  act = "left"
	actLost  act = "lost"
)

var acts = []act{actFlush, actFeed, actNote, actMove, actLeft, actLost}

// actWords say what is written, for a count of plants.
var actWords = map[act]struct{ choose, written string }{
	actFlush: {"Flushed", "flushed"}, actFeed: {"Fed", "fed"}, actNote: {"Note", "a note"},
	actMove: {"Moved to another space", "moved"}, actLeft: {"Given away, sold or swapped", "left the collection"}, actLost: {"Died", "lost"},
}

// actForm asks what is written down for the plants that were ticked.
type actForm struct{ Act, Note, Space field }

func newActForm(spaces []string) actForm {
	f := field{Name: "act", Label: "Write down for those ticked", Type: "select", Options: []choice{{"", "Choose", true}}}
	for _, a := range acts {
		f.Options = append(f.Options, choice{string(a), actWords[a].choose, false})
	}
	return actForm{
		Act:   f,
		Note:  field{Name: "note", Label: "Note", Type: "textarea"},
		Space: selectOf("to_space", "To which space?", "Choose", spaces, ""),
	}
}

// manyView shows what is about to be written, or what has to change first.
type manyView struct {
	frame
	Problem string
	Act     string
	Words   string // "moved to terrace"
	Note    string
	To      string
	At      string
	Count   int
	Groups  []manyGroup
	Passed  []manyGroup // plants for which there is nothing to write
	Query   string
}

// manyGroup is the plants of one space.
type manyGroup struct {
	Space  string
	Plants []manyPlant
}

// manyPlant is one plant with the id of its entry to be.
type manyPlant struct{ ID, Label, Entry string }

// askMany lists what would be written for many plants, for it to be confirmed.
func (s *Server) askMany(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	chosen, err := s.chosen(r, f)
	if err != nil {
		return err
	}
	a := one(f, "act", acts)
	if a == "" {
		f.say("act", "Choose what to write down.")
	}
	note, to := f.text("note"), f.short("to_space")
	switch {
	case len(chosen) == 0:
		f.say("act", "Tick the plants first.")
	case len(chosen) > mostPlants:
		f.say("act", "These are %d plants; %d at a time are the most.", len(chosen), mostPlants)
	case a == actNote && note == "":
		f.say("note", "Write the note first.")
	case a == actMove && to == "":
		f.say("to_space", "Choose the space they were moved to.")
	case len(note) > longestNote:
		f.say("note", "That has %d letters; %d are the most.", len(note), longestNote)
	}
	query := f.query()
	if f.wrong() {
		v, err := s.collectionAt(r, query)
		if err != nil {
			return err
		}
		f.keep(&v.Act.Act, &v.Act.Note, &v.Act.Space)
		v.tick(f.values["plant"])
		return s.render(w, r, http.StatusUnprocessableEntity, "collection.html", v)
	}
	v := &manyView{Act: string(a), Note: note, At: s.Now().Truncate(time.Second).Format(time.RFC3339), Query: query.Encode()}
	v.Title, v.Here, v.Style = "Write this down?", "collection", "collection.css"
	if v.Words = actWords[a].written; a == actMove {
		v.To = to
		v.Words += " to " + to
	}
	for _, p := range chosen {
		list := &v.Groups
		if !p.Ended.IsZero() || a == actMove && strings.EqualFold(p.Space, to) {
			list = &v.Passed
		} else {
			v.Count++
		}
		if n := len(*list); n == 0 || (*list)[n-1].Space != p.Space {
			*list = append(*list, manyGroup{Space: p.Space})
		}
		group := &(*list)[len(*list)-1]
		group.Plants = append(group.Plants, manyPlant{p.ID, p.Label, newID()})
	}
	return s.render(w, r, http.StatusOK, "collection-many.html", v)
}

// longestNote is as long as a note may be, in bytes; see care.Entry.
const longestNote = 10_000

// query reads what had been looked for when the form was made.
func (f *form) query() url.Values {
	values, err := url.ParseQuery(f.text("query"))
	if err != nil {
		return url.Values{}
	}
	_, kept := queryOf(values)
	return kept
}

// chosen returns the plants that were ticked, or all that were found, in
// walking order.
func (s *Server) chosen(r *http.Request, f *form) ([]book.Listed, error) {
	q := book.Query{Order: book.BySpace}
	ticked := map[string]bool{}
	if f.checked("all") {
		q, _ = queryOf(f.query())
		q.Order = book.BySpace
	}
	for _, id := range f.values["plant"] {
		ticked[id] = true
	}
	found, err := s.Book.Find(r.Context(), q, s.Book.Today())
	if err != nil || f.checked("all") {
		return found.Plants, err
	}
	list := found.Plants
	if len(ticked) > 0 {
		q.Standing = book.Ended // one may have ended since the list was made
		ended, err := s.Book.Find(r.Context(), q, s.Book.Today())
		if err != nil {
			return nil, err
		}
		list = slices.Concat(list, ended.Plants)
	}
	return slices.DeleteFunc(list, func(p book.Listed) bool { return !ticked[p.ID] }), nil
}

// tick keeps the ticks of a form that has to be shown again.
func (v *collectionView) tick(plants []string) {
	for i := range v.Rows {
		v.Rows[i].Ticked = slices.Contains(plants, v.Rows[i].ID)
	}
}

// writeMany writes what was confirmed. Ids and time came with the form: sent
// twice, it is written once.
func (s *Server) writeMany(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	at, err := time.Parse(time.RFC3339, f.text("at"))
	if err != nil {
		return fmt.Errorf("%w: the time %q", errBadRequest, f.text("at"))
	}
	kind, d, err := written(f)
	if err != nil {
		return err
	}
	var entries []care.Entry
	for _, pair := range f.values["write"] {
		plant, id, _ := strings.Cut(pair, " ")
		entries = append(entries, care.Entry{ID: id, At: at, Recorded: s.Now().UTC(), Kind: kind, Plant: plant, By: byOf(r), Detail: d})
	}
	if len(entries) == 0 {
		return fmt.Errorf("%w: %w", errBadRequest, errNoPlants)
	}
	if len(entries) > mostPlants {
		return fmt.Errorf("%w: %d plants are the most at a time", errBadRequest, mostPlants)
	}
	if _, err := s.Book.Append(r.Context(), entries...); err != nil {
		return err
	}
	query := f.query()
	query.Set("done", "kept")
	return seeOther(w, r, "/collection?"+query.Encode())
}

// written returns what each entry of an act says.
func written(f *form) (care.Kind, care.Detail, error) {
	d := care.Detail{Note: f.text("note")}
	switch act(f.text("act")) {
	case actFlush:
		return care.FlushDone, d, nil
	case actFeed:
		return care.FeedDone, d, nil
	case actNote:
		return care.Noted, d, nil
	case actMove:
		d.ToSpace = f.short("to_space")
		return care.Moved, d, nil
	case actLeft:
		return care.PlantLeft, d, nil
	case actLost:
		return care.PlantLost, d, nil
	}
	return "", d, fmt.Errorf("%w: %q cannot be written for many plants", errBadRequest, f.text("act"))
}
