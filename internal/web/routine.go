package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/water"
)

func routineRoutes(on *router) {
	on.post("/settings/usual", (*Server).changeRoutine)
}

// routinePath leads to the form of the usual care.
const routinePath = "/settings#usual"

// routineFields ask how the plants are kept when nothing was done to them: what
// every course is turned down from.
type routineFields struct{ Water, Feed, Strength, FeedEvery, WaterEvery field }

func (v *routineFields) list() []*field {
	return []*field{&v.Water, &v.Feed, &v.Strength, &v.FeedEvery, &v.WaterEvery}
}

func newRoutineFields(u care.Units, c *care.Collection) routineFields {
	v := routineFields{
		Water:      field{Name: "usual_water", Label: "Water for feeding", Type: "select", Options: []choice{{Label: "the lowest in salt"}}},
		Feed:       field{Name: "usual_feed", Label: "Feed", Type: "select", Options: []choice{{Label: "not said"}}},
		Strength:   field{Name: "strength", Label: "How strong", Value: shownStrength(u, c.Routine), Hint: "With its unit: 0.9 g/L, 120 ppm N, or what the pen reads in the mixed feed, 1.1 mS/cm."},
		FeedEvery:  feedDays.ask("feed_every", "A feed every", u, c.Routine.FeedEveryDays),
		WaterEvery: feedDays.ask("water_every", "Water every", u, c.Routine.WaterEveryDays),
	}
	for _, w := range c.Waters {
		v.Water.Options = append(v.Water.Options, choice{w.Name, w.Name, strings.EqualFold(w.Name, c.Routine.Water)})
	}
	for _, f := range c.Feeds {
		if chosen := strings.EqualFold(f.Name, c.Routine.Feed); chosen || !f.Supplement && len(f.Salts) == 0 {
			v.Feed.Options = append(v.Feed.Options, choice{f.Name, f.Name, chosen})
		}
	}
	return v
}

// The ways to tell how strong a feed is, each with its own kept unit.
var (
	feedMass = measure{"the strength of a feed", "g/L", 0, 20, always("g/L"), []writing{
		{"g/L", "", 1, 0}, {"g/10 L", "", 0.1, 0}, {"g/gal", "", 1 / water.LitresPerUSGallon, 0},
		{"tsp/gal", "teaspoon/gal teaspoons/gal", water.GramsPerTeaspoon.Value / water.LitresPerUSGallon, 0},
	}}
	feedNitrogen = measure{"the nitrogen in a feed", "ppm N", 0, 1000, always("ppm N"), []writing{{"ppm N", "mg/ln", 1, 0}}}
)

// strength reads how strong the usual feed is into a routine.
func (f *form) strength(name string, u care.Units, kept care.Routine, r *care.Routine) {
	r.FeedGramsPerLitre, r.FeedPpmN, r.FeedECmS = basis.Value{}, basis.Value{}, basis.Value{}
	text := f.text(name)
	switch {
	case text == "":
		return
	case text == shownStrength(u, kept):
		r.FeedGramsPerLitre, r.FeedPpmN, r.FeedECmS = kept.FeedGramsPerLitre, kept.FeedPpmN, kept.FeedECmS
		return
	}
	_, symbol, err := leadingNumber(text)
	if err == nil && symbol == "" {
		f.say(name, "Write its unit, as in %s g/L, %s ppm N or %s mS/cm.", text, text, text)
		return
	}
	for _, way := range []struct {
		measure
		into *basis.Value
	}{{feedMass, &r.FeedGramsPerLitre}, {feedNitrogen, &r.FeedPpmN}, {feedEC, &r.FeedECmS}} {
		if _, fits := way.writing(symbol); fits {
			v, err := way.read(text, u)
			if err != nil {
				f.say(name, "%s.", sentence(err.Error()))
			}
			*way.into = v
			return
		}
	}
	switch fold(symbol) {
	case "ppm":
		f.say(name, "Ppm of what? Write 120 ppm N for nitrogen, or 550 ppm (500) for what a meter shows.")
	case "ml/l":
		f.say(name, "Millilitres weigh differently in each feed; weigh them and write grams, or read the mixed feed with the pen.")
	default:
		f.say(name, "Write it as in 0.9 g/L, 120 ppm N or 1.1 mS/cm.")
	}
}

// shownStrength is the strength of a routine as it was given.
func shownStrength(u care.Units, r care.Routine) string {
	switch {
	case r.FeedGramsPerLitre.Grade != 0:
		return significant(r.FeedGramsPerLitre.Value, 4) + " g/L"
	case r.FeedPpmN.Grade != 0:
		return significant(r.FeedPpmN.Value, 4) + " ppm N"
	}
	return shown(u, r.FeedECmS)
}

// routine reads the usual care of a collection with these waters and feeds.
func (f *form) routine(u care.Units, c *care.Collection) care.Routine {
	r := care.Routine{Water: f.text("usual_water"), Feed: f.text("usual_feed")}
	f.strength("strength", u, c.Routine, &r)
	r.FeedEveryDays = f.quantity("feed_every", feedDays, u, c.Routine.FeedEveryDays)
	r.WaterEveryDays = f.quantity("water_every", feedDays, u, c.Routine.WaterEveryDays)
	named := false
	lowest, found := 0.0, false
	for _, w := range c.Waters {
		named = named || strings.EqualFold(w.Name, r.Water)
		if w.ECmS.Grade != 0 && (r.Water == "" || strings.EqualFold(w.Name, r.Water)) && (!found || w.ECmS.Value < lowest) {
			lowest, found = w.ECmS.Value, true
		}
	}
	if r.Water != "" && !named {
		f.say("usual_water", "There is no water called %s any more.", r.Water)
	}
	if r.Feed != "" && !slices.ContainsFunc(c.Feeds, func(one care.Feed) bool { return strings.EqualFold(one.Name, r.Feed) }) {
		f.say("usual_feed", "There is no feed called %s any more.", r.Feed)
	}
	if found && r.FeedECmS.Grade != 0 && r.FeedECmS.Value <= lowest {
		f.say("strength", "That is no stronger than the water alone, %s; write what the pen reads once the feed is in.", u.Show(basis.Exactly(lowest, "mS/cm", basis.Given, "")))
	}
	return r
}

func (s *Server) changeRoutine(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(r)
	if err != nil {
		return err
	}
	var c care.Collection
	s.Book.Read(func(now *care.Collection) { c = *now })
	routine := f.routine(c.Settings.Units, &c)
	if f.wrong() {
		return s.againSettings(w, r, f, func(v *settingsView) []*field { return v.Routine.list() })
	}
	return s.keepSetting(w, r, care.RoutineSet, care.Detail{Routine: &routine})
}

// sayRoutine tells in one line how the plants are usually fed, as far as it was
// said.
func sayRoutine(u care.Units, c *care.Collection) string {
	strength := shownStrength(u, c.Routine)
	if strength == "" {
		return ""
	}
	line := strength
	if c.Routine.Feed != "" {
		line += " of " + c.Routine.Feed
	}
	if every := c.Routine.FeedEveryDays; every.Grade != 0 {
		line += fmt.Sprintf(", every %s", u.Show(every))
	}
	return line
}
