package light

import (
	"errors"
	"fmt"

	"velamen/science/basis"
)

// Unit is one of the four ways growers state an amount of light.
type Unit uint8

const (
	PPFD       Unit = iota + 1 // µmol m⁻² s⁻¹ of photons between 400 and 700 nm
	Lux                        // lx
	FootCandle                 // fc
	DLI                        // mol m⁻² day⁻¹, the daily light integral
)

var unitNames = [][]string{
	PPFD:       {"µmol m⁻² s⁻¹", "umol", "µmol", "μmol", "PPFD", "µmol/m²/s", "umol/m2/s", "PAR"},
	Lux:        {"lx", "lux"},
	FootCandle: {"fc", "foot-candle", "foot-candles", "footcandle", "footcandles", "ft-c"},
	DLI:        {"mol m⁻² day⁻¹", "DLI", "mol", "mol/m²/d", "mol/m2/d", "mol/m²/day", "mol/m2/day"},
}

// String returns the unit's symbol.
func (u Unit) String() string { return displayName(int(u), unitNames) }

// ParseUnit reads a unit as growers write it. The error for an unknown one
// lists the known.
func ParseUnit(text string) (Unit, error) {
	i, err := matchName("unit of light", text, unitNames)
	return Unit(i), err
}

// Shape says what a single figure stands for within the day.
type Shape uint8

const (
	// Steady is a lamp: the same level for all hours.
	Steady Shape = iota + 1
	// ClearDayPeak is the highest level of a bright day, the rest of which
	// follows half a sine from sunrise to sunset. Societies' foot-candle
	// figures are of this kind; read as steady they overstate the daily light
	// integral by π/2.
	ClearDayPeak
)

// Quantity is an amount of light in one of the units.
type Quantity struct {
	Amount float64
	Unit   Unit
}

// String writes amount and unit.
func (q Quantity) String() string { return fmt.Sprintf("%.4g %v", q.Amount, q.Unit) }

// Lighting says how a place is lit, as far as a conversion needs to know.
type Lighting struct {
	// Source decides the lux factor. Needed between lux or foot-candles and
	// the other two units, unless Factor is given.
	Source Source
	// Factor, lx per µmol m⁻² s⁻¹ from 1 to 147.2, replaces that of the
	// source (see OwnFactor); the zero Value means the table's.
	Factor basis.Value
	// Shape and Hours (0 to 24: lamps on, or length of the day) are needed
	// between the daily light integral and the other three units.
	Shape Shape
	Hours float64
}

// Convert states a quantity in another unit. The range of the result comes
// from the lux factor (only across the border between lux or foot-candles and
// PPFD or DLI) and from the shape of a clear day (only across the border of
// DLI); lamps' hours and unit factors are exact. It fails on a quantity or a
// result outside the units' limits, and on a Lighting that lacks what the
// conversion needs.
func Convert(q Quantity, to Unit, lighting Lighting) (basis.Value, error) {
	c, err := newConversion(q.Unit, to, lighting)
	if err != nil {
		return basis.Value{}, err
	}
	amount, err := c.apply(q.Amount)
	if err != nil {
		return basis.Value{}, err
	}
	result := basis.Exactly(amount, to.String(), basis.Given, "")
	var moved []basis.Value
	for _, v := range []struct {
		used bool
		basis.Value
	}{{c.usesFactor, c.factor}, {c.usesShape && lighting.Shape == ClearDayPeak, c.meanPerPeak}} {
		if !v.used {
			continue
		}
		moved = append(moved, v.Value)
		result.Grade = basis.Weakest(result.Grade, v.Grade)
		if result.Source != "" && v.Source != "" {
			result.Source += "; "
		}
		result.Source += v.Source
	}
	result.Low, result.High = basis.Spread(func(in []float64) float64 {
		moving := c
		if c.usesFactor {
			moving.factor.Value, in = in[0], in[1:]
		}
		if len(in) > 0 {
			moving.meanPerPeak.Value = in[0]
		}
		return moving.amount(q.Amount)
	}, moved...)
	return result, nil
}

var (
	errNoUnit  = errors.New("light: a quantity needs one of the units PPFD, lux, foot-candle, DLI")
	errNoShape = errors.New("light: say whether the figure is steady or a clear day's peak")
)

// conversion is a checked step from one unit to another.
type conversion struct {
	from, to    Unit
	factor      basis.Value // lx per µmol m⁻² s⁻¹
	meanPerPeak basis.Value // mean of the lit hours over the level stated
	hours       float64
	usesFactor  bool
	usesShape   bool
}

func newConversion(from, to Unit, lighting Lighting) (conversion, error) {
	c := conversion{from: from, to: to, hours: lighting.Hours}
	if from == 0 || from > DLI || to == 0 || to > DLI {
		return c, errNoUnit
	}
	photometric := func(u Unit) bool { return u == Lux || u == FootCandle }
	c.usesFactor = photometric(from) != photometric(to)
	c.usesShape = (from == DLI) != (to == DLI)
	if c.usesFactor {
		c.factor = lighting.Factor
		if c.factor == (basis.Value{}) {
			var err error
			if c.factor, err = lighting.Source.LuxPerPPFD(); err != nil {
				return c, err
			}
		}
		for _, end := range [...]float64{c.factor.Low, c.factor.Value, c.factor.High} {
			if err := checkLuxFactor(end); err != nil {
				return c, err
			}
		}
	}
	if c.usesShape {
		if err := checkHours(lighting.Hours); err != nil {
			return c, err
		}
		if from == DLI && lighting.Hours == 0 {
			return c, errors.New("light: a daily light integral in 0 hours of light has no level")
		}
		switch lighting.Shape {
		case Steady:
			c.meanPerPeak.Value = 1
		case ClearDayPeak:
			c.meanPerPeak = clearDayMeanPerPeak
		default:
			return c, errNoShape
		}
	}
	return c, nil
}

// apply converts one amount after checking it, and checks the result.
func (c *conversion) apply(amount float64) (float64, error) {
	if err := (Quantity{amount, c.from}).check(); err != nil {
		return 0, err
	}
	result := c.amount(amount)
	if err := (Quantity{result, c.to}).check(); err != nil {
		return 0, fmt.Errorf("%w (from %v)", err, Quantity{amount, c.from})
	}
	return result, nil
}

func (c *conversion) amount(amount float64) float64 {
	if c.from == c.to {
		return amount
	}
	// The way leads over lux between the photometric units and over PPFD
	// otherwise, so that factors which do not matter are never touched.
	level := amount
	switch c.from {
	case FootCandle:
		level *= luxPerFootCandle
	case DLI:
		level /= molPerMicromolHour * c.hours * c.meanPerPeak.Value
	}
	if c.usesFactor {
		if c.to == Lux || c.to == FootCandle {
			level *= c.factor.Value
		} else {
			level /= c.factor.Value
		}
	}
	switch c.to {
	case FootCandle:
		level /= luxPerFootCandle
	case DLI:
		level *= molPerMicromolHour * c.hours * c.meanPerPeak.Value
	}
	return level
}

func (q Quantity) check() error {
	switch q.Unit {
	case PPFD:
		return checkPPFD(q.Amount)
	case Lux:
		return checkLux(q.Amount)
	case FootCandle:
		return checkFootCandles(q.Amount)
	case DLI:
		return checkDLI(q.Amount)
	}
	return errNoUnit
}
