package web

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"velamen/internal/care"
)

func spacesRoutes(on *router) {
	on.get("/spaces", (*Server).showSpaces)
	on.get("/spaces/new", (*Server).showNewSpace)
	on.post("/spaces/new", (*Server).addSpace)
	on.get("/space/{name}", (*Server).showSpace)
	on.post("/space/{name}", (*Server).changeSpace)
	on.post("/space/{name}/remove", (*Server).removeSpace)
}

// spacesView is every space with its climate and what its plants need.
type spacesView struct {
	frame
	Place  string
	Spaces []spaceLine
	Lost   []plantLink // plants in a space that is not described
}

// spaceLine is one space.
type spaceLine struct {
	Name, Kind, Path string
	Climate          string
	Needs            []needView
	Plants           []plantLink
	Recovering       int
	Usual            int // plants in their usual care, which ask for nothing
	Troubles         []trouble
}

// plantLink leads to a plant.
type plantLink struct{ Path, Label, Name, Stage string }

// trouble is a plant whose course cannot be worked out, and why.
type trouble struct{ Path, Label, Why string }

// inhabitant is a plant that lives in a space.
type inhabitant struct {
	id, label, name, space string
	recovering             bool
}

func (s *Server) inhabitants() (c care.Collection, plants []inhabitant) {
	today := s.Book.Today()
	s.Book.Read(func(now *care.Collection) {
		c = *now // the lists are never changed in place
		for id, p := range now.Plants {
			if p.Ended.IsZero() {
				plants = append(plants, inhabitant{id, p.Record.Label, p.Record.Name, p.Record.Space, p.Recovering(today)})
			}
		}
	})
	slices.SortFunc(plants, func(a, b inhabitant) int { return cmp.Compare(a.label, b.label) })
	return c, plants
}

func (s *Server) showSpaces(w http.ResponseWriter, r *http.Request) error {
	c, plants := s.inhabitants()
	v := &spacesView{Place: shownWhereabouts(c.Place.LatitudeDeg, c.Place.LongitudeDeg)}
	v.Title, v.Here, v.Style = "Spaces", "spaces", "spaces.css"
	units := c.Settings.Units
	for _, space := range c.Spaces {
		line := spaceLine{Name: space.Name, Kind: string(space.Kind), Path: spacePath(space.Name), Climate: climateText(units, space)}
		var residents []resident
		for _, p := range plants {
			if !lives(p, space.Name, len(c.Spaces)) {
				continue
			}
			link := plantLink{Path: "/plant/" + p.id, Label: p.label, Name: p.name}
			if p.recovering {
				if err := r.Context().Err(); err != nil {
					return err
				}
				one, err := s.resident(p, link)
				if err != nil {
					line.Troubles = append(line.Troubles, trouble{link.Path, p.label, err.Error()})
				} else {
					link.Stage = string(one.course.Stage)
					residents = append(residents, one)
				}
			} else {
				line.Usual++
			}
			line.Plants = append(line.Plants, link)
		}
		line.Recovering = len(residents)
		for _, n := range needsOf(residents) {
			line.Needs = append(line.Needs, newNeedView(units, n, residents))
		}
		v.Spaces = append(v.Spaces, line)
	}
	for _, p := range plants {
		known := slices.ContainsFunc(c.Spaces, func(space care.Space) bool { return lives(p, space.Name, len(c.Spaces)) })
		if !known {
			v.Lost = append(v.Lost, plantLink{Path: "/plant/" + p.id, Label: p.label, Name: p.space})
		}
	}
	return s.render(w, r, http.StatusOK, "spaces.html", v)
}

// resident returns a recovering plant as it stands today.
func (s *Server) resident(p inhabitant, link plantLink) (resident, error) {
	course, err := s.Book.Course(p.id, s.Book.Today())
	if err != nil {
		return resident{}, err
	}
	group, err := s.Book.Tables().Lookup(course.Group)
	return resident{link, course, group}, err
}

// lives reports whether a plant is in a space: the one it names, or the only
// one there is.
func lives(p inhabitant, space string, spaces int) bool {
	return strings.EqualFold(p.space, space) || p.space == "" && spaces == 1
}

func spacePath(name string) string { return "/space/" + url.PathEscape(name) }

// climateText is what was typed in of a space's climate, in a line.
func climateText(u care.Units, s care.Space) string {
	var parts []string
	if s.DayC.Grade != 0 {
		parts = append(parts, "day "+u.Show(s.DayC))
	}
	if s.NightC.Grade != 0 {
		parts = append(parts, "night "+u.Show(s.NightC))
	}
	switch day, night := shown(u, s.DayRHPercent), shown(u, s.NightRHPercent); {
	case day != "" && night != "":
		parts = append(parts, "humidity "+day+" and "+night)
	case day+night != "":
		parts = append(parts, "humidity "+day+night)
	}
	if s.Air != "" {
		parts = append(parts, string(s.Air)+" air")
	}
	if level := shownLevel(s.Light); level != "" {
		parts = append(parts, level)
	}
	return strings.Join(parts, ", ")
}

// removeSpace withdraws a space in which nothing lives. The journal still shows
// it.
func (s *Server) removeSpace(w http.ResponseWriter, r *http.Request) error {
	space, err := s.spaceOf(r)
	if err != nil {
		return err
	}
	c, plants := s.inhabitants()
	for _, p := range plants {
		if lives(p, space.Name, len(c.Spaces)) {
			return fmt.Errorf("%w: %s still lives there; move its plants first", errForbidden, p.label)
		}
	}
	if err := s.withdrawAll(r.Context(), func(e care.Entry) bool {
		return e.Kind == care.SpaceSet && strings.EqualFold(e.Detail.Space.Name, space.Name)
	}); err != nil {
		return err
	}
	return seeOther(w, r, "/spaces?done=withdrawn")
}
