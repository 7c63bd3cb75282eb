package casefile

import (
	"strings"

	"velamen/internal/care"
	"velamen/science/light"
)

// spaceFields are the keys of [[space]].
var spaceFields = fields[care.Space]{
	{"name", func(f *file, v *node, s *care.Space) { f.text(v, &s.Name) }},
	{"kind", func(f *file, v *node, s *care.Space) { choose(f, v, care.SpaceKinds, &s.Kind) }},
	{"day", func(f *file, v *node, s *care.Space) { f.quantity(v, &airTemperature, &s.DayC) }},
	{"night", func(f *file, v *node, s *care.Space) { f.quantity(v, &airTemperature, &s.NightC) }},
	{"temperature", func(f *file, v *node, s *care.Space) { f.span(v, &temperatureRange, &s.NightC, &s.DayC) }},
	{"day_humidity", func(f *file, v *node, s *care.Space) { f.quantity(v, &humidity, &s.DayRHPercent) }},
	{"night_humidity", func(f *file, v *node, s *care.Space) { f.quantity(v, &humidity, &s.NightRHPercent) }},
	// Cooler air of the same dampness is more humid, so the upper end is the night's.
	{"humidity", func(f *file, v *node, s *care.Space) { f.span(v, &humidityRange, &s.DayRHPercent, &s.NightRHPercent) }},
	{"air", func(f *file, v *node, s *care.Space) { choose(f, v, care.AirMovements, &s.Air) }},
	{"light", readLight},
	{"light_from", func(f *file, v *node, s *care.Space) {
		var written string
		if !f.text(v, &written) {
			return
		}
		source, err := light.ParseSource(written)
		if err != nil {
			f.say(v.at, v, "%s", trimSubject(err))
			return
		}
		s.Light.Source = source.String()
	}},
	{"light_hours", func(f *file, v *node, s *care.Space) { f.quantity(v, &lampHours, &s.Light.HoursPerDay) }},
	{"covers", func(f *file, v *node, s *care.Space) {
		f.texts(v, func(n *node, text string) {
			if cover, ok := f.cover(n, text); ok {
				s.Covers = append(s.Covers, cover)
			}
		})
	}},
}

func (f *file) readSpace(table *node, s *care.Space) {
	spaceFields.read(f, table, s)
	f.define(aSpace, table, s.Name)
}

func readLight(f *file, v *node, s *care.Space) {
	if r, ok := f.reading(v, &lightLevel); ok {
		s.Light.Level = r.given()
		s.Light.Unit = care.LightUnit(r.quantity.unit)
	}
}

// cover reads a layer between sky and plant, such as "double glass" or
// "shade cloth 50 %", and returns it with its usual name.
func (f *file) cover(v *node, text string) (string, bool) {
	name := strings.TrimRight(text, "0123456789.,% ")
	cover, err := light.ParseCover(name)
	if err != nil {
		f.say(v.at, v, "%s", trimSubject(err))
		return "", false
	}
	rating := strings.TrimSpace(text[len(name):])
	switch {
	case rating == "" && cover == light.ShadeCloth:
		f.say(v.at, v, `shade cloth is rated by the light it blocks; write "shade cloth 50 %%"`)
		return "", false
	case rating == "":
		return cover.String(), true
	case cover != light.ShadeCloth:
		f.say(v.at, v, "only shade cloth has a percentage, not %s", cover)
		return "", false
	}
	r, err := clothRating.read(rating)
	if err != nil {
		f.say(v.at, v, "%s", err)
		return "", false
	}
	return cover.String() + " " + plain(r.value) + " %", true
}
