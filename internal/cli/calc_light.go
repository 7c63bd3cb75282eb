package cli

import (
	"errors"
	"fmt"

	"velamen/science/basis"
	"velamen/science/light"
)

// calcLight are the calculations about light.
type calcLight struct {
	Convert calcLightConvert `cmd:"" help:"A level of light in foot-candles, lux, PPFD and as a day's sum."`
	Sun     calcLightSun     `cmd:"" help:"Where the sun stands, when it rises and sets, and what a clear day brings."`
	Spot    calcLightSpot    `cmd:"" help:"The light of a spot behind glass or shade through the year, by date and latitude, as one meter reading calibrates it."`
	Window  calcLightWindow  `cmd:"" help:"What to expect behind an unshaded window before the first meter reading."`
}

// calcLightConvert states one level in all four units.
type calcLightConvert struct {
	Level  number `required:"" range:"0 to 600000" placeholder:"AMOUNT" help:"The level in the unit, 0 to 600000 lx, 60000 fc, 4000 ppfd or 350 dli."`
	Unit   string `required:"" placeholder:"UNIT" help:"Its unit: fc, lx, ppfd (µmol per m² and second) or dli (mol per m² and day)."`
	From   string `required:"" placeholder:"SOURCE" help:"What gives the light: sun, sky, led, hps, lps, mh, fluorescent or incandescent."`
	Factor number `name:"lux-per-umol" range:"1 to 147.2 lx per µmol" placeholder:"LUX" help:"The lamp's own lux per µmol from its data sheet, 1 to 147.2, instead of the table's."`
	Hours  number `range:"0 to 24 h" placeholder:"H" help:"Hours of light a day, 0 to 24, to get from or to a day's sum."`
	Steady bool   `help:"The level holds all day; otherwise daylight is taken as the peak of a clear day, and a lamp as steady."`

	Out calcOutput `embed:""`
}

// lightUnits are the four units by what their keys end in.
var lightUnits = []struct {
	unit      light.Unit
	key, name string
	decimals  int
}{
	{light.FootCandle, "illuminance_fc", "foot-candles", 0},
	{light.Lux, "illuminance_lx", "lux", 0},
	{light.PPFD, "ppfd_umol_per_m2_s", "photons, PPFD", 1},
	{light.DLI, "dli_mol_per_m2_day", "a day's sum, DLI", 2},
}

// Run prints the level in every unit.
func (c calcLightConvert) Run(r *run) error {
	unit, err := light.ParseUnit(c.Unit)
	if err != nil {
		return at("--unit", err)
	}
	lighting, factor, err := lightingOf("--from", c.From, c.Steady, c.Hours)
	if err != nil {
		return err
	}
	if c.Factor.given {
		if factor.Value, err = light.OwnFactor(c.Factor.value); err != nil {
			return at("--lux-per-umol", err)
		}
		lighting.Factor = factor.Value
	}
	if unit == light.DLI && !c.Hours.given {
		return errors.New("--unit dli needs --hours, the hours of light in which the day's sum is gathered")
	}
	s := section{key: "light", title: "Light", about: fmt.Sprintf("from %s, %s", lighting.Source, shapeWords(lighting)),
		because: "foot-candle 1 lm/ft² and a day's sum of 0.0036 mol per µmol and hour are exact; lux per µmol by light source", rests: []parameter{factor}}
	for _, u := range lightUnits {
		if u.unit == light.DLI && !c.Hours.given {
			s.notes = append(s.notes, "Give --hours for the day's sum.")
			continue
		}
		v, err := light.Convert(light.Quantity{Amount: c.Level.value, Unit: unit}, u.unit, lighting)
		if err != nil {
			return at("--level", err)
		}
		l := line{key: u.key, name: u.name, value: v.Value, unit: u.unit.String(), decimals: u.decimals}
		if v.Low != v.High {
			l.span = spanOf(v.Low, v.High)
		}
		s.lines = append(s.lines, l)
	}
	if lighting.Shape == light.ClearDayPeak && c.Hours.given {
		mean, err := clearDayMean()
		if err != nil {
			return at("--hours", err)
		}
		s.because += "; a clear day as half a sine, mean 2/π of the peak"
		s.rests = append(s.rests, mean)
	}
	return c.Out.show(r, answer{"velamen-calc-light-convert-1", []section{s}})
}

