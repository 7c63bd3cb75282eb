package web

import (
	"velamen/internal/care"
)

// The choices of units, and the words by which they are sent.
var (
	temperatureChoices = []choice{{Value: "C", Label: "°C"}, {Value: "F", Label: "°F"}}
	lightChoices       = []choice{{Value: "fc", Label: "foot-candles"}, {Value: "lx", Label: "lux"}, {Value: "ppfd", Label: "µmol (PPFD)"}, {Value: "dli", Label: "mol per day (DLI)"}}
	saltChoices        = []choice{{Value: "EC", Label: "mS/cm"}, {Value: "ppm500", Label: "ppm, 500 scale"}, {Value: "ppm640", Label: "ppm, 640 scale"}, {Value: "ppm700", Label: "ppm, 700 scale"}}
	measureChoices     = []choice{{Value: "cm", Label: "cm, mL"}, {Value: "in", Label: "in, fl oz"}}
)

// unitFields are the four questions about units.
func unitFields(u care.Units) (temperature, light, salt, measures field) {
	pick := func(name, label string, list []choice, chosen string) field {
		f := field{Name: name, Label: label, Type: "select", Options: make([]choice, len(list))}
		copy(f.Options, list)
		for i := range f.Options {
			f.Options[i].Chosen = f.Options[i].Value == chosen
		}
		return f
	}
	word := func(is bool, yes, no string) string {
		if is {
			return yes
		}
		return no
	}
	lights := map[care.LightUnit]string{care.FootCandle: "fc", care.Lux: "lx", care.PPFD: "ppfd", care.DLI: "dli", "": "fc"}
	scale := string(u.Salt)
	if scale == "" {
		scale = string(care.ECScale)
	}
	return pick("temperature", "Temperature", temperatureChoices, word(u.Fahrenheit, "F", "C")),
		pick("light_unit", "Light", lightChoices, lights[u.Light]),
		pick("salt", "Salt", saltChoices, scale),
		pick("measures", "Size, volume", measureChoices, word(u.Inches, "in", "cm"))
}

// units reads the four answers; what was not asked stays metric.
func (f *form) units() care.Units {
	u := care.MetricUnits()
	for _, name := range []string{"temperature", "light_unit", "salt", "measures"} {
		changed, err := u.With(f.text(name))
		if err != nil {
			f.say(name, "%s.", sentence(err.Error()))
			continue
		}
		u = changed
	}
	return u
}
