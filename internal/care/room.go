package care

import (
	"fmt"
	"math"
	"time"

	"velamen/science/air"
	"velamen/science/basis"
)

// Room is the building around a space, as far as it was measured.
type Room struct {
	VolumeM3          basis.Value `json:"volume_m3,omitzero"`            // 0.01 to 100 000
	AirChangesPerHour basis.Value `json:"air_changes_per_hour,omitzero"` // 0 to 200
	Panes             Panes       `json:"panes,omitempty"`               // of its coldest glass
}

// Panes is what glass is made of.
type Panes string

// The kinds of glass.
const (
	SinglePane Panes = "single pane"
	DoublePane Panes = "double pane"
)

// Glazings lists the kinds of glass.
var Glazings = []Panes{SinglePane, DoublePane}

// heatLoss is the heat transmittance of the glass.
func (p Panes) heatLoss() basis.Value {
	if p == DoublePane {
		return air.DoubleGlazingU
	}
	return air.SingleGlazingU
}

// Outdoors is the air outside a room: measured hours, and what stands in for
// hours that were not.
type Outdoors struct {
	Hours              []ClimateHour
	TempC, RHPercent   basis.Value // no grade: not known
	measured           map[int64]*ClimateHour
	HoursFrom, UsualOf string // names of the spaces they are taken from
	Foreseen           bool   // the hours are those of a forecast, HoursFrom its name
}

// at returns the air outside at an hour.
func (o *Outdoors) at(start time.Time) (tempC, rhPercent float64, ok bool) {
	if o.measured == nil {
		o.measured = make(map[int64]*ClimateHour, len(o.Hours))
		for i := range o.Hours {
			o.measured[o.Hours[i].Start.Unix()] = &o.Hours[i]
		}
	}
	if h := o.measured[start.Unix()]; h != nil && h.TempC.Known() && h.RHPercent.Known() {
		return h.TempC.Mean, h.RHPercent.Mean, true
	}
	return o.TempC.Value, o.RHPercent.Value, o.TempC.Grade != 0 && o.RHPercent.Grade != 0
}

// inputs are what is known of the air outside, for a because.
func (o *Outdoors) inputs(n, measured int, meanC, meanRH float64) []Input {
	grade, source := basis.Measured, "hour by hour in "+o.HoursFrom
	if o.Foreseen {
		grade, source = basis.Assumption, "hour by hour by "+o.HoursFrom
	}
	if measured < n {
		grade, source = basis.Weakest(o.TempC.Grade, o.RHPercent.Grade), o.UsualOf
		if measured > 0 {
			source = fmt.Sprintf("measured in %s in %d of %d hours, otherwise %s", o.HoursFrom, measured, n, o.UsualOf)
		}
	}
	return []Input{
		{"outside, on average", basis.Exactly(meanC, "°C", grade, source)},
		{"humidity outside", basis.Exactly(meanRH, "%", grade, source)},
	}
}

// outsideMean averages the air outside over hours and says how many were
// measured.
func (o *Outdoors) mean(hours []ClimateHour) (n, measured int, meanC, meanRH float64) {
	for i := range hours {
		c, rh, ok := o.at(hours[i].Start)
		if !ok {
			continue
		}
		n++
		meanC += c
		meanRH += rh
		if h := o.measured[hours[i].Start.Unix()]; h != nil && h.TempC.Known() && h.RHPercent.Known() {
			measured++
		}
	}
	if n > 0 {
		meanC, meanRH = meanC/float64(n), meanRH/float64(n)
	}
	return n, measured, meanC, meanRH
}

