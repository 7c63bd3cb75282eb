package pot

import (
	"errors"
	"fmt"
	"math"

	"velamen/science/basis"
)

// ErrNoMembers is returned for an ensemble that could not be drawn.
var ErrNoMembers = errors.New("pot: an ensemble needs at least 10 members and one figure to draw")

// Candidate is one possible pot: figures that were drawn from their ranges.
type Candidate struct {
	Pot   *Pot
	Start State

	// What the plant and the air take, as multiples of the weather's figures,
	// 0 to 20.
	Loss, Supply, Evaporation float64
}

// Weather is what acts on the members of an ensemble, hour by hour.
type Weather struct {
	LossML      []float64 // what the leaves would lose, mL in the hour
	SupplyShare []float64 // what the roots can bring of that loss, 0 upwards; the plant takes at most all of it
	PotentialMM []float64 // evaporation from a wet surface, mm in the hour
	RHPercent   []float64 // only mounts use it; nil, or as long as LossML
}

// hours returns how far the weather reaches, or an error if it is no weather.
func (w *Weather) hours() (int, error) {
	n := len(w.LossML)
	if len(w.SupplyShare) != n || len(w.PotentialMM) != n || w.RHPercent != nil && len(w.RHPercent) != n {
		return 0, fmt.Errorf("pot: loss covers %d hours, supply %d, evaporation %d, humidity %d", n, len(w.SupplyShare), len(w.PotentialMM), len(w.RHPercent))
	}
	for h := range n {
		if err := firstError(
			within("loss in an hour", w.LossML[h], 0, LargestDemandML/20, "mL"),
			within("share that roots bring", w.SupplyShare[h], 0, 1e6, "1"),
			within("potential evaporation in an hour", w.PotentialMM[h], 0, LargestPotentialMM, "mm"),
		); err != nil {
			return 0, fmt.Errorf("hour %d: %w", h, err)
		}
	}
	return n, nil
}

// on is what acts on one possible pot in an hour.
func (w *Weather) on(c *Candidate, hour int) (demandML, potentialMM float64) {
	return w.LossML[hour] * c.Loss * min(1, c.Supply*w.SupplyShare[hour]), min(LargestPotentialMM, w.PotentialMM[hour]*c.Evaporation)
}

// Event is something that happened to a pot: a pour, or something read off it.
type Event struct {
	Hour int // from the start of the weather; it happens as the hour begins
	What Happened
	// Value is the volume of a pour in mL, the weight in g, the EC of the
	// drainage in mS/cm, or the Wetness seen.
	Value float64
	ECmS  float64 // of a pour
}

// Happened says what an event is.
type Happened uint8

// What can happen to a pot. A drainage reading is of the pour before it.
const (
	Watered Happened = iota
	WeighedIt
	ReadDrainage
	LookedIn
)

// Instruments are the errors of what is read, and how far off the model may be.
type Instruments struct {
	ScaleG      basis.Value // standard error of a kitchen scale, g
	ModelShare  basis.Value // water that the model misplaces, share of what the pot holds
	PenMS       basis.Value // standard error of a conductivity pen, mS/cm
	DrainageRel basis.Value // scatter of a cup of drainage around the mean of the pot, share of the reading
	LookSpread  basis.Value // how blurred the borders of the four wetnesses are, share of capacity
	LookSlip    basis.Value // share of looks that say anything at all
	DryBelow    basis.Value // wetness below which a pot is called dry, share of capacity
	DampAbove   basis.Value // from here on it is damp throughout
	WetAbove    basis.Value // and from here on wet
	TareSpread  basis.Value // how far the weight of vessel and plant may be off what was guessed, as a factor
}

