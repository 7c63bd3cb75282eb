package web

import (
	"net/http"
	"unicode/utf8"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/science/basis"
)

func startRoutes(on *router) {
	on.get("/start", (*Server).showStart)
	on.post("/start", (*Server).start)
	on.post("/start/sample", (*Server).startWithSample)
}

// startView is the first screen of an empty collection: the least a course
// needs to know.
type startView struct {
	frame
	Place, Altitude                    field
	Space, Kind, Day, Night            field
	DayHumidity, NightHumidity         field
	Water, WaterEC                     field
	Strength, FeedEvery, WaterEvery    field
	Temperature, Light, Salt, Measures field // units
	HasSample                          bool
}

// empty reports whether nothing was entered yet: then the first screen opens
// instead of the round.
func (s *Server) empty() bool {
	nothing := false
	s.Book.Read(func(c *care.Collection) { nothing = len(c.Spaces) == 0 && len(c.Plants) == 0 })
	return nothing
}

func newStartView(u care.Units) *startView {
	none := basis.Value{}
	v := &startView{
		Place:         field{Name: "place", Label: "Where is it?", Hint: "Latitude and longitude, for the length of the days: 37.8 S, 145 E. Whole degrees do."},
		Altitude:      altitude.ask("altitude", "Height above the sea", u, none),
		Space:         field{Name: "space", Label: "What do you call it?", Hint: "One room, shelf or bench with a climate of its own. More can be added later.", Required: true},
		Kind:          field{Name: "kind", Label: "What is it?", Type: "select", Options: choices(care.SpaceKinds, care.Windowsill)},
		Day:           field{Name: "day", Label: "Usual day", Hint: "28 °C or 82 °F"},
		Night:         field{Name: "night", Label: "Usual night"},
		DayHumidity:   humidity.ask("day_humidity", "Humidity, day", u, none),
		NightHumidity: humidity.ask("night_humidity", "Humidity, night", u, none),
		Water:         field{Name: "water", Label: "The lowest-salt water you have", Hint: "Rain, reverse osmosis, or mains if there is no other. Pots are flushed with it."},
		WaterEC:       field{Name: "water_ec", Label: "Its conductivity", Hint: "From the pen: 0.03, 30 µS/cm, 15 ppm (500). Left empty, 0.05 mS/cm is reckoned with."},
	}
	usual := newRoutineFields(u, care.NewCollection())
	v.Strength, v.FeedEvery, v.WaterEvery = usual.Strength, usual.FeedEvery, usual.WaterEvery
	v.Altitude.Hint = "Leave it empty below 500 m: it hardly matters there."
	v.Title = "A first place"
	v.Temperature, v.Light, v.Salt, v.Measures = unitFields(u)
	return v
}

func (v *startView) fields() []*field {
	return []*field{
		&v.Place, &v.Altitude, &v.Space, &v.Kind, &v.Day, &v.Night, &v.DayHumidity, &v.NightHumidity,
		&v.Water, &v.WaterEC, &v.Strength, &v.FeedEvery, &v.WaterEvery, &v.Temperature, &v.Light, &v.Salt, &v.Measures,
	}
}

func (s *Server) showStart(w http.ResponseWriter, r *http.Request) error {
	if !s.empty() {
		return seeOther(w, r, "/")
	}
	v := newStartView(care.MetricUnits())
	v.HasSample = s.Sample != nil
	return s.render(w, r, http.StatusOK, "start.html", v)
}

// start takes the first place, space and water.
func (s *Server) start(w http.ResponseWriter, r *http.Request) error {
	if !s.empty() {
		return seeOther(w, r, "/")
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	units := f.units()
	place := f.place(units, care.Place{})
	space := care.Space{Name: f.name("space", "Give it a name: the round goes by it."), Kind: one(f, "kind", care.SpaceKinds)}
	f.climate(&space, units, care.Space{})
	water := care.Water{Name: f.short("water"), ECmS: f.quantity("water_ec", sourceEC, units, care.Water{}.ECmS)}
	if water.Name == "" && water.ECmS.Grade != 0 {
		f.say("water", "Give it a name, such as rain barrel.")
	}
	told := care.NewCollection()
	if water.Name != "" {
		told.Waters = []care.Water{water}
	}
	routine := f.routine(units, told)
	if f.wrong() {
		v := newStartView(units)
		v.HasSample = s.Sample != nil
		f.keep(v.fields()...)
		return s.render(w, r, http.StatusUnprocessableEntity, "start.html", v)
	}
	details := []care.Detail{{Settings: &care.Settings{Units: units}}, {Space: &space}}
	kinds := []care.Kind{care.SettingsSet, care.SpaceSet}
	if place != (care.Place{}) {
		details, kinds = append(details, care.Detail{Place: &place}), append(kinds, care.PlaceSet)
	}
	if water.Name != "" {
		details, kinds = append(details, care.Detail{Water: &water}), append(kinds, care.WaterSet)
	}
	if routine != (care.Routine{}) {
		details, kinds = append(details, care.Detail{Routine: &routine}), append(kinds, care.RoutineSet)
	}
	entries := make([]care.Entry, len(kinds))
	for i, kind := range kinds {
		entries[i] = s.newEntry(kind, "", details[i])
	}
	if _, err := s.Book.Append(r.Context(), entries...); err != nil {
		return err
	}
	return seeOther(w, r, "/repot?done=begun")
}

func (s *Server) startWithSample(w http.ResponseWriter, r *http.Request) error {
	if err := s.LoadSample(r.Context()); err != nil {
		return err
	}
	return seeOther(w, r, "/?done=sample")
}

// longestName bounds names and labels, in characters.
const longestName = 120

// name reads a name that must not be empty.
func (f *form) name(field, missing string) string {
	f.required(field, missing)
	return f.short(field)
}

// short reads one line of text.
func (f *form) short(field string) string {
	text := f.text(field)
	if n := utf8.RuneCountInString(text); n > longestName {
		f.say(field, "That has %d letters; %d are the most.", n, longestName)
	}
	return text
}

// place reads where the plants stand.
func (f *form) place(u care.Units, kept care.Place) care.Place {
	p := care.Place{AltitudeM: f.quantity("altitude", altitude, u, kept.AltitudeM), Zone: kept.Zone}
	if f.values.Has("zone") {
		if p.Zone = f.text("zone"); p.Zone != "" {
			if _, err := readings.ParseZone(p.Zone); err != nil {
				f.say("zone", "%s.", sentence(err.Error()))
			}
		}
	}
	text := f.text("place")
	switch {
	case text == "":
	case text == shownWhereabouts(kept.LatitudeDeg, kept.LongitudeDeg):
		p.LatitudeDeg, p.LongitudeDeg = kept.LatitudeDeg, kept.LongitudeDeg
	default:
		var err error
		if p.LatitudeDeg, p.LongitudeDeg, err = readWhereabouts(text); err != nil {
			f.say("place", "%s.", sentence(err.Error()))
		}
	}
	return p
}

// climate reads the typical day and night of a space.
func (f *form) climate(s *care.Space, u care.Units, kept care.Space) {
	s.DayC = f.quantity("day", airTemperature, u, kept.DayC)
	s.NightC = f.quantity("night", airTemperature, u, kept.NightC)
	s.DayRHPercent = f.quantity("day_humidity", humidity, u, kept.DayRHPercent)
	s.NightRHPercent = f.quantity("night_humidity", humidity, u, kept.NightRHPercent)
}
