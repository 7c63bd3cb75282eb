package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
)

func pestRoutes(on *router) {
	on.get("/pests", (*Server).showPests)
	on.post("/pests/blade", (*Server).cleanBlade)
	on.get("/plant/{id}/pests", (*Server).showPlantPests)
}

// pestsView is what is watched for in the whole collection.
type pestsView struct {
	frame
	Entry   string
	Plants  []watchedView
	Blades  []bladeView
	Blade   field
	How     field
	Animals []animalView
	Caution []string
}

// watchedView is one plant with what is watched for on it.
type watchedView struct {
	Path, Label, Name, Space string
	Watches                  []watchView
}

// watchView is the watch for one pest.
type watchView struct {
	Name, Story  string
	When, Window string
	Progress     string
	Until        string
	Role         string
	Look, Treat  string // paths
	Animal       *animalView
	Why          *becauseView
}

// animalView is what to know of a pest to find it.
type animalView struct {
	Name, Where, Lookalikes, Note, Basis string
	Harmless                             bool
}

// bladeView is one blade with what it cut, the latest first.
type bladeView struct {
	Name   string
	Shared int
	Uses   []bladeUseView
}

type bladeUseView struct{ When, Path, Label, Cleaned, After string }

func newAnimalView(p culture.Pest) animalView {
	return animalView{Name: sentence(p.Name), Where: p.Where.Is, Lookalikes: p.Lookalikes, Note: p.Note, Basis: p.Where.Grade.String(), Harmless: p.Harmless}
}

const plainDay = "2 January"

func newWatchView(u care.Units, w care.PestWatch, path string, today time.Time) watchView {
	v := watchView{Name: sentence(w.Animal.Name), Role: "waiting", Look: path + "/write/pests", Treat: path + "/write/treatment"}
	if w.General() {
		v.Name, v.Role, v.Treat = "A general look", "plain", ""
		v.Story = "No pest was found on it, or what was found has been gone for a generation."
	} else {
		animal := newAnimalView(w.Animal)
		v.Animal = &animal
	}
	switch {
	case w.General():
	case w.Beside != "":
		v.Story = fmt.Sprintf("Found on %s in the same space on %s. Set that plant apart, and look at this one once.", w.Beside, w.Found.Format(plainDay))
	default:
		v.Story = "Last found on " + w.Found.Format(plainDay)
		if w.Note != "" {
			v.Story += ": " + w.Note
		}
		v.Story += "."
		if w.Treated.IsZero() {
			v.Story += " No treatment is noted since; wiping and rinsing count."
		} else {
			v.Story += " Treated on " + w.Treated.Format(plainDay) + "."
		}
	}
	when := w.Due.Format("Monday 2 January")
	switch {
	case w.Paused:
		v.When = fmt.Sprintf("Paused: too cold there for it to develop, so no date is promised. Look all the same by %s.", when)
	case w.Due.Before(today):
		v.When = fmt.Sprintf("Look now; it was due on %s.", when)
	case w.Due.Equal(today):
		v.When = "Look today."
	default:
		v.When = fmt.Sprintf("Look on %s.", when)
	}
	if w.Number > 0 {
		v.Window = fmt.Sprintf("Repeat %d of %d, from %s", w.Number, max(w.Of, w.Number), w.Earliest.Format(plainDay))
		if !w.Latest.IsZero() && w.Latest.After(w.Due) {
			v.Window += " to " + w.Latest.Format(plainDay) + ", before the first survivor can lay"
		}
		v.Window += "."
		if w.Split {
			v.Window += " No one day catches all: repeats follow closely."
		}
	}
	if !w.General() && w.Beside == "" {
		v.Progress = fmt.Sprintf("%s without it since.", counted(w.CleanLooks, "look", "looks"))
		if w.CleanLooks == 0 {
			v.Progress = "No look since."
		}
		switch {
		case w.Paused || w.Needed <= 0:
		case w.ByDegreeDays:
			v.Progress += fmt.Sprintf(" The watch ends after two clean looks a generation apart: %.0f of %.0f degree-days.", w.Gathered, w.Needed)
		default:
			v.Progress += fmt.Sprintf(" The watch ends after two clean looks a generation apart: %.0f of %.0f days.", w.Gathered, w.Needed)
		}
		if !w.Until.IsZero() {
			v.Until = "Not before " + w.Until.Format("2 January 2006") + ", if every look is clean."
		}
	}
	v.Why = newBecause(u, w.Because, 0, "")
	return v
}

func newWatchedView(u care.Units, w book.Watched, today time.Time) watchedView {
	v := watchedView{Path: "/plant/" + w.Plant, Label: w.Label, Name: w.Name, Space: w.Space}
	for _, one := range w.Watches {
		v.Watches = append(v.Watches, newWatchView(u, one, v.Path, today))
	}
	return v
}

func (s *Server) showPests(w http.ResponseWriter, r *http.Request) error {
	v, err := s.newPestsView(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "pests.html", v)
}

