package pot

// PassForTest lets a step of any length pass, so that tests can show that
// finer steps converge.
func (p *Pot) PassForTest(s *State, hours, demandML, potentialMM, rhPercent float64, t *Totals) {
	c := p.newPace(hours)
	p.pass(s, &c, demandML, potentialMM, rhPercent, t)
}

// CloseForTest closes the balances of a result.
func (r *Result) CloseForTest(start *State) error { return r.close(start) }

// LostForTest is 1 − e^(−x).
func LostForTest(x float64) float64 { return lost(x) }

// WetnessesForTest are the wetnesses of the members, whatever their weights.
func (e *Ensemble) WetnessesForTest() []float64 {
	list := make([]float64, len(e.members))
	for i := range e.members {
		list[i] = e.members[i].Pot.Wetness(&e.members[i].state)
	}
	return list
}

// MeanWetnessForTest is their weighted mean.
func (e *Ensemble) MeanWetnessForTest() float64 {
	sum := 0.0
	for i, w := range e.WetnessesForTest() {
		sum += e.weights[i] * w
	}
	return sum
}

// PassWaterForTest lets hours pass for the water alone.
func (p *Pot) PassWaterForTest(s *State, w *Weather, of *Candidate, to int) {
	c := p.newPace(1)
	p.passWater(s, &c, w, of, 0, to)
}

// PassHoursForTest lets the same hours pass for water and salt.
func (p *Pot) PassHoursForTest(s *State, w *Weather, of *Candidate, to int) {
	c := p.newPace(1)
	var lost Totals
	for h := range to {
		demandML, potentialMM := w.on(of, h)
		p.pass(s, &c, demandML, potentialMM, w.RHPercent[h], &lost)
	}
}

// ForeseenForTest is what a possible pot makes of each reading among events, without
// an error of it: water and dry medium of a weighing, g; EC of a drainage; wetness.
func ForeseenForTest(c Candidate, w *Weather, events []Event) (foreseen []float64) {
	s, pace, hour, drains := c.Start, c.Pot.newPace(1), 0, 0.0
	var lost Totals
	for _, v := range events {
		for ; hour < v.Hour; hour++ {
			demandML, potentialMM := w.on(&c, hour)
			c.Pot.pass(&s, &pace, demandML, potentialMM, 0, &lost)
		}
		switch v.What {
		case Watered:
			if d := c.Pot.flush(&s, v.Value, v.ECmS); d.DrainedML > 0 {
				drains = d.LastECmS
			}
		case WeighedIt:
			foreseen = append(foreseen, s.WaterML()+c.Pot.dryMediumG)
		case ReadDrainage:
			foreseen = append(foreseen, drains)
		case LookedIn:
			foreseen = append(foreseen, c.Pot.Wetness(&s))
		}
	}
	return foreseen
}
