package cli

import (
	"fmt"

	"velamen/science/basis"
	"velamen/science/leaf"
	"velamen/science/light"
)

// calcLeafDay is one leaf over a typical day.
type calcLeafDay struct {
	Leaf    leafKind `embed:""`
	Day     number   `name:"day-c" required:"" range:"-10 to 60 °C" placeholder:"C" help:"Air temperature in the hours with light, -10 to 60 °C."`
	Night   number   `name:"night-c" required:"" range:"-10 to 60 °C" placeholder:"C" help:"Air temperature in the dark, -10 to 60 °C."`
	DayRH   number   `name:"day-rh-percent" required:"" range:"0 to 100 %" placeholder:"PERCENT" help:"Relative humidity in the hours with light, 0 to 100 %."`
	NightRH number   `name:"night-rh-percent" required:"" range:"0 to 100 %" placeholder:"PERCENT" help:"Relative humidity in the dark, 0 to 100 %."`
	Light   number   `name:"light-umol" required:"" range:"0 to 2500 µmol" placeholder:"UMOL" help:"Light on the leaf, PPFD, 0 to 2500 µmol per m² and second: a lamp's level, or the peak of a clear day."`
	Hours   number   `required:"" range:"0 to 24 h" placeholder:"H" help:"Hours of light, 0 to 24."`
	Steady  bool     `help:"The level holds all day; otherwise daylight is taken as the peak of a clear day, and a lamp as steady."`
	Watered bool     `name:"well-watered" help:"The plant has its roots and water: CAM leaves also open in the late afternoon where that is known of them."`
	Area    number   `name:"leaf-area-cm2" range:"0.1 to 100000 cm²" placeholder:"CM2" help:"Leaf area of the plant, one side, 0.1 to 100000 cm², for its mL a day."`

	Out calcOutput `embed:""`
}

// Run prints the day's loss and the hottest leaf.
func (c calcLeafDay) Run(r *run) error {
	class, err := c.Leaf.class()
	if err != nil {
		return err
	}
	row, rests, err := conductanceParameters(class)
	if err != nil {
		return err
	}
	climate, day, heat, altitude, err := c.climate()
	if err != nil {
		return err
	}
	stomata, err := class.Stomata(c.Watered)
	if err != nil {
		return at("--class", err)
	}
	usual, err := leaf.DailyLoss(stomata, c.Leaf.Width.value/100, climate)
	if err != nil {
		return at("--light-umol with --light-from", err)
	}
	s := section{key: "day", title: "A leaf's day", about: fmt.Sprintf("%s, %s, light from %s, %s", row.Name, row.Photosynthesis, day.Source, shapeWords(day)),
		because: leafBecause + ", hour by hour in the Penman–Monteith form; hours with light have the day's air, dark hours the night's; " + notRanged,
		rests:   append(append(rests, heat), altitude...)}
	if stomata.LateHours > 0 {
		s.rests = append(s.rests, parameter{"late_afternoon_conductance", "in the late afternoon", row.LateAfternoonMmol})
	}
	if s.lines, err = c.lines(usual, stomata, climate, row, heat); err != nil {
		return err
	}
	dli, err := light.Convert(light.Quantity{Amount: c.Light.value, Unit: light.PPFD}, light.DLI, day)
	if err != nil {
		return at("--light-umol", err)
	}
	sum := line{key: "dli_mol_per_m2_day", name: "a day's light", value: dli.Value, unit: "mol/m²", decimals: 2}
	if day.Shape == light.ClearDayPeak {
		mean, err := clearDayMean()
		if err != nil {
			return at("--hours", err)
		}
		s.because += "; light as half a sine"
		s.rests = append(s.rests, mean)
	}
	if dli.Low != dli.High {
		sum.span = spanOf(dli.Low, dli.High)
	}
	s.lines = append(s.lines, sum)
	return c.Out.show(r, answer{"velamen-calc-leaf-day-1", []section{s}})
}

