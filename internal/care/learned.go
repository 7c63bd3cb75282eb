package care

import (
	"fmt"
	"time"

	"velamen/science/basis"
	"velamen/science/pot"
)

// The figures of a pot that are drawn from their ranges, and learned.
const (
	drawHolding     = iota // what the medium holds, all its parts alike
	drawCapture            // what it catches of a pour
	drawLoss               // what the leaves lose, against what their area and group let expect
	drawSupply             // what the roots bring, against what was assumed
	drawDrying             // what the air takes from the surface, against the equation
	drawRootWetness        // the following are those of package pot
	drawUptake
	drawRelease
	drawCritical
	drawStart // how damp it came from the bag, or was when the readings began
	drawnFigures
)

// The ranges of what no table holds.
var (
	// conductanceRange is by how much leaves of one group differ in what they
	// lose for each area.
	conductanceRange = basis.Assumed(1, 0.7, 1.4, "1")
	// bagFilm and bagParticles are how damp medium from the bag is; midwayFilling
	// is how full a pot may be in the midst of its rhythm.
	bagFilm       = basis.Assumed(0.05, 0.02, 0.15, "share")
	bagParticles  = basis.Assumed(0.15, 0.05, 0.35, "share")
	midwayFilling = basis.Assumed(0.7, 0.3, 1, "share")
)

// Learned is what weighings, drainage readings and looks have told about one
// plant's pot, leaves and roots.
type Learned struct {
	Weighings int       `json:"weighings"`
	Drainages int       `json:"drainage_readings"`
	Looks     int       `json:"looks"`
	From      time.Time `json:"from"` // day from which the pot was followed
	Last      time.Time `json:"last"` // reading

	Figures []LearnedFigure `json:"figures"`
	// DryDown is how long the pot takes, after a flush, to reach the driest it
	// should.
	DryDown LearnedFigure `json:"dry_down"`

	every    [2]int // days between flushes in settling and rooting, before anything was learned
	ensemble *pot.Ensemble
	mean     []float64 // of the drawn figures, share of their ranges
	spans    []pot.Span
}

// LearnedFigure is one figure before and after the readings; their ranges hold
// 80 %.
type LearnedFigure struct {
	Name   string      `json:"name"`
	Before basis.Value `json:"before"`
	Now    basis.Value `json:"now"`
}

// Narrowed is by how much the range has become narrower, share of what it was.
func (f LearnedFigure) Narrowed() float64 {
	before := f.Before.High - f.Before.Low
	if !(before > 0) {
		return 0
	}
	return 1 - (f.Now.High-f.Now.Low)/before
}

// Readings is how often something was read off the pot.
func (l *Learned) Readings() int { return l.Weighings + l.Drainages + l.Looks }

// at returns how to read figures when each is at its share of its range.
func picksAt(u func(figure int) float64) picks {
	place := func(figure int) func(basis.Value) float64 {
		at := u(figure)
		return func(v basis.Value) float64 { return v.At(at) }
	}
	return picks{holding: place(drawHolding), capture: place(drawCapture), tune: func(p *pot.Parameters) {
		for figure, v := range map[int]*basis.Value{
			drawRootWetness: &p.RootWetness, drawUptake: &p.UptakeECmS, drawRelease: &p.ReleasePerDay, drawCritical: &p.CriticalWetness,
		} {
			v.Value = v.At(u(figure))
		}
	}}
}

// central returns how to read the figures of a home: as they are, or as they
// were learned.
func (s *subject) central() picks {
	if s.knows == nil {
		return central
	}
	return picksAt(func(figure int) float64 { return s.knows.mean[figure] })
}

// dry and wet are the ends that keep roots drier and wetter; once something is
// learned, those of the middle 80 %.
func (l *Learned) dry() picks {
	if l == nil {
		return driest
	}
	return picksAt(func(figure int) float64 {
		if figure == drawHolding || figure == drawCapture {
			return l.spans[figure].Low
		}
		return l.mean[figure]
	})
}

func (l *Learned) wet() picks {
	if l == nil {
		return wettest
	}
	return picksAt(func(figure int) float64 {
		if figure == drawHolding || figure == drawCapture {
			return l.spans[figure].High
		}
		return l.mean[figure]
	})
}

// loss and drying are the learned factors.
func (l *Learned) loss() float64 {
	if l == nil {
		return 1
	}
	return l.figure(lossName).Now.Value
}

func (l *Learned) drying() float64 {
	if l == nil {
		return 1
	}
	return l.figure(dryingName).Now.Value
}

func (l *Learned) figure(name string) LearnedFigure {
	for _, f := range l.Figures {
		if f.Name == name {
			return f
		}
	}
	return LearnedFigure{Now: basis.Exactly(1, "1", basis.Assumption, "")}
}

// The names of the figures as they are shown.
const (
	holdingName  = "water the pot holds"
	captureName  = "caught of a pour, of what is missing"
	lossName     = "what the leaves lose, against their area's"
	headroomName = "headroom of the roots"
	dryingName   = "drying by the air, against the equation's"
)

// headroom returns by how much the roots exceeded what the leaves lost, before
// the repot: what the vigour lets expect, or what was learned.
func (s *subject) headroom() basis.Value {
	assumed := headroom(s.plant.Vigour)
	if s.knows == nil {
		return assumed
	}
	return s.knows.figure(headroomName).Now
}

// note says in the because of a rhythm what it was learned from, and what it
// would be without. A rhythm of later weeks or of a mount has nothing to be
// compared with.
func (l *Learned) note(f *Flush, fromHour int, alone bool) {
	if l == nil || f.Every.Because == nil {
		return
	}
	text := l.Says()
	before, now := l.every[min(fromHour/settledHours, 1)], int(f.Every.Value.Value)
	switch {
	case alone:
	case before == now:
		text += fmt.Sprintf("; without the readings it would be every %s too", countDays(before))
	default:
		text += fmt.Sprintf("; without the readings it would be every %s", countDays(before))
	}
	f.Every.Because.Note = text
}

func countDays(n int) string {
	if n == 1 {
		return "day"
	}
	return fmt.Sprintf("%d days", n)
}
