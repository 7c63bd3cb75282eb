package light

import (
	"fmt"

	"velamen/science/basis"
)

// Source is a kind of light, as far as a lux meter and a leaf can tell kinds
// apart.
type Source uint8

const (
	Sun                  Source = iota + 1 // sun and sky together, also behind glass, cloth or a curtain
	BlueSky                                // clear sky without the sun
	CoolWhiteFluorescent                   // tubes and compact lamps
	HighPressureSodium
	LowPressureSodium
	MetalHalide
	Incandescent
	WhiteLED // blue chip with phosphor; not red and blue chips
)

var sourceNames = [][]string{
	Sun:                  {"sun", "sunlight", "daylight", "sun and sky"},
	BlueSky:              {"blue sky", "sky", "skylight"},
	CoolWhiteFluorescent: {"cool-white fluorescent", "fluorescent", "tube", "T5", "T8", "CFL"},
	HighPressureSodium:   {"high-pressure sodium", "HPS", "sodium"},
	LowPressureSodium:    {"low-pressure sodium", "LPS"},
	MetalHalide:          {"metal halide", "MH"},
	Incandescent:         {"incandescent", "halogen", "tungsten"},
	WhiteLED:             {"white LED", "LED"},
}

// String returns the source's display name.
func (s Source) String() string { return displayName(int(s), sourceNames) }

// ParseSource reads the name of a source as growers write it ("led", "HPS",
// "sun"). The error for an unknown name lists the known ones.
func ParseSource(text string) (Source, error) {
	i, err := matchName("light source", text, sourceNames)
	return Source(i), err
}

// MarshalText writes the display name.
func (s Source) MarshalText() ([]byte, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads any name that ParseSource knows.
func (s *Source) UnmarshalText(text []byte) error {
	parsed, err := ParseSource(string(text))
	if err != nil {
		return err
	}
	*s = parsed
	return nil
}

// Sources returns all kinds of light in the order of the table, for a form to
// choose from.
func Sources() []Source {
	all := make([]Source, 0, len(sourceNames)-1)
	for s := Sun; int(s) < len(sourceNames); s++ {
		all = append(all, s)
	}
	return all
}

func (s Source) check() error {
	if s == 0 || int(s) >= len(sourceNames) {
		return fmt.Errorf("light: source number %d is not in the table of light sources", s)
	}
	return nil
}

// LuxPerPPFD returns how many lux the source gives per µmol m⁻² s⁻¹, with the
// range a lux meter must be given (Thimijan & Heins 1983, HortScience
// 18:818–822, ±7 %; white LED from memory, ±12 %).
func (s Source) LuxPerPPFD() (basis.Value, error) {
	if err := s.check(); err != nil {
		return basis.Value{}, err
	}
	return luxPerPPFD[s], nil
}

// OwnFactor returns the lux factor of a particular lamp from what its data
// sheet or a pair of meters gives, to be used as Lighting.Factor. No light at
// all exceeds 147.2 lx per µmol, the factor of pure 555 nm light
// (683 lm/W over 4.639 µmol/J, computed independently).
func OwnFactor(luxPerPPFD float64) (basis.Value, error) {
	if err := checkLuxFactor(luxPerPPFD); err != nil {
		return basis.Value{}, err
	}
	return basis.Exactly(luxPerPPFD, luxFactorUnit, basis.Given, ""), nil
}

const (
	minLuxFactor  = 1 // deep red and far-blue lamps still show a few lux
	maxLuxFactor  = 147.2
	luxFactorUnit = "lx per µmol m⁻² s⁻¹"
)

func checkLuxFactor(factor float64) error {
	return within("lux factor", factor, minLuxFactor, maxLuxFactor, luxFactorUnit)
}
