package care

import (
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pot"
)

const (
	ensembleMembers = 200
	learnDays       = 28 // before the last reading, at most, that the pot is followed
	settleDays      = 14 // in which a pot forgets how wet it was
	mostReadings    = 12 // the latest that count
)

// Learn returns what the readings of a plant's pot tell, or nil without any. planned is
// its course as worked out before anything was learned; rains are those that
// fell on its space. The same journal always gives the same answer: the chance
// in it is that of the plant's id.
func Learn(c Case, p *PlantState, tables culture.Table, planned *Course, rains []Rain, around Around) (*Learned, error) {
	if p.PotReadings == 0 || len(p.Repots) == 0 {
		return nil, nil
	}
	s, err := settle(c, p.Record, tables)
	if err != nil {
		return nil, err
	}
	// What was measured after the last reading teaches nothing, and must not
	// change what was learned.
	if taught := p.Taught(); len(taught) > 0 {
		last := taught[len(taught)-1].At
		end, _ := slices.BinarySearchFunc(around.Measured, last, func(h ClimateHour, at time.Time) int { return h.Start.Compare(at) })
		around = Around{Measured: around.Measured[:end]}
	}
	l, err := s.learn(p, planned, rains, around)
	if err != nil {
		return nil, fmt.Errorf("plant %s: learning from its pot: %w", p.Record.Label, err)
	}
	return l, nil
}

func (s *subject) learn(p *PlantState, planned *Course, rains []Rain, around Around) (*Learned, error) {
	t, err := s.newTranspiration()
	if err != nil {
		return nil, err
	}
	w := newSurroundings(s, t, planned, around)
	log := w.log(p.Pot, rains)
	readings := 0
	last := -1
	for i := len(log) - 1; i >= 0; i-- {
		if log[i].What != pot.Watered {
			if last < 0 { // what came later teaches nothing
				last, log = log[i].Hour, log[:i+1]
			}
			if readings++; readings > mostReadings {
				log = slices.Delete(log, i, i+1)
			}
		}
	}
	if last < 0 {
		return nil, nil // what was read has been let go
	}
	fromDay := max(0, last/24-learnDays)
	if lets := len(p.Pot) > 0 && fromDay == 0 && w.hourOf(p.Pot[0].At) > 24*settleDays; lets {
		fromDay = w.hourOf(p.Pot[0].At) / 24 // the first days were let go
	}
	days := last/24 - fromDay + 1
	weather, err := w.weather(fromDay, days, fromDay+days)
	if err != nil {
		return nil, err
	}
	ensemble, err := pot.NewEnsemble(ensembleMembers, drawnFigures, s.drawing(fromDay), weather, pot.DefaultInstruments(), s.tareG(), basis.ChanceOf(p.ID))
	if err != nil {
		return nil, err
	}
	l := &Learned{From: s.date(fromDay), ensemble: ensemble}
	for i, from := range [2]int{0, settledHours / 24} {
		l.every[i] = int(w.week(from).Flush.Every.Value.Value)
	}
	day, err := w.typicalDay(last / 24)
	if err != nil {
		return nil, err
	}
	// What was expected is that of the same pots after the same pours, so that
	// both tell of a pot as wet as it is now.
	blind := ensemble.Clone()
	for _, v := range log {
		if v.Hour -= 24 * fromDay; v.Hour < 0 || v.Hour > 24*days {
			continue
		}
		if v.What == pot.Watered {
			if err := blind.Take(v); err != nil {
				return nil, err
			}
		}
		switch v.What {
		case pot.WeighedIt:
			l.Weighings++
		case pot.ReadDrainage:
			l.Drainages++
		case pot.LookedIn:
			l.Looks++
		}
		if err := ensemble.Take(v); err != nil {
			return nil, err
		}
	}
	for _, v := range p.Pot {
		if v.read() {
			l.Last = v.At
		}
	}
	if err := blind.Pass(min(last-24*fromDay, 24*days)); err != nil {
		return nil, err
	}
	before, err := s.figuresOf(blind, day)
	if err != nil {
		return nil, err
	}
	now, err := s.figuresOf(ensemble, day)
	if err != nil {
		return nil, err
	}
	for i := range now {
		now[i].Now.Grade = basis.Measured
		now[i].Before = before[i].Now
	}
	l.Figures, l.DryDown = now[:len(now)-1], now[len(now)-1]
	l.mean = ensemble.Mean()
	l.spans = make([]pot.Span, drawnFigures)
	for i := range l.spans {
		l.spans[i] = ensemble.Figure(i)
	}
	ensemble.Rest()
	return l, nil
}

