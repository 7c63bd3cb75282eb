package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/science/basis"
)

func caseRoutes(on *router) {
	on.get("/cases", (*Server).showCases)
	on.post("/cases", (*Server).tellCase)
	on.post("/cases/open", (*Server).openCase, upTo(caseBytes))
	on.get("/cases/answer", (*Server).showCase)
	on.get("/cases/handout", (*Server).sendCaseHandout)
	on.get("/cases/file", (*Server).sendCaseFile)
	on.post("/cases/keep", (*Server).keepCase)
	on.post("/cases/drop", (*Server).dropCase)
}

// caseBytes is the largest case file that is opened on a page.
const caseBytes = 1 << 20

// caseForm asks about another grower's plant.
type caseForm struct {
	frame
	Base     string // the case as it was told so far, packed
	Kept     []keptView
	File     field
	Problems []string // of a file that could not be opened
	Wrong    string
	recordFields
	Climate                            *spaceView
	Place                              field
	WaterEC, FeedEC                    field
	FeedEvery, WaterEvery              field
	Date, Work                         field
	From, To                           homeFields
	RootsKept, RootTips                field
	LeavesKept, Soaked, Flowers        field
	Temperature, Light, Salt, Measures field
}

// keptView is one case that was kept.
type keptView struct{ Path, Entry, Name, Day string }

// feedDays is a time between two waterings or feeds.
var feedDays = measure{"the time between two", "days", 0.1, 366, always("days"), []writing{{"days", "d day", 1, 0}, {"weeks", "week w", 7, 0}}}

// theirSpace is what the space of a case is called that has no name.
const theirSpace = "their place"

func (s *Server) newCaseForm(u care.Units, c care.Case) *caseForm {
	tables := s.Book.Tables()
	var p care.Plant
	if len(c.Plants) > 0 {
		p = c.Plants[0]
	}
	var space care.Space
	if len(c.Spaces) > 0 {
		space = c.Spaces[0]
	}
	if space.Kind == "" {
		space.Kind = care.Windowsill
	}
	routine := c.Routine
	if p.Routine != nil {
		routine = *p.Routine
	}
	r := p.Repot
	if r.Date.IsZero() {
		r.Date = s.Book.Today()
	}
	v := &caseForm{
		recordFields: s.newRecordFields(u, care.Case{}, p),
		Climate:      s.newSpaceView(u, space),
		Place:        field{Name: "place", Label: "Where is it?", Value: shownWhereabouts(c.Place.LatitudeDeg, c.Place.LongitudeDeg), Hint: "Latitude and longitude, whole degrees do: 37.8 S, 145 E. Left empty, days of 12 hours are reckoned with."},
		WaterEC:      sourceEC.ask("water_ec", "EC of their water", u, caseWater(c).ECmS),
		FeedEC:       feedEC.ask("feed_ec", "EC of their usual feed, mixed", u, routine.FeedECmS),
		FeedEvery:    feedDays.ask("feed_every", "They feed every", u, routine.FeedEveryDays),
		WaterEvery:   feedDays.ask("water_every", "They water every", u, routine.WaterEveryDays),
		Date:         field{Name: "date", Label: "Day of the work", Type: "date", Value: r.Date.Format(time.DateOnly), Required: true, Hint: "A day to come is planned for."},
		Work:         field{Name: "work", Label: "What was done", Type: "radios", Options: choices(care.Works, workOr(r.Work))},
		From:         newHomeFields(tables, u, "from", r.From), To: newHomeFields(tables, u, "to", r.To),
		RootsKept:  field{Name: "roots_kept", Label: "Living roots kept", Unit: "%", Mode: "decimal", Value: shown(u, r.RootsKept), Hint: "Of the living root length it had, by eye."},
		RootTips:   field{Name: "root_tips", Label: "Growing root tips seen", Mode: "numeric", Value: countWords(r.LiveRootTips)},
		LeavesKept: field{Name: "leaves_kept", Label: "Leaves kept", Unit: "%", Mode: "decimal", Value: shown(u, r.LeavesKept)},
		Soaked:     field{Name: "soaked", Label: "New medium soaked for", Unit: "h", Mode: "decimal", Value: shown(u, r.SoakedHours)},
		Flowers:    field{Name: "flowers", Label: "Flowers", Type: "radios", Options: choices(care.FlowerStates, flowersOr(r.Flowers))},
		File:       field{Name: "file", Label: "A case file", Type: "file", Hint: "A file that velamen wrote, or one written by hand after its example (TOML)."},
	}
	v.Name.Hint, v.Group.Required = "", true
	v.Kept = s.keptCases()
	v.Temperature, v.Light, v.Salt, v.Measures = unitFields(u)
	v.Title, v.Here, v.Style = "Cases", "cases", "plant.css"
	return v
}

