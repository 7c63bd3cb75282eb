package readings

import (
	"strings"
	"unicode"
)

// headingWords tell what a column holds by a word of its heading, in the
// languages in which loggers are sold most: English, German, French, Spanish,
// Italian, Dutch, Portuguese. The order counts: a heading may hold several.
var headingWords = []struct {
	meaning Meaning
	words   []string
}{
	// What is worked out from others, or belongs to the instrument, is not read.
	{NotRead, []string{"dew", "taupunkt", "rosée", "rocio", "vpd", "battery", "batterie", "bateria", "signal", "rssi", "index", "absolute", "wet", "outdoor", "feels", "soil", "leaf"}},
	{Humidity, []string{"humidity", "rh", "hum", "humid", "feuchte", "feuchtigkeit", "luftfeuchte", "luftfeuchtigkeit", "humidité", "humidite", "humedad", "umidità", "umidita", "vochtigheid", "luchtvochtigheid", "umidade", "rf", "rel"}},
	{Temperature, []string{"temperature", "temp", "temperatur", "température", "temperatura", "temperatuur", "t", "air", "celsius", "fahrenheit"}},
	{Light, []string{"light", "ppfd", "par", "lux", "lx", "illuminance", "licht", "lumière", "lumiere", "luz", "luce", "quantum", "footcandles", "helligkeit", "irradiance", "radiation"}},
	{When, []string{"datetime", "timestamp", "date-time", "zeitstempel", "epoch", "unix"}},
	{Day, []string{"date", "datum", "fecha", "data", "day", "tag"}},
	{TimeOfDay, []string{"time", "uhrzeit", "zeit", "heure", "hora", "ora", "tijd", "clock"}},
}

// meaningOf guesses what a column holds from its heading.
func meaningOf(heading string) (Meaning, Unit) {
	name, unit := splitUnit(heading)
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && r != '-' })
	has := func(list []string) bool {
		for _, w := range words {
			for _, known := range list {
				if w == known {
					return true
				}
			}
		}
		return false
	}
	if has(headingWords[len(headingWords)-2].words) && has(headingWords[len(headingWords)-1].words) {
		return When, ""
	}
	for _, h := range headingWords {
		if !has(h.words) {
			continue
		}
		switch {
		case h.meaning == Temperature || h.meaning == Humidity || h.meaning == Light:
			if unit != "" && Meaning(unit.Of()) != h.meaning {
				continue
			}
			return h.meaning, unit
		default:
			return h.meaning, ""
		}
	}
	// A heading that is nothing but a unit.
	if unit != "" && len(words) == 0 {
		return Meaning(unit.Of()), unit
	}
	return NotRead, ""
}

// splitUnit takes the unit from a heading such as Temperature (°F), RH [%],
// temp_c, Lux or Temperature, °C.
func splitUnit(heading string) (name string, unit Unit) {
	for _, pair := range []string{"()", "[]", "{}"} {
		open := strings.LastIndexByte(heading, pair[0])
		shut := strings.LastIndexByte(heading, pair[1])
		if open >= 0 && shut > open {
			if u, err := ParseUnit(heading[open+1 : shut]); err == nil {
				return heading[:open] + heading[shut+1:], u
			}
		}
	}
	cut := func(r rune) bool { return r == ' ' || r == '_' || r == ',' || r == '/' || r == ':' }
	parts := strings.FieldsFunc(heading, cut)
	for i := len(parts) - 1; i >= 0; i-- {
		lower := strings.ToLower(parts[i])
		if lower == "ppfd" || lower == "par" || lower == "lux" {
			u, _ := ParseUnit(parts[i])
			if lower == "par" {
				u = PPFD
			}
			return heading, u
		}
		// A single letter is a unit only behind a name.
		if len(parts[i]) == 1 && i == 0 && lower != "%" {
			continue
		}
		if u, err := ParseUnit(parts[i]); err == nil {
			return strings.Join(append(append([]string{}, parts[:i]...), parts[i+1:]...), " "), u
		}
	}
	if strings.ContainsRune(heading, '%') {
		return strings.ReplaceAll(heading, "%", " "), Percent
	}
	for _, mark := range []struct {
		text string
		unit Unit
	}{{"°C", Celsius}, {"°F", Fahrenheit}, {"℃", Celsius}, {"℉", Fahrenheit}} {
		if strings.Contains(heading, mark.text) {
			return strings.ReplaceAll(heading, mark.text, " "), mark.unit
		}
	}
	return heading, ""
}
