package web

import (
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/plot"
	"velamen/science/basis"
	"velamen/science/light"
)

func spotsRoutes(on *router) {
	on.get("/space/{name}/spots", (*Server).showSpots)
	on.post("/space/{name}/spots", (*Server).keepSpot)
	on.post("/space/{name}/light", (*Server).keepLight)
	on.get("/placement", (*Server).showPlacement)
	on.get("/plant/{id}/places", (*Server).showPlaces)
}

// spotsView is the spots of a space and their light over the year.
type spotsView struct {
	frame
	Space, Path, Back string
	Problem           string
	Spots             []spotView
	Season            template.HTML
	Says              string
	Rows              []seasonRow // the season as a table
	Names             []string
	Name, Faces, Far  field
	Covers, Places    field
	Spot, Level, Sky  field
	When              field
}

// spotView is one spot.
type spotView struct {
	Name, Where string
	Now         *figureView
	Why         string // why no light can be told
	Read        string
	Warning     string
}

type seasonRow struct {
	Month  string
	Values []string
}

var (
	facings   = []string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"}
	spotFarM  = measure{"the distance from a window", "m", 0, 10, always("m"), []writing{{"m", "metre metres", 1, 0}, {"cm", "", 0.01, 0}, {"ft", "foot feet", 0.3048, 0}}}
	meterNear = 0.1 // of what a hand-held meter shows, with its placing: an assumption
)

func (s *Server) spotsView(space care.Space) (*spotsView, error) {
	var c care.Collection
	s.Book.Read(func(now *care.Collection) { c = *now })
	u := c.Settings.Units
	v := &spotsView{Space: space.Name, Path: spacePath(space.Name), Back: "/spaces"}
	v.Title, v.Here, v.Style = "Spots in "+space.Name, "spaces", "plant.css"
	today := s.Now().In(s.zone())
	picture := plot.SeasonPicture{ID: "season-light", Title: "Light of a clear day, week by week", From: today}
	var lights []*care.SpotLight
	for _, spot := range c.SpotsIn(space.Name) {
		one := spotView{Name: spot.Name, Where: spotWords(u, spot.Spot)}
		if spot.Read != nil {
			one.Read = fmt.Sprintf("%s read on %s", u.ShowLight(spot.Read.PPFD.Value, 0, luxOfSun), spot.ReadAt.In(today.Location()).Format("2 January 2006, 15:04"))
			if !spot.Read.Clear {
				one.Read += ", not under a clear sky"
			}
		}
		l, err := c.LightOf(spot, today.Location())
		switch {
		case errors.Is(err, care.ErrNoSky):
			one.Why = sentence(err.Error()) + "."
		case err != nil:
			return nil, err
		default:
			now, err := l.DLI(today)
			if err != nil {
				return nil, err
			}
			f := newFigureAs(u, "Light of a clear day now", shownDLI(now.Value), shownDLI(now.Low)+" to "+shownDLI(now.High), care.Figure{Value: now, Because: l.Because()})
			one.Now = &f
			if l.LowSun {
				one.Warning = "The sun stood too low when the meter was read to tell about other days: read it again about noon."
			}
			if l.Surprising {
				one.Warning = "The reading lies outside what was expected: look again at the meter, the hour and the window."
			}
			line := plot.SeasonCurve{Name: spot.Name, Measured: l.Read}
			for week := range 53 {
				dli, err := l.DLI(today.AddDate(0, 0, 7*week))
				if err != nil {
					return nil, err
				}
				line.Low, line.Value, line.High = append(line.Low, dli.Low), append(line.Value, dli.Value), append(line.High, dli.High)
				line.Says = append(line.Says, fmt.Sprintf("%s, %s: %s (%s to %s)", spot.Name, today.AddDate(0, 0, 7*week).Format("2 January"), shownDLI(dli.Value), shownDLI(dli.Low), shownDLI(dli.High)))
			}
			picture.Spots = append(picture.Spots, line)
			lights = append(lights, l)
			v.Names = append(v.Names, spot.Name)
		}
		v.Spots = append(v.Spots, one)
	}
	if len(lights) > 0 {
		if err := v.season(picture, lights, today); err != nil {
			return nil, err
		}
	}
	v.Name = field{Name: "spot", Label: "Name", Required: true, Hint: "As you call it. The same name again changes the spot."}
	v.Faces = field{Name: "faces", Label: "Its window faces", Type: "select", Options: []choice{{Label: "no window: light from above, or lamps"}}}
	for _, d := range facings {
		v.Faces.Options = append(v.Faces.Options, choice{d, d, false})
	}
	v.Far = spotFarM.ask("far", "From the window", u, basis.Value{})
	v.Covers = field{Name: "covers", Label: "Between sky and plant", Hint: "Double glass, sheer curtain, shade cloth 50 %: each separated by a comma."}
	v.Places = field{Name: "places", Label: "Plants that it holds", Mode: "numeric", Hint: "Empty: as many as stand there."}
	v.Spot = field{Name: "at", Label: "Spot", Type: "select"}
	for _, one := range v.Spots {
		v.Spot.Options = append(v.Spot.Options, choice{one.Name, one.Name, false})
	}
	v.Level = field{Name: "level", Label: "The meter shows", Required: true, Hint: "At the leaves: fc, lx or µmol."}
	v.When = field{Name: "when", Label: "When", Type: "datetime-local", Value: today.Format(whenLayout)}
	v.Sky = field{Name: "sky", Label: "The sky", Type: "select", Options: []choice{{"clear", "Clear", true}, {"", "Clouded", false}}}
	return v, nil
}

