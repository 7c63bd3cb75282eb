package casefile

import (
	"velamen/internal/care"
)

// caseFields are the tables of a case file.
var caseFields = fields[care.Case]{
	{"place", func(f *file, v *node, c *care.Case) { readTable(f, v, placeFields, &c.Place) }},
	{"units", func(f *file, v *node, c *care.Case) { readTable(f, v, unitsFields, &f.shown) }},
	{"space", func(f *file, v *node, c *care.Case) { c.Spaces = readTables(f, v, maxListed, (*file).readSpace) }},
	{"water", func(f *file, v *node, c *care.Case) { c.Waters = readTables(f, v, maxListed, (*file).readWater) }},
	{"feed", func(f *file, v *node, c *care.Case) { c.Feeds = readTables(f, v, maxListed, (*file).readFeed) }},
	{"routine", func(f *file, v *node, c *care.Case) { readTable(f, v, routineFields, &c.Routine) }},
	{"plant", func(f *file, v *node, c *care.Case) { c.Plants = readTables(f, v, MaxPlants, (*file).readPlant) }},
}

// readCase reads the whole file.
func (f *file) readCase(root *node) care.Case {
	var c care.Case
	caseFields.read(f, root, &c)
	if root.entry("plant") == nil {
		f.missing(root, "the file tells about no plant; each plant begins with a line [[plant]]")
	}
	f.labelByNumber(root.entry("plant"), c.Plants)
	if f.broken {
		return c // an unreadable line may hold what seems to be left out
	}
	f.checkReferences()
	f.checkSpaces(root, c.Plants)
	f.checkStrengths(c.Waters)
	return c
}

// placeFields are the keys of [place].
var placeFields = fields[care.Place]{
	{"latitude", func(f *file, v *node, p *care.Place) {
		f.degrees(v, 90, expected("a latitude in decimal degrees", "48.2, or −37.8 for south"), &p.LatitudeDeg)
	}},
	{"longitude", func(f *file, v *node, p *care.Place) {
		f.degrees(v, 180, expected("a longitude in decimal degrees", "16.4, or −122.3 for west"), &p.LongitudeDeg)
	}},
	{"altitude", func(f *file, v *node, p *care.Place) { f.quantity(v, &altitude, &p.AltitudeM) }},
}
