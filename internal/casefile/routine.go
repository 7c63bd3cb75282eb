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
	}
}
