package air

// Room is a closed space whose air is exchanged with what surrounds it: a
// living room with the outdoors, or a glass case with the room it stands in.
type Room struct {
	// VolumeM3 is 0.01 (a propagation box) to 100 000 m³ (a nursery house).
	VolumeM3 float64
	// AirChangesPerHour is how many volumes of outside air enter in an hour,
	// 0 to 200. HomeAirChangesPerHour is the default for a lived-in room.
	AirChangesPerHour float64
}

// latentMJPerKg is the heat that evaporating water takes up, FAO-56 ch. 3
// (fixed there at its value near 20 °C).
const latentMJPerKg = 2.45

const hoursPerDay = 24

// highestPressureStepKPa is the difference in pressure between a room and its
// surroundings above which the two were surely given for different altitudes:
// 0.5 kPa is about 40 m of height, far more than wind or a fan can hold.
const highestPressureStepKPa = 0.5

func (r Room) check() error {
	if err := within("room volume", r.VolumeM3, 0.01, 100_000, "m³"); err != nil {
		return err
	}
	return within("air changes per hour", r.AirChangesPerHour, 0, 200, "1/h")
}

// HumidifierLitresPerDay returns the water that must be evaporated each day to
// hold the room at inside while outside air keeps replacing it. One litre of
// water is taken as one kilogram.
//
// Zero means that the incoming air already holds at least as much vapour as the
// target: no humidifier is needed, and without drying the room will be damper
// than the target.
//
// Moisture from plants and wet pots lowers the real need, cold windows on which
// water condenses raise it; neither is counted.
//
// Errors: a room or a state outside its range; pressures inside and outside
// more than 0.5 kPa apart.
//
//	24·V·n/v·(Wi − Wo)   humidifier load by ventilation, ASHRAE Handbook,
//	HVAC Systems and Equipment, humidifier chapter, from memory
func (r Room) HumidifierLitresPerDay(inside, outside State) (float64, error) {
	if err := r.check(); err != nil {
		return 0, err
	}
	if err := checkBoth(inside, outside); err != nil {
		return 0, err
	}
	lackKgPerKg := inside.HumidityRatio() - outside.HumidityRatio()
	if lackKgPerKg <= 0 {
		return 0, nil
	}
	return hoursPerDay * r.AirChangesPerHour * dryAirKg(r.VolumeM3, inside) * lackKgPerKg, nil
}

// LitresToRaise returns the water that must be evaporated once into the closed
// room to bring its air from one state to another, on top of what ventilation
// carries off meanwhile. Zero means that the air already holds that much
// vapour or more. Errors as for HumidifierLitresPerDay.
//
//	V/v·(W_to − W_from), v of the air after
func (r Room) LitresToRaise(from, to State) (float64, error) {
	if err := r.check(); err != nil {
		return 0, err
	}
	if err := checkBoth(to, from); err != nil {
		return 0, err
	}
	return max(0, dryAirKg(r.VolumeM3, to)*(to.HumidityRatio()-from.HumidityRatio())), nil
}

// EvaporativeCoolingW returns the mean heat in watts that evaporating so many
// litres a day takes out of the room's air, unless the humidifier boils its
// water. Negative litres count as none.
func EvaporativeCoolingW(litresPerDay float64) float64 {
	return max(0, litresPerDay) * latentMJPerKg * 1e6 / (hoursPerDay * 3600)
}

// dryAirKg returns the mass of dry air in a volume of moist air.
func dryAirKg(volumeM3 float64, s State) float64 {
	return volumeM3 / SpecificVolumeM3PerKg(s.AirC, s.HumidityRatio(), s.PressureKPa)
}

// checkBoth checks two states that must lie at the same altitude.
func checkBoth(inside, outside State) error {
	if err := inside.Check(); err != nil {
		return err
	}
	if err := outside.Check(); err != nil {
		return err
	}
	return within("outside air pressure", outside.PressureKPa,
		inside.PressureKPa-highestPressureStepKPa, inside.PressureKPa+highestPressureStepKPa, "kPa")
}
