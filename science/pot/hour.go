package pot

import "math"

// Totals adds up what crossed the border of a pot during a run, mL and
// mS/cm·mL.
type Totals struct {
	PouredML    float64 // by all pours
	CapturedML  float64 // kept of the pours
	DrainedML   float64
	VapourML    float64 // taken from humid air by a mount
	SurfaceML   float64 // evaporated from the surface
	WallML      float64 // evaporated through the wall
	RootsML     float64 // taken by the roots
	WantedML    float64 // demand of the plant
	SaltPoured  float64
	SaltDrained float64
	SaltTaken   float64 // by the roots
}

// pace holds what stays the same from one step to the next, so that no step
// computes an exponential twice.
type pace struct {
	hours       float64 // length of the step
	chipRemains float64 // share of a difference in salt that remains in particles after a step
	released    float64 // share of a difference in filling that particles give back in a step

	agedDays         int     // whole moist days behind the next two
	tookDry, tookWet float64 // share of a difference in filling that dry and moist particles take in a step
	potentialMM      float64 // potential evaporation behind the next two
	surfaceLost      float64 // share of what the surface still holds that evaporates in its falling stage
	wallLost         float64 // share of the pot's water that evaporates through the wall
	demandML         float64 // demand behind the next
	drunk            float64 // share of the pot's water that roots take when they no longer get all they want
}

func (p *Pot) newPace(hours float64) pace {
	c := pace{hours: hours, agedDays: -1}
	c.chipRemains = math.Exp(-hours / p.saltHours)
	c.released = lost(p.releasePerHour * hours * p.storesPerParticle)
	return c
}

// age brings the uptake of the particles up to date. It is taken from the age
// in whole days: it changes too slowly to be worth more.
func (c *pace) age(p *Pot, age float64) {
	days := 0
	if p.ages {
		days = int(age * p.ageingDays)
	}
	if days == c.agedDays {
		return
	}
	c.agedDays = days
	age = float64(days) / p.ageingDays
	c.tookDry = lost(p.uptakePerHour(false, age) * c.hours * p.storesPerParticle)
	c.tookWet = lost(p.uptakePerHour(true, age) * c.hours * p.storesPerParticle)
}

// evaporation brings the shares that the air takes up to date.
func (c *pace) evaporation(p *Pot, potentialMM float64) {
	if potentialMM == c.potentialMM {
		return
	}
	c.potentialMM = potentialMM
	c.surfaceLost = lost(potentialMM * p.perFallingMM)
	if p.wallPerMM > 0 {
		c.wallLost = lost(potentialMM * p.wallPerMM)
	}
}

// drinking brings the share that the roots take of a dry pot up to date.
func (c *pace) drinking(p *Pot, demandML float64) {
	if demandML == c.demandML {
		return
	}
	c.demandML = demandML
	c.drunk = lost(demandML * p.perFallingML)
}

// pass lets one step pass: demandML and potentialMM are amounts over the step.
// It returns the salt in the film.
//
// Each process is integrated exactly on its own, one after the other. Each
// keeps the order of two pots of which one has no less water in all, inside the
// particles and below the surface layer; so more demand never leaves more
// water, and more water never leaves less.
func (p *Pot) pass(s *State, c *pace, demandML, potentialMM, rhPercent float64, t *Totals) float64 {
	wetness := (s.FilmML + s.ParticleML) * p.perCapacity
	if potentialMM > 0 {
		p.evaporate(s, c, potentialMM, wetness, t)
	}
	filmSalt := s.FilmSalt[0]
	for i := 1; i < p.tanks; i++ {
		filmSalt += s.FilmSalt[i]
	}
	keep := 1.0 // share of each tank's salt that stays in the tank
	if demandML > 0 {
		keep = p.takeSalt(s, p.drink(s, c, demandML, t), filmSalt+s.ParticleSalt, t)
		filmSalt *= keep
	}
	if p.vapourML > 0 && rhPercent > 0 {
		p.takeVapour(s, c.hours, rhPercent, t)
	}
	spread := 0.0 // salt added to the film, the same in each tank
	if p.particleCapacityML > 0 {
		filmML, particleML := s.FilmML, s.ParticleML
		switch ml := p.swapWater(s, c); {
		case ml > 0:
			share := ml / filmML
			s.ParticleSalt += filmSalt * share
			filmSalt *= 1 - share
			keep *= 1 - share
		case ml < 0:
			spread = s.ParticleSalt * (-ml / particleML)
			s.ParticleSalt -= spread
			filmSalt += spread
		}
		if filmSalt > 0 || s.ParticleSalt > 0 {
			unevenRemains, remains := p.saltRemains(s.FilmML, s.ParticleML, c.hours, c.chipRemains)
			out := saltToParticles(filmSalt, s.ParticleSalt, s.FilmML, s.ParticleML, remains)
			s.ParticleSalt += out
			// What distinguishes the tanks fades with the exchange; their
			// sum loses what went into the particles.
			even := filmSalt - out - filmSalt*unevenRemains
			if even < 0 { // by rounding, in a pot with next to no water left
				even, unevenRemains = 0, (filmSalt-out)/filmSalt
			}
			spread = spread*unevenRemains + even
			keep *= unevenRemains
		}
	}
	p.grow(s, c, wetness)
	filmSalt = 0
	each := spread * p.perTank
	for i := range p.tanks {
		s.FilmSalt[i] = s.FilmSalt[i]*keep + each
		filmSalt += s.FilmSalt[i]
	}
	return filmSalt
}

// grow lets a moist medium age.
func (p *Pot) grow(s *State, c *pace, wetness float64) {
	if p.ages && wetness >= p.wetRoots {
		if s.Age += c.hours * p.agePerHour; s.Age > 1 {
			s.Age = 1
		}
	}
}

