package web

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
)

// measure is one kind of quantity as forms take it: "28", "28 °C", "82 F". A
// number alone is in the grower's own unit.
type measure struct {
	what      string // "the air of a growing space"
	unit      string // of the value that is kept, as basis.Value names it
	low, high float64
	usual     func(care.Units) string // symbol of the unit of a number alone
	writings  []writing
}

// writing is one unit a quantity may be written in: (number − zero)·factor.
type writing struct {
	symbol string
	also   string // other ways to write it, folded, between spaces
	factor float64
	zero   float64
}

// always is the unit of a number alone where growers do not differ.
func always(symbol string) func(care.Units) string {
	return func(care.Units) string { return symbol }
}

func either(is func(care.Units) bool, yes, no string) func(care.Units) string {
	return func(u care.Units) string {
		if is(u) {
			return yes
		}
		return no
	}
}

func fahrenheit(u care.Units) bool { return u.Fahrenheit }
func inches(u care.Units) bool     { return u.Inches }

// saltUnit is how the grower's meter shows salt.
func saltUnit(u care.Units) string {
	switch u.Salt {
	case care.PPM500:
		return "ppm (500)"
	case care.PPM640:
		return "ppm (640)"
	case care.PPM700:
		return "ppm (700)"
	}
	return "mS/cm"
}

// The factors are definitions (inch, foot, ounce, °F: NIST Handbook 44,
// Appendix C, from memory). The limits are those beyond which a slip of the pen
// is certain; whether a value suits a plant is not judged here.
var (
	temperatureWritings = []writing{{"°C", "c celsius", 1, 0}, {"°F", "f fahrenheit", 1 / 1.8, 32}}
	lengthWritings      = []writing{{"cm", "", 1, 0}, {"mm", "", 0.1, 0}, {"m", "", 100, 0}, {"in", "inch inches", 2.54, 0}, {"ft", "foot feet", 30.48, 0}}
	saltWritings        = []writing{
		{"mS/cm", "ms ds/m ec", 1, 0}, {"µS/cm", "us", 0.001, 0}, {"mS/m", "", 0.01, 0},
		{"ppm (500)", "ppm500", 1.0 / 500, 0}, {"ppm (640)", "ppm640", 1.0 / 640, 0}, {"ppm (700)", "ppm700", 1.0 / 700, 0},
	}
	percentWritings = []writing{{"%", "percent %rh rh", 1, 0}}
	shareWritings   = []writing{{"%", "percent", 0.01, 0}}
	volumeWritings  = []writing{{"mL", "cc cm3", 1, 0}, {"L", "l litre litres liter liters", 1000, 0}, {"fl oz", "floz oz", 29.5735, 0}}
	massWritings    = []writing{{"g", "gram grams", 1, 0}, {"kg", "", 1000, 0}, {"oz", "ounce ounces", 28.349523125, 0}, {"lb", "lbs", 453.59237, 0}}

	airTemperature = measure{"the air of a growing space", "°C", -20, 55, either(fahrenheit, "°F", "°C"), temperatureWritings}
	humidity       = measure{"relative humidity", "%", 1, 100, always("%"), percentWritings}
	sourceEC       = measure{"the EC of a source water", "mS/cm", 0, 10, saltUnit, saltWritings}
	drainageEC     = measure{"the EC of drainage", "mS/cm", 0, 50, saltUnit, saltWritings}
	keptShare      = measure{"the part that was kept", "share", 0, 1, always("%"), shareWritings}
	rootLength     = measure{"the length of a root", "mm", 0, 3000, either(inches, "in", "mm"), []writing{{"mm", "", 1, 0}, {"cm", "", 10, 0}, {"in", "inch inches", 25.4, 0}}}
	plantLength    = measure{"a leaf", "cm", 0.1, 300, either(inches, "in", "cm"), lengthWritings}
	potLength      = measure{"a pot", "cm", 1, 150, either(inches, "in", "cm"), lengthWritings}
	pourVolume     = measure{"what was poured", "mL", 0, 100_000, either(inches, "fl oz", "mL"), volumeWritings}
	potMass        = measure{"the weight of a pot", "g", 0.1, 200_000, either(inches, "oz", "g"), massWritings}
	rainDepth      = measure{"a fall of rain", "mm", 0, 1000, either(inches, "in", "mm"), []writing{{"mm", "", 1, 0}, {"in", "inch inches", 25.4, 0}}}
	lampHours      = measure{"a day's lamp light", "h", 0.25, 24, always("h"), []writing{{"h", "hr hrs hour hours", 1, 0}, {"min", "minute minutes", 1.0 / 60, 0}}}
	altitude       = measure{"where orchids are grown", "m", -430, 5000, always("m"), []writing{{"m", "metre metres", 1, 0}, {"ft", "foot feet", 0.3048, 0}}}
	dayMinutes     = measure{"a day's time for the plants", "min", 1, 1440, always("min"), []writing{{"min", "minute minutes", 1, 0}, {"h", "hr hrs hour hours", 60, 0}}}
	roomVolume     = measure{"the size of a room", "m³", 0.01, 100_000, always("m³"), []writing{{"m³", "m3", 1, 0}, {"ft³", "ft3 cuft", 0.028316846592, 0}, {"L", "litre litres liter liters", 0.001, 0}}}
	airChanges     = measure{"a room's changes of air", "1/h", 0, 200, always("per hour"), []writing{{"per hour", "/h 1/h perh anhour", 1, 0}}}
	weekMinutes    = measure{"a week's time for repotting", "min", 1, 10080, always("min"), []writing{{"min", "minute minutes", 1, 0}, {"h", "hr hrs hour hours", 60, 0}}}
	dayLitres      = measure{"a day's water", "L", 0.1, 100_000, always("L"), []writing{{"L", "litre litres liter liters", 1, 0}, {"gal", "gallon gallons", 3.785411784, 0}}}
)