func (v *caseForm) fields() []*field {
	list := []*field{&v.Place, &v.WaterEC, &v.FeedEC, &v.FeedEvery, &v.WaterEvery, &v.Date, &v.Work, &v.RootsKept, &v.RootTips, &v.LeavesKept, &v.Soaked, &v.Flowers,
		&v.Temperature, &v.Light, &v.Salt, &v.Measures}
	list = append(list, v.recordFields.list()...)
	list = append(list, v.Climate.fields()...)
	return append(append(list, v.From.list()...), v.To.list()...)
}

// caseWater is the water a case is kept with, as far as one is named.
func caseWater(c care.Case) care.Water {
	for _, w := range c.Waters {
		if strings.EqualFold(w.Name, c.Routine.Water) {
			return w
		}
	}
	if len(c.Waters) > 0 {
		return c.Waters[0]
	}
	return care.Water{}
}

// caseAsked returns the case of an address, or an empty one in the grower's own
// units.
func (s *Server) caseAsked(packed string) (care.Case, care.Units, error) {
	if packed == "" {
		return care.Case{}, s.units(), nil
	}
	return unpackCase(packed, s.Book.Tables())
}

func (s *Server) showCases(w http.ResponseWriter, r *http.Request) error {
	packed := r.URL.Query().Get("c")
	c, u, err := s.caseAsked(packed)
	if err != nil {
		return err
	}
	v := s.newCaseForm(u, c)
	v.Base = packed
	return s.render(w, r, http.StatusOK, "case.html", v)
}

// tellCase takes the form and leads to the answer.
func (s *Server) tellCase(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	base, _, err := s.caseAsked(f.text("base"))
	if err != nil {
		return err
	}
	u := f.units()
	c := s.readCase(f, u, base)
	packed := ""
	if !f.wrong() {
		if _, err := care.NewCourse(c, c.Plants[0], s.Book.Tables(), s.Book.Today()); err != nil {
			f.say("", "No course can be worked out from this: %s.", err)
		} else if packed, err = packCase(c, u); err != nil {
			return err
		}
	}
	if f.wrong() {
		v := s.newCaseForm(u, base)
		f.keep(v.fields()...)
		v.Base, v.Wrong = f.text("base"), f.errors[""]
		return s.render(w, r, http.StatusUnprocessableEntity, "case.html", v)
	}
	return seeOther(w, r, "/cases/answer?c="+packed)
}

// readCase reads the form over what is known of a case already.
func (s *Server) readCase(f *form, u care.Units, base care.Case) care.Case {
	c := base
	var kept care.Plant
	if len(c.Plants) > 0 {
		kept = c.Plants[0]
	}
	if f.text("label") == "" {
		f.values.Set("label", orWord(kept.Label, orWord(f.text("name"), orWord(f.text("group"), "plant"))))
	}
	p := s.readRecord(f, u, care.Case{}, kept)
	var before care.Space
	if len(c.Spaces) > 0 {
		before = c.Spaces[0]
	}
	space := f.space(u, before)
	space.Name = orWord(before.Name, theirSpace)
	c.Spaces, p.Space = []care.Space{space}, space.Name
	c.Place = f.place(u, c.Place)
	c.Place.AltitudeM = base.Place.AltitudeM
	water := caseWater(c)
	if ec := f.quantity("water_ec", sourceEC, u, water.ECmS); ec.Grade != 0 {
		water.Name, water.ECmS = orWord(water.Name, "their water"), ec
		others := []care.Water{water}
		for _, one := range c.Waters {
			if one.Name != water.Name {
				others = append(others, one)
			}
		}
		c.Waters = others
	}
	routine := &c.Routine
	if p.Routine != nil {
		own := *p.Routine
		p.Routine, routine = &own, &own
	}
	feed := f.quantity("feed_ec", feedEC, u, routine.FeedECmS)
	if feed.Grade != 0 {
		routine.FeedGramsPerLitre, routine.FeedPpmN = basis.Value{}, basis.Value{}
	}
	routine.FeedECmS = feed
	routine.FeedEveryDays = f.quantity("feed_every", feedDays, u, routine.FeedEveryDays)
	routine.WaterEveryDays = f.quantity("water_every", feedDays, u, routine.WaterEveryDays)
	p.Repot = s.readCaseRepot(f, u, kept.Repot)
	c.Plants = []care.Plant{p}
	return c
}

