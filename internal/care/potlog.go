package care

import (
	"slices"
	"time"
)

// Wetness is how wet a pot is by looking, touching and lifting.
type Wetness string

// The wetnesses, from driest to wettest.
const (
	LooksDry     Wetness = "dry"        // as far as a finger or a stick reaches
	LooksDryOnto Wetness = "dry on top" // damp below
	LooksDamp    Wetness = "damp"       // throughout
	LooksWet     Wetness = "wet"        // drops, or heavy in the hand
)

// Wetnesses lists them in order.
var Wetnesses = []Wetness{LooksDry, LooksDryOnto, LooksDamp, LooksWet}

// PotEvent is something done to a plant's home or read off it since the repot,
// as far as water and salt in it depend on it or are told by it. What was not
// noted is 0.
type PotEvent struct {
	At    time.Time
	Kind  Kind
	ML    float64 // poured
	ECmS  float64 // of what was poured, or of the drainage
	MassG float64
	Wet   Wetness // seen before anything was poured
}

// mostPotEvents is how many are kept: about sixty days of a mount that is wetted
// three times a day.
const mostPotEvents = 180

// notePot keeps what an entry says of the pot, and lets go of the oldest.
func (p *PlantState) notePot(e Entry) {
	d := e.Detail
	v := PotEvent{At: e.At, Kind: e.Kind, Wet: d.Wet}
	switch e.Kind {
	case RepotDone:
		p.Pot, p.PotReadings = nil, 0
		return
	case FlushDone, WaterGiven, FeedDone, MistDone:
		v.ML, v.ECmS = or0(d.VolumeML), or0(d.ECmS)
	case DrainageRead:
		v.ECmS = or0(d.ECmS)
	case Weighed:
		v.MassG = or0(d.MassG)
	default:
		if d.Wet == "" {
			return
		}
	}
	if len(p.Repots) == 0 || e.At.Before(p.Record.Repot.Date) {
		return
	}
	if v.read() {
		p.PotReadings++
	}
	p.Pot = append(p.Pot, v)
	if len(p.Pot) > mostPotEvents {
		p.Pot = slices.Clone(p.Pot[mostPotEvents/4:])
	}
}

// read reports whether the event tells something about the pot.
func (v PotEvent) read() bool { return v.Kind == Weighed || v.Kind == DrainageRead || v.Wet != "" }

func or0(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

// Taught returns what was noted of the pot up to the last thing read off it: all
// that Learn learns from. Callers only read it.
func (p *PlantState) Taught() []PotEvent {
	for i := len(p.Pot) - 1; i >= 0; i-- {
		if p.Pot[i].read() {
			return p.Pot[:i+1]
		}
	}
	return nil
}
