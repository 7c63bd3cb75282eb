package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/paper"
)

func plantRoutes(on *router) {
	on.get("/plant/{id}", (*Server).showPlant)
	on.get("/plant/{id}/label", (*Server).showLabel)
	on.get("/plant/new", (*Server).showNewPlant)
	on.post("/plant/new", (*Server).addPlant)
	on.get("/plant/{id}/record", (*Server).showRecord)
	on.post("/plant/{id}/record", (*Server).changeRecord)
	on.get("/plant/{id}/write/{what}", (*Server).showWrite)
	on.post("/plant/{id}/write/{what}", (*Server).write, upTo(photoBytes))
	on.get("/plant/{id}/entry/{entry}", (*Server).showChange)
	on.post("/plant/{id}/entry/{entry}", (*Server).change, upTo(photoBytes))
	on.post("/plant/{id}/entry/{entry}/withdraw", (*Server).withdraw)
	on.post("/plant/{id}/entry/{entry}/answer", (*Server).answerQuestion)
	photoRoutes(on)
}

// specimen is one plant as the journal describes it, with what its pages need
// around it.
type specimen struct {
	id       string
	state    *care.PlantState
	kase     care.Case
	settings care.Settings
	rains    []care.Rain
	outdoors bool
}

// specimenOf returns the plant a path names.
func (s *Server) specimenOf(r *http.Request) (specimen, error) { return s.specimen(r.PathValue("id")) }

func (s *Server) specimen(id string) (specimen, error) {
	sp := specimen{id: id}
	s.Book.Read(func(c *care.Collection) {
		// The state of a plant is replaced, never changed, and lists are never
		// changed in place.
		sp.state, sp.kase, sp.settings, sp.rains = c.Plants[id], c.Case(), c.Settings, c.Rains
		if sp.state != nil {
			sp.outdoors = c.Outdoors(sp.state.Record.Space)
		}
	})
	sp.kase.Measured = s.Book.Usual()
	if sp.state == nil {
		return sp, fmt.Errorf("%w: %s", book.ErrUnknownPlant, id)
	}
	return sp, nil
}

func (sp specimen) label() string { return sp.state.Record.Label }
func (sp specimen) path() string  { return "/plant/" + sp.id }

// lastWater is when the plant was last watered: by hand, or by rain that was as
// good as a flush.
func (sp specimen) lastWater(c *care.Course) care.LastWater {
	last := care.LastWater{Flush: sp.state.LastFlush, Water: sp.state.LastWatered, Feed: sp.state.LastFeed}
	if sp.outdoors {
		for _, rain := range sp.rains {
			if rain.MM >= c.Flush.RainMM && rain.At.After(last.Flush) && rain.FellOn(sp.state.Record.Space) {
				last.Flush = rain.At
			}
		}
	}
	return last
}

// group returns the culture group, if the plant's record names one.
func (s *Server) group(sp specimen) (culture.Group, error) {
	return s.Book.Tables().Lookup(sp.state.Record.Group)
}

// plantView is one plant with its course.
type plantView struct {
	frame
	Plant    plantHead
	Ended    string
	Trouble  string // why there is no course
	NotYet   bool   // it was never repotted
	Verdict  *verdictView
	Tap      *tapView // signs that cannot wait
	Stands   *standsView
	Write    []writeLink
	More     []writeLink
	Targets  []targetView
	Course   *courseView
	Flush    *flushView
	Forecast *forecastView
	Learned  *learnedView
	Roots    *rootsView
	Signs    []signList
	Patience *figureView
	Dates    []dateView
	Photos   []photoThumb
	Journal  journalView
	Cautions []string
	Assumed  []assumedView
}

// plantHead is what every page of a plant begins with.
type plantHead struct {
	Path, Label, Name, Group, Space string
	SpacePath, Repot, Share         string
}

func newPlantHead(sp specimen) plantHead {
	r := sp.state.Record
	return plantHead{Path: sp.path(), Label: r.Label, Name: r.Name, Group: r.Group, Space: r.Space, SpacePath: spacePath(r.Space), Repot: "/repot?plant=" + sp.id, Share: "/sharing?what=" + linkPlant + ":" + sp.id}
}

func (s *Server) showPlant(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	entries, err := s.Book.Journal(r.Context(), sp.id)
	if err != nil {
		return err
	}
	u, today := sp.settings.Units, s.Book.Today()
	v := &plantView{Plant: newPlantHead(sp)}
	v.Title, v.Here, v.Style, v.Module = sp.label(), "collection", "plant.css", "modules/plant.js"
	v.Write, v.More = writeLinks(sp)
	v.Journal = newJournalView(sp, u, entries, r.URL.Query().Has("journal"))
	v.Photos = thumbsOf(sp, entries, 6)
	if !sp.state.Ended.IsZero() {
		v.Ended = fmt.Sprintf("%s on %s. What was noted stays.", endings[sp.state.EndedHow], sp.state.Ended.Format("2 January 2006"))
	}
	if sp.state.Ended.IsZero() {
		v.Tap = newTapView(sp)
	}
	if len(sp.state.Repots) == 0 {
		v.NotYet = true
		return s.render(w, r, http.StatusOK, "plant.html", v)
	}
	if err := s.follow(r.Context(), v, sp, entries, u, today); err != nil {
		v.Trouble = sentence(err.Error())
	}
	return s.render(w, r, http.StatusOK, "plant.html", v)
}

