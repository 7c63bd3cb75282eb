package care_test

import (
	"fmt"
	"math"

	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/culture"
)

var (
	groupKeys     = names(tables.Groups(), func(g culture.Group) string { return g.Key })
	mediumKeys    = names(tables.Media(), func(m culture.Medium) string { return m.Key })
	mountKeys     = names(tables.Mounts(), func(m culture.Mount) string { return m.Key })
	containerKeys = names(tables.Containers(), func(c culture.Container) string { return c.Key })
	pestKeys      = names(tables.Pests(), func(p culture.Pest) string { return p.Key })
)

// names returns the keys of a culture table.
func names[T any](rows []T, key func(T) string) []string {
	var keys []string
	for _, row := range rows {
		keys = append(keys, key(row))
	}
	return keys
}

// words returns plain texts of a list of words.
func words[T ~string](list []T) []string { return names(list, func(w T) string { return string(w) }) }

// measured draws a number to the hundredth: people do not write longer ones.
func measured(t *rapid.T, label string, low, high float64) float64 {
	return float64(rapid.IntRange(int(math.Ceil(100*low)), int(math.Floor(100*high))).Draw(t, label)) / 100
}

// maybe draws a number or leaves it out.
func maybe(t *rapid.T, label string, low, high float64) float64 {
	if rapid.Bool().Draw(t, label+" is told") {
		return measured(t, label, low, high)
	}
	return leftOut
}

// randomSketch draws a plant of any group in any home and climate that orchids
// are grown in, told in full or in part.
func randomSketch(t *rapid.T) sketch {
	pick := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
	number := func(label string, low, high float64) float64 { return measured(t, label, low, high) }
	whole := func(label string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, label)) }

	s := sketch{
		latitude: maybe(t, "latitude", -65, 65), altitude: maybe(t, "altitude", -10, 3000),
		kind: pick("kind", append(words(care.SpaceKinds), "")...), air: pick("air", append(words(care.AirMovements), "")...),
		dayC: number("day", 12, 38), dayRH: number("day humidity", 10, 98), nightRH: number("night humidity", 10, 98),
		waterECmS: maybe(t, "water", 0, 1.2), hardness: leftOut,
		feedEvery: maybe(t, "feed every", 1, 40), waterEvery: maybe(t, "water every", 0.3, 40),
		group: pick("group", groupKeys...), vigour: pick("vigour", append(words(care.Vigours), "")...),
		leaves: maybe(t, "leaves", 1, 1), areaCm2: number("area", 2, 6000), widthCm: maybe(t, "width", 0.3, 30), lengthCm: leftOut,
		bulbs: leftOut, work: pick("work", words(care.Works)...), flowers: pick("flowers", words(care.FlowerStates)...),
		roots: number("roots", 0, 1), leavesKept: number("leaves kept", 0.05, 1), soak: maybe(t, "soak", 0, 300),
		tips: leftOut, lampHours: leftOut,
		date: fmt.Sprintf("2026-%02d-%02d", rapid.IntRange(1, 12).Draw(t, "month"), rapid.IntRange(1, 28).Draw(t, "day of month")),
	}
	s.nightC = number("night", 3, s.dayC)
	if rapid.Bool().Draw(t, "bulbs are counted") {
		s.bulbs = whole("bulbs", 0, 40)
	}
	if rapid.Bool().Draw(t, "tips are counted") {
		s.tips = whole("tips", 0, 20)
	}
	switch rapid.IntRange(0, 3).Draw(t, "light") {
	case 0: // not known
	case 1:
		s.light, s.lightFrom = fmt.Sprintf("%.0f fc", number("fc", 20, 8000)), "sun"
	case 2:
		s.light, s.lightFrom = fmt.Sprintf("%.0f µmol/m²/s", number("ppfd", 5, 600)), "led"
		s.lampHours = number("lamp hours", 1, 24)
	case 3:
		s.light = fmt.Sprintf("%.1f mol/day", number("dli", 0.5, 20))
	}
	switch rapid.IntRange(0, 4).Draw(t, "feed") {
	case 0: // nothing known
	case 1:
		s.label, s.strength = "13-3-15", fmt.Sprintf("%.2f g/L", number("grams", 0, 2))
	case 2:
		s.label, s.strength = "20-10-20", fmt.Sprintf("%.0f ppm N", number("ppm", 0, 250))
	case 3:
		s.strength = fmt.Sprintf("%.0f ppm N", number("ppm", 0, 250))
	case 4:
		s.strength = fmt.Sprintf("%.2f g/L", number("grams", 0, 2))
	}
	for range rapid.IntRange(0, 3).Draw(t, "pests") {
		s.pests = append(s.pests, pick("pest", pestKeys...))
	}
	s.from, s.to = randomHome(t, "from"), randomHome(t, "to")
	return s
}

// randomHome draws a pot of a mix or a mount from the tables; sometimes nothing
// is known of it.
func randomHome(t *rapid.T, label string) homeSketch {
	switch rapid.IntRange(0, 5).Draw(t, label) {
	case 0:
		return homeSketch{}
	case 1:
		h := homeSketch{mount: rapid.SampledFrom(mountKeys).Draw(t, "mount")}
		h.size = [2]float64{measured(t, "mount width", 3, 40), measured(t, "mount height", 4, 60)}
		if rapid.Bool().Draw(t, "padded") {
			h.mossCm = measured(t, "moss", 0.5, 5)
		}
		return h
	}
	h := homeSketch{material: rapid.SampledFrom(containerKeys).Draw(t, "material"), potCm: measured(t, "pot", 4, 40)}
	h.medium = rapid.SliceOfNDistinct(rapid.SampledFrom(mediumKeys), 1, 3, rapid.ID).Draw(t, "medium")
	return h
}

// hundredth rounds what a sum has left behind.
func hundredth(x float64) float64 { return math.Round(100*x) / 100 }