// DefaultInstruments returns the errors reckoned with. All are assumptions;
// a kitchen scale shows whole grams.
func DefaultInstruments() Instruments {
	return Instruments{
		ScaleG:      basis.Assumed(1.5, 1, 3, "g"),
		ModelShare:  basis.Assumed(0.01, 0.005, 0.02, "share"),
		PenMS:       basis.Assumed(0.03, 0.01, 0.05, "mS/cm"),
		DrainageRel: basis.Assumed(0.15, 0.1, 0.3, "share"),
		LookSpread:  basis.Assumed(0.1, 0.05, 0.15, "share"),
		LookSlip:    basis.Assumed(0.04, 0.02, 0.1, "share"),
		DryBelow:    basis.Assumed(0.2, 0.1, 0.3, "share"),
		DampAbove:   basis.Assumed(0.45, 0.35, 0.55, "share"),
		WetAbove:    basis.Assumed(0.75, 0.65, 0.85, "share"),
		TareSpread:  basis.Assumed(1, 0.5, 2, "share"),
	}
}

// Looks is how many wetnesses a look tells apart: 0 dry, 1 dry on top,
// 2 damp, 3 wet.
const Looks = 4

// Ensemble is many possible pots, each weighted by how well it explains what
// was read. It is drawn once and then taken through the events in order; it is
// not safe for several goroutines.
//
// Weighting is importance sampling; where few members are left that count, the
// ensemble is resampled in steps (Del Moral, Doucet and Jasra 2006, sequential
// Monte Carlo samplers, from memory) and each member moved by differential
// evolution (ter Braak 2006, Statistics and Computing 16:239, from memory)
// with its pot worked out anew from the start, so that no two stay the same.
type Ensemble struct {
	draw    func(u []float64) (Candidate, error)
	figures int
	chance  basis.Chance
	weather Weather
	tools   Instruments
	tareG   float64 // what vessel, plant and dry medium are guessed to weigh
	events  []Event // so far
	hour    int     // to which the members have been taken
	members []member
	seen    int // events that were readings
	redrawn int // how often the ensemble was resampled
	spare   []member
	weights []float64
	// salty says that the members follow their salt, too. They begin to when
	// somebody asks for it: most pots are only ever weighed.
	salty bool
}

// member is one possible pot with what it made of the readings.
type member struct {
	u []float64
	Candidate
	state  State
	drains float64 // EC of the last cup of the last pour

	// Precision, precision times residue and times its square of the weighings,
	// from which the unknown weight of the vessel is integrated out.
	s0, s1, s2    float64
	logPrecision  float64 // half the sum of their logarithms
	others        float64 // log-likelihood of all other readings
	before, after float64 // log-likelihood without and with the last reading
	anchor        float64 // log-likelihood the weights are reckoned from
	paceOf        pace
	twin          bool // the same as another when it was last drawn anew
}

const (
	fewestMembers = 10
	leastEffect   = 0.3 // share of the members that must still count
	mostSteps     = 8   // of one reading, from not counting to counting in full
	movesPerStep  = 2
)

// NewEnsemble draws an ensemble. draw makes a candidate from so many figures,
// each a share of its range between 0 and 1; it must give the same candidate
// for the same figures. tareG is a guess at the weight of everything but the
// water.
func NewEnsemble(members, figures int, draw func(u []float64) (Candidate, error), weather Weather, tools Instruments, tareG float64, chance basis.Chance) (*Ensemble, error) {
	if members < fewestMembers || figures < 1 {
		return nil, ErrNoMembers
	}
	if _, err := weather.hours(); err != nil {
		return nil, err
	}
	if err := within("weight without water", tareG, 1, 200_000, "g"); err != nil {
		return nil, err
	}
	e := &Ensemble{draw: draw, figures: figures, chance: chance, weather: weather, tools: tools, tareG: tareG,
		members: make([]member, members), spare: make([]member, members), weights: make([]float64, members)}
	flat := make([]float64, 2*members*figures)
	for i := range e.members {
		e.members[i].u, flat = flat[:figures:figures], flat[figures:]
		e.spare[i].u, flat = flat[:figures:figures], flat[figures:]
	}
	// Each figure is drawn once from each of as many slices of its range as
	// there are members (a Latin hypercube): a small ensemble covers it evenly.
	order := make([]int, members)
	for f := range figures {
		for i := range order {
			order[i] = i
		}
		for i := members - 1; i > 0; i-- {
			j := e.chance.Below(i + 1)
			order[i], order[j] = order[j], order[i]
		}
		for i := range e.members {
			e.members[i].u[f] = (float64(order[i]) + e.chance.Next()) / float64(members)
		}
	}
	for i := range e.members {
		if err := e.begin(&e.members[i]); err != nil {
			return nil, err
		}
	}
	e.settleWeights()
	return e, nil
}

