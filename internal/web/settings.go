package web

import (
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/science/basis"
)

func settingsRoutes(on *router) {
	on.get("/settings", (*Server).showSettings, peopleOnly)
	on.post("/settings", (*Server).changeSettings)
	on.post("/settings/place", (*Server).changePlace)
	on.post("/settings/sample/remove", (*Server).removeSample)
	on.post("/settings/machines", (*Server).addMachine)
	on.post("/settings/machines/remove", (*Server).removeMachine)
	on.get("/settings/export", (*Server).sendExport, peopleOnly, lasting(exportTime))
}

// settingsView is what the grower chose once, and who has access.
type settingsView struct {
	frame
	Temperature, Light, Salt, Measures field
	Minutes, Litres                    field
	Weekdays                           []field
	BenchMinutes                       field
	KeepOriginals                      field

	Routine               routineFields
	Place, Altitude, Zone field

	OthersReachIt  bool // sign-in is needed
	Machines       []machineLine
	MachineName    field
	MachineScope   field
	NewToken       string // shown once
	NewMachine     string
	CanExport      bool
	HasSample      bool
	HasCertificate bool
}

// machineLine is one machine that has a token.
type machineLine struct{ Name, Scope, Made string }

// scopeWords say what a token may do.
var scopeWords = map[scope]string{readScope: "read", writeScope: "read, and write entries and readings", sensorScope: "send readings, nothing else"}

func (s *Server) newSettingsView(r *http.Request) (*settingsView, error) {
	var c care.Collection
	s.Book.Read(func(now *care.Collection) { c = *now })
	settings, place := c.Settings, c.Place
	machines, err := s.Secrets.Machines(r.Context())
	if err != nil {
		return nil, fmt.Errorf("reading the machines: %w", err)
	}
	u := settings.Units
	v := &settingsView{
		Minutes:       field{Name: "minutes", Label: "Minutes a day", Value: shownLimit(settings.MinutesPerDay), Mode: "decimal", Hint: "What takes longer waits for another day, the least harmful first. Empty: no limit."},
		Litres:        field{Name: "litres", Label: "Litres a day", Value: shownLimit(settings.LitresPerDay), Mode: "decimal", Hint: "Low-salt water there is on one day. Empty: no limit."},
		KeepOriginals: field{Name: "keep_originals", Label: "Keep photographs as they came from the camera too", Type: "checkbox", Checked: settings.KeepOriginals},
		Routine:       newRoutineFields(u, &c),
		Place:         field{Name: "place", Label: "Latitude and longitude", Value: shownWhereabouts(place.LatitudeDeg, place.LongitudeDeg), Hint: "37.8 S, 145 E. Whole degrees do."},
		Altitude:      field{Name: "altitude", Label: "Height above the sea", Value: shown(u, place.AltitudeM)},
		Zone:          field{Name: "zone", Label: "Time zone", Value: place.Zone, Hint: "Of the days of measured climate: Europe/Berlin. Empty: that of the machine this runs on, " + readings.ZoneOf(care.Place{}, s.Now().Location()).String() + "."},
		OthersReachIt: s.access.required,
		MachineName:   field{Name: "machine", Label: "What is it?", Hint: "The logger on the terrace, a script of your own."},
		MachineScope:  field{Name: "scope", Label: "It may", Type: "select"},
		CanExport:     s.Export != nil, HasSample: settings.SampleDataOnly, HasCertificate: len(s.Authority) > 0,
	}
	for i := range settings.Weekdays {
		v.Weekdays = append(v.Weekdays, weekdayField(time.Weekday((i+1)%7), settings.Weekdays))
	}
	v.BenchMinutes = field{Name: "bench", Label: "Minutes a week for repotting", Value: shownLimit(settings.BenchMinutesPerWeek), Mode: "decimal", Hint: "Empty: no limit."}
	for _, one := range scopes {
		v.MachineScope.Options = append(v.MachineScope.Options, choice{string(one), scopeWords[one], one == readScope})
	}
	for _, m := range machines {
		v.Machines = append(v.Machines, machineLine{m.Name, scopeWords[scope(m.Scope)], m.Made.Format("2 January 2006")})
	}
	v.Temperature, v.Light, v.Salt, v.Measures = unitFields(u)
	v.Title, v.Here = "Settings", "settings"
	return v, nil
}

func shownLimit(v float64) string {
	if v == 0 {
		return ""
	}
	return fmt.Sprintf("%g", v)
}

// weekdayField asks for the minutes of one day of the week.
func weekdayField(day time.Weekday, all care.Weekdays) field {
	f := field{Name: "day." + strings.ToLower(day.String()), Label: day.String(), Unit: "min", Mode: "decimal"}
	if w := all[day]; w.Given {
		f.Value = fmt.Sprintf("%g", w.Minutes)
	}
	return f
}

