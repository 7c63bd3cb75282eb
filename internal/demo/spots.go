package demo

import (
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// Spots returns the places in the invented spaces, with a reading of light at
// some of them: all invented like the rest. at is a time today.
func Spots(at time.Time) []Noted {
	given := func(v float64) basis.Value { return basis.Exactly(v, "m", basis.Given, "") }
	zone, err := time.LoadLocation(Zone)
	if err != nil {
		zone = time.FixedZone(Zone, 10*3600)
	}
	y, m, d := at.In(zone).Date()
	noon := time.Date(y, m, d-12, 12, 30, 0, 0, zone)
	var list []Noted
	for _, s := range []care.Spot{
		{Space: "balcony", Name: "by the glass", Faces: "N", FarM: given(0.3), Covers: []string{"single glass"}, Places: 6},
		{Space: "balcony", Name: "second row", Faces: "N", FarM: given(0.8), Covers: []string{"single glass"}, Places: 6},
		{Space: "balcony", Name: "east end", Faces: "E", FarM: given(0.5), Covers: []string{"single glass"}, Places: 4},
		{Space: "shelf", Name: "under the lamps", Lamps: true, Places: 12},
		{Space: "terrace", Name: "under the cloth", Covers: []string{"shade cloth 50 %"}, Places: 9},
		{Space: "terrace", Name: "open end", Covers: []string{"shade cloth 30 %"}, Places: 5},
	} {
		list = append(list, Noted{at.AddDate(0, 0, -75), care.SpotSet, care.Detail{Spot: &s}})
	}
	for _, r := range []struct {
		space, spot string
		ppfd        float64
	}{{"balcony", "second row", 190}, {"terrace", "under the cloth", 720}} {
		read := care.LightRead{Space: r.space, Spot: r.spot, Clear: true, PPFD: basis.Value{Value: r.ppfd, Low: 0.9 * r.ppfd, High: 1.1 * r.ppfd, Unit: string(care.PPFD), Grade: basis.Measured}}
		list = append(list, Noted{noon, care.LightReadAt, care.Detail{LightRead: &read}})
	}
	return list
}

// Standing is where plants of the collection stand; the others stand in their
// space, in no place of their own.
var Standing = map[string]string{
	"C-001": "second row", "C-002": "second row", "C-003": "by the glass", "C-004": "by the glass", "B-001": "by the glass", "D-001": "by the glass",
	"O-001": "second row", "I-001": "second row", "S-003": "by the glass", "A-001": "east end", "V-001": "by the glass", "O-003": "second row", "C-005": "second row", "Q-001": "east end",
	"P-001": "under the lamps", "P-002": "under the lamps", "P-003": "under the lamps", "O-002": "under the lamps", "M-001": "under the lamps", "S-001": "under the lamps", "S-002": "under the lamps",
	"L-001": "open end", "L-002": "open end", "E-001": "under the cloth", "Y-001": "under the cloth", "Y-002": "under the cloth", "D-002": "open end", "R-001": "under the cloth", "Z-001": "under the cloth", "G-001": "open end",
}

// Weighed are plants whose pots are weighed, by how the invented truth differs
// from what is expected of such a pot: −1 dries along the fast end of what is
// possible, 1 along the slow end. TareG is what vessel and plant weigh.
var Weighed = map[string]struct{ Off, TareG float64 }{
	"P-001": {-0.8, 210}, "O-001": {0.7, 160}, "C-003": {-0.5, 240}, "D-001": {0.6, 150}, "S-001": {-0.7, 95}, "Y-002": {0.5, 320},
}

// Room is the invented spare room around the shelf, so that a humidifier's litres
// can be told.
func Room(space string) *care.Room {
	if space != "shelf" {
		return nil
	}
	return &care.Room{VolumeM3: basis.Exactly(26, "m³", basis.Given, ""), AirChangesPerHour: basis.Exactly(0.6, "1/h", basis.Given, ""), Panes: care.DoublePane}
}