// yearAhead bounds the day of work that is still to come.
const yearAhead = 366 * 24 * time.Hour

func (s *Server) readCaseRepot(f *form, u care.Units, before care.Repot) care.Repot {
	r := before
	day, err := time.Parse(time.DateOnly, f.text("date"))
	switch {
	case err != nil:
		f.say("date", "%q is no date; write it as in %s.", f.text("date"), s.Book.Today().Format(time.DateOnly))
	case day.Year() < 1980 || day.Sub(s.Book.Today()) > yearAhead:
		f.say("date", "%s is too far away.", day.Format("2 January 2006"))
	}
	r.Date = day
	r.Work, r.Flowers = one(f, "work", care.Works), one(f, "flowers", care.FlowerStates)
	r.RootsKept = f.quantity("roots_kept", keptShare, u, before.RootsKept)
	r.LeavesKept = f.quantity("leaves_kept", keptShare, u, before.LeavesKept)
	if r.LeavesKept.Grade != 0 && r.LeavesKept.Value < 0.01 {
		f.say("leaves_kept", "At least a hundredth of the leaves must be left.")
	}
	r.LiveRootTips = f.counted("root_tips", before.LiveRootTips)
	r.SoakedHours = f.quantity("soaked", soakTime, u, before.SoakedHours)
	r.From = f.home(s.Book.Tables(), u, "from", before.From)
	r.To = f.home(s.Book.Tables(), u, "to", before.To)
	switch {
	case r.Work == care.Mounted && r.To.Mount == nil && r.To.Known():
		f.say("to_kind", "It was mounted: say onto what, or choose another kind of work.")
	case r.Work != care.Mounted && r.To.Mount != nil:
		f.say("to_kind", "Onto a mount it is mounted: choose that as the work, or a pot here.")
	}
	return r
}

// openCase reads a case file that somebody sent.
func (s *Server) openCase(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	again := func(problems ...string) error {
		v := s.newCaseForm(s.units(), care.Case{})
		v.Problems = problems
		return s.render(w, r, http.StatusUnprocessableEntity, "case.html", v)
	}
	file, head, err := r.FormFile("file")
	if err != nil {
		return again("Choose a file first.")
	}
	defer file.Close()
	c, u, err := casefile.Read(file, head.Filename, s.Book.Tables())
	var problems *casefile.Problems
	if errors.As(err, &problems) {
		return again(strings.Split(problems.Error(), "\n")...)
	}
	if err != nil {
		return err
	}
	plant := 0
	if label := f.text("plant"); label != "" || len(c.Plants) > 1 {
		plant = -1
		var labels []string
		for i, p := range c.Plants {
			if strings.EqualFold(orWord(p.Label, p.Name), label) {
				plant = i
			}
			labels = append(labels, orWord(p.Label, p.Name))
		}
		if plant < 0 {
			return again(fmt.Sprintf("The file tells of %d plants. Write which one, and open it again: %s.", len(c.Plants), strings.Join(labels[:min(len(labels), 20)], ", ")))
		}
	}
	packed, err := packCase(casefile.Alone(c, plant), u)
	if err != nil {
		return err
	}
	return seeOther(w, r, "/cases/answer?"+url.Values{"c": {packed}}.Encode())
}