func (s *Server) newPestsView(r *http.Request) (*pestsView, error) {
	list, err := s.Book.Watches(r.Context(), "")
	if err != nil {
		return nil, err
	}
	today, u := s.Book.Today(), s.units()
	slices.SortStableFunc(list, func(x, y book.Watched) int { return x.Watches[0].Due.Compare(y.Watches[0].Due) })
	v := &pestsView{Entry: newID()}
	v.Title, v.Here, v.Style = "Pests", "pests", "pests.css"
	for _, one := range list {
		v.Plants = append(v.Plants, newWatchedView(u, one, today))
	}
	for _, p := range s.Book.Tables().Pests() {
		v.Animals = append(v.Animals, newAnimalView(p))
	}
	var log []care.BladeUse
	s.Book.Read(func(c *care.Collection) { log = c.BladeLog() })
	v.Blades = newBladeViews(log)
	v.Blade = field{Name: "blade", Label: "Blade", Required: true, Hint: "As you call it where you note what it cut."}
	v.How = field{Name: "how", Label: "What was done", Type: "select", Options: choices(care.BladeCares, care.Flamed)}
	for _, c := range s.Book.Tables().Cautions(culture.CuttingPlants) {
		v.Caution = append(v.Caution, c.Text.Is)
	}
	for _, c := range s.Book.Tables().Cautions(culture.UsingFlame) {
		v.Caution = append(v.Caution, c.Text.Is)
	}
	return v, nil
}

// mostUses is how many cuts of a blade are listed.
const mostUses = 12

func newBladeViews(log []care.BladeUse) []bladeView {
	var list []bladeView
	for _, use := range log {
		if len(list) == 0 || !care.SameBlade(list[len(list)-1].Name, use.Blade) {
			list = append(list, bladeView{Name: use.Blade})
		}
		b := &list[len(list)-1]
		one := bladeUseView{When: use.At.Format("2 Jan, 15:04"), Label: use.Label, Cleaned: string(use.Cleaned), After: use.After}
		if use.Plant != "" {
			one.Path = "/plant/" + use.Plant
		}
		if use.After != "" {
			b.Shared++
		}
		b.Uses = append(b.Uses, one)
	}
	for i := range list {
		slices.Reverse(list[i].Uses)
		list[i].Uses = list[i].Uses[:min(len(list[i].Uses), mostUses)]
	}
	return list
}

func (s *Server) cleanBlade(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	d := care.Detail{Blade: f.required("blade", "Which blade was it?"), How: one(f, "how", care.BladeCares)}
	if d.How == "" {
		f.say("how", "Choose what was done.")
	}
	if !f.wrong() {
		if err := f.refusedBy(s.keep(r, f.text("entry"), s.newEntry(care.BladeCleaned, "", d))); err != nil {
			return err
		}
	}
	if f.wrong() {
		v, err := s.newPestsView(r)
		if err != nil {
			return err
		}
		f.keep(&v.Blade, &v.How)
		v.Entry = f.text("entry")
		return s.render(w, r, http.StatusUnprocessableEntity, "pests.html", v)
	}
	return seeOther(w, r, "/pests?done=kept#blades")
}

// plantPestsView is what is watched for on one plant.
type plantPestsView struct {
	frame
	Plant    plantHead
	Watches  []watchView
	Beside   []plantLink // the other plants of its space
	Infested bool        // something was found on this plant: the others are to be kept away
	Trouble  string
	Looks    []lookView
	Blades   []bladeUseView
	Cautions []string
}

// lookView is one look or treatment of the past.
type lookView struct{ When, Says string }

func (s *Server) showPlantPests(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	v := &plantPestsView{Plant: newPlantHead(sp)}
	v.Title, v.Here, v.Style = "Pests on "+sp.label(), "pests", "pests.css"
	list, err := s.Book.Watches(r.Context(), sp.id)
	if err != nil {
		v.Trouble = sentence(err.Error())
	}
	today := s.Book.Today()
	for _, one := range list {
		for _, watch := range one.Watches {
			v.Watches = append(v.Watches, newWatchView(sp.settings.Units, watch, sp.path(), today))
			v.Infested = v.Infested || !watch.General() && watch.Beside == ""
		}
	}
	var log []care.BladeUse
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			if id != sp.id && p.Ended.IsZero() && p.Record.Space != "" && strings.EqualFold(p.Record.Space, sp.state.Record.Space) {
				v.Beside = append(v.Beside, plantLink{Path: "/plant/" + id + "/pests", Label: p.Record.Label, Name: p.Record.Name})
			}
		}
		log = c.BladeLog()
	})
	slices.SortFunc(v.Beside, func(a, b plantLink) int { return book.CompareLabels(a.Label, b.Label) })
	for _, b := range newBladeViews(log) {
		for _, use := range b.Uses {
			if use.Path == sp.path() {
				use.Label = b.Name
				v.Blades = append(v.Blades, use)
			}
		}
	}
	v.Looks = looksOf(sp)
	for _, c := range s.Book.Tables().Cautions(culture.UsingPesticide) {
		v.Cautions = append(v.Cautions, c.Text.Is)
	}
	return s.render(w, r, http.StatusOK, "plant-pests.html", v)
}

// looksOf lists looks and treatments, the latest first.
func looksOf(sp specimen) []lookView {
	type timed struct {
		at   time.Time
		says string
	}
	var list []timed
	for _, look := range sp.state.Seen.PestLooks {
		says := sentence(found(look.Pest))
		if look.Note != "" {
			says += ": " + look.Note
		}
		list = append(list, timed{look.At, says})
	}
	for _, t := range sp.state.Seen.Treatments {
		says := "Treated with " + t.Product
		if t.Pest != "" {
			says += " against " + t.Pest
		}
		list = append(list, timed{t.At, says})
	}
	slices.SortStableFunc(list, func(a, b timed) int { return b.at.Compare(a.at) })
	var looks []lookView
	for _, one := range list[:min(len(list), 20)] {
		looks = append(looks, lookView{one.at.Format("2 January 2006"), one.says})
	}
	return looks
}