// season draws the year of all spots, and tells it in a table.
func (v *spotsView) season(picture plot.SeasonPicture, lights []*care.SpotLight, today time.Time) error {
	best, worst := 0, 0
	for w, y := range picture.Spots[0].Value {
		if y > picture.Spots[0].Value[best] {
			best = w
		}
		if y < picture.Spots[0].Value[worst] {
			worst = w
		}
	}
	v.Says = fmt.Sprintf("%s is brightest about %s and darkest about %s, if no house or tree stands in the way.",
		picture.Spots[0].Name, today.AddDate(0, 0, 7*best).Format("2 January"), today.AddDate(0, 0, 7*worst).Format("2 January"))
	picture.Description = v.Says
	svg, err := picture.SVG()
	if err != nil {
		return fmt.Errorf("drawing the season: %w", err)
	}
	v.Season = template.HTML(svg) //nolint:gosec // made by package plot, which escapes every word
	for month := range 12 {
		date := today.AddDate(0, month, 0)
		row := seasonRow{Month: date.Format("2 January")}
		for _, l := range lights {
			dli, err := l.DLI(date)
			if err != nil {
				return err
			}
			row.Values = append(row.Values, fmt.Sprintf("%s (%s to %s)", shownDLI(dli.Value), shownDLI(dli.Low), shownDLI(dli.High)))
		}
		v.Rows = append(v.Rows, row)
	}
	return nil
}

// luxOfSun turns a reading in µmol back into what a lux meter showed.
var luxOfSun = func() float64 {
	v, err := light.Sun.LuxPerPPFD()
	if err != nil {
		return 0
	}
	return v.Value
}()

func shownDLI(mol float64) string {
	if mol < 10 {
		return fmt.Sprintf("%.1f mol/day", mol)
	}
	return fmt.Sprintf("%.0f mol/day", mol)
}

// spotWords says where a spot is.
func spotWords(u care.Units, s care.Spot) string {
	text := "light from above"
	if s.Faces != "" {
		text = "window to " + s.Faces
		if s.FarM.Grade != 0 {
			text += ", " + spotFarM.inUnits(u, s.FarM.Value) + " away"
		}
	}
	if len(s.Covers) > 0 {
		text += ", through " + strings.Join(s.Covers, " and ")
	}
	if s.Places > 0 {
		text += ", room for " + counted(s.Places, "plant", "plants")
	}
	return text
}

func (s *Server) showSpots(w http.ResponseWriter, r *http.Request) error {
	space, err := s.spaceOf(r)
	if err != nil {
		return err
	}
	v, err := s.spotsView(space)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "spots.html", v)
}

