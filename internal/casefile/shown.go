package casefile

import (
	"strings"

	"velamen/internal/care"
)

// shownUnits are the units of a file's first temperature, light level, salt
// reading and pot: what its grower reads and writes.
type shownUnits struct {
	first map[string]shownUnit
	words string // of the [units] table
}

type shownUnit struct {
	at   int
	word string
}

// see remembers the unit of a reading if it is the first of its class.
func (s *shownUnits) see(at int, r reading) {
	class := r.quantity.class
	if class == "" || class == length.class && r.quantity != &potMeasure.any[0] {
		return
	}
	if s.first == nil {
		s.first = make(map[string]shownUnit, 4)
	}
	if first, ok := s.first[class]; !ok || at < first.at {
		s.first[class] = shownUnit{at, r.unit.shows}
	}
}

// units returns the units to show: those the [units] table names, else those
// the file itself uses, else metric ones.
func (f *file) units() care.Units {
	var words []string
	for _, first := range f.shown.first {
		words = append(words, first.word)
	}
	// The classes do not touch each other, so their order does not matter. All
	// words are known: those of the kinds by test, those of the table since it
	// was read.
	units, _ := care.MetricUnits().With(strings.Join(words, ","))
	units, _ = units.With(f.shown.words)
	return units
}

var unitsFields = fields[shownUnits]{
	{"show", func(f *file, v *node, s *shownUnits) {
		var words string
		if !f.text(v, &words) {
			return
		}
		if _, err := care.MetricUnits().With(words); err != nil {
			f.say(v.at, v, "%s", err)
			return
		}
		s.words = words
	}},
}