// lightMeasures are the ways to give light; each keeps its own unit.
var lightMeasures = []struct {
	unit care.LightUnit
	measure
}{
	{care.FootCandle, measure{"light at the leaves", "fc", 1, 15_000, always("fc"), []writing{{"fc", "ftc footcandle footcandles", 1, 0}}}},
	{care.Lux, measure{"light at the leaves", "lx", 10, 160_000, always("lx"), []writing{{"lx", "lux", 1, 0}, {"klx", "klux", 1000, 0}}}},
	{care.PPFD, measure{"light at the leaves", "µmol/m²/s", 0.2, 2_500, always("µmol"), []writing{{"µmol", "ppfd umol/m2/s umol/s/m2", 1, 0}}}},
	{care.DLI, measure{"a day's light at the leaves", "mol/m²/day", 0.02, 70, always("mol/day"), []writing{{"mol/day", "mol dli mol/m2/day mol/m2/d mol/d", 1, 0}}}},
}

// fold brings the ways of writing a unit together.
func fold(symbol string) string { return folding.Replace(strings.ToLower(symbol)) }

var folding = strings.NewReplacer(" ", "", "\u00a0", "", "°", "", "º", "", "℃", "c", "℉", "f", "µ", "u", "μ", "u", "²", "2", "₃", "3", "\"", "in", "″", "in", "(", "", ")", "")

// writing returns the unit with a symbol.
func (m measure) writing(symbol string) (writing, bool) {
	folded := fold(symbol)
	for _, w := range m.writings {
		if fold(w.symbol) == folded {
			return w, true
		}
		for also := range strings.FieldsSeq(w.also) {
			if also == folded {
				return w, true
			}
		}
	}
	return writing{}, false
}

// read reads a quantity. The error is for the person who typed it.
func (m measure) read(text string, u care.Units) (basis.Value, error) {
	number, symbol, err := leadingNumber(text)
	if errors.Is(err, errNoNumber) {
		return basis.Value{}, fmt.Errorf("%q is not a number; write it as in %s", text, m.example(u))
	}
	if err != nil {
		return basis.Value{}, err
	}
	bare := symbol == ""
	if bare {
		symbol = m.usual(u)
	}
	w, ok := m.writing(symbol)
	switch {
	case !ok && m.unit == "mS/cm" && fold(symbol) == "ppm":
		return basis.Value{}, errors.New("meters make ppm in three ways; write ppm (500), ppm (640) or ppm (700), as yours does")
	case !ok:
		return basis.Value{}, fmt.Errorf("the unit %q does not fit here; write it as in %s", symbol, m.example(u))
	}
	value := (number - w.zero) * w.factor
	if bare && w.symbol == "mS/cm" && value > m.high {
		return basis.Value{}, fmt.Errorf("%s cannot be right in mS/cm; if the meter shows µS/cm or ppm, write that too: %s µS/cm, %s ppm (500)", text, text, text)
	}
	if !(value >= m.low && value <= m.high) {
		return basis.Value{}, fmt.Errorf("%s cannot be right: %s is between %s and %s", text, m.what, m.show(m.low, w), m.show(m.high, w))
	}
	return basis.Exactly(value, m.unit, basis.Given, ""), nil
}