// evaporate takes water from the surface, which gives from its film, and
// through the wall.
func (p *Pot) evaporate(s *State, c *pace, potentialMM, wetness float64, t *Totals) {
	c.evaporation(p, potentialMM)
	var mm float64
	if s.DepletionMM >= p.readyMM {
		mm = (p.totalMM - s.DepletionMM) * c.surfaceLost // TwoStageLoss, wholly in its second stage
	} else {
		mm = TwoStageLoss(s.DepletionMM, p.readyMM, p.totalMM, potentialMM)
	}
	if floor := min(potentialMM, p.floorMMPerHour*c.hours*wetness); mm < floor {
		mm = floor
	}
	ml := mm * p.mlPerMM
	if ml > s.FilmML {
		ml = s.FilmML
	}
	s.FilmML -= ml
	s.DepletionMM += ml * p.perMLPerMM
	if s.DepletionMM > p.totalMM {
		s.DepletionMM = p.totalMM
	}
	t.SurfaceML += ml
	if p.wallPerMM > 0 {
		// c·Ep·A·S, exact for the falling wetness within the step.
		t.WallML += p.draw(s, c.wallLost)
	}
}

// drink lets the roots take what the plant wants, less as the pot dries, and
// returns what they took.
func (p *Pot) drink(s *State, c *pace, demandML float64, t *Totals) (ml float64) {
	t.WantedML += demandML
	waterML := s.FilmML + s.ParticleML
	if waterML <= 0 {
		return 0
	}
	var share float64
	if deficit := p.capacityML - waterML; deficit >= p.rootReadyML {
		c.drinking(p, demandML)
		share = c.drunk // TwoStageLoss, wholly in its second stage
	} else {
		share = TwoStageLoss(deficit, p.rootReadyML, p.capacityML, demandML) / waterML
		if share > 1 {
			share = 1
		}
	}
	ml = p.draw(s, share)
	t.RootsML += ml
	return ml
}

// takeSalt lets the roots take the salt that goes with the water they took, and
// returns the share of the salt that is left.
func (p *Pot) takeSalt(s *State, ml, salt float64, t *Totals) (keep float64) {
	if ml == 0 {
		return 1
	}
	taken := ml * p.uptakeECmS
	if taken >= salt {
		s.ParticleSalt = 0
		t.SaltTaken += salt
		return 0
	}
	keep = 1 - taken/salt
	s.ParticleSalt *= keep
	t.SaltTaken += taken
	return keep
}

// draw takes the same share from film, particles and surface layer and returns
// the water it took.
func (p *Pot) draw(s *State, share float64) float64 {
	fromFilm, fromParticles := share*s.FilmML, share*s.ParticleML
	s.FilmML -= fromFilm
	s.ParticleML -= fromParticles
	s.DepletionMM += share * (p.totalMM - s.DepletionMM)
	return fromFilm + fromParticles
}

// takeVapour lets humid air fill a mount towards the share it can reach, in
// proportion to relative humidity (an assumption: bark was measured in
// saturated air only).
func (p *Pot) takeVapour(s *State, hours, rhPercent float64, t *Totals) {
	short := p.vapourML*rhPercent/100 - s.FilmML
	if short <= 0 {
		return
	}
	ml := short * lost(hours*p.vapourPerHour)
	s.FilmML += ml
	s.DepletionMM = max(0, s.DepletionMM-ml/p.mlPerMM)
	t.VapourML += ml
}

// swapWater moves water between film and particles towards equal filling: in
// at the rate of uptake, out at the rate of release, both first order and
// exact. With a full film it is the rule dθ_p/dt = k·(θ_p,max − θ_p). It
// returns how much went in, below 0 what came out.
func (p *Pot) swapWater(s *State, c *pace) (ml float64) {
	c.age(p, s.Age)
	filling := s.ParticleML * p.perParticle
	difference := s.FilmML*p.perFilm - filling
	switch {
	case difference > 0:
		took := c.tookWet
		if filling < p.uptakeSwitch {
			took = c.tookDry
		}
		ml = difference * p.swapML * took
		if ml > s.FilmML {
			ml = s.FilmML
		}
		s.FilmML -= ml
		s.ParticleML += ml
		return ml
	case difference < 0:
		ml = -difference * p.swapML * c.released
		if ml > s.ParticleML {
			ml = s.ParticleML
		}
		s.ParticleML -= ml
		s.FilmML += ml
		return -ml
	}
	return 0
}

// saltRemains returns which share of the difference in concentration remains
// after a step of exchange: between the tanks of the film, and between film
// and particles. chipRemains is e^(−hours/τ).
//
//	d(C_film − C_particle)/dt = −(1 + P/F)·(C_film − C_particle)/τ, F and P the water in film and particles
func (p *Pot) saltRemains(filmML, particleML, hours, chipRemains float64) (uneven, between float64) {
	if particleML == 0 {
		return 1, chipRemains
	}
	if filmML == 0 {
		return 0, 0
	}
	uneven = 1 - lost(hours*p.perSaltHour*particleML/filmML)
	return uneven, uneven * chipRemains
}

// saltToParticles returns the salt that goes from film to particles, negative
// if it goes the other way, when only the share remains of the difference in
// concentration is left.
func saltToParticles(filmSalt, particleSalt, filmML, particleML, remains float64) float64 {
	waterML := filmML + particleML
	if !(waterML > 0) {
		return 0
	}
	toParticles := (filmSalt*particleML - particleSalt*filmML) / waterML * (1 - remains)
	switch {
	case toParticles > filmSalt:
		return filmSalt
	case toParticles < -particleSalt:
		return -particleSalt
	}
	return toParticles
}
