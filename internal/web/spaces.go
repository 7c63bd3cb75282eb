package web

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/internal/culture"
)

func spacesRoutes(on *router) {
	spotsRoutes(on)
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
	Place    string
	Spaces   []spaceLine
	Lost     []plantLink // plants in a space that is not described
	MoreLost int         // of them, beyond those listed
}

// spaceLine is one space.
type spaceLine struct {
	Name, Kind, Path string
	Climate          string
	Needs            []needView
	Plants           []plantLink
	More             int    // of the plants, beyond those listed
	All              string // where all of them are
	Recovering       int
	Pending          int // of them, still being worked out
	Usual            int // plants in their usual care, which ask for nothing
	Troubles         []trouble
	MoreTroubles     int // beyond those listed
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
		var recovering []inhabitant
		var at []int // their places among all
		for _, p := range plants {
			if !lives(p, space.Name, len(c.Spaces)) {
				continue
			}
			if p.recovering {
				recovering, at = append(recovering, p), append(at, len(line.Plants))
			} else {
				line.Usual++
			}
			line.Plants = append(line.Plants, linkTo(p))
		}
		residents, err := s.residents(r.Context(), &line, recovering, at)
		if err != nil {
			return err
		}
		line.Recovering = len(recovering)
		for _, n := range needsOf(residents) {
			shown, err := newNeedView(units, n, residents)
			if err != nil {
				return err
			}
			line.Needs = append(line.Needs, shown)
		}
		if line.More = max(0, len(line.Plants)-mostNamed); line.More > 0 {
			line.Plants = line.Plants[:mostNamed]
			line.All = "/collection?" + url.Values{"space": {space.Name}}.Encode()
		}
		v.Spaces = append(v.Spaces, line)
	}
	for _, p := range plants {
		known := slices.ContainsFunc(c.Spaces, func(space care.Space) bool { return lives(p, space.Name, len(c.Spaces)) })
		switch {
		case known:
		case len(v.Lost) == mostNamed:
			v.MoreLost++
		default:
			v.Lost = append(v.Lost, plantLink{Path: "/plant/" + p.id, Label: p.label, Name: p.space})
		}
	}
	return s.render(w, r, http.StatusOK, "spaces.html", v)
}

// mostNamed is how many of a space's plants are listed before the collection is
// the better place to look.
const mostNamed = 60

func linkTo(p inhabitant) plantLink {
	return plantLink{Path: "/plant/" + p.id, Label: p.label, Name: p.name}
}

// residents returns the recovering plants of a space as they stand today. In the
// space's line, where each is listed at its place, it notes their stages, those
// without a course, and how many are still being worked out.
func (s *Server) residents(ctx context.Context, line *spaceLine, plants []inhabitant, at []int) ([]resident, error) {
	ids := make([]string, len(plants))
	for i, p := range plants {
		ids[i] = p.id
	}
	outlines, err := s.Book.Outlines(ctx, ids)
	if err != nil {
		return nil, err
	}
	today := s.Book.Today()
	groups := map[string]culture.Group{}
	list := make([]resident, 0, len(plants))
	for i, p := range plants {
		one, why := outlines[i].Outline, outlines[i].Why
		var group culture.Group
		if one != nil {
			known := false
			if group, known = groups[one.Group]; !known {
				if group, why = s.Book.Tables().Lookup(one.Group); why == nil {
					groups[one.Group] = group
				}
			}
		}
		link := linkTo(p)
		switch {
		case why != nil:
			if len(line.Troubles) < mostListed {
				line.Troubles = append(line.Troubles, trouble{link.Path, p.label, why.Error()})
			} else {
				line.MoreTroubles++
			}
			continue
		case one == nil:
			line.Pending++
			continue
		}
		stage, _ := one.Stage(today)
		link.Stage = string(stage)
		line.Plants[at[i]] = link
		list = append(list, resident{link, one.Wanted(today), one.Usual, group, func() (care.Course, error) { return s.Book.Course(p.id, today) }})
	}
	return list, nil
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
