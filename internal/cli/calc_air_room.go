package cli

import (
	"errors"
	"fmt"
	"strings"

	"velamen/science/air"
	"velamen/science/basis"
)

// humidifier is the water to evaporate to hold a room at a humidity.
func (c calcAir) humidifier(now air.State) (*section, error) {
	asked, err := c.asksForHumidifier()
	if !asked || err != nil {
		return nil, err
	}
	inside := air.State{AirC: now.AirC, RHPercent: c.WantedRH.value, PressureKPa: now.PressureKPa}
	outside := air.State{AirC: c.Outside.value, RHPercent: c.OutsideRH.value, PressureKPa: now.PressureKPa}
	changes := parameter{"air_changes_per_hour", "air changes", air.HomeAirChangesPerHour}
	changesPerHour, rests := c.AirChanges.or(changes)

	// Litres go with the air changes, so the range of one is that of the other.
	litres := func(changesPerHour float64) (float64, error) {
		return air.Room{VolumeM3: c.Room.value, AirChangesPerHour: changesPerHour}.HumidifierLitresPerDay(inside, outside)
	}
	perDay, err := litres(changesPerHour)
	if err != nil {
		return nil, at("--room-m3", err)
	}
	s := &section{key: "room", title: "Humidifier", rests: rests,
		because: "load by ventilation, 24·V·n/v·(Wi − Wo), ASHRAE HVAC Systems and Equipment, humidifier chapter, from memory; " +
			"cooling by the latent heat of FAO-56, 2.45 MJ/kg; water from plants and dew on windows are not counted"}
	daily := line{key: "litres_per_day", name: "water to evaporate", value: perDay, unit: "L a day", decimals: 1}
	if len(rests) > 0 {
		low, err := litres(changes.Low)
		if err != nil {
			return nil, at("--room-m3", err)
		}
		high, err := litres(changes.High)
		if err != nil {
			return nil, at("--room-m3", err)
		}
		daily.span = spanOf(low, high)
	}
	once, err := air.Room{VolumeM3: c.Room.value, AirChangesPerHour: changesPerHour}.LitresToRaise(now, inside)
	if err != nil {
		return nil, at("--room-m3", err)
	}
	s.lines = []line{
		{key: "wanted_rh_percent", name: "humidity to hold", value: c.WantedRH.value, unit: "%", decimals: 1},
		{key: "air_changes_per_hour", name: "air changes", value: changesPerHour, unit: "per hour", decimals: 2},
		daily,
		{key: "litres_once", name: "once, from the present humidity", value: once, unit: "L", decimals: 3},
		{key: "cooling_w", name: "heat it takes from the room", value: air.EvaporativeCoolingW(perDay), unit: "W on average", decimals: 0},
	}
	if perDay == 0 && changesPerHour > 0 {
		s.notes = append(s.notes, "The air from outside already holds at least that much water: no humidifier is needed, and the room will be damper than wanted unless it is dried.")
	}
	return s, nil
}

// asksForHumidifier tells whether the flags of the humidifier were given, and
// which are missing.
func (c calcAir) asksForHumidifier() (bool, error) {
	if !c.Room.given {
		for _, f := range []named{{"--air-changes-per-hour", c.AirChanges}, {"--outside-rh-percent", c.OutsideRH}} {
			if f.given {
				return false, fmt.Errorf("%s is for the litres of a humidifier; give --room-m3 too", f.flag)
			}
		}
		return false, nil
	}
	var missing []string
	for _, f := range []named{{"--outside-c", c.Outside}, {"--outside-rh-percent", c.OutsideRH}, {"--wanted-rh-percent", c.WantedRH}} {
		if !f.given {
			missing = append(missing, f.flag)
		}
	}
	if len(missing) > 0 {
		return false, fmt.Errorf("--room-m3 needs %s too", strings.Join(missing, " and "))
	}
	return true, nil
}

// glazings are the panes whose inner face is looked at.
var glazings = []struct {
	name string
	u    parameter
}{
	{"single pane", parameter{"single_glazing_u", "heat loss of a single pane", air.SingleGlazingU}},
	{"double pane", parameter{"double_glazing_u", "heat loss of a double pane", air.DoubleGlazingU}},
}

var insideResistance = parameter{"inside_surface_resistance", "resistance between room and glass", air.InsideSurfaceResistance}

// glass tells whether dew forms on windows at the humidity that is wanted, or
// at the present one if none is.
func (c calcAir) glass(now air.State) (*section, error) {
	if !c.Outside.given {
		if c.WantedRH.given {
			return nil, errors.New("--wanted-rh-percent is for a room; give --outside-c for dew on its glass, and --room-m3 for a humidifier")
		}
		return nil, nil
	}
	inside := now
	if c.WantedRH.given {
		inside.RHPercent = c.WantedRH.value
	}
	s := &section{key: "glass", title: "Dew on glass",
		about:   fmt.Sprintf("room at %s °C and %s %%, outside %s °C", shown(inside.AirC, 1, 0), shown(inside.RHPercent, 0, 0), shown(c.Outside.value, 1, 0)),
		because: "inner face Ti − U·R·(Ti − To) in steady state; dew where the vapour pressure exceeds saturation at the face, FAO-56 ch. 3 eq. 11, over ice ASHRAE Fundamentals 2017 ch. 1 eq. 5"}
	s.grid = &grid{key: "panes", columns: []column{
		{key: "glazing"}, {key: "inner_face_c", head: "inner face °C", decimals: 1},
		{key: "highest_rh_percent", head: "dry up to % RH", decimals: 0}, {key: "dew", head: "dew"},
	}}
	for _, g := range glazings {
		row, err := pane(inside, c.Outside.value, g.name, g.u.Value)
		if err != nil {
			return nil, at("--outside-c", err)
		}
		s.grid.rows = append(s.grid.rows, row)
		s.rests = append(s.rests, g.u)
	}
	s.rests = append(s.rests, insideResistance)
	return s, nil
}

// pane returns the row of one kind of glass.
func pane(inside air.State, outsideC float64, name string, u basis.Value) ([]any, error) {
	var failure error
	face := func(in []float64) float64 {
		faceC, err := air.GlassInnerC(inside.AirC, outsideC, in[0], in[1])
		if err != nil && failure == nil {
			failure = err
		}
		return faceC
	}
	low, high := basis.Spread(face, u, air.InsideSurfaceResistance)
	centre := face([]float64{u.Value, air.InsideSurfaceResistance.Value})
	if failure != nil {
		return nil, failure
	}
	var dew [3]air.Condensation
	for i, faceC := range []float64{low, centre, high} {
		var err error
		if dew[i], err = inside.CondensationOn(faceC); err != nil {
			return nil, err
		}
	}
	verdict := "stays dry"
	switch {
	case dew[0].Forms && dew[1].Forms && dew[2].Forms:
		verdict = "forms"
	case dew[1].Forms:
		verdict = "likely"
	case dew[0].Forms || dew[2].Forms:
		verdict = "possible"
	}
	return []any{
		name, ranged{centre, low, high},
		ranged{dew[1].HighestRHPercent, dew[0].HighestRHPercent, dew[2].HighestRHPercent}, verdict,
	}, nil
}
