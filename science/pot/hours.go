package pot

// passWater lets hours of a weather pass for the water alone, as pass does it for
// water and salt: salt moves with the water and never moves any. Most of what
// learning costs is spent here, so that what changes stays out of memory; a test
// holds it to pass. c is the pace of whole hours.
func (p *Pot) passWater(s *State, c *pace, w *Weather, of *Candidate, from, to int) {
	filmML, particleML, depletionMM := s.FilmML, s.ParticleML, s.DepletionMM
	for h := from; h < to; h++ {
		demandML, potentialMM := w.on(of, h)
		wetness := (filmML + particleML) * p.perCapacity
		if potentialMM > 0 { // see evaporate
			if potentialMM != c.potentialMM {
				c.evaporation(p, potentialMM)
			}
			var mm float64
			switch {
			case depletionMM >= p.readyMM:
				mm = (p.totalMM - depletionMM) * c.surfaceLost
			case depletionMM+potentialMM <= p.readyMM:
				mm = potentialMM
			default:
				mm = TwoStageLoss(depletionMM, p.readyMM, p.totalMM, potentialMM)
			}
			if floor := min(potentialMM, p.floorMMPerHour*wetness); mm < floor {
				mm = floor
			}
			ml := mm * p.mlPerMM
			if ml > filmML {
				ml = filmML
			}
			filmML -= ml
			depletionMM += ml * p.perMLPerMM
			if depletionMM > p.totalMM {
				depletionMM = p.totalMM
			}
			if p.wallPerMM > 0 {
				filmML -= c.wallLost * filmML
				particleML -= c.wallLost * particleML
				depletionMM += c.wallLost * (p.totalMM - depletionMM)
			}
		}
		if waterML := filmML + particleML; demandML > 0 && waterML > 0 { // see drink
			var share float64
			switch deficit := p.capacityML - waterML; {
			case deficit >= p.rootReadyML:
				if demandML != c.demandML {
					c.drinking(p, demandML)
				}
				share = c.drunk
			case deficit+demandML <= p.rootReadyML:
				share = demandML / waterML
			default:
				share = TwoStageLoss(deficit, p.rootReadyML, p.capacityML, demandML) / waterML
			}
			if share > 1 {
				share = 1
			}
			filmML -= share * filmML
			particleML -= share * particleML
			depletionMM += share * (p.totalMM - depletionMM)
		}
		if p.vapourML > 0 && w.RHPercent != nil && w.RHPercent[h] > 0 {
			one, lost := State{FilmML: filmML, DepletionMM: depletionMM}, Totals{}
			p.takeVapour(&one, c.hours, w.RHPercent[h], &lost)
			filmML, depletionMM = one.FilmML, one.DepletionMM
		}
		if p.particleCapacityML > 0 { // see swapWater
			c.age(p, s.Age)
			filling := particleML * p.perParticle
			switch difference := filmML*p.perFilm - filling; {
			case difference > 0:
				took := c.tookWet
				if filling < p.uptakeSwitch {
					took = c.tookDry
				}
				ml := min(difference*p.swapML*took, filmML)
				filmML -= ml
				particleML += ml
			case difference < 0:
				ml := min(-difference*p.swapML*c.released, particleML)
				particleML -= ml
				filmML += ml
			}
		}
		p.grow(s, c, wetness)
	}
	s.FilmML, s.ParticleML, s.DepletionMM = filmML, particleML, depletionMM
}
