package care

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"velamen/science/basis"
)

// Tank is what holds a water at hand: a tank that a reverse-osmosis unit fills,
// or a barrel under a roof. A water that stands in none comes from a tap.
type Tank struct {
	Water  string      `json:"water"`            // name of the Water it holds
	HoldsL basis.Value `json:"holds_l,omitzero"` // capacity

	Roof *Roof        `json:"roof,omitempty"`
	Unit *OsmosisUnit `json:"unit,omitempty"`
}

// Roof fills a barrel when it rains.
type Roof struct {
	AreaM2      basis.Value `json:"area_m2"`                 // seen from above
	RunoffShare basis.Value `json:"runoff_share,omitzero"`   // of the rain that reaches the barrel
	FirstMM     basis.Value `json:"first_flush_mm,omitzero"` // of each fall, let away because it carries the dirt
}

// OsmosisUnit is a reverse-osmosis unit as it stands.
type OsmosisUnit struct {
	RatedLPerDay    basis.Value `json:"rated_l_per_day"`           // at 25 °C and RatedBar
	RatedBar        basis.Value `json:"rated_bar,omitzero"`        //
	PressureBar     basis.Value `json:"pressure_bar,omitzero"`     // before the membrane
	WaterC          basis.Value `json:"water_c,omitzero"`          // of the water that feeds it, now
	RecoveryPercent basis.Value `json:"recovery_percent,omitzero"` // permeate of all the water that goes in
	HoursPerDay     basis.Value `json:"hours_per_day,omitzero"`    // it runs while the tank is not full
	Source          string      `json:"source,omitempty"`          // name of the Water that feeds it
	MembraneSince   time.Time   `json:"membrane_since,omitzero"`   // the day it was put in
}

// MembraneReading is what a reverse-osmosis unit was seen to do.
type MembraneReading struct {
	SourceECmS   float64  `json:"source_ec_ms"`
	PermeateECmS float64  `json:"permeate_ec_ms"`
	LPerHour     *float64 `json:"l_per_hour,omitempty"` // by jug and watch
	WaterC       *float64 `json:"water_c,omitempty"`
}

// BatchMixed is a solution that was mixed.
type BatchMixed struct {
	Name    string     `json:"name"` // as the day's plan called it
	Litres  float64    `json:"litres"`
	Waters  []LitresOf `json:"waters,omitempty"`
	Weighed []GramsOf  `json:"weighed,omitempty"`
	ECmS    float64    `json:"ec_ms,omitempty"`      // as it was computed
	ReadMS  *float64   `json:"read_ec_ms,omitempty"` // as a pen read it
}

// LitresOf is some litres of a water.
type LitresOf struct {
	Water  string  `json:"water"`
	Litres float64 `json:"litres"`
}

// GramsOf is some grams of a feed or of a single salt.
type GramsOf struct {
	What  string  `json:"what"`
	Grams float64 `json:"grams"`
}

// StockReading is what was found to be there of a water or of something that is
// weighed.
type StockReading struct {
	Water  string   `json:"water,omitempty"`
	Litres *float64 `json:"litres,omitempty"`
	What   string   `json:"what,omitempty"`
	Grams  *float64 `json:"grams,omitempty"`
}

func (t *Tank) check(bad func(field, format string, args ...any)) {
	if t == nil {
		return
	}
	number := func(field string, v basis.Value, low, high float64, unit string) {
		if v.Grade != 0 && !(v.Value >= low && v.Value <= high) {
			bad("detail.tank."+field, "%g is outside %g to %g %s", v.Value, low, high, unit)
		}
	}
	if strings.TrimSpace(t.Water) == "" {
		bad("detail.tank.water", "is missing: which water does it hold?")
	}
	number("holds_l", t.HoldsL, 0.5, 1e6, "L")
	if r := t.Roof; r != nil {
		number("roof.area_m2", r.AreaM2, 0, 1e5, "m²")
		number("roof.runoff_share", r.RunoffShare, 0, 1, "")
		number("roof.first_flush_mm", r.FirstMM, 0, 20, "mm")
	}
	if u := t.Unit; u != nil {
		number("unit.rated_l_per_day", u.RatedLPerDay, 1, 1e6, "L/day")
		number("unit.rated_bar", u.RatedBar, 1, 80, "bar")
		number("unit.pressure_bar", u.PressureBar, 0.5, 80, "bar")
		number("unit.water_c", u.WaterC, 2, 40, "°C")
		number("unit.recovery_percent", u.RecoveryPercent, 1, 100, "%")
		number("unit.hours_per_day", u.HoursPerDay, 0, 24, "h")
	}
	if t.Roof != nil && t.Unit != nil {
		bad("detail.tank.unit", "a tank is filled by a roof or by a unit, not by both")
	}
}

func (m *MembraneReading) check(bad func(field, format string, args ...any)) {
	if m == nil {
		return
	}
	if !(m.SourceECmS > 0 && m.SourceECmS <= 20) {
		bad("detail.membrane.source_ec_ms", "%g is outside 0 to 20 mS/cm", m.SourceECmS)
	}
	if !(m.PermeateECmS >= 0 && m.PermeateECmS <= m.SourceECmS) {
		bad("detail.membrane.permeate_ec_ms", "%g is outside 0 to the %g mS/cm of the water before the membrane", m.PermeateECmS, m.SourceECmS)
	}
	if v := m.LPerHour; v != nil && !(*v > 0 && *v <= 1e5) {
		bad("detail.membrane.l_per_hour", "%g is outside 0 to 100000 L/h", *v)
	}
	if v := m.WaterC; v != nil && !(*v >= 2 && *v <= 40) {
		bad("detail.membrane.water_c", "%g is outside 2 to 40 °C", *v)
	}
}