// lightingOf tells how a level is to be read: from which light, and whether it
// is steady or a clear day's peak. flag is where the source was named.
func lightingOf(flag, from string, steady bool, hours number) (light.Lighting, parameter, error) {
	source, err := light.ParseSource(from)
	if err != nil {
		return light.Lighting{}, parameter{}, at(flag, err)
	}
	perPPFD, err := source.LuxPerPPFD()
	if err != nil {
		return light.Lighting{}, parameter{}, at(flag, err)
	}
	l := light.Lighting{Source: source, Shape: light.Steady, Hours: hours.value}
	if daylight(source) && !steady {
		l.Shape = light.ClearDayPeak
	}
	return l, parameter{"lux_per_umol", "lux per µmol of " + source.String(), perPPFD}, nil
}

// clearDayMean is the mean of a clear day over its peak, which package light
// applies: read off a peak of 1000 µmol in 24 hours, 86.4 mol if it were steady.
func clearDayMean() (parameter, error) {
	v, err := light.Convert(light.Quantity{Amount: 1000, Unit: light.PPFD}, light.DLI, light.Lighting{Shape: light.ClearDayPeak, Hours: 24})
	v.Value, v.Low, v.High, v.Unit = v.Value/86.4, v.Low/86.4, v.High/86.4, "1"
	return parameter{"clear_day_mean_per_peak", "mean of a clear day over its peak", v}, err
}

func daylight(source light.Source) bool { return source == light.Sun || source == light.BlueSky }

func shapeWords(l light.Lighting) string {
	words := "steady"
	if l.Shape == light.ClearDayPeak {
		words = "the peak of a clear day"
	}
	if l.Hours > 0 {
		words += fmt.Sprintf(", %g h", l.Hours)
	}
	return words
}

// calcLightWindow is what to expect behind a window.
type calcLightWindow struct {
	Latitude number `name:"latitude-deg" required:"" range:"-90 to 90 °" placeholder:"DEG" help:"Latitude, north positive, -90 to 90."`
	Facing   string `required:"" placeholder:"DIRECTION" help:"Direction the window faces: N, NE, E, SE, S, SW, W or NW."`
	Distance number `name:"distance-m" required:"" range:"0 to 10 m" placeholder:"M" help:"Distance of the plant from the pane, 0 to 10 m."`

	Out calcOutput `embed:""`
}

// Run prints the estimate with its wide range.
func (c calcLightWindow) Run(r *run) error {
	facingDeg, err := light.ParseFacing(c.Facing)
	if err != nil {
		return at("--facing", err)
	}
	ppfd, err := light.WindowPrior(c.Latitude.value, facingDeg, c.Distance.value)
	if err != nil {
		return at("--latitude-deg, --distance-m", err)
	}
	factor, err := light.Sun.LuxPerPPFD()
	if err != nil {
		return err
	}
	lines := []line{{key: "facing_deg", name: "window faces", value: facingDeg, unit: "° from north over east", decimals: 0}}
	for _, u := range lightUnits[:3] {
		v, err := light.Convert(light.Quantity{Amount: ppfd.Value, Unit: light.PPFD}, u.unit, light.Lighting{Source: light.Sun})
		if err != nil {
			return err
		}
		l := line{key: "peak_" + u.key, name: u.name, value: v.Value, unit: u.unit.String(), decimals: 0}
		if u.unit == light.PPFD {
			l.span = spanOf(ppfd.Low, ppfd.High)
		}
		lines = append(lines, l)
	}
	s := section{key: "window", title: "Bright-day peak behind the window", lines: lines,
		because: "table of bright-day levels by direction and distance, mirrored in the southern hemisphere; published sources differ five to one",
		notes:   []string{"One meter reading at the leaves is worth more than this estimate."},
		rests: []parameter{
			{"window_ppfd_umol_per_m2_s", "peak at the window", basis.Value{Value: ppfd.Value, Low: ppfd.Low, High: ppfd.High, Unit: ppfd.Unit, Grade: ppfd.Grade, Source: ppfd.Source}},
			{"lux_per_umol", "lux per µmol of sun", factor},
		}}
	if ppfd.Source != "" {
		s.because += " (" + ppfd.Source + ")"
	}
	return c.Out.show(r, answer{"velamen-calc-light-window-1", []section{s}})
}