var endings = map[care.Kind]string{care.PlantLost: "Lost", care.PlantLeft: "Left the collection"}

// follow fills in everything that rests on the course.
func (s *Server) follow(ctx context.Context, v *plantView, sp specimen, entries []care.Entry, u care.Units, today time.Time) error {
	c, err := s.Book.Course(sp.id, today)
	if err != nil {
		return err
	}
	if sp.state.Ended.IsZero() {
		looks, err := s.Book.Looks(ctx, sp.id)
		if err != nil {
			return err
		}
		c = c.WithLooks(looks)
	}
	group, err := s.group(sp)
	if err != nil {
		return err
	}
	roots, err := care.RootGrowth(sp.state, group, s.Now())
	if err != nil {
		return fmt.Errorf("reading the marked roots: %w", err)
	}
	v.Roots = newRootsView(sp, u, &c, roots)
	v.Verdict = newVerdictView(sp, u, c.Verdict)
	v.Stands = newStandsView(sp, u, &c, v.Roots)
	if v.Verdict != nil && len(v.Roots.Roots) > 0 && !v.Roots.Asks {
		v.Stands.Roots = "" // the verdict has said so
	}
	if sp.state.Ended.IsZero() && c.Day >= 0 {
		for _, job := range care.Jobs(sp.state, &c, sp.rains, sp.outdoors, today, u) {
			v.Stands.Due = append(v.Stands.Due, newDueView(sp, job, today))
		}
	}
	v.Targets = newTargets(u, &c)
	if v.Course, err = newCourseView("course", u, &c); err != nil {
		return err
	}
	v.Flush = newFlushView(sp, u, &c, entries, today)
	if c.Day >= 0 {
		if v.Forecast, err = s.forecast(ctx, sp, u, &c); err != nil {
			return err
		}
		v.Learned = v.Forecast.learned
	}
	patience := newFigure(u, "Water stored in leaves and bulbs would last", c.Patience)
	v.Signs, v.Patience, v.Dates, v.Cautions = newSigns(&c), &patience, newDates(&c, u), unlike(c.Cautions)
	if err := s.paced(v.Dates, &c); err != nil {
		return err
	}
	for _, a := range c.Assumed {
		line := newAssumed(u, a)
		line.Path = whereSaid(a.Field, sp.state)
		v.Assumed = append(v.Assumed, line)
	}
	return nil
}

// unlike returns a list without what stood in it before.
func unlike(list []string) []string {
	var out []string
	for _, one := range list {
		if !slices.Contains(out, one) {
			out = append(out, one)
		}
	}
	return out
}

// assumedView is one thing that was left out, what stands in for it, and where
// it can be said.
type assumedView struct{ Field, Value, Why, Path string }

func newAssumed(u care.Units, a care.Assumed) assumedView {
	v := assumedView{Field: fieldWords(a.Field), Value: a.Value, Why: a.Why}
	if v.Value == "" {
		v.Value = u.Show(a.Is)
		if span := u.ShowRange(a.Is); span != "" {
			v.Value += " (" + span + ")"
		}
	}
	return v
}

// whereSaid is the page on which something that was assumed of a plant of the
// collection can be said.
func whereSaid(field string, p *care.PlantState) string {
	of, _, _ := strings.Cut(field, ".")
	switch of {
	case "place":
		return "/settings#place"
	case "routine":
		return routinePath
	case "water":
		return "/water#waters"
	case "plant":
		return "/plant/" + p.ID + "/record"
	case "space":
		if p.Record.Space != "" {
			return spacePath(p.Record.Space)
		}
	}
	return ""
}

// fieldWords turns the name of a field of a case file into words.
func fieldWords(name string) string {
	return sentence(strings.NewReplacer("routine.", "usual care: ", ".", ": ", "_", " ").Replace(name))
}

// labelView is what is printed and put into the pot.
type labelView struct {
	frame
	Plant        plantHead
	Work, Date   string
	Medium, Note string
	Lacking      string // letters that no font for paper has
}

func (s *Server) showLabel(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	v := &labelView{Plant: newPlantHead(sp)}
	v.Lacking = paper.Lacking(v.Plant.Label, v.Plant.Name)
	v.Title, v.Here, v.Style, v.Module = "Label of "+sp.label(), "collection", "plant.css", "modules/plant-print.js"
	if len(sp.state.Repots) > 0 {
		repot := sp.state.Record.Repot
		v.Work, v.Date = sentence(string(repot.Work)), repot.Date.Format("2 Jan 2006")
		if repot.Work == "" {
			v.Work = "Repotted"
		}
		v.Medium = repot.To.Says(sp.settings.Units)
	}
	return s.render(w, r, http.StatusOK, "plant-label.html", v)
}