// figuresOf are the figures of an ensemble as a grower can follow them; the last
// one is how long the pot takes to dry.
func (s *subject) figuresOf(e *pot.Ensemble, day pot.Weather) ([]LearnedFigure, error) {
	quantity := func(name, unit string, v pot.Span) LearnedFigure {
		return LearnedFigure{Name: name, Now: basis.Value{Value: v.Middle, Low: v.Low, High: v.High, Unit: unit, Grade: basis.Assumption}}
	}
	head := headroom(s.plant.Vigour)
	place := func(figure int, of basis.Value) pot.Span {
		return e.Of(func(u []float64, _ *pot.Pot) float64 { return of.At(u[figure]) })
	}
	dry, err := e.DryDown(day, s.drenchML(e), driestWetness[s.group.DriesBetween.Is].Value)
	if err != nil {
		return nil, err
	}
	return []LearnedFigure{
		quantity(holdingName, "mL", e.Of(func(_ []float64, p *pot.Pot) float64 { return p.CapacityML() })),
		quantity(captureName, "share", e.Of(func(_ []float64, p *pot.Pot) float64 { return p.CaptureShare(0.5, 0) })),
		quantity(lossName, "1", place(drawLoss, s.lossRange())),
		quantity(headroomName, "1", place(drawSupply, head)),
		quantity(dryingName, "1", place(drawDrying, s.dryingRange())),
		quantity("until dry after a flush", "days", pot.Span{Low: dry.Low / 24, Middle: dry.Middle / 24, High: dry.High / 24}),
	}, nil
}

// drenchML is a pour that any of the possible pots is filled by as far as one
// pour can.
func (s *subject) drenchML(e *pot.Ensemble) float64 {
	return math.Min(pot.LargestPourML, 2*e.Of(func(_ []float64, p *pot.Pot) float64 { return p.CapacityML() }).High)
}

// lossRange is what leaves may lose against what their area and group let expect.
func (s *subject) lossRange() basis.Value {
	area := s.plant.LeafAreaCm2
	low, high := area.Low/area.Value*conductanceRange.Low, area.High/area.Value*conductanceRange.High
	return basis.Assumed(1, math.Max(0.2, math.Min(low, 1)), math.Min(5, math.Max(high, 1)), "1")
}

// dryingRange is what the air may take against the equation.
func (s *subject) dryingRange() basis.Value {
	parameters := pot.Defaults()
	v, err := parameters.PotentialEvaporationMM(math.Min(50, math.Max(0, s.space.DayC.Value)), s.space.DayRHPercent.Value, s.pressure, s.movement())
	if err != nil || !(v.Value > 0) {
		return basis.Assumed(1, 0.5, 2, "1")
	}
	return basis.Assumed(1, math.Max(0.3, v.Low/v.Value), math.Min(3, v.High/v.Value), "1")
}

// tareG is a guess at what vessel and plant weigh: 5 g of vessel for 100 mL of
// medium, 0.12 g for each cm² of leaf and 15 g for each pseudobulb. All are
// assumptions; weighings replace them.
func (s *subject) tareG() float64 {
	tare := 20 + 0.12*s.plant.LeafAreaCm2.Value*s.plant.Repot.LeavesKept.Value + 15*s.plant.Pseudobulbs.Value
	if home, err := s.build(s.plant.Repot.To, true, central); err == nil {
		tare += 0.05 * home.pot.VolumeML()
		if s.plant.Repot.To.Mount != nil {
			tare += 0.5 * home.pot.SurfaceCM2()
		}
	}
	return tare
}

// drawing returns how a possible pot is made, as it stands on a day of its
// course: on the first day fresh from the bench, later somewhere in its rhythm.
func (s *subject) drawing(day int) func(u []float64) (pot.Candidate, error) {
	loss, drying, head := s.lossRange(), s.dryingRange(), headroom(s.plant.Vigour)
	return func(u []float64) (pot.Candidate, error) {
		home, err := s.build(s.plant.Repot.To, true, picksAt(func(figure int) float64 { return u[figure] }))
		if err != nil {
			return pot.Candidate{}, err
		}
		c := pot.Candidate{Pot: home.pot, Loss: loss.At(u[drawLoss]), Supply: head.At(u[drawSupply]) / head.Value, Evaporation: drying.At(u[drawDrying])}
		if day > 0 {
			filling := midwayFilling.At(u[drawStart])
			c.Start, err = home.pot.Fill(filling, filling, 0.3, math.Min(1, float64(day)/math.Max(1, s.ageingDays())))
			return c, err
		}
		if c.Start, err = home.pot.Fill(bagFilm.At(u[drawStart]), bagParticles.At(u[drawStart]), 0.2, 0); err != nil {
			return c, err
		}
		if soaked := s.plant.Repot.SoakedHours.Value; soaked > 0 && s.plant.Repot.To.Mount == nil {
			_, err = home.pot.Soak(&c.Start, math.Min(math.Max(soaked, 0.1), 336), math.Min(math.Max(3*home.pot.VolumeML(), home.pot.CapacityML()+1), pot.LargestPourML), s.flushWater.ECmS.Value)
		}
		return c, err
	}
}

