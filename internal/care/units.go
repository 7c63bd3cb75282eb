package care

import (
	"fmt"
	"strings"
)

// Units are the units a grower reads and writes. Inside, everything is SI.
type Units struct {
	Fahrenheit bool      `json:"fahrenheit,omitempty"`
	Light      LightUnit `json:"light,omitempty"`
	Salt       SaltScale `json:"salt,omitempty"`
	Inches     bool      `json:"inches,omitempty"` // also fluid ounces and ounces
}

// SaltScale is how a grower's meter shows the salt in water.
type SaltScale string

// The salt scales: conductivity, and the three factors by which meters turn it
// into "ppm". A ppm on a meter is never mg/L of fertiliser.
const (
	ECScale SaltScale = "EC"
	PPM500  SaltScale = "ppm500"
	PPM640  SaltScale = "ppm640"
	PPM700  SaltScale = "ppm700"
)

// MetricUnits are °C, foot-candles, mS/cm, centimetres and millilitres: what is
// used where nothing else is asked for.
func MetricUnits() Units { return Units{Light: FootCandle, Salt: ECScale} }

// unitWords maps every word of a --units list or a [units] table to what it
// switches on, in the order in which they are explained.
var unitWords = []struct {
	word  string
	apply func(*Units)
}{
	{"C", func(u *Units) { u.Fahrenheit = false }},
	{"F", func(u *Units) { u.Fahrenheit = true }},
	{"fc", func(u *Units) { u.Light = FootCandle }},
	{"lx", func(u *Units) { u.Light = Lux }},
	{"ppfd", func(u *Units) { u.Light = PPFD }},
	{"dli", func(u *Units) { u.Light = DLI }},
	{"EC", func(u *Units) { u.Salt = ECScale }},
	{"ppm500", func(u *Units) { u.Salt = PPM500 }},
	{"ppm640", func(u *Units) { u.Salt = PPM640 }},
	{"ppm700", func(u *Units) { u.Salt = PPM700 }},
	{"cm", func(u *Units) { u.Inches = false }},
	{"in", func(u *Units) { u.Inches = true }},
}

// UnitWords lists the words With accepts.
func UnitWords() []string {
	words := make([]string, len(unitWords))
	for i, w := range unitWords {
		words[i] = w.word
	}
	return words
}

// With returns the units changed by a comma-separated list of words such as
// "F,fc,ppm500,in". An unknown word is an error and changes nothing.
func (u Units) With(list string) (Units, error) {
	changed := u
next:
	for word := range strings.SplitSeq(list, ",") {
		word = strings.TrimSpace(word)
		if word == "" {
			continue
		}
		for _, known := range unitWords {
			if strings.EqualFold(word, known.word) {
				known.apply(&changed)
				continue next
			}
		}
		return u, fmt.Errorf("unit %q is not known; use any of %s", word, strings.Join(UnitWords(), ", "))
	}
	return changed, nil
}

// Words lists what With turns these units into again.
func (u Units) Words() string {
	words := []string{"C", "fc", "EC", "cm"}
	if u.Fahrenheit {
		words[0] = "F"
	}
	for unit, word := range map[LightUnit]string{Lux: "lx", PPFD: "ppfd", DLI: "dli"} {
		if u.Light == unit {
			words[1] = word
		}
	}
	if u.Salt != "" {
		words[2] = string(u.Salt)
	}
	if u.Inches {
		words[3] = "in"
	}
	return strings.Join(words, ",")
}
