package readings

import (
	"fmt"
	"strings"

	"velamen/internal/care"
	"velamen/science/light"
)

// Unit is what the values of a quantity are written in.
type Unit string

// The units that are read. The first of each quantity is the one it is kept in.
const (
	Celsius    Unit = "°C"
	Fahrenheit Unit = "°F"
	Kelvin     Unit = "K"
	Percent    Unit = "%"
	PPFD       Unit = "µmol/m²/s"
	Lux        Unit = "lx"
	Kilolux    Unit = "klx"
	FootCandle Unit = "fc"
	GlobalWM2  Unit = "W/m²" // global radiation, of a weather station
)

// unitWords are the ways in which units are written, in lower case without
// spaces, carets and middle dots.
var unitWords = map[string]Unit{
	"°c": Celsius, "c": Celsius, "degc": Celsius, "℃": Celsius, "celsius": Celsius, "ºc": Celsius, "�c": Celsius,
	"°f": Fahrenheit, "f": Fahrenheit, "degf": Fahrenheit, "℉": Fahrenheit, "fahrenheit": Fahrenheit, "ºf": Fahrenheit, "�f": Fahrenheit,
	"k": Kelvin, "kelvin": Kelvin,
	"%": Percent, "%rh": Percent, "rh%": Percent, "percent": Percent, "pct": Percent, "%rf": Percent, "%r.h.": Percent,
	"µmol/m²/s": PPFD, "μmol/m²/s": PPFD, "umol/m2/s": PPFD, "µmol/m2/s": PPFD, "μmol/m2/s": PPFD, "µmol": PPFD, "umol": PPFD, "μmol": PPFD,
	"µmolm-2s-1": PPFD, "umolm-2s-1": PPFD, "μmolm-2s-1": PPFD, "µmolm⁻²s⁻¹": PPFD, "ppfd": PPFD,
	"lx": Lux, "lux": Lux, "klx": Kilolux, "klux": Kilolux, "fc": FootCandle, "ftc": FootCandle, "footcandle": FootCandle, "footcandles": FootCandle,
	"w/m²": GlobalWM2, "w/m2": GlobalWM2, "wm-2": GlobalWM2, "wm⁻²": GlobalWM2,
}

// ParseUnit reads a unit in any of its spellings.
func ParseUnit(text string) (Unit, error) {
	key := strings.NewReplacer(" ", "", "^", "", "·", "", "*", "", "_", "").Replace(strings.ToLower(strings.TrimSpace(text)))
	if u, ok := unitWords[key]; ok {
		return u, nil
	}
	return "", fmt.Errorf("the unit %q is not known; °C, °F, K, %%, µmol, lx, klx, fc and W/m² are", text)
}

// Of returns the quantity that is written in a unit.
func (u Unit) Of() care.Quantity {
	switch u {
	case Celsius, Fahrenheit, Kelvin:
		return care.AirTemperature
	case Percent:
		return care.AirHumidity
	}
	return care.LeafLight
}

// convert returns a value in the unit in which its quantity is kept. Light in
// lux and foot-candles takes the source that shines.
func (u Unit) convert(v float64, source light.Source) (float64, error) {
	switch u {
	case Fahrenheit:
		return (v - 32) / 1.8, nil
	case Kelvin:
		return v - 273.15, nil
	case Lux:
		ppfd, err := light.PPFDFromLux(v, source)
		return ppfd.Value, err
	case Kilolux:
		ppfd, err := light.PPFDFromLux(1000*v, source)
		return ppfd.Value, err
	case FootCandle:
		lux, err := light.LuxFromFootCandles(v)
		if err != nil {
			return 0, err
		}
		ppfd, err := light.PPFDFromLux(lux, source)
		return ppfd.Value, err
	case GlobalWM2:
		ppfd, err := light.PPFDFromGlobal(v)
		return ppfd.Value, err
	}
	return v, nil
}