// show writes a kept value in a unit.
func (m measure) show(value float64, w writing) string {
	return significant(value/w.factor+w.zero, 5) + " " + w.symbol
}

// example is a value in the middle of what is usual, in the grower's unit.
func (m measure) example(u care.Units) string {
	w, ok := m.writing(m.usual(u))
	if !ok {
		w = m.writings[0]
	}
	middle, ok := examples[m.unit]
	if !ok {
		middle = (m.low + m.high) / 2
	}
	return significant(middle/w.factor+w.zero, 3) + " " + w.symbol
}

// significant writes a number with so many significant digits and no exponent.
func significant(x float64, digits int) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64)
	if err != nil {
		return fmt.Sprint(x)
	}
	return strings.Replace(strconv.FormatFloat(rounded, 'f', -1, 64), "-", "−", 1)
}

// examples are ordinary values of each kept unit.
var examples = map[string]float64{
	"°C": 28, "%": 55, "mS/cm": 0.35, "share": 0.6, "mm": 12, "cm": 12, "mL": 400, "g": 600, "h": 13, "m": 120,
	"min": 45, "L": 25, "fc": 1200, "lx": 13000, "µmol/m²/s": 190, "mol/m²/day": 8,
}

// quantity reads a field. An empty one was left out; one that still shows what
// was kept keeps it to the last digit.
func (f *form) quantity(name string, m measure, u care.Units, kept basis.Value) basis.Value {
	text := f.text(name)
	switch {
	case text == "":
		return basis.Value{}
	case kept.Grade != 0 && text == u.Show(kept):
		return kept
	}
	v, err := m.read(text, u)
	if err != nil {
		f.say(name, "%s.", sentence(err.Error()))
	}
	return v
}

// ask makes the field of a quantity, with the unit a number alone is in.
func (m measure) ask(name, label string, u care.Units, kept basis.Value) field {
	return field{Name: name, Label: label, Unit: m.usual(u), Value: shown(u, kept)}
}

// shown is what a field of a quantity starts with.
func shown(u care.Units, v basis.Value) string {
	if v.Grade == 0 {
		return ""
	}
	return u.Show(v)
}

// lightLevel reads a light level in any unit of light.
func (f *form) lightLevel(name string, u care.Units, kept care.LightLevel) (basis.Value, care.LightUnit) {
	text := f.text(name)
	switch {
	case text == "":
		return basis.Value{}, ""
	case text == shownLevel(kept):
		return kept.Level, kept.Unit
	}
	_, symbol, err := leadingNumber(text)
	usual := u.Light
	if usual == "" {
		usual = care.MetricUnits().Light
	}
	for _, m := range lightMeasures {
		_, fits := m.writing(symbol)
		if err == nil && !fits && !(symbol == "" && m.unit == usual) {
			continue
		}
		if err != nil && m.unit != usual {
			continue // the message is about the grower's own unit
		}
		v, err := m.read(text, u)
		if err != nil {
			f.say(name, "%s.", sentence(err.Error()))
		}
		return v, m.unit
	}
	f.say(name, "The unit %q does not fit here; write fc, lx, µmol or mol/day.", symbol)
	return basis.Value{}, ""
}

// shownLevel is a light level as it was given.
func shownLevel(l care.LightLevel) string {
	for _, m := range lightMeasures {
		if l.Level.Grade != 0 && m.unit == l.Unit {
			return significant(l.Level.Value, 6) + " " + m.writings[0].symbol
		}
	}
	return ""
}