// HumidifierLitres is the water that would have held a room at the humidity its
// plants ask for over measured hours, litres a day. It reports false when the
// room, the air outside or what the plants ask for is not known.
func (r *Room) HumidifierLitres(hours []ClimateHour, outside *Outdoors, wants AirWants) (Figure, bool) {
	if r == nil || r.VolumeM3.Grade == 0 {
		return Figure{}, false
	}
	changes := r.AirChangesPerHour
	if changes.Grade == 0 {
		changes = air.HomeAirChangesPerHour
	}
	sum, n := 0.0, 0
	var counted []ClimateHour
	for i := range hours {
		h := &hours[i]
		wanted := wants.Night.LowRH
		if h.Lit {
			wanted = wants.Day.LowRH
		}
		outC, outRH, ok := outside.at(h.Start)
		if !ok || !h.TempC.Known() || math.IsInf(wanted, 0) {
			continue
		}
		litres, err := air.Room{VolumeM3: r.VolumeM3.Value, AirChangesPerHour: 1}.HumidifierLitresPerDay(
			air.State{AirC: h.TempC.Mean, RHPercent: wanted, PressureKPa: standardKPa}, air.State{AirC: outC, RHPercent: outRH, PressureKPa: standardKPa})
		if err != nil {
			continue
		}
		sum += litres // a day, at one change an hour
		n++
		counted = append(counted, *h)
	}
	if n == 0 {
		return Figure{}, false
	}
	perChange := sum / float64(n)
	total, measured, meanC, meanRH := outside.mean(counted)
	inputs := append([]Input{{"air in the room", r.VolumeM3}, {"air changes", changes}}, outside.inputs(total, measured, meanC, meanRH)...)
	note := "Moisture from plants and wet pots lowers the need, dew on glass raises it; neither is counted."
	return figure(perChange*changes.Value, perChange*changes.Low, perChange*changes.High, "L/day", Because{
		Rule:   fmt.Sprintf("24·V·n/v·(Wi − Wo), load by ventilation (ASHRAE, humidifiers, from memory), for each of %d hours at its own temperature and the humidity that the most demanding plant asks for", n),
		Inputs: inputs,
		Note:   note,
	}), true
}

// standardKPa is the pressure reckoned with: at 1000 m of height the litres
// differ by about a tenth, less than the air changes are known to.
const standardKPa = 101.325

// Dew is how often dew forms on the coldest glass.
type Dew struct {
	Hours, Of int       // hours with dew, of those measured inside and known outside
	Held      int       // hours with dew if the air had the humidity the plants ask for
	Worst     time.Time // the hour in which the glass was furthest below the dew point
	GlassC    float64   // inner face then
	DewPointC float64   // of the air then
	Because   Because
}

// DewOnGlass compares the dew point of measured hours with the inner face of the
// coldest glass. It reports false when the air outside is not known.
func (r *Room) DewOnGlass(hours []ClimateHour, outside *Outdoors, wants AirWants) (d Dew, ok bool) {
	panes := SinglePane
	if r != nil && r.Panes != "" {
		panes = r.Panes
	}
	u := panes.heatLoss()
	nearest := math.Inf(1)
	for i := range hours {
		h := &hours[i]
		outC, _, known := outside.at(h.Start)
		if !known || !h.TempC.Known() || !h.RHPercent.Known() {
			continue
		}
		face, err := air.GlassInnerC(h.TempC.Mean, outC, u.Value, air.InsideSurfaceResistance.Value)
		if err != nil {
			continue
		}
		dew, err := air.State{AirC: h.TempC.Mean, RHPercent: h.RHPercent.Mean, PressureKPa: standardKPa}.CondensationOn(face)
		if err != nil {
			continue
		}
		d.Of++
		if dew.Forms {
			d.Hours++
		}
		if below := face - dew.DewPointC; below < nearest {
			nearest, d.Worst, d.GlassC, d.DewPointC = below, h.Start, face, dew.DewPointC
		}
		wanted := wants.Night.LowRH
		if h.Lit {
			wanted = wants.Day.LowRH
		}
		if held := math.Max(wanted, h.RHPercent.Mean); !math.IsInf(held, 0) && held > dew.HighestRHPercent {
			d.Held++
		}
	}
	if d.Of == 0 {
		return d, false
	}
	total, measured, meanC, meanRH := outside.mean(hours)
	d.Because = Because{
		Rule: "inner face Ti − U·R·(Ti − To) in steady state; dew where it lies below the dew point of the air",
		Inputs: append([]Input{{"heat loss of a " + string(panes), u}, {"resistance between room and glass", air.InsideSurfaceResistance}},
			outside.inputs(total, measured, meanC, meanRH)...),
		Note: "Corners and glass behind leaves or curtains are colder than reckoned.",
	}
	return d, true
}
