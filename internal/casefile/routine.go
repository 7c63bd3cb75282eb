package casefile

import (
	"github.com/pelletier/go-toml/v2/unstable"

	"velamen/internal/care"
)

// routineFields are the keys of [routine] and [plant.routine].
var routineFields = fields[care.Routine]{
	{"water", func(f *file, v *node, r *care.Routine) { f.refer(aWater, v, &r.Water) }},
	{"feed", func(f *file, v *node, r *care.Routine) { f.refer(aFeed, v, &r.Feed) }},
	{"strength", readStrength},
	{"feed_every", func(f *file, v *node, r *care.Routine) { f.quantity(v, &interval, &r.FeedEveryDays) }},
	{"water_every", func(f *file, v *node, r *care.Routine) { f.quantity(v, &interval, &r.WaterEveryDays) }},
}

// readStrength reads how strong the feed was, in whichever way it was measured.
func readStrength(f *file, v *node, routine *care.Routine) {
	if v.kind == unstable.Array {
		f.say(v.at, v, "one strength is expected here, not several; keep the one that was measured")
		return
	}
	r, ok := f.reading(v, &feedStrength)
	if !ok {
		return
	}
	switch r.quantity.kind {
	case &feedMass:
		routine.FeedGramsPerLitre = r.given()
	case &feedNitrogen:
		routine.FeedPpmN = r.given()
	case &conductivity:
		routine.FeedECmS = r.given()
		f.spoken.strengths = append(f.spoken.strengths, strength{v, routine})
	}
}

// strength is an EC that a feed is said to have, and its routine.
type strength struct {
	node    *node
	routine *care.Routine
}

// checkStrengths notes feeds that are said to be no stronger than the water
// they are mixed with: dissolving anything raises the EC. A routine that names
// no water may mean any of the file, so the purest is compared.
func (f *file) checkStrengths(waters []care.Water) {
	const rounding = 1e-9 // of a conversion such as 175 ppm (500), which is 0.35 mS/cm
	byName := make(map[string]care.Water, len(waters))
	var purest care.Water
	for _, w := range waters {
		byName[w.Name] = w
		if w.ECmS.Grade != 0 && (purest.ECmS.Grade == 0 || w.ECmS.Value < purest.ECmS.Value) {
			purest = w
		}
	}
	for _, s := range f.spoken.strengths {
		w := purest
		if s.routine.Water != "" {
			w = byName[s.routine.Water]
		}
		if w.ECmS.Grade != 0 && s.routine.FeedECmS.Value <= w.ECmS.Value*(1+rounding) {
			f.say(s.node.at, s.node, "%s is no stronger than the water %s, of %s mS/cm, alone; write the EC of the finished solution, water included",
				excerpt(s.node.text), excerpt(w.Name), plain(w.ECmS.Value))
		}
	}
}
