package cli

import (
	"errors"
	"fmt"

	"velamen/science/air"
	"velamen/science/basis"
)

// calcAir is everything that follows from a temperature and a humidity.
type calcAir struct {
	Temperature  number `name:"temperature-c" required:"" range:"-40 to 60 °C" placeholder:"C" help:"Air temperature, -40 to 60 °C."`
	RH           number `name:"rh-percent" required:"" xor:"humidity" range:"0 to 100 %" placeholder:"PERCENT" help:"Relative humidity, 0 to 100 %."`
	DewPoint     number `name:"dew-point-c" required:"" xor:"humidity" range:"-100 to 60 °C" placeholder:"C" help:"Dew point instead of the humidity, -100 to 60 °C and at most the air temperature."`
	WetBulb      number `name:"wet-bulb-c" required:"" xor:"humidity" range:"-40 to 60 °C" placeholder:"C" help:"Wet-bulb reading instead of the humidity, -40 to 60 °C and at most the air temperature."`
	Psychrometer string `placeholder:"KIND" help:"How the wet bulb is ventilated: aspirated (whirled or with a fan), natural (in a screen outdoors) or still (indoors)."`
	Altitude     number `name:"altitude-m" xor:"pressure" range:"-430 to 5600 m" placeholder:"M" help:"Height above the sea, -430 to 5600 m; sea level if left out."`
	Pressure     number `name:"pressure-kpa" xor:"pressure" range:"50 to 110 kPa" placeholder:"KPA" help:"Air pressure as measured, 50 to 110 kPa."`
	Leaf         number `name:"leaf-c" range:"-40 to 60 °C" placeholder:"C" help:"Leaf temperature, -40 to 60 °C, for the deficit from leaf to air."`
	WantedVPD    number `name:"wanted-vpd-kpa" range:"0 to 20 kPa" placeholder:"KPA" help:"Vapour pressure deficit to reach, 0 to 20 kPa: which humidity gives it? From leaf to air if --leaf-c is given."`

	Room       number `name:"room-m3" range:"0.01 to 100000 m³" placeholder:"M3" help:"Volume of the room, 0.01 to 100000 m³, for the litres of a humidifier."`
	AirChanges number `name:"air-changes-per-hour" range:"0 to 200 1/h" placeholder:"N" help:"How often outside air replaces the room's, 0 to 200 times an hour; an ordinary home's if left out."`
	Outside    number `name:"outside-c" range:"-40 to 60 °C" placeholder:"C" help:"Temperature outside, -40 to 60 °C, for the humidifier and for dew on glass."`
	OutsideRH  number `name:"outside-rh-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Relative humidity outside, 0 to 100 %, for the humidifier."`
	WantedRH   number `name:"wanted-rh-percent" range:"0 to 100 %" placeholder:"PERCENT" help:"Humidity to hold in the room, 0 to 100 %."`

	Out calcOutput `embed:""`
}

// Run prints the state of the air and what else was asked for.
func (c calcAir) Run(r *run) error {
	now, state, err := c.state()
	if err != nil {
		return err
	}
	a := answer{format: "velamen-calc-air-1", sections: []section{state}}
	for _, part := range []func(air.State) (*section, error){c.leaf, c.wanted, c.humidifier, c.glass} {
		s, err := part(now)
		if err != nil {
			return err
		}
		if s != nil {
			a.sections = append(a.sections, *s)
		}
	}
	return c.Out.show(r, a)
}

// psychrometers are the kinds by the word for the flag.
var psychrometers = map[string]struct {
	kind        air.Psychrometer
	coefficient basis.Value
}{
	"aspirated": {air.Aspirated, air.AspiratedCoefficient},
	"natural":   {air.NaturallyVentilated, air.NaturallyVentilatedCoefficient},
	"still":     {air.IndoorUnventilated, air.IndoorUnventilatedCoefficient},
}