// begin makes a member's pot from its figures and brings it to the start.
func (e *Ensemble) begin(m *member) error {
	c, err := e.draw(m.u)
	if err != nil {
		return fmt.Errorf("drawing a possible pot: %w", err)
	}
	if err := firstError(
		c.Pot.check(&c.Start),
		within("factor of the loss", c.Loss, 0, 20, "1"),
		within("factor of what roots bring", c.Supply, 0, 20, "1"),
		within("factor of the evaporation", c.Evaporation, 0, 20, "1"),
	); err != nil {
		return fmt.Errorf("a possible pot: %w", err)
	}
	u := m.u
	*m = member{u: u, Candidate: c, state: c.Start, paceOf: c.Pot.newPace(1)}
	return nil
}

// advance lets hours pass for a member.
func (e *Ensemble) advance(m *member, from, to int, out *trajectory) {
	w := &e.weather
	if out == nil && !e.salty {
		m.Pot.passWater(&m.state, &m.paceOf, w, &m.Candidate, from, to)
		return
	}
	var lost Totals
	rhPercent := 0.0
	for h := from; h < to; h++ {
		if w.RHPercent != nil {
			rhPercent = w.RHPercent[h]
		}
		demandML, potentialMM := w.on(&m.Candidate, h)
		filmSalt := m.Pot.pass(&m.state, &m.paceOf, demandML, potentialMM, rhPercent, &lost)
		if out != nil {
			out.note(m, h, filmSalt)
		}
	}
}

// Take takes the ensemble through further events, in order; none may lie
// before what it was taken through already, or beyond the weather.
func (e *Ensemble) Take(events ...Event) error {
	for _, event := range events {
		if event.Hour < e.hour || event.Hour > len(e.weather.LossML) {
			return fmt.Errorf("pot: an event at hour %d; expected %d to %d", event.Hour, e.hour, len(e.weather.LossML))
		}
		if err := event.check(); err != nil {
			return err
		}
		if event.What == ReadDrainage {
			e.followSalt()
		}
		for i := range e.members {
			m := &e.members[i]
			e.advance(m, e.hour, event.Hour, nil)
			e.happen(m, event)
		}
		e.hour = event.Hour
		e.events = append(e.events, event)
		if event.What == Watered {
			continue
		}
		e.seen++
		if err := e.weigh(); err != nil {
			return err
		}
	}
	return nil
}

// Pass lets time pass without an event.
func (e *Ensemble) Pass(hour int) error {
	if hour < e.hour || hour > len(e.weather.LossML) {
		return fmt.Errorf("pot: hour %d; expected %d to %d", hour, e.hour, len(e.weather.LossML))
	}
	for i := range e.members {
		e.advance(&e.members[i], e.hour, hour, nil)
	}
	e.hour = hour
	return nil
}

func (v Event) check() error {
	switch v.What {
	case Watered:
		return checkPour(v.Value, v.ECmS)
	case WeighedIt:
		return within("weight", v.Value, 0.1, 200_000, "g")
	case ReadDrainage:
		return within("EC of the drainage", v.Value, 0, LargestECmS, "mS/cm")
	case LookedIn:
		return within("wetness seen", v.Value, 0, Looks-1, "1")
	}
	return fmt.Errorf("pot: event %d is not known", v.What)
}