// ageingDays is how long the mix takes to age.
func (s *subject) ageingDays() float64 {
	var parts, weeks float64
	for _, c := range s.plant.Repot.To.Medium {
		if m, err := s.tables.Medium(c.Medium); err == nil {
			parts += c.Parts
			weeks += c.Parts * m.AgeingWeeks.Value
		}
	}
	if parts == 0 {
		return 180
	}
	return 7 * weeks / parts
}

// typicalDay is one day of the week that a day lies in, without its measured
// hours: what questions of the kind "how long does it take" are asked in.
func (w *surroundings) typicalDay(day int) (pot.Weather, error) {
	plain := surroundings{s: w.s, t: w.t, c: w.c, headroom: w.headroom, pattern: w.pattern, last: 24 * (day + 1)}
	return plain.weather(day, 1, day)
}

// log turns what was noted of the pot into events, in hours from the midnight of
// the repot. Where a fortnight and more passed without a note, the planned
// rhythm is taken as kept; rain that was deep enough counts.
func (w *surroundings) log(noted []PotEvent, rains []Rain) []pot.Event {
	var log []pot.Event
	wet := 0 // day of the last pour
	for _, v := range w.withRain(noted, rains) {
		hour := max(0, w.hourOf(v.At))
		if v.Wet != "" {
			log = append(log, pot.Event{Hour: hour, What: pot.LookedIn, Value: float64(slices.Index(Wetnesses, v.Wet))})
		}
		switch v.Kind {
		case FlushDone, WaterGiven, FeedDone, MistDone:
			log = w.kept(log, wet, hour/24)
			wet = hour / 24
			log = append(log, w.pours(v, hour)...)
		case DrainageRead:
			log = append(log, pot.Event{Hour: hour, What: pot.ReadDrainage, Value: v.ECmS})
		case Weighed:
			log = append(log, pot.Event{Hour: hour, What: pot.WeighedIt, Value: v.MassG})
		}
	}
	return log
}

// withRain adds the rains that were deep enough to flush, as flushes.
func (w *surroundings) withRain(noted []PotEvent, rains []Rain) []PotEvent {
	all := slices.Clone(noted)
	for _, r := range rains {
		if h := w.hourOf(r.At); h >= 0 {
			f := w.week(h / 24).Flush
			if f.RainMM > 0 && r.MM >= f.RainMM {
				all = append(all, PotEvent{At: r.At, Kind: FlushDone, ML: f.Total.Value.Value * r.MM / f.RainMM})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b PotEvent) int { return a.At.Compare(b.At) })
	return all
}

func (w *surroundings) week(day int) *Week {
	return &w.c.Weeks[min(max(day/7, 0), len(w.c.Weeks)-1)]
}

// kept adds the planned flushes of a long time without a note.
func (w *surroundings) kept(log []pot.Event, from, to int) []pot.Event {
	if to-from <= forgottenDays {
		return log
	}
	for day := from; day < to; {
		f := w.week(day).Flush
		log = append(log, pot.Event{Hour: 24*day + wateringHour, What: pot.Watered, Value: f.Total.Value.Value, ECmS: w.s.flushWater.ECmS.Value})
		day += max(1, int(f.Every.Value.Value))
	}
	return log
}

// pours are those of one noted flush, watering, feed or mist. What was not noted
// is taken from the plan; several pours fall into one hour, that of the note.
func (w *surroundings) pours(v PotEvent, hour int) []pot.Event {
	week := w.week(hour / 24)
	f := &week.Flush
	n, mL, ec := 1, v.ML, w.s.flushWater.ECmS.Value
	switch v.Kind {
	case FlushDone:
		n = max(1, int(f.Pours.Value.Value))
		if mL == 0 {
			mL = float64(n) * f.PourML
		}
	case FeedDone:
		ec = week.Targets.FeedECmS.Value.Value
		if mL == 0 {
			mL = f.PourML
		}
	case WaterGiven:
		if mL == 0 && f.Between != nil {
			mL = f.Between.Value.Value
		}
	case MistDone:
		if mL == 0 && w.s.plant.Repot.To.Mount != nil {
			mL = 0.2 * f.Total.Value.Value
		}
	}
	if v.ECmS > 0 {
		ec = v.ECmS
	}
	list := make([]pot.Event, n)
	for i := range list {
		list[i] = pot.Event{Hour: hour, What: pot.Watered, Value: math.Min(mL/float64(n), pot.LargestPourML), ECmS: ec}
	}
	return list
}