// state is the air as given, with everything that follows from it.
func (c calcAir) state() (air.State, section, error) {
	s := section{key: "air", title: "Air"}
	pressureKPa, because := c.Pressure.value, "pressure as given"
	if !c.Pressure.given {
		var err error
		if pressureKPa, s.rests, err = pressureAt(c.Altitude); err != nil {
			return air.State{}, s, err
		}
		because = "pressure from the altitude by FAO-56 (Allen et al. 1998) ch. 3 eq. 7"
	}
	var now air.State
	var err error
	switch {
	case c.DewPoint.given:
		now, err = air.StateFromDewPoint(c.Temperature.value, c.DewPoint.value, pressureKPa)
		err = at("--dew-point-c", err)
		because += "; humidity from the dew point by eq. 14"
	case c.WetBulb.given:
		kind := c.Psychrometer
		if kind == "" {
			kind = "aspirated"
			because += "; the bulb is taken as aspirated"
		}
		p, known := psychrometers[kind]
		if !known {
			return now, s, fmt.Errorf("--psychrometer: %q is not known; aspirated, natural or still is allowed", kind)
		}
		now, err = air.StateFromWetBulb(c.Temperature.value, c.WetBulb.value, pressureKPa, p.kind)
		err = at("--wet-bulb-c", err)
		if c.WetBulb.value < c.Temperature.value && err != nil {
			err = fmt.Errorf("%w; so low a reading means a dry wick or another kind of --psychrometer", err)
		}
		because += "; humidity from the wet bulb by eq. 15 and 16"
		s.rests = append(s.rests, parameter{"psychrometer_coefficient", "psychrometer coefficient, " + kind, p.coefficient})
	default:
		now, err = air.NewState(c.Temperature.value, c.RH.value, pressureKPa)
		err = at("--temperature-c, --rh-percent", err)
	}
	if err == nil && c.Psychrometer != "" && !c.WetBulb.given {
		err = errors.New("--psychrometer says how a wet bulb is ventilated; give its reading with --wet-bulb-c, or leave it out")
	}
	if err != nil {
		return now, s, err
	}
	s.lines = airLines(now.Describe())
	s.because = because + "; saturation and deficit by eq. 10 and 11, dew point by eq. 14 of that chapter; " +
		"wet bulb, humidity ratio, enthalpy and density by ASHRAE Fundamentals 2017 ch. 1 eq. 33, 20, 30 and 11; vapour per m³ by the gas law"
	return now, s, nil
}

func airLines(d air.Description) []line {
	return []line{
		{key: "air_c", name: "air temperature", value: d.AirC, unit: "°C", decimals: 1},
		{key: "rh_percent", name: "relative humidity", value: d.RHPercent, unit: "%", decimals: 1},
		{key: "pressure_kpa", name: "air pressure", value: d.PressureKPa, unit: "kPa", decimals: 1},
		{key: "saturation_kpa", name: "saturation vapour pressure", value: d.SaturationKPa, unit: "kPa", decimals: 3},
		{key: "vapour_kpa", name: "actual vapour pressure", value: d.VapourKPa, unit: "kPa", decimals: 3},
		{key: "vpd_kpa", name: "vapour pressure deficit", value: d.VPDKPa, unit: "kPa", decimals: 3},
		{key: "dew_point_c", name: "dew point", value: d.DewPointC, unit: "°C", decimals: 1},
		{key: "wet_bulb_c", name: "wet bulb, thermodynamic", value: d.WetBulbC, unit: "°C", decimals: 1},
		{key: "humidity_ratio_kg_per_kg", name: "humidity ratio", value: d.HumidityRatio, unit: "g per kg of dry air", decimals: 2, scale: 1000},
		{key: "absolute_humidity_g_per_m3", name: "absolute humidity", value: d.AbsoluteHumidityGPerM3, unit: "g/m³", decimals: 2},
		{key: "enthalpy_kj_per_kg", name: "enthalpy", value: d.EnthalpyKJPerKg, unit: "kJ per kg of dry air", decimals: 1},
		{key: "density_kg_per_m3", name: "density", value: d.DensityKgPerM3, unit: "kg/m³", decimals: 3},
	}
}

// leaf is the deficit between a leaf and the air.
func (c calcAir) leaf(now air.State) (*section, error) {
	if !c.Leaf.given {
		return nil, nil
	}
	deficitKPa := air.LeafVPDKPa(c.Leaf.value, now.AirC, now.RHPercent)
	s := &section{key: "leaf", title: "Leaf", lines: []line{
		{key: "leaf_c", name: "leaf temperature", value: c.Leaf.value, unit: "°C", decimals: 1},
		{key: "leaf_vpd_kpa", name: "deficit from leaf to air", value: deficitKPa, unit: "kPa", decimals: 3},
	}, because: "saturation at the leaf less the vapour pressure of the air, both by FAO-56 ch. 3 eq. 11"}
	if deficitKPa < 0 {
		s.notes = append(s.notes, "The leaf is colder than the dew point: water condenses on it.")
	}
	return s, nil
}

// wanted is the humidity that gives a deficit.
func (c calcAir) wanted(now air.State) (*section, error) {
	if !c.WantedVPD.given {
		return nil, nil
	}
	s := &section{key: "wanted", title: "Humidity for the wanted deficit", because: "FAO-56 ch. 3 eq. 10 and 11 solved for the humidity"}
	of := "of the air"
	rhPercent, err := air.RHForVPD(now.AirC, c.WantedVPD.value)
	if c.Leaf.given {
		of = "from leaf to air"
		rhPercent, err = air.RHForLeafVPD(c.Leaf.value, now.AirC, c.WantedVPD.value)
	}
	if err != nil {
		return nil, at("--wanted-vpd-kpa", err)
	}
	s.lines = []line{
		{key: "vpd_kpa", name: "wanted deficit " + of, value: c.WantedVPD.value, unit: "kPa", decimals: 3},
		{key: "rh_percent", name: "relative humidity", value: rhPercent, unit: "%", decimals: 1},
		{key: "change_points", name: "change from now", value: rhPercent - now.RHPercent, unit: "points", decimals: 1},
	}
	return s, nil
}
