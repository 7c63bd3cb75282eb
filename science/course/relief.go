package course

import "math"

// Climate is what can be changed around a plant, as typical day and night
// values.
type Climate struct {
	LightFactor    float64 // share of the usual light, 0 to 1
	DayC           float64
	AirSpeedMS     float64
	DayRHPercent   float64
	NightRHPercent float64
}

// RHLimit bounds the humidity that may be asked for in one half of the day.
type RHLimit struct {
	CeilingPercent float64 // not above this
	Decided        Limit   // why
}

// Relief is a climate in which the plant's demand meets its supply as nearly
// as the limits allow.
type Relief struct {
	Climate Climate
	// Demand is the water loss in this climate as a share of that in the
	// usual one.
	Demand float64
	// Unmet is how far Demand still exceeds the supply; above zero only when
	// both halves of the day are at their ceilings.
	Unmet float64
	// DayDecided and NightDecided say what set each humidity.
	DayDecided, NightDecided Limit
}

// Relieve raises humidity until the demand in the given climate falls to
// supply. Light, heat and air movement have already been turned down in it, as
// the least disruptive changes. The half of the day in which the stomata are
// open is raised first: night for CAM plants, day for C3 plants. Growers raise
// humidity by at least 10 points after a repot, so neither half gets less
// than that where the ceiling allows. demand must not rise with humidity; it
// returns the share of the usual loss.
func Relieve(demand func(Climate) float64, turnedDown Climate, supply float64, nightFirst bool, day, night RHLimit) Relief {
	r := Relief{Climate: turnedDown, DayDecided: ByModel, NightDecided: ByModel}
	least := LeastRHRise.Value
	r.DayDecided = raise(&r.Climate.DayRHPercent, least, day)
	r.NightDecided = raise(&r.Climate.NightRHPercent, least, night)

	halves := [2]half{
		{rh: &r.Climate.DayRHPercent, limit: day, decided: &r.DayDecided},
		{rh: &r.Climate.NightRHPercent, limit: night, decided: &r.NightDecided},
	}
	if nightFirst {
		halves[0], halves[1] = halves[1], halves[0]
	}
	for _, h := range halves {
		if r.Demand = demand(r.Climate); r.Demand <= supply {
			break
		}
		h.close(func() float64 { return demand(r.Climate) }, supply)
	}
	r.Demand = demand(r.Climate)
	r.Unmet = math.Max(0, r.Demand-supply)
	if r.Unmet < unmetTolerance {
		r.Unmet = 0
	}
	return r
}

// unmetTolerance is the share of the usual loss below which a gap is the
// bisection's own remainder.
const unmetTolerance = 1e-3

// raise lifts a humidity by the least rise of practice, or to its ceiling. A
// room that is already above the ceiling is left as it is.
func raise(rh *float64, points float64, limit RHLimit) Limit {
	if *rh >= limit.CeilingPercent {
		return limit.Decided
	}
	if *rh+points > limit.CeilingPercent {
		*rh = limit.CeilingPercent
		return limit.Decided
	}
	*rh += points
	return ByPracticeRHRise
}

// half is one half of the day while its humidity is solved for.
type half struct {
	rh      *float64
	limit   RHLimit
	decided *Limit
}

// close finds by bisection the humidity at which demand meets supply, or the
// ceiling.
func (h half) close(demand func() float64, supply float64) {
	low, high := *h.rh, h.limit.CeilingPercent
	if low >= high {
		*h.decided = h.limit.Decided
		return
	}
	*h.rh = high
	if demand() > supply {
		*h.decided = h.limit.Decided
		return
	}
	for high-low > rhToleranceP {
		*h.rh = (low + high) / 2
		if demand() > supply {
			low = *h.rh
		} else {
			high = *h.rh
		}
	}
	*h.rh, *h.decided = high, ByModel
}

// rhToleranceP is a tenth of what a household hygrometer can show.
const rhToleranceP = 0.05