// climate lays the typical day out, hour by hour, light around noon.
func (c calcLeafDay) climate() (leaf.Climate, light.Lighting, parameter, []parameter, error) {
	fail := func(err error) (leaf.Climate, light.Lighting, parameter, []parameter, error) {
		return leaf.Climate{}, light.Lighting{}, parameter{}, nil, err
	}
	heat, source, err := c.Leaf.heat()
	if err != nil {
		return fail(err)
	}
	pressureKPa, altitude, err := pressureAt(c.Leaf.Altitude)
	if err != nil {
		return fail(err)
	}
	lighting, _, err := lightingOf("--light-from", source.String(), c.Steady, c.Hours)
	if err != nil {
		return fail(err)
	}
	start := 12 - lighting.Hours/2
	ppfd, err := light.HourlyPPFD(nil, light.Quantity{Amount: c.Light.value, Unit: light.PPFD}, lighting, start)
	if err != nil {
		return fail(at("--light-umol, --hours", err))
	}
	climate := leaf.Climate{PPFD: ppfd, LightHeatJPerUmol: heat.Value.Value, PressureKPa: pressureKPa}
	for hour := range 24 {
		airC, rhPercent := c.Night.value, c.NightRH.value
		if middle := float64(hour) + 0.5; middle > start && middle < start+lighting.Hours {
			airC, rhPercent = c.Day.value, c.DayRH.value
		}
		climate.AirC = append(climate.AirC, airC)
		climate.RHPercent = append(climate.RHPercent, rhPercent)
		climate.SpeedMS = append(climate.SpeedMS, c.Leaf.Speed.value)
	}
	return climate, lighting, heat, altitude, nil
}

// lines are the day's figures with what the range of conductances and absorbed
// heat makes of them.
func (c calcLeafDay) lines(usual leaf.Day, stomata leaf.Stomata, climate leaf.Climate, row leaf.ClassConductance, heat parameter) ([]line, error) {
	var failure error
	spread := func(pick func(leaf.Day) float64) *[2]float64 {
		low, high := basis.Spread(func(in []float64) float64 {
			stomata.OpenMol, stomata.ClosedMol, climate.LightHeatJPerUmol = in[0]/1000, in[1]/1000, in[2]
			day, err := leaf.DailyLoss(stomata, c.Leaf.Width.value/100, climate)
			if err != nil && failure == nil {
				failure = at("--light-umol with --light-from", err)
			}
			return pick(day)
		}, row.OpenMmol, row.ClosedMmol, heat.Value)
		return spanOf(low, high)
	}
	loss := func(d leaf.Day) float64 { return d.LossGM2 }
	lines := []line{
		{key: "loss_g_per_m2_day", name: "water lost", value: usual.LossGM2, unit: "g/m² a day", decimals: 0, span: spread(loss)},
		{key: "light_loss_g_per_m2_day", name: "in the light", value: usual.LightLossGM2, unit: "g/m² a day", decimals: 0,
			span: spread(func(d leaf.Day) float64 { return d.LightLossGM2 })},
		{key: "dark_loss_g_per_m2_day", name: "in the dark", value: usual.DarkLossGM2, unit: "g/m² a day", decimals: 0,
			span: spread(func(d leaf.Day) float64 { return d.DarkLossGM2 })},
		{key: "hottest_leaf_c", name: "hottest leaf", value: usual.HottestC, unit: "°C", decimals: 1,
			span: spread(func(d leaf.Day) float64 { return d.HottestC })},
		{key: "hottest_from_hour", name: "reached first at", value: usual.HottestHour, unit: "o'clock"},
	}
	if c.Area.given {
		span := spread(loss)
		areaM2 := c.Area.value / 1e4
		lines = append(lines, line{key: "plant_ml_per_day", name: "of the whole plant", value: usual.LossGM2 * areaM2, unit: "mL a day", decimals: 1,
			span: spanOf(span[0]*areaM2, span[1]*areaM2)})
	}
	return lines, failure
}
