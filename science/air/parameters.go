package air

import "velamen/science/basis"

// The parameters of this package that are known only within a range, or that
// belong to an instrument or a building rather than to air.

const (
	psychrometerSource = "Allen et al. 1998, FAO Irrigation and Drainage Paper 56, ch. 3, equation 16"
	airChangesSource   = "median of 509 homes and the range between regions and seasons: RIOPA study, Indoor Air 20 (2010): 85, abstract; " +
		"low end as the ventilation guidance of ASHRAE 62.2"
)

// Psychrometer coefficients a, per kelvin.
var (
	AspiratedCoefficient           = basis.Exactly(0.000662, "1/K", basis.Published, psychrometerSource)
	NaturallyVentilatedCoefficient = basis.Exactly(0.000800, "1/K", basis.Published, psychrometerSource)
	IndoorUnventilatedCoefficient  = basis.Exactly(0.001200, "1/K", basis.Published, psychrometerSource)
)

// HomeAirChangesPerHour is how often the air of a lived-in room is exchanged
// with the outside when nobody has measured it. A tight room with closed
// windows lies at the low end, a room with a window ajar far above the high end.
var HomeAirChangesPerHour = basis.Value{Value: 0.71, Low: 0.35, High: 1.13, Unit: "1/h",
	Grade: basis.Published, Source: airChangesSource}

// Heat loss of glass, for the temperature of its inner face. All three are
// working figures: the label or data sheet of a window replaces them.
var (
	// SingleGlazingU is for one pane, 3 to 6 mm.
	SingleGlazingU = basis.Assumed(5.7, 5.0, 6.2, "W/(m² K)")
	// DoubleGlazingU spans modern coated and gas-filled panes (low) to old
	// air-filled ones (high).
	DoubleGlazingU = basis.Assumed(2.8, 1.1, 3.3, "W/(m² K)")
	// InsideSurfaceResistance is the resistance to heat between room and glass.
	// It is high, and the glass therefore colder, in corners, behind plants and
	// behind curtains, where air hardly moves.
	InsideSurfaceResistance = basis.Assumed(0.13, 0.10, 0.16, "m² K/W")
)
