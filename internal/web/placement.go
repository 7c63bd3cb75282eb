package web

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/internal/plan"
)

// placesView is where one plant could stand.
type placesView struct {
	frame
	Plant plantHead
	Fits  []fitView
	Entry string
}

// fitView is a place with how it suits.
type fitView struct {
	Name, Value string // value of the form's field
	Says        string
	Gaps        []string
	Here        bool
}

// placementView is what is proposed for all.
type placementView struct {
	frame
	Says    string
	Moves   []moveView
	Pending int
	Lost    []string
	NoSpots bool
}

// moveView is one plant that would stand better elsewhere.
type moveView struct {
	Label, Path, From, To, Value string
	Here, There                  []string // what only one of them lacks
	Alike                        bool     // something is lacking in both
	Action                       string
}

// fitWords says how far a place is from what is asked for.
func fitWords(misfit float64) string {
	switch {
	case misfit < 0.3:
		return "suits it"
	case misfit < plan.WorthAMove:
		return "nearly suits it"
	case misfit < 3:
		return "does not suit it"
	}
	return "far from what it asks for"
}

// placeValue is a place in the field of a form.
func placeValue(p care.PlaceOption) string { return p.Name() }

// placeOptions returns the places of the collection.
func (s *Server) placeOptions() (list []care.PlaceOption) {
	now, zone := s.Now(), s.zone()
	s.Book.Read(func(c *care.Collection) { list = c.PlaceOptions(zone, now) })
	return list
}

func (s *Server) showPlaces(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	c, err := s.Book.Course(sp.id, s.Book.Today())
	if err != nil {
		return fmt.Errorf("%w: %w", errNotFound, err)
	}
	fits, err := care.Fits(sp.kase, sp.state.Record, s.Book.Tables(), c.Outline(), s.placeOptions(), s.Book.Today())
	if err != nil {
		return err
	}
	v := &placesView{Plant: newPlantHead(sp), Entry: newID()}
	v.Title, v.Here, v.Style = "Where to put "+sp.label(), "collection", "plant.css"
	for _, f := range fits {
		v.Fits = append(v.Fits, fitView{Name: f.Name(), Value: placeValue(f.PlaceOption), Says: fitWords(f.Misfit), Gaps: f.Gaps, Here: f.Here})
	}
	return s.render(w, r, http.StatusOK, "places.html", v)
}

func (s *Server) showPlacement(w http.ResponseWriter, r *http.Request) error {
	v := &placementView{}
	v.Title, v.Here, v.Style = "Where to put the plants", "spaces", "spaces.css"
	today := s.Book.Today()
	places := s.placeOptions()
	standing := make([]int, len(places))
	var kase care.Case
	type one struct {
		id     string
		record care.Plant
	}
	var list []one
	s.Book.Read(func(c *care.Collection) {
		kase = c.Case()
		for id, p := range c.Plants {
			if !p.Ended.IsZero() {
				continue
			}
			for k := range places {
				if places[k].Holds(&p.Record) {
					standing[k]++
				}
			}
			if p.Recovering(today) {
				list = append(list, one{id, p.Record})
			}
		}
	})
	kase.Measured = s.Book.Usual()
	slices.SortFunc(list, func(a, b one) int { return cmp.Compare(a.id, b.id) })
	list = list[:min(len(list), mostPlaced)]
	ids := make([]string, len(list))
	for i, p := range list {
		ids[i] = p.id
	}
	outlines, err := s.Book.Outlines(r.Context(), ids)
	if err != nil {
		return err
	}
	var tenants []plan.Tenant
	for i, p := range list {
		if outlines[i].Outline == nil {
			v.Pending++
			continue
		}
		fits, err := care.Fits(kase, p.record, s.Book.Tables(), outlines[i].Outline, places, today)
		if err != nil {
			return err
		}
		tenants = append(tenants, plan.Tenant{Plant: p.id, Label: p.record.Label, Fits: fits})
	}
	placed, err := plan.Place(places, standing, tenants)
	if err != nil {
		return err
	}
	v.Lost, v.NoSpots = placed.Unplaced, !slices.ContainsFunc(places, func(p care.PlaceOption) bool { return p.Spot != "" })
	for _, m := range placed.Moves {
		v.Moves = append(v.Moves, moveView{
			Label: m.Tenant.Label, Path: "/plant/" + m.Tenant.Plant, From: m.From.Name(), To: m.To.Name(), Value: placeValue(m.To.PlaceOption),
			Here: without(m.From.Gaps, m.To.Gaps), There: without(m.To.Gaps, m.From.Gaps), Alike: len(without(m.From.Gaps, m.To.Gaps)) < len(m.From.Gaps), Action: "/plant/" + m.Tenant.Plant + "/write/move",
		})
	}
	switch {
	case len(v.Moves) == 0:
		v.Says = "Leave them where they are: no move within the room there is suits the plants clearly better."
	default:
		v.Says = fmt.Sprintf("%s, each worth more than it disturbs.", sentence(counted(len(v.Moves), "move", "moves")))
	}
	return s.render(w, r, http.StatusOK, "placement.html", v)
}

// without returns what a list has beyond another.
func without(list, other []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(one string) bool { return slices.Contains(other, one) })
}

// mostPlaced is how many plants are placed at once.
const mostPlaced = 1000

// placeOf reads the place that a move names.
func placeOf(kase care.Case, name string) (space, spot string, ok bool) {
	for _, s := range kase.Spots {
		if strings.EqualFold(name, s.Space+", "+s.Name) {
			return s.Space, s.Name, true
		}
	}
	for _, s := range kase.Spaces {
		if s.Name == name {
			return s.Name, "", true
		}
	}
	return "", "", false
}
