package care

import (
	"fmt"
	"math"
	"strconv"

	"velamen/science/basis"
)

// unitForm says how a quantity of one unit is shown: converted, rounded, and
// with which word behind it.
type unitForm struct {
	word     string
	convert  func(float64) float64
	decimals int
}

func same(x float64) float64 { return x }

// form returns how a unit is shown in the grower's units. Light is converted
// by Light, because it depends on the lamp.
func (u Units) form(unit string) unitForm {
	switch unit {
	case "°C":
		if u.Fahrenheit {
			return unitForm{" °F", func(c float64) float64 { return c*9/5 + 32 }, 0}
		}
		return unitForm{" °C", same, 1}
	case "mS/cm":
		switch u.Salt {
		case PPM500:
			return unitForm{" ppm (500)", func(ec float64) float64 { return ec * 500 }, 0}
		case PPM640:
			return unitForm{" ppm (640)", func(ec float64) float64 { return ec * 640 }, 0}
		case PPM700:
			return unitForm{" ppm (700)", func(ec float64) float64 { return ec * 700 }, 0}
		}
		return unitForm{" mS/cm", same, 2}
	case "mL":
		if u.Inches {
			return unitForm{" fl oz", func(mL float64) float64 { return mL / 29.5735 }, 0}
		}
		return unitForm{" mL", same, 0}
	case "cm":
		if u.Inches {
			return unitForm{" in", func(cm float64) float64 { return cm / 2.54 }, 1}
		}
		return unitForm{" cm", same, 1}
	case "mm":
		if u.Inches {
			return unitForm{" in", func(mm float64) float64 { return mm / 25.4 }, 2}
		}
		return unitForm{" mm", same, 1}
	case "mm/day":
		if u.Inches {
			return unitForm{" in/day", func(mm float64) float64 { return mm / 25.4 }, 3}
		}
		return unitForm{" mm/day", same, 2}
	case "g":
		if u.Inches {
			return unitForm{" oz", func(g float64) float64 { return g / 28.349523125 }, 1}
		}
		return unitForm{" g", same, 0}
	case "share":
		return unitForm{" %", func(share float64) float64 { return 100 * share }, 0}
	case "%":
		return unitForm{" %", same, 0}
	case "kPa":
		return unitForm{" kPa", same, 2}
	case "g/L":
		return unitForm{" g/L", same, 2}
	case "ppm N":
		return unitForm{" ppm N", same, 0}
	case "m/s":
		return unitForm{" m/s", same, 2}
	case "µmol/m²/s":
		return unitForm{" µmol", same, 0}
	case "mol/m²/day":
		return unitForm{" mol/day", same, 1}
	case "days", "d", "pours", "min", "minutes", "h", "hours", "m", "g/day", "cm²", "g/m²/day", "points", "fc", "lx", "µmol m⁻² s⁻¹":
		return unitForm{" " + unit, same, 0}
	case "1":
		return unitForm{"", same, 2}
	case "":
		return unitForm{"", same, 0}
	}
	return unitForm{" " + unit, same, 2}
}

// Show returns a quantity in the grower's units, rounded to what can be set or
// read at the bench.
func (u Units) Show(v basis.Value) string {
	f := u.form(v.Unit)
	text := number(f.convert(v.Value), f.decimals)
	if one, ok := singular[f.word]; ok && text == "1" {
		return text + one
	}
	return text + f.word
}

// ShowRange returns the low and high of a quantity in the grower's units, or
// nothing when they cannot be told apart from the value itself.
func (u Units) ShowRange(v basis.Value) string {
	f := u.form(v.Unit)
	low, high := number(f.convert(v.Low), f.decimals), number(f.convert(v.High), f.decimals)
	if low == high {
		return ""
	}
	return low + " to " + high + f.word
}

// ShowLight returns a light level in the grower's unit, from its PPFD and daily
// sum and the lamp's lux per µmol.
func (u Units) ShowLight(ppfd, dli, luxPerPPFD float64) string {
	switch u.Light {
	case Lux:
		return number(roundTo(ppfd*luxPerPPFD, 100), 0) + " lx"
	case FootCandle:
		return number(roundTo(ppfd*luxPerPPFD/luxPerFootCandle, 10), 0) + " fc"
	case DLI:
		return number(dli, 1) + " mol/day"
	}
	return number(ppfd, 0) + " µmol"
}

// luxPerFootCandle is one lumen per square foot in lumens per square metre:
// exact, from the definition of the foot as 0.3048 m.
const luxPerFootCandle = 1 / (0.3048 * 0.3048)

func roundTo(x, step float64) float64 { return math.Round(x/step) * step }

// number writes x with fixed decimals; one more where a small number would
// otherwise be shown as nothing.
func number(x float64, decimals int) string {
	if x != 0 && math.Abs(x) < 0.5*math.Pow10(-decimals) {
		return strconv.FormatFloat(x, 'g', 1, 64)
	}
	return fmt.Sprintf("%.*f", decimals, x)
}

// singular is how a unit is written behind one.
var singular = map[string]string{" days": " day", " pours": " pour", " hours": " hour", " minutes": " minute"}
