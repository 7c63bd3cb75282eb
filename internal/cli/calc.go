package cli

import (
	"fmt"

	"velamen/science/air"
	"velamen/science/basis"
)

// calcCommands are single calculations: what the engine does on the way to a
// course, for a grower who wants one figure.
type calcCommands struct {
	Air   calcAir   `cmd:"" help:"State of the air: vapour pressure deficit, dew point, wet bulb; humidity for a wanted deficit; a humidifier's litres; dew on glass."`
	Light calcLight `cmd:"" help:"Light: units into one another, the sun at a place, what to expect at a window."`
	Leaf  calcLeaf  `cmd:"" help:"A leaf's temperature and the water it loses, in one hour or over a day."`
	Pot   calcPot   `cmd:"" help:"A pot or mount: what it holds, how it dries and salts up, how to flush it and how often."`
	EC    calcEC    `cmd:"" help:"EC of a water or of a feed in it, from ions, a label or readings; a reading at 25 °C."`
	Blend calcBlend `cmd:"" help:"How much of two waters makes a wanted EC, alkalinity or hardness; water B is pure if left out."`
	Batch calcBatch `cmd:"" help:"A batch of feed from two waters, a labelled feed and salts: what to pour and weigh for a nitrogen or EC within limits."`
	Flush calcFlush `cmd:"" help:"Is a flush done? Bypass, tanks and the salt left in the pot, from the EC of successive cups of drainage."`
	Acid  calcAcid  `cmd:"" help:"Acid that takes alkalinity out of a water, what it adds, and what to beware of."`
	RO    calcRO    `cmd:"" name:"ro" help:"A reverse-osmosis unit: its output, its waste, and whether its membrane is spent."`

	DegreeDays calcDegreeDays `cmd:"" help:"Warmth for pests: degree-days by the usual methods, how long a pest's stages take, when to look for it again."`
	Learn      calcLearn      `cmd:"" help:"What weighings, drainage readings and looks tell of one pot: what it holds, how fast it dries, and how narrowly that is known."`
	Placement  calcPlacement  `cmd:"" help:"Where to put plants, by how each place suits each and how many it holds: the fewest moves that are worth it."`
	Roots      calcRoots      `cmd:"" help:"Readings of marked roots: do they grow, which readings are in question, when to read again."`
	Outcomes   calcOutcomes   `cmd:"" help:"Past recoveries: days to a first root, how they end, one practice beside another."`
}

// calcOutput is how every calculation may be printed.
type calcOutput struct {
	JSON bool `name:"json" help:"Print JSON for programs, in the units that the keys end in."`
}

// show prints an answer the way that was asked for.
func (o calcOutput) show(r *run, a answer) error {
	if o.JSON {
		return writeJSON(r.out, a)
	}
	a.print(r.out)
	return nil
}

// at names the flag whose value led to an error.
func at(flag string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", flag, err)
}

// lowland stands in for an altitude that was not given.
var lowland = parameter{"altitude_m", "altitude", basis.Assumed(0, 0, 500, "m")}

// pressureAt returns the usual air pressure at an altitude, sea level if none
// was given, and what it rests on.
func pressureAt(altitude number) (kPa float64, rests []parameter, err error) {
	altitudeM, rests := altitude.or(lowland)
	kPa, err = air.PressureKPa(altitudeM)
	return kPa, rests, at("--altitude-m", err)
}