func (b *BatchMixed) check(bad func(field, format string, args ...any)) {
	if b == nil {
		return
	}
	if strings.TrimSpace(b.Name) == "" {
		bad("detail.batch.name", "is missing: which batch?")
	}
	if !(b.Litres > 0 && b.Litres <= 1e5) {
		bad("detail.batch.litres", "%g is outside 0 to 100000 L", b.Litres)
	}
	for i, w := range b.Waters {
		if !(w.Litres >= 0 && w.Litres <= 1e5) || w.Water == "" {
			bad(fmt.Sprintf("detail.batch.waters[%d]", i), "%g L of %q cannot be right", w.Litres, w.Water)
		}
	}
	for i, g := range b.Weighed {
		if !(g.Grams >= 0 && g.Grams <= 1e6) || g.What == "" {
			bad(fmt.Sprintf("detail.batch.weighed[%d]", i), "%g g of %q cannot be right", g.Grams, g.What)
		}
	}
	for field, v := range map[string]float64{"ec_ms": b.ECmS, "read_ec_ms": deref(b.ReadMS)} {
		if !(v >= 0 && v <= 50) {
			bad("detail.batch."+field, "%g is outside 0 to 50 mS/cm", v)
		}
	}
}

func (s *StockReading) check(bad func(field, format string, args ...any)) {
	if s == nil {
		return
	}
	switch {
	case (s.Water == "") == (s.What == ""):
		bad("detail.stock.water", "name one water, or one thing that is weighed")
	case s.Water != "" && (s.Litres == nil || !(*s.Litres >= 0 && *s.Litres <= 1e6)):
		bad("detail.stock.litres", "is missing or outside 0 to 1000000 L")
	case s.What != "" && (s.Grams == nil || !(*s.Grams >= 0 && *s.Grams <= 1e7)):
		bad("detail.stock.grams", "is missing or outside 0 to 10000000 g")
	}
}

func deref(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

// Stock is the last reading of a water or of something that is weighed.
type Stock struct {
	Reading StockReading
	At      time.Time
	Entry   string
}

// MixedAt is a batch with when it was mixed.
type MixedAt struct {
	Batch BatchMixed
	At    time.Time
	Entry string
	By    string
}

// MembraneAt is a reading of the unit whose permeate a water is.
type MembraneAt struct {
	Water   string // empty: the only unit there is
	Reading MembraneReading
	At      time.Time
	Entry   string
}

// Pour is water that was given to a plant.
type Pour struct {
	At    time.Time
	Water string // empty: what is usually poured
	ML    float64
	Fed   bool // out of a batch
}

// poursKept is how long a plant's pours are kept: longer than a stock goes
// without being read.
const poursKept = 35 * 24 * time.Hour

// pour notes what was given, and forgets what was given long ago.
func (p *PlantState) pour(e Entry) {
	if e.Detail.VolumeML == nil || *e.Detail.VolumeML == 0 {
		return
	}
	kept := p.Pours
	for len(kept) > 0 && e.At.Sub(kept[0].At) > poursKept {
		kept = kept[1:]
	}
	// What is there already may be shared: it is never written over.
	p.Pours = append(slices.Clip(kept), Pour{e.At, e.Detail.WaterName, *e.Detail.VolumeML, e.Kind == FeedDone})
}

// batchesKept is how long a batch stays on the list of those mixed.
const batchesKept = 60 * 24 * time.Hour

func (c *Collection) mixed(e Entry) {
	kept := c.Batches
	for len(kept) > 0 && e.At.Sub(kept[0].At) > batchesKept {
		kept = kept[1:]
	}
	c.Batches = append(slices.Clip(kept), MixedAt{*e.Detail.Batch, e.At, e.ID, e.By})
}

func (c *Collection) stockRead(e Entry) {
	s := Stock{*e.Detail.Stock, e.At, e.ID}
	c.Stocks = replace(c.Stocks, s, func(s Stock) string { return s.Reading.Water + "\x00" + s.Reading.What })
}

// StockOf returns the last reading of a water.
func (c *Collection) StockOf(water string) (s Stock, ok bool) {
	for _, one := range c.Stocks {
		if one.Reading.Water != "" && strings.EqualFold(one.Reading.Water, water) {
			return one, true
		}
	}
	return s, false
}

// GramsLeft returns what is left of something that is weighed: what was last
// found, less what went into batches since. ok is false if it was never weighed.
func (c *Collection) GramsLeft(what string) (grams float64, ok bool) {
	for _, one := range c.Stocks {
		if one.Reading.What == "" || !strings.EqualFold(one.Reading.What, what) {
			continue
		}
		grams = *one.Reading.Grams
		for _, b := range c.Batches {
			if !b.At.After(one.At) {
				continue
			}
			for _, w := range b.Batch.Weighed {
				if strings.EqualFold(w.What, what) {
					grams -= w.Grams
				}
			}
		}
		return math.Max(0, grams), true
	}
	return 0, false
}