// weekdays reads what differs on some days of the week; 0 is a day off.
func (f *form) weekdays(u care.Units) (all care.Weekdays) {
	for i := range all {
		name := "day." + strings.ToLower(time.Weekday(i).String())
		switch text := f.text(name); text {
		case "":
		case "0":
			all[i] = care.WeekdayMinutes{Given: true}
		default:
			if v := f.number(name, dayMinutes, u); v != nil {
				all[i] = care.WeekdayMinutes{Given: true, Minutes: *v}
			}
		}
	}
	return all
}

func (s *Server) showSettings(w http.ResponseWriter, r *http.Request) error {
	v, err := s.newSettingsView(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "settings.html", v)
}

// again shows the settings with what was typed into some fields.
func (s *Server) againSettings(w http.ResponseWriter, r *http.Request, f *form, fields func(*settingsView) []*field) error {
	v, err := s.newSettingsView(r)
	if err != nil {
		return err
	}
	f.keep(fields(v)...)
	return s.render(w, r, http.StatusUnprocessableEntity, "settings.html", v)
}

func (s *Server) changeSettings(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	var settings care.Settings
	s.Book.Read(func(c *care.Collection) { settings = c.Settings })
	settings.Units = f.units()
	settings.MinutesPerDay = f.quantity("minutes", dayMinutes, settings.Units, basis.Value{}).Value
	settings.LitresPerDay = f.quantity("litres", dayLitres, settings.Units, basis.Value{}).Value
	settings.Weekdays = f.weekdays(settings.Units)
	settings.BenchMinutesPerWeek = 0
	if v := f.number("bench", weekMinutes, settings.Units); v != nil {
		settings.BenchMinutesPerWeek = *v
	}
	settings.KeepOriginals = f.checked("keep_originals")
	if f.wrong() {
		return s.againSettings(w, r, f, func(v *settingsView) []*field {
			list := []*field{&v.Temperature, &v.Light, &v.Salt, &v.Measures, &v.Minutes, &v.Litres, &v.BenchMinutes, &v.KeepOriginals}
			for i := range v.Weekdays {
				list = append(list, &v.Weekdays[i])
			}
			return list
		})
	}
	return s.keepSetting(w, r, care.SettingsSet, care.Detail{Settings: &settings})
}

func (s *Server) changePlace(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	var kept care.Place
	s.Book.Read(func(c *care.Collection) { kept = c.Place })
	place := f.place(s.units(), kept)
	if f.wrong() {
		return s.againSettings(w, r, f, func(v *settingsView) []*field { return []*field{&v.Place, &v.Altitude, &v.Zone} })
	}
	defer s.settleAfter(r)
	return s.keepSetting(w, r, care.PlaceSet, care.Detail{Place: &place})
}

func (s *Server) keepSetting(w http.ResponseWriter, r *http.Request, kind care.Kind, d care.Detail) error {
	e := s.newEntry(kind, "", d)
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, "/settings?done=kept")
}

func (s *Server) removeSample(w http.ResponseWriter, r *http.Request) error {
	if err := s.clearSample(r.Context()); err != nil {
		return err
	}
	if s.empty() {
		return seeOther(w, r, "/start?done=cleared")
	}
	return seeOther(w, r, "/settings?done=cleared")
}

// addMachine makes a token and shows it, this once.
func (s *Server) addMachine(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	fields := func(v *settingsView) []*field { return []*field{&v.MachineName, &v.MachineScope} }
	name, may := f.name("machine", "Give it a name, to know it by later."), one(f, "scope", scopes)
	if may == "" {
		f.say("scope", "Choose what it may do.")
	}
	if f.wrong() {
		return s.againSettings(w, r, f, fields)
	}
	token, err := newToken()
	if err != nil {
		return err
	}
	err = s.Secrets.AddMachine(r.Context(), name, string(may), token)
	if errors.Is(err, store.ErrExists) {
		f.say("machine", "There is a machine of this name; take its token away first, or choose another name.")
		return s.againSettings(w, r, f, fields)
	}
	if err != nil {
		return fmt.Errorf("keeping a token: %w", err)
	}
	v, err := s.newSettingsView(r)
	if err != nil {
		return err
	}
	v.NewToken, v.NewMachine = token, name
	return s.render(w, r, http.StatusOK, "settings.html", v)
}

func (s *Server) removeMachine(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	if err := s.Secrets.RemoveMachine(r.Context(), f.text("machine")); err != nil && !errors.Is(err, store.ErrNotFound) {
		return fmt.Errorf("taking a token away: %w", err)
	}
	return seeOther(w, r, "/settings?done=revoked")
}

// exportTime is how long a download may take: photographs over a slow network.
const exportTime = time.Hour

func (s *Server) sendExport(w http.ResponseWriter, r *http.Request) error {
	if s.Export == nil {
		return fmt.Errorf("%w: the download", errUnavailable)
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="velamen-%s.json"`, s.Book.Today().Format(time.DateOnly)))
	return s.Export(r.Context(), w)
}