// happen lets an event happen to a member.
func (e *Ensemble) happen(m *member, v Event) {
	if v.What == Watered {
		e.pour(m, v)
		return
	}
	m.before = m.after
	switch v.What {
	case WeighedIt:
		precision, residue := e.weighing(m, v.Value)
		m.s0 += precision
		m.s1 += precision * residue
		m.s2 += precision * residue * residue
		m.logPrecision += 0.5 * math.Log(precision)
	case ReadDrainage:
		m.others += e.drainage(m.drains, v.Value)
	case LookedIn:
		m.others += math.Log(e.look(m.Pot.Wetness(&m.state), int(v.Value)))
	}
	m.after = m.others + m.logPrecision + e.tareFree(m.s0, m.s1, m.s2)
}

// pour waters a member.
func (e *Ensemble) pour(m *member, v Event) {
	if !e.salty {
		m.Pot.capture(&m.state, v.Value, 0)
		return
	}
	if d := m.Pot.flush(&m.state, v.Value, v.ECmS); d.DrainedML > 0 {
		m.drains = d.LastECmS
	}
}

// followSalt brings the salt of the members up to the present hour, and lets
// them follow it from now on. Their water is the same to the bit.
func (e *Ensemble) followSalt() {
	if e.salty {
		return
	}
	e.salty = true
	for i := range e.members {
		m := &e.members[i]
		m.state, m.paceOf = m.Start, m.Pot.newPace(1)
		hour := 0
		for _, v := range e.events {
			if v.What == Watered {
				e.advance(m, hour, v.Hour, nil)
				e.pour(m, v)
				hour = v.Hour
			}
		}
		e.advance(m, hour, e.hour, nil)
	}
}

// weighing returns what a weighing says: its precision and the weight that
// vessel and plant would have.
func (e *Ensemble) weighing(m *member, massG float64) (precision, residueG float64) {
	model := e.tools.ModelShare.Value * m.Pot.capacityML
	sd2 := e.tools.ScaleG.Value*e.tools.ScaleG.Value + model*model
	return 1 / sd2, massG - m.state.WaterML() - m.Pot.dryMediumG
}

// tareFree is the log-likelihood of weighings whose tare is not known: normal
// errors around a normal tare, integrated out.
//
//	½·ln(Πp·p₀/(Σp + p₀)) − ½·(Σp·r² + p₀·t₀² − (Σp·r + p₀·t₀)²/(Σp + p₀))
//
// p precision and r residue of each weighing, p₀ and t₀ those of the tare; the
// product of p is left to the caller.
func (e *Ensemble) tareFree(s0, s1, s2 float64) float64 {
	if s0 == 0 {
		return 0
	}
	spread := e.tools.TareSpread.Value * e.tareG
	p0 := 1 / (spread * spread)
	a, b, c := s0+p0, s1+p0*e.tareG, s2+p0*e.tareG*e.tareG
	return 0.5*math.Log(p0/a) - 0.5*(c-b*b/a)
}

// drainage is the log-likelihood of a cup of drainage.
func (e *Ensemble) drainage(expectedMS, readMS float64) float64 {
	relative := e.tools.DrainageRel.Value * expectedMS
	sd := math.Hypot(e.tools.PenMS.Value, relative)
	z := (readMS - expectedMS) / sd
	return -0.5*z*z - math.Log(sd)
}

// look is the chance that a pot of a wetness is called dry, dry on top, damp or
// wet.
func (e *Ensemble) look(wetness float64, called int) float64 {
	borders := [Looks + 1]float64{math.Inf(-1), e.tools.DryBelow.Value, e.tools.DampAbove.Value, e.tools.WetAbove.Value, math.Inf(1)}
	s := e.tools.LookSpread.Value
	chance := normalBelow((borders[called+1]-wetness)/s) - normalBelow((borders[called]-wetness)/s)
	slip := e.tools.LookSlip.Value
	return slip/Looks + (1-slip)*chance
}

func normalBelow(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
