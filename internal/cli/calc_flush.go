package cli

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"velamen/science/basis"
	"velamen/science/pot"
	"velamen/science/water"
)

// calcFlush tells from the drainage whether a flush is done.
type calcFlush struct {
	Cups     string `required:"" placeholder:"LIST" help:"EC of each cup of drainage, mS/cm, in order, such as 1.8,0.9,0.4."`
	CupML    number `name:"cup-ml" required:"" range:"0.1 to 100000 mL" placeholder:"ML" help:"What each cup holds, 0.1 to 100000 mL."`
	WaterEC  number `name:"water-ec-ms" required:"" range:"0 to 50 mS/cm" placeholder:"MS" help:"EC of the water poured, 0 to 50 mS/cm."`
	HoldsML  number `name:"holds-ml" range:"1 to 100000 mL" placeholder:"ML" help:"Water the pot holds at capacity (velamen calc pot tells), 1 to 100000 mL; with it the salt left in the pot is told too."`
	TargetEC number `name:"target-ec-ms" range:"0 to 50 mS/cm" placeholder:"MS" help:"EC wanted in the pot, 0 to 50 mS/cm; 0.5 if left out."`
	PouredML number `name:"poured-ml" range:"0 to 100000 mL" placeholder:"ML" help:"Water poured in all, for the leaching fraction, 0 to 100000 mL."`

	Out calcOutput `embed:""`
}

// wantedPoreEC stands in for the EC wanted in the pot.
var wantedPoreEC = parameter{"target_ec_ms_per_cm", "wanted in the pot", basis.Value{Value: 0.5, Low: 0.3, High: 0.8, Unit: "mS/cm", Grade: basis.FromMemory, Source: "judged from the root masses of Wang 1998, salinity trial with Phalaenopsis"}}

func (c calcFlush) readings() ([]float64, error) {
	var list []float64
	for text := range strings.SplitSeq(c.Cups, ",") {
		ec, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if err != nil || !(ec >= 0 && ec <= pot.LargestECmS) {
			return nil, fmt.Errorf("--cups: %q is not an EC; write mS/cm from 0 to %g, separated by commas", strings.TrimSpace(text), float64(pot.LargestECmS))
		}
		list = append(list, ec)
	}
	return list, nil
}

// Run prints what the drainage tells.
func (c calcFlush) Run(r *run) error {
	readings, err := c.readings()
	if err != nil {
		return err
	}
	parameters := pot.Defaults()
	rule, err := parameters.FlushDone(c.WaterEC.value, readings)
	if err != nil {
		return at("--cups, --water-ec-ms", err)
	}
	word := map[bool]string{true: "yes", false: "no"}
	s := section{key: "rule", title: "The growers' rule", because: "done when the last cup is at most 1.2 times the water poured, or what a pen can tell apart, and the last two agree within a tenth; common practice",
		rests: []parameter{{"stop_ratio", "drainage over input EC", parameters.StopRatio}, {"stop_agreement", "agreement of two cups", parameters.StopAgreement}, {"pen_accuracy_ms_per_cm", "what a pen can tell apart", parameters.PenAccuracyMS}},
		lines: []line{
			{key: "done", name: "done", value: rule.Done, shown: word[rule.Done]},
			{key: "limit_ec_ms_per_cm", name: "the last cup at most", value: rule.LimitECmS, unit: "mS/cm", decimals: 3},
			{key: "difference", name: "the last two differ by", value: rule.Difference, unit: "%", decimals: 0, scale: 100},
		}}
	drained := c.CupML.value * float64(len(readings))
	if c.PouredML.given {
		lf, err := water.LeachingFraction(drained, math.Max(0, c.PouredML.value-drained))
		if err != nil {
			return at("--poured-ml", err)
		}
		s.lines = append(s.lines, line{key: "leaching_fraction", name: "leaching fraction", value: lf, unit: "%", decimals: 0, scale: 100})
		if drained > c.PouredML.value {
			s.notes = append(s.notes, "More drained than was poured: the pot was still draining an earlier watering, or a cup is smaller than said.")
		}
	}
	sections := []section{s}
	switch {
	case c.TargetEC.given && !c.HoldsML.given:
		return errors.New("--target-ec-ms is about the pot; give --holds-ml too")
	case c.HoldsML.given:
		fit, err := c.fit(readings)
		if err != nil {
			return err
		}
		sections = append(sections, fit)
	}
	return c.Out.show(r, answer{"velamen-calc-flush-1", sections})
}

func (c calcFlush) fit(readings []float64) (section, error) {
	if len(readings) < pot.FewestCups {
		return section{}, fmt.Errorf("--cups: %d cups are the fewest that a fit needs", pot.FewestCups)
	}
	cups := make([]pot.DrainageCup, len(readings))
	for i, ec := range readings {
		cups[i] = pot.DrainageCup{ML: c.CupML.value, ECmS: ec}
	}
	wanted, rests := c.TargetEC.or(wantedPoreEC)
	holds := basis.Assumed(c.HoldsML.value, 0.7*c.HoldsML.value, 1.3*c.HoldsML.value, "mL")
	f, err := pot.FitFlush(cups, c.WaterEC.value, holds, wanted)
	if err != nil {
		return section{}, at("--cups, --holds-ml", err)
	}
	of := func(key, name string, v basis.Value, decimals int, scale float64, unit string) line {
		return line{key: key, name: name, value: v.Value, unit: unit, decimals: decimals, scale: scale, span: spanOf(v.Low, v.High)}
	}
	s := section{key: "pot", title: "What is left in the pot", because: "tanks in series with a bypass, fitted to the cups: EC out = b·in + (1−b)·[in + (start − in)·share of the old water]; ranges are 10 to 90 % of a grid weighted by how well it fits",
		rests: append(rests, parameter{"holds_ml", "water held", holds}, parameter{"pen_share_percent", "error of a pen", pot.PenSharePercent}),
		lines: []line{
			of("left_ec_ms_per_cm", "EC in the pot now", f.LeftMS, 2, 0, "mS/cm"), of("start_ec_ms_per_cm", "before the flush", f.StartMS, 2, 0, "mS/cm"),
			of("bypass", "runs past unmixed", f.Bypass, 0, 100, "%"), of("tanks", "tanks in series", f.Tanks, 0, 0, ""),
			of("more_ml", "more has to drain", f.MoreML, 0, 0, "mL"), {key: "misfit", name: "the fit misses by", value: f.Off, unit: "standard errors of a pen", decimals: 1},
		}}
	if f.Rises {
		s.notes = append(s.notes, "The drainage gets saltier: salt still comes out of the particles, or dry patches are being reached. The fit does not hold; wait and pour again.")
	}
	return s, nil
}
