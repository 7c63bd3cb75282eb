package water

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Scale is what a conductivity meter displays. The three ppm scales are the
// conductivity times a constant; none of them is mg/L of fertiliser.
type Scale uint8

// Scales of handheld meters.
const (
	MilliSiemens Scale = iota // mS/cm, the same number as dS/m
	MicroSiemens              // µS/cm
	PPM500                    // "NaCl" scale: 500 ppm per mS/cm
	PPM640                    // water analysts' rule: 640 ppm per mS/cm
	PPM700                    // "442" scale: 700 ppm per mS/cm
)

var scales = [...]struct {
	symbol     string
	perMS      float64
	decimals   int
	otherNames []string
}{
	MilliSiemens: {"mS/cm", 1, 3, []string{"ms", "ec", "ds/m", "mmho/cm"}},
	MicroSiemens: {"µS/cm", 1000, 0, []string{"µs", "us", "us/cm", "μs", "μs/cm"}},
	PPM500:       {"ppm (500)", 500, 0, []string{"ppm500", "ppm 500"}},
	PPM640:       {"ppm (640)", 640, 0, []string{"ppm640", "ppm 640"}},
	PPM700:       {"ppm (700)", 700, 0, []string{"ppm700", "ppm 700"}},
}

// ErrScaleNotNamed means that a reading in ppm does not say which of the three
// scales the meter uses; ask, since they differ by 40 %.
var ErrScaleNotNamed = errors.New("water: ppm is not one scale: say ppm (500), ppm (640) or ppm (700)")

// String returns the scale as written beside a reading.
func (s Scale) String() string {
	if int(s) >= len(scales) {
		return fmt.Sprintf("Scale(%d)", uint8(s))
	}
	return scales[s].symbol
}

// ECmS returns the conductivity, mS/cm, of a reading on this scale.
func (s Scale) ECmS(reading float64) (float64, error) {
	if int(s) >= len(scales) {
		return 0, fmt.Errorf("water: unknown meter scale %d", s)
	}
	if err := within("reading", reading, 0, 1e6, s.String()); err != nil {
		return 0, err
	}
	return reading / scales[s].perMS, nil
}

// Reading returns what a meter on this scale shows at a conductivity in mS/cm.
func (s Scale) Reading(ecMS float64) (float64, error) {
	if int(s) >= len(scales) {
		return 0, fmt.Errorf("water: unknown meter scale %d", s)
	}
	if err := within("conductivity", ecMS, 0, 1000, "mS/cm"); err != nil {
		return 0, err
	}
	return ecMS * scales[s].perMS, nil
}

// Format writes a conductivity in mS/cm as this scale shows it, with its unit:
// "1.200 mS/cm", "600 ppm (500)". ParseReading reads it back.
func (s Scale) Format(ecMS float64) (string, error) {
	reading, err := s.Reading(ecMS)
	if err != nil {
		return "", err
	}
	return strconv.FormatFloat(reading, 'f', scales[s].decimals, 64) + " " + scales[s].symbol, nil
}

// ParseScale returns the scale with this name: its symbol or a usual short
// form, in any case. "ppm" alone is ErrScaleNotNamed.
func ParseScale(name string) (Scale, error) {
	name = strings.ToLower(strings.TrimSpace(name))
	for i, s := range scales {
		if name == strings.ToLower(s.symbol) {
			return Scale(i), nil
		}
		for _, other := range s.otherNames {
			if name == other {
				return Scale(i), nil
			}
		}
	}
	if name == "ppm" {
		return 0, ErrScaleNotNamed
	}
	return 0, fmt.Errorf("water: no meter scale is called %q", name)
}

// ParseReading reads a number with its scale, such as "0.84 mS/cm",
// "840 µS/cm" or "588 ppm (700)", and returns the conductivity in mS/cm.
func ParseReading(text string) (ecMS float64, scale Scale, err error) {
	text = strings.TrimSpace(text)
	end := strings.IndexFunc(text, func(r rune) bool { return (r < '0' || r > '9') && r != '.' })
	if end < 0 {
		return 0, 0, fmt.Errorf("water: reading %q has no unit", text)
	}
	reading, err := strconv.ParseFloat(text[:end], 64)
	if err != nil {
		return 0, 0, fmt.Errorf("water: reading %q does not start with a number", text)
	}
	if scale, err = ParseScale(text[end:]); err != nil {
		return 0, 0, err
	}
	ecMS, err = scale.ECmS(reading)
	return ecMS, scale, err
}