// keepSpot takes the form of a spot.
func (s *Server) keepSpot(w http.ResponseWriter, r *http.Request) error {
	space, f, err := s.spotForm(r)
	if err != nil {
		return err
	}
	spot := care.Spot{Space: space.Name, Name: f.required("spot", "Give it a name.")}
	if faces := f.text("faces"); faces != "" {
		if !slices.Contains(facings, faces) {
			f.say("faces", "%q is not one of the choices.", faces)
		}
		spot.Faces = faces
	}
	spot.FarM = f.quantity("far", spotFarM, s.units(), basis.Value{})
	for _, one := range strings.Split(f.text("covers"), ",") {
		if one = strings.TrimSpace(one); one != "" {
			spot.Covers = append(spot.Covers, one)
		}
	}
	if n := f.whole("places", 10_000); n != nil {
		spot.Places = *n
	}
	return s.keepSpotEntry(w, r, f, space, s.newEntry(care.SpotSet, "", care.Detail{Spot: &spot}))
}

// keepLight takes a reading of a meter.
func (s *Server) keepLight(w http.ResponseWriter, r *http.Request) error {
	space, f, err := s.spotForm(r)
	if err != nil {
		return err
	}
	read := care.LightRead{Space: space.Name, Spot: f.required("at", "Choose where it was read."), Clear: f.text("sky") == "clear"}
	if f.required("level", "Write down what the meter shows.") != "" {
		level, unit := f.lightLevel("level", s.units(), care.LightLevel{})
		if !f.wrong() {
			read.PPFD = f.asPPFD("level", level, unit)
		}
	}
	e := s.newEntry(care.LightReadAt, "", care.Detail{LightRead: &read})
	e.At = f.when(e.At, s.zone())
	return s.keepSpotEntry(w, r, f, space, e)
}

// asPPFD turns a reading in sunlight into µmol.
func (f *form) asPPFD(name string, level basis.Value, unit care.LightUnit) basis.Value {
	parsed, err := light.ParseUnit(string(unit))
	if err == nil && unit == care.DLI {
		err = errors.New("a meter shows the light of a moment; fc, lx or µmol is expected")
	}
	var v basis.Value
	if err == nil {
		v, err = light.Convert(light.Quantity{Amount: level.Value, Unit: parsed}, light.PPFD, light.Lighting{Source: light.Sun})
	}
	if err != nil {
		f.say(name, "%s.", sentence(err.Error()))
		return v
	}
	v.Low, v.High = v.Low*(1-meterNear), v.High*(1+meterNear)
	v.Unit, v.Grade, v.Source = string(care.PPFD), basis.Measured, ""
	return v
}

func (s *Server) spotForm(r *http.Request) (care.Space, *form, error) {
	space, err := s.spaceOf(r)
	if err != nil {
		return space, nil, err
	}
	f, err := readForm(r)
	return space, f, err
}

// keepSpotEntry keeps an entry of one of the two forms, or shows what is wrong.
func (s *Server) keepSpotEntry(w http.ResponseWriter, r *http.Request, f *form, space care.Space, e care.Entry) error {
	e.By = byOf(r)
	if !f.wrong() {
		for _, p := range e.Check(s.Now()) {
			name := map[string]string{"detail.spot.covers": "covers", "detail.spot.distance_m": "far", "detail.light.ppfd": "level", "detail.light.spot": "at"}[p.Field]
			f.say(cmpOr(name, "spot"), "%s.", sentence(p.Message))
		}
	}
	if f.wrong() {
		v, err := s.spotsView(space)
		if err != nil {
			return err
		}
		v.Problem = "Nothing was kept yet: something below has to change."
		if e.Kind == care.SpotSet {
			f.keep(&v.Name, &v.Faces, &v.Far, &v.Covers, &v.Places)
		} else {
			f.keep(&v.Spot, &v.Level, &v.Sky, &v.When)
		}
		return s.render(w, r, http.StatusUnprocessableEntity, "spots.html", v)
	}
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, spacePath(space.Name)+"/spots?done=kept")
}
