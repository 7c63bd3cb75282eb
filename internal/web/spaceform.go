package web

import (
	"cmp"
	"fmt"
	"net/http"
	"strings"

	"velamen/internal/care"
	"velamen/science/light"
)

// spaceView is the form of one space.
type spaceView struct {
	frame
	Action string // where it is sent
	Name   field
	Kind   field

	Day, Night                 field
	DayHumidity, NightHumidity field
	Air                        field
	Light, LightFrom, Hours    field
	Volume, Changes, Panes     field

	Known     bool // it exists: its name stays
	Removable bool
}

// airWords say what one sees at each class of air movement.
var airWords = map[care.AirMovement]string{
	care.StillAir: "still: a closed room", care.GentleAir: "gentle: a fan somewhere, thin leaves just stir",
	care.MovingAir: "moving: a fan on the plants, leaves move", care.StrongAir: "strong: wind, leaves flap",
}

func (s *Server) newSpaceView(u care.Units, space care.Space) *spaceView {
	v := &spaceView{
		Name: field{Name: "name", Label: "Name", Value: space.Name, Required: true, Hint: "As you call it: the round goes by it."},
		Kind: field{Name: "kind", Label: "What is it?", Type: "select", Options: choices(care.SpaceKinds, space.Kind)},
		Day:  airTemperature.ask("day", "Usual day", u, space.DayC), Night: airTemperature.ask("night", "Usual night", u, space.NightC),
		DayHumidity:   humidity.ask("day_humidity", "Humidity, day", u, space.DayRHPercent),
		NightHumidity: humidity.ask("night_humidity", "Humidity, night", u, space.NightRHPercent),
		Air:           field{Name: "air", Label: "Air at the leaves", Type: "select", Options: []choice{{Label: "not known"}}},
		Light:         field{Name: "light", Label: "Light at the leaves", Value: shownLevel(space.Light), Hint: "The brightest of a bright day, or under the lamps: fc, lx, µmol or mol/day."},
		LightFrom:     field{Name: "light_from", Label: "Light from", Type: "select", Options: []choice{{Label: "not known"}}},
		Hours:         lampHours.ask("hours", "Lamps on, a day", u, space.Light.HoursPerDay),
	}
	for _, a := range care.AirMovements {
		v.Air.Options = append(v.Air.Options, choice{string(a), airWords[a], a == space.Air})
	}
	source, err := light.ParseSource(space.Light.Source)
	for _, one := range light.Sources() {
		v.LightFrom.Options = append(v.LightFrom.Options, choice{one.String(), sentence(one.String()), err == nil && one == source})
	}
	room := care.Room{}
	if space.Room != nil {
		room = *space.Room
	}
	v.Volume, v.Changes = roomVolume.ask("volume", "Size of the room", u, room.VolumeM3), airChanges.ask("changes", "Air changes", u, room.AirChangesPerHour)
	v.Panes = field{Name: "panes", Label: "Coldest glass", Type: "select", Options: append([]choice{{Label: "not known"}}, choices(care.Glazings, room.Panes)...)}
	v.Here = "spaces"
	return v
}

func (v *spaceView) fields() []*field {
	return []*field{&v.Name, &v.Kind, &v.Day, &v.Night, &v.DayHumidity, &v.NightHumidity, &v.Air, &v.Light, &v.LightFrom, &v.Hours, &v.Volume, &v.Changes, &v.Panes}
}

func (s *Server) units() (u care.Units) {
	s.Book.Read(func(c *care.Collection) { u = c.Settings.Units })
	return u
}

// spaceOf returns the space a path names.
func (s *Server) spaceOf(r *http.Request) (space care.Space, err error) {
	err = fmt.Errorf("%w: a space of this name", errNotFound)
	s.Book.Read(func(c *care.Collection) {
		for _, one := range c.Spaces {
			if strings.EqualFold(one.Name, r.PathValue("name")) {
				space, err = one, nil
			}
		}
	})
	return space, err
}

func (s *Server) showNewSpace(w http.ResponseWriter, r *http.Request) error {
	v := s.newSpaceView(s.units(), care.Space{Kind: care.Windowsill})
	v.Title, v.Action = "A new space", "/spaces/new"
	return s.render(w, r, http.StatusOK, "space.html", v)
}

func (s *Server) showSpace(w http.ResponseWriter, r *http.Request) error {
	space, err := s.spaceOf(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "space.html", s.knownSpaceView(space))
}

func (s *Server) knownSpaceView(space care.Space) *spaceView {
	v := s.newSpaceView(s.units(), space)
	v.Title, v.Action, v.Known, v.Removable = space.Name, spacePath(space.Name), true, true
	c, plants := s.inhabitants()
	for _, p := range plants {
		if lives(p, space.Name, len(c.Spaces)) {
			v.Removable = false
		}
	}
	return v
}

func (s *Server) addSpace(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	u := s.units()
	space := f.space(u, care.Space{})
	space.Name = f.name("name", "Give it a name: the round goes by it.")
	s.Book.Read(func(c *care.Collection) {
		for _, one := range c.Spaces {
			if strings.EqualFold(one.Name, space.Name) {
				f.say("name", "There is a space called %s already.", one.Name)
			}
		}
	})
	if f.wrong() {
		v := s.newSpaceView(u, space)
		v.Title, v.Action = "A new space", "/spaces/new"
		f.keep(v.fields()...)
		return s.render(w, r, http.StatusUnprocessableEntity, "space.html", v)
	}
	return s.keepSpace(w, r, space)
}

func (s *Server) changeSpace(w http.ResponseWriter, r *http.Request) error {
	kept, err := s.spaceOf(r)
	if err != nil {
		return err
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	space := f.space(s.units(), kept)
	space.Name = kept.Name
	if f.wrong() {
		v := s.knownSpaceView(kept)
		f.keep(v.fields()...)
		v.Name.Value = kept.Name
		return s.render(w, r, http.StatusUnprocessableEntity, "space.html", v)
	}
	return s.keepSpace(w, r, space)
}

func (s *Server) keepSpace(w http.ResponseWriter, r *http.Request, space care.Space) error {
	defer s.settleAfter(r)
	e := s.newEntry(care.SpaceSet, "", care.Detail{Space: &space})
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, "/spaces?done=kept")
}

// space reads the form of a space, but for its name. What the form does not
// ask for stays as it was.
func (f *form) space(u care.Units, kept care.Space) care.Space {
	space := care.Space{Covers: kept.Covers}
	space.Kind = one(f, "kind", care.SpaceKinds)
	f.climate(&space, u, kept)
	space.Air = one(f, "air", care.AirMovements)
	space.Light.Level, space.Light.Unit = f.lightLevel("light", u, kept.Light)
	space.Light.HoursPerDay = f.quantity("hours", lampHours, u, kept.Light.HoursPerDay)
	if text := f.text("light_from"); text != "" {
		source, err := light.ParseSource(text)
		if err != nil {
			f.say("light_from", "%q is not one of the choices.", text)
		}
		space.Light.Source = source.String()
	}
	kept.Room = cmp.Or(kept.Room, &care.Room{})
	room := care.Room{
		VolumeM3:          f.quantity("volume", roomVolume, u, kept.Room.VolumeM3),
		AirChangesPerHour: f.quantity("changes", airChanges, u, kept.Room.AirChangesPerHour),
		Panes:             one(f, "panes", care.Glazings),
	}
	if room != (care.Room{}) {
		space.Room = &room
	}
	return space
}
