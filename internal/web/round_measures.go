package web

import (
	"encoding/json"

	"velamen/internal/care"
)

// roundMeasures are the quantities that are typed on a round, by the name of
// their field. The modules read them by the same rules as measure.read does.
var roundMeasures = map[string]measure{"ec": drainageEC, "mass": potMass, "length": rootLength, "mm": rainDepth}

// measureJSON is a measure as the modules read it.
type measureJSON struct {
	What     string        `json:"what"`
	Low      float64       `json:"low"`
	High     float64       `json:"high"`
	Usual    string        `json:"usual"`   // symbol of the unit of a number alone
	Example  string        `json:"example"` // as it may be written
	Writings []writingJSON `json:"writings"`
}

type writingJSON struct {
	Symbol string  `json:"symbol"`
	Also   string  `json:"also,omitempty"`
	Factor float64 `json:"factor"`
	Zero   float64 `json:"zero,omitempty"`
}

// measuresFor writes the measures of a round for the modules.
func measuresFor(u care.Units) string {
	all := map[string]measureJSON{}
	for name, m := range roundMeasures {
		j := measureJSON{What: m.what, Low: m.low, High: m.high, Usual: m.usual(u), Example: m.example(u)}
		for _, w := range m.writings {
			j.Writings = append(j.Writings, writingJSON{w.symbol, w.also, w.factor, w.zero})
		}
		all[name] = j
	}
	text, err := json.Marshal(all)
	if err != nil {
		return "{}" // numbers and texts can always be written
	}
	return string(text)
}
